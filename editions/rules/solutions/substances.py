"""Substances of the patina room by the names that people use, from a data file.

A name that leaves open which hydrate is meant (``copper nitrate``) is a substance without a
formula: it can be weighed, but has no molarity.  A formula is a name too; what is not in the file
gets its families from the ions that its formula shows.

>>> substance("Cupric nitrate").which
('copper nitrate hemipentahydrate', 'copper nitrate trihydrate', 'copper nitrate hexahydrate')
>>> [found.name for found in mentioned("a little ferric nitrate, then hypo")]
['ferric nitrate nonahydrate', 'sodium thiosulfate pentahydrate']
"""

from __future__ import annotations

import difflib
import re
import tomllib
from functools import lru_cache
from importlib import resources
from typing import Literal

import msgspec

from editions.errors import Refused, Unreadable
from editions.rules.solutions.formulas import Formula, read_formula
from editions.trade.text import clean, shown

SHEET = "see the supplier's safety data sheet"
_LONGEST = 80

# Ions as formulas write them; the first of each pair is looked for in the text of the formula.
_IONS = (
    ("NO3", "nitrate"),
    ("NH4", "ammonium"),
    ("S2O3", "thiosulfate"),
    ("Ag", "silver"),
    ("ClO", "hypochlorite"),
    ("Fe(CN)6", "ferricyanide"),
)


class Substance(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is held of a substance; see the data file for what each field means."""

    name: str
    also: tuple[str, ...] = ()
    formula: str = ""
    form: Literal["solid", "liquid", "other"] = "solid"
    mixture: str = ""
    which: tuple[str, ...] = ()
    families: tuple[str, ...]
    colours: str = ""
    hazards: tuple[str, ...] = ()
    confidence: str

    def chemical(self) -> Formula:
        """Return its formula.

        Raises:
            Refused: It is a mixture, or its name leaves open which hydrate is meant.
        """
        if self.mixture:
            raise Refused(
                f"{self.name.capitalize()} is {self.mixture}; it has no molar mass.",
                "Weigh it: say a mass, or per cent by weight of volume.",
            )
        if not self.formula:
            raise Refused(
                f"{self.name.capitalize()} is sold as {' and as '.join(self.which)}; which one is"
                " not said, so it has no molar mass.",
                "Name the one on the label.",
            )
        return read_formula(self.formula)

    def warns(self) -> str:
        """Return its hazard statements as remembered, and where to read them for sure."""
        if not self.hazards:
            return f"{self.name}: none held here; {SHEET}"
        return f"{self.name}: {' '.join(self.hazards)} ({self.confidence}); {SHEET}"


@lru_cache(maxsize=1)
def substances() -> tuple[Substance, ...]:
    """Return every substance of the data file."""
    text = (resources.files(__package__) / "substances.toml").read_text(encoding="utf-8")
    return tuple(msgspec.convert(tomllib.loads(text)["substance"], list[Substance]))


def substance(text: str) -> Substance:
    """Return the substance that a name or a formula means.

    Raises:
        Unreadable: Neither is known; the nearest names are given.
    """
    plain = _plain(clean(text, _LONGEST))
    if plain in _by_name():
        return _by_name()[plain]
    try:
        formula = str(read_formula(text))
    except Unreadable:
        near = difflib.get_close_matches(plain, _by_name(), n=2, cutoff=0.7)
        raise Unreadable(
            f"{shown(text)} is not a substance known here.",
            f"Did you mean {' or '.join(near)}?"
            if near
            else "Name it as its label does, or give its formula: Fe(NO3)3·9H2O.",
        ) from None
    return _by_formula().get(formula) or _unlisted(formula)


def mentioned(text: str) -> tuple[Substance, ...]:
    """Return the substances that words speak of, in their order, each once."""
    plain = _plain(text)
    found = {_by_name()[match.group()].name: None for match in _spoken().finditer(plain)}
    return tuple(_by_name()[name] for name in found)


def _unlisted(formula: str) -> Substance:
    """Return a substance that only its formula is known of."""
    families = tuple(family for ion, family in _IONS if ion in formula)
    return Substance(name=formula, formula=formula, families=families, confidence="not held")


@lru_cache(maxsize=1)
def _by_name() -> dict[str, Substance]:
    return {_plain(name): one for one in substances() for name in (one.name, *one.also)}


@lru_cache(maxsize=1)
def _by_formula() -> dict[str, Substance]:
    return {one.formula: one for one in substances() if one.formula}


@lru_cache(maxsize=1)
def _spoken() -> re.Pattern[str]:
    # The longest name first: "copper nitrate trihydrate" is not "copper nitrate".
    names = sorted(_by_name(), key=len, reverse=True)
    return re.compile(rf"(?<![a-z])(?:{'|'.join(map(re.escape, names))})(?![a-z])")


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
