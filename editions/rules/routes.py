"""Routes from a model to a finished bronze: their steps, and what physics makes them wait for.

A route's steps are listed in the order a piece commonly meets them, which binds nobody: cut-off,
core and pin removal, plugging, welding and chasing repeat and change places.  Only what cannot be
otherwise is a need: a shell cannot be emptied of wax before it is there, and nothing is broken out,
welded or coloured before metal was poured.

A step is recorded under one name on every route (``shelled``), and said as that route's hands say
it (``invested``).

>>> route("ceramic-shell").missing("poured", {"shelled", "dewaxed"})
('fired',)
>>> read_step("metal chased")
'metal_chased'
>>> route("block-investment").says("shelled")
'invested'
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Mapping
from types import MappingProxyType

import msgspec

from editions.errors import Unreadable
from editions.trade.spelling import as_spelled
from editions.trade.text import shown

STEP_TITLES: Mapping[str, str] = MappingProxyType(
    {
        "wax_chased": "wax chased",
        "gated": "gated",
        "shelled": "shelled",
        "dewaxed": "dewaxed",
        "fired": "fired",
        "poured": "poured",
        "broken_out": "broken out",
        "cut_off": "cut off",
        "blasted": "blasted",
        "plugged": "plugged",
        "welded": "welded",
        "metal_chased": "metal-chased",
        "approved_in_metal": "approved in metal",
        "coloured": "coloured",
        "approved_in_colour": "approved in colour",
        "mounted": "mounted",
        "released": "released",
    }
)

# Other words for the same step, as they are spoken on one route or another.
_ALIASES = {
    "invested": "shelled",
    "dipped": "shelled",
    "burned_out": "fired",
    "burnt_out": "fired",
    "cast": "poured",
    "shaken_out": "broken_out",
    "knocked_out": "broken_out",
    "devested": "broken_out",
    "divested": "broken_out",
    "sandblasted": "blasted",
    "pinned": "plugged",
    "chased": "metal_chased",
    "patinated": "coloured",
    "patinaed": "coloured",
    "based": "mounted",
}

# Other words for a step, with its own name.
SPOKEN = tuple(_ALIASES.items())

_WAX = ("wax_chased", "gated", "shelled", "dewaxed", "fired")
_METAL = tuple(list(STEP_TITLES)[5:])

# After the pour, one prerequisite: metal. Colour is approved only where there is some.
_AFTER_POUR: dict[str, tuple[str, ...]] = {
    **{step: ("poured",) for step in _METAL if step != "poured"},
    "approved_in_colour": ("coloured",),
}


# On these routes a section may be poured without a wax of its own.
WAXLESS = frozenset({"sand", "printed-pattern", "direct-wax"})


class Route(msgspec.Struct, frozen=True):
    """A route: its steps in common order, and for each step those that must come before it."""

    name: str
    title: str
    steps: tuple[str, ...]
    needs: Mapping[str, tuple[str, ...]]
    words: Mapping[str, str] = MappingProxyType({})

    def missing(self, step: str, done: Collection[str]) -> tuple[str, ...]:
        """Return the steps that ``step`` waits for and that are not among those done."""
        return tuple(need for need in self.needs.get(step, ()) if need not in done)

    def says(self, step: str) -> str:
        """Return a step in this route's words."""
        return self.words.get(step) or STEP_TITLES[step]


def _route(
    name: str,
    title: str,
    before: tuple[str, ...],
    needs: dict[str, tuple[str, ...]],
    words: dict[str, str] | None = None,
) -> Route:
    """Return a route from what differs before the pour."""
    steps = before + _METAL
    full = {step: {**_AFTER_POUR, **needs}.get(step, ()) for step in steps}
    return Route(name, title, steps, MappingProxyType(full), MappingProxyType(words or {}))


_SHELL: dict[str, tuple[str, ...]] = {
    "dewaxed": ("shelled",),
    "fired": ("dewaxed",),
    "poured": ("fired",),
}
# One burn-out may both empty the mold and fire it, so firing does not wait for dewaxing.
_BURNED: dict[str, tuple[str, ...]] = {
    "dewaxed": ("shelled",),
    "fired": ("shelled",),
    "poured": ("fired",),
}

_ROUTES = {
    made.name: made
    for made in (
        _route("ceramic-shell", "lost wax, ceramic shell", _WAX, _SHELL),
        _route(
            "block-investment",
            "lost wax, block investment",
            _WAX,
            _BURNED,
            {"shelled": "invested", "fired": "burned out"},
        ),
        _route("sand", "sand casting", ("gated",), {}, {"broken_out": "shaken out"}),
        _route("direct-wax", "direct wax, modelled and cast once", _WAX, _SHELL),
        _route(
            "printed-pattern",
            "printed pattern, burned out of its shell",
            _WAX,
            _BURNED,
            {"wax_chased": "pattern dressed", "dewaxed": "pattern melted out"},
        ),
    )
}

_ROUTE_ALIASES = {
    "lost-wax": "ceramic-shell",
    "lost-wax-ceramic-shell": "ceramic-shell",
    "lost-wax-block-investment": "block-investment",
    "investment": "block-investment",
    "sand-casting": "sand",
    "direct": "direct-wax",
    "printed": "printed-pattern",
    "print": "printed-pattern",
}


def route_names() -> tuple[str, ...]:
    """Return the names of the routes."""
    return tuple(_ROUTES)


def route(name: str) -> Route:
    """Return a route by its name: ``ceramic-shell``, ``ceramic shell``, ``lost wax``.

    Raises:
        Unreadable: No route has that name.
    """
    plain = "-".join(name.casefold().replace(",", " ").replace("_", " ").replace("-", " ").split())
    plain = _ROUTE_ALIASES.get(plain, plain)
    if plain not in _ROUTES:
        near = difflib.get_close_matches(plain[:40], [*_ROUTES, *_ROUTE_ALIASES], n=1)
        raise Unreadable(
            f"{shown(name)} is not a route.",
            f"Did you mean {near[0]}?" if near else f"Routes: {', '.join(_ROUTES)}.",
        )
    return _ROUTES[plain]


def counts_coats(by: Route) -> bool:
    """Tell whether a route builds its shell coat by coat; a block is invested once."""
    return "shelled" in by.steps and by.says("shelled") == STEP_TITLES["shelled"]


def read_step(text: str) -> str:
    """Read a step as a foundry writes it: ``shelled``, ``metal-chased``, ``metal chased``.

    Raises:
        Unreadable: No step has that name.
    """
    plain = as_spelled("_".join(text.casefold().replace("_", " ").replace("-", " ").split()))
    plain = _ALIASES.get(plain, plain)
    if plain not in STEP_TITLES:
        near = difflib.get_close_matches(plain[:40], [*STEP_TITLES, *_ALIASES], n=1)
        steps = ", ".join(step.replace("_", "-") for step in STEP_TITLES)
        raise Unreadable(
            f"{shown(text)} is not a step.",
            f"Did you mean {near[0].replace('_', '-')}?" if near else f"Steps: {steps}.",
        )
    return plain
