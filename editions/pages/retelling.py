"""The lines of a paper, kept in English, said on a page in its own words and units.

What a paper prints of a subject is set side by side as lines of text
(:mod:`editions.rules.printed`).  A page says a measured length, a mass, a day, a generation and a
verdict as it says them elsewhere; whatever is somebody's own words, or of another form, stands as
it is.

>>> retold("measurements", "height with base: 450 mm ± 2 mm")
('height with base: 450 mm ± 2 mm',)
>>> retold("generation", "0"), retold("colour", "brown; waxed")
('generation 0', 'brown; waxed')
"""

from __future__ import annotations

import re
from collections.abc import Callable

from editions.errors import BronzebookError
from editions.trade.quantities import Dimension, read_quantity
from editions.trade.saying import Day, Row, Said, marked, said

_STATION = re.compile(
    r"(?P<name>.+?)(?: (?P<base>with|without) base)?:"
    r" (?P<length>[^:;±]+)(?: ± (?P<spread>[^:;±]+))?"
)


class Amount(str):
    """A quantity as it was typed, which a page says in its language and in other units too."""

    __slots__ = ()


class Life(str):
    """Life dates as a paper prints them."""

    __slots__ = ()


def retold(fact: str, lines: str) -> str | Row:
    """What a paper printed of a fact, to be said in a language.

    Args:
        fact: The fact, as :func:`editions.rules.printed.printed` labels it.
        lines: Its lines, with a semicolon between each and the next.
    """
    say = _RETOLD.get(fact)
    return say(lines) if say else lines


def _measurements(lines: str) -> str | Row:
    found = [_STATION.fullmatch(one) for one in lines.split("; ")]
    told = [_station(one) for one in found if one]
    known = [one for one in told if one]
    return Row(known) if len(known) == len(found) else lines


def _station(found: re.Match[str]) -> Said | None:
    name, length, spread = said(found["name"]), found["length"], found["spread"]
    if not (_is_amount(length, "length") and (not spread or _is_amount(spread, "length"))):
        return None
    if found["base"] == "with":
        name = said("{name} with base", name=name)
    elif found["base"]:
        name = said("{name} without base", name=name)
    if spread:
        return said(
            "{station}: {length} ± {spread}",
            station=name,
            length=Amount(length),
            spread=Amount(spread),
        )
    return said("{station}: {length}", station=name, length=Amount(length))


def _is_amount(text: str, dimension: Dimension) -> bool:
    try:
        return str(read_quantity(text, dimension)) == text
    except BronzebookError:
        return False


def _mass(lines: str) -> str:
    return Amount(lines) if _is_amount(lines, "mass") else lines


def _generation(lines: str) -> str:
    return said("generation {number}", number=lines)


def _analysis(lines: str) -> str:
    verdict, _, edition = lines.partition(", ")
    limits = said("the limits of {edition}", edition=edition) if edition else _ITS_OWN
    message = _VERDICTS.get(verdict)
    return said(message, limits=limits) if message else lines


_ITS_OWN = said("the limits of its alloy")
_VERDICTS = {
    "within": marked("composition consistent with {limits}"),
    "outside": marked("composition outside {limits}"),
    "indeterminate": marked("composition not decided against {limits}"),
    "not analysed": marked("composition not analysed"),
}
_RETOLD: dict[str, Callable[[str], str | Row]] = {
    "measurements": _measurements,
    "mass": _mass,
    "generation": _generation,
    "analysis": _analysis,
    "cast": Day,
    "pour": Day,
    "life dates": Life,
}
