"""The next physical step of a piece on its route, in a few words.

What is recorded last says where a piece stands; a step that was passed over is not asked for again,
since shops write down what they care for.  Before the pour each section goes its own way, and those
at the same place are named together; after it the whole bronze is on the bench.

>>> from editions.rules.routes import route
>>> from editions.trade.parts import PieceSection
>>> from editions.trade.pieces import Piece
>>> begun = Piece(code="P-0001", sections=(PieceSection(name="head", wax="W-0001"),))
>>> before_the_pour(begun, route("ceramic-shell"))
('wax chasing',)
"""

from __future__ import annotations

from editions.rules.plausible import FEW_COATS, MANY_COATS
from editions.rules.routes import WAXLESS, Route, counts_coats
from editions.trade.pieces import Piece, PieceSection

POURED = "poured"
_SHELLED = "shelled"

# In common order; plugs belong to some bronzes only, welds to those of several sections.
_BENCH = ("broken_out", "cut_off", "blasted", "welded", "metal_chased")

_DOING = {
    "wax chased": "wax chasing",
    "gated": "gating",
    "shelled": "shelling",
    "invested": "investing",
    "dewaxed": "dewaxing",
    "pattern dressed": "dressing of its pattern",
    "pattern melted out": "melting out of its pattern",
    "fired": "firing",
    "burned out": "burn-out",
    "poured": "its pour",
    "broken out": "breaking out",
    "shaken out": "shaking out",
    "cut off": "cutting off",
    "blasted": "blasting",
    "welded": "welding",
    "plugged": "plugging",
    "metal-chased": "metal chasing",
    "approved in metal": "approval in metal",
    "coloured": "its colour",
    "approved in colour": "approval in colour",
    "mounted": "mounting",
    "released": "its release",
}


def doing(step: str, by: Route) -> str:
    """A step as something that is still to be done: ``dewaxing``, on another route ``burn-out``."""
    return _DOING[by.says(step)]


def before_the_pour(piece: Piece, by: Route) -> tuple[str, ...]:
    """What the sections that are not poured yet wait for, each thing once, with its sections."""
    waiting: dict[str, list[str]] = {}
    for section in piece.sections:
        if not piece.has_poured(section):
            waiting.setdefault(_of_section(piece, section, by), []).append(section.name)
    if len(waiting) == 1 and len(*waiting.values()) == len(piece.sections):
        return tuple(waiting)
    return tuple(f"{what} ({', '.join(names)})" for what, names in waiting.items())


def on_the_bench(piece: Piece, by: Route) -> str:
    """The next step of metal, up to metal chasing; nothing where that is done or passed over."""
    done = {step.step for section in piece.sections for step in piece.steps_of(section.name)}
    if piece.certificates or piece.colours or "coloured" in done or piece.approved("metal"):
        return ""
    last = max((place for place, step in enumerate(_BENCH) if step in done), default=-1)
    left = [step for step in _BENCH[last + 1 :] if step != "welded" or len(piece.sections) > 1]
    return doing(left[0], by) if left else ""


def _of_section(piece: Piece, section: PieceSection, by: Route) -> str:
    if section.wax is None and by.name not in WAXLESS:
        return "a wax"
    early = by.steps[: by.steps.index(POURED)]
    done = {step.step for step in piece.steps_of(section.name)}
    last = max((place for place, step in enumerate(early) if step in done), default=-1)
    following = (*early, POURED)[last + 1]
    if last >= 0 and early[last] == _SHELLED and counts_coats(by):
        return _coat_or(piece, section, doing(following, by))
    return doing(following, by)


def _coat_or(piece: Piece, section: PieceSection, following: str) -> str:
    """The next coat, while few are on; then the next coat or what follows; then that alone."""
    coats = [step.coat for step in piece.steps_of(section.name) if step.coat]
    if not coats or max(coats) >= MANY_COATS:
        return following
    coat = f"coat {max(coats) + 1}"
    return coat if max(coats) < FEW_COATS else f"{coat} or {following}"
