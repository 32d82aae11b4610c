"""What the book knows of a mold's life: pulls, readings, rejects, and what a run still wants.

Readings are those of inspections, at the pull then counted; a section's readings from before its
last repair are left out, since they were of another state of it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import NamedTuple

from editions.errors import NotKnown, Refused
from editions.registry.reading import Reading
from editions.rules.counting import outside_of
from editions.rules.judging.molds import work_of_mold
from editions.rules.mold_life.outlook import Indicator, SectionBook
from editions.rules.mold_life.readings import in_unit, unit_of
from editions.trade.dates import earliest, latest, say_when
from editions.trade.kinds import fold
from editions.trade.molds import Criterion, Mold, MoldInspected, MoldRepaired, MoldSection
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.runs import Run
from editions.trade.waxes import Wax, WaxPulled

_GRADES = {"sound": 0.0, "worn": 1.0, "failing": 2.0}


class Life(NamedTuple):
    """A mold's past, section by section: readings, days of pulls, the pull of the last repair."""

    readings: dict[str, list[tuple[int, Criterion]]]
    days: dict[str, list[datetime.date]]
    repaired: dict[str, int]


def sections_of(
    reading: Reading,
    mold: Mold,
    run: Run | None = None,
    thresholds: dict[str, Quantity] | None = None,
) -> tuple[SectionBook, ...]:
    """Return what the book knows of each section of a mold.

    Args:
        reading: The book.
        mold: The mold.
        run: The run asked about, where one is.
        thresholds: By indicator, instead of the usual ones.
    """
    life = life_of(reading, mold)
    waxes = [one for one in reading.linked("mold", mold.code) if isinstance(one, Wax)]
    return tuple(
        _section(section, mold, life, waxes, wanted(reading, run, mold, section.name), thresholds)
        for section in mold.sections
    )


def run_for(reading: Reading, mold: Mold, code: str | None) -> Run | None:
    """Return the run asked about: the one named, else the only open one of the mold's work.

    Raises:
        NotKnown: If there is no such run, or it is of another work.
        Refused: If the run named is closed.
    """
    work = work_of_mold(reading, mold)
    if code is None:
        linked = reading.linked("work", work) if work else ()
        open_ = [one for one in linked if isinstance(one, Run) and not one.closed]
        return open_[0] if len(open_) == 1 else None
    run = reading.get(code.strip().upper(), Run)
    if run.declared.work != work:
        raise NotKnown(
            f"{run.code} is a run of {run.declared.work}, {mold.code} is of {work or 'no work'}.",
            "Check the codes of the mold and the run.",
        )
    if run.closed:
        raise Refused(
            f"{run.code} was closed {say_when(run.closed)}; it wants no more waxes.",
            "Name a run that is open.",
        )
    return run


def wanted(reading: Reading, run: Run | None, mold: Mold, section: str) -> int | None:
    """Return how many sound waxes of a section a run still needs; None where no size is declared.

    Its size and proofs, less what was cast elsewhere or is registered from the object, less pieces
    that have their wax of this section or were poured, less waxes in stock that were not rejected.
    """
    if run is None or run.declared.size is None:
        return None
    states = reading.linked("run", run.code)
    pieces = [one for one in states if isinstance(one, Piece) and not one.scrapped]
    outside = len(outside_of(run, pieces)) + sum(one.from_object for one in pieces)
    made = sum(_has(one, section) for one in pieces)
    stock = {one.code for one in states if isinstance(one, Wax) and _ready(one, section)}
    for one in reading.linked("mold", mold.code):
        if isinstance(one, Wax) and one.run is None and _ready(one, section):
            stock.add(one.code)
    total = run.declared.size + sum(proofs.count for proofs in run.declared.proofs)
    return max(total - outside - made - len(stock), 0)


def life_of(reading: Reading, mold: Mold) -> Life:
    """Return a mold's past, read from the entries that touch it."""
    life = Life({}, {}, {})
    state = None
    for _, happened in reading.history(mold.code):
        state = fold(state, mold.code, happened)
        if not isinstance(state, Mold):
            continue
        facts = happened.facts
        section = state.section(getattr(facts, "section", None) or "")
        if section is None:
            continue
        if isinstance(facts, WaxPulled):
            life.days.setdefault(section.name, []).extend(_day(happened.on))
        elif isinstance(facts, MoldRepaired):
            life.repaired[section.name] = section.pulls
            life.readings.pop(section.name, None)
        elif isinstance(facts, MoldInspected):
            read = life.readings.setdefault(section.name, [])
            read += [(section.pulls, criterion) for criterion in facts.criteria]
    return life


def _section(
    section: MoldSection,
    mold: Mold,
    life: Life,
    waxes: list[Wax],
    needed: int | None,
    thresholds: dict[str, Quantity] | None,
) -> SectionBook:
    own = [wax for wax in waxes if wax.section == section.name]
    ended = ""
    if mold.destroyed:
        ended = f"the mold was destroyed {say_when(mold.destroyed)}"
    elif section.retired:
        ended = f"retired {say_when(section.retired)}"
    return SectionBook(
        name=section.name,
        pulls=section.pulls,
        at_least=section.at_least,
        since_repair=life.repaired.get(section.name),
        indicators=tuple(_indicators(life.readings.get(section.name, []), thresholds or {})),
        sound=sum(wax.accepted is True or wax.fate == "in a piece" for wax in own),
        rejected=sum(wax.fate == "rejected" for wax in own),
        wanted=needed,
        days=tuple(life.days.get(section.name, ())),
        ended=ended,
    )


def _indicators(
    read: list[tuple[int, Criterion]], thresholds: dict[str, Quantity]
) -> Iterator[Indicator]:
    """Each criterion's readings: as measured where it was measured, else by its grades."""
    for name in dict.fromkeys(criterion.name for _, criterion in read):
        own = [(pull, one) for pull, one in read if one.name == name]
        measured = [(pull, one.measured) for pull, one in own if one.measured]
        if measured:
            unit = unit_of([length for _, length in measured])
            points = tuple((float(pull), in_unit(length, unit)) for pull, length in measured)
            yield Indicator(name=name, unit=unit, readings=points, threshold=thresholds.get(name))
        else:
            grades = tuple((float(pull), _GRADES[one.grade]) for pull, one in own)
            yield Indicator(name=name, unit="grade", readings=grades)


def _has(piece: Piece, name: str) -> bool:
    """Whether a piece of the run needs no wax of this section any more."""
    if piece.purpose != "run" or piece.from_object:
        return False
    section = piece.section(name)
    return piece.poured or (section is not None and bool(section.wax))


def _ready(wax: Wax, section: str) -> bool:
    return wax.section == section and wax.fate == "in stock" and wax.accepted is not False


def _day(on: str) -> list[datetime.date]:
    """The day a date means, where it means one."""
    first = earliest(on)
    return [first] if first and first == latest(on) else []
