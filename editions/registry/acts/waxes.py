"""What people do with waxes: pull, judge, allot to a run, cut a number into one."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from editions.errors import Unreadable
from editions.registry.acts.molds import mold_section
from editions.registry.acts.numbers import number_in
from editions.registry.acts.typed import confided, found, fresh, party, run_of, word
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.trade.molds import Mold
from editions.trade.quantities import Quantity
from editions.trade.waxes import Wax, WaxAllotted, WaxJudged, WaxNumbered, WaxPulled

MOST = 100


def pull_wax(
    w: Writing,
    mold: str | None,
    section: str | None = None,
    *,
    run: str | None = None,
    mass: Quantity | None = None,
    wall: Quantity | None = None,
    hand: str | None = None,
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter one pull of a mold's section; its place in the count is the next.

    Args:
        w: The writing.
        mold: Code of the mold; None for a wax made without one, which then names its section.
        section: The mold's section; may be None where it has only one.
        run: Code of the run it is meant for; it may be allotted later.
        mass: What it weighs.
        wall: How thick its wall is.
        hand: Code of who pulled it.
        code: The registry's code; the next free one when absent.
        on: When, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        Refused: If the mold is destroyed, out, or retired, or the run is closed.
    """
    name, pull = _next_pull(w, mold, section)
    facts = WaxPulled(
        section=name,
        mold=found(w, mold, Mold).code if mold else None,
        pull=pull,
        run=run_of(w, run).code if run else None,
        mass=mass,
        wall=wall,
        hand=party(w, hand),
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "W", code), on=on, row=row)


def pull_waxes(
    w: Writing,
    mold: str | None,
    section: str | None = None,
    count: int | None = None,
    *,
    run: str | None = None,
    mass: Quantity | None = None,
    wall: Quantity | None = None,
    hand: str | None = None,
    codes: Sequence[str] = (),
    on: str | None = None,
    note: str | None = None,
) -> tuple[Entered, ...]:
    """Enter several pulls of one section at once, each alike; see :func:`pull_wax`.

    Args:
        w: The writing.
        mold: Code of the mold; None for waxes made without one.
        section: The mold's section; may be None where it has only one.
        count: How many; as many as ``codes``, or one, when absent.
        run: Code of the run they are meant for.
        mass: What each weighs.
        wall: How thick the wall of each is.
        hand: Code of who pulled them.
        codes: The registry's codes, in order; the next free ones when absent.
        on: When, EDTF; today when absent.
        note: A held note, kept with each.

    Raises:
        Unreadable: If the count is not from 1 to 100, or is not that of the codes.
    """
    many = count if count is not None else len(codes) or 1
    if not 1 <= many <= MOST:
        raise Unreadable(f"{many} pulls at once.", f"Enter from 1 to {MOST}.")
    if codes and len(codes) != many:
        raise Unreadable(
            f"{len(codes)} codes for {many} waxes.", "Give each wax its code, or none."
        )
    pull = partial(pull_wax, w, mold, section, run=run, mass=mass, wall=wall, hand=hand)
    return tuple(pull(code=code, on=on, note=note) for code in codes or (None,) * many)


def judge_wax(
    w: Writing,
    wax: str,
    *,
    accepted: bool,
    reason: str | None = None,
    hand: str | None = None,
    on: str | None = None,
) -> Entered:
    """Accept a wax, or reject it with a reason, which is held.

    Raises:
        Unreadable: If it is rejected and no reason is given.
        Refused: If it is not in stock.
    """
    told = confided(reason)
    if not accepted and told is None:
        raise Unreadable("Why the wax is rejected is not said.", "Say it in a few words.")
    facts = WaxJudged(accepted=accepted, hand=party(w, hand), reason=told)
    return w.enter(facts, found(w, wax, Wax).code, on=on)


def allot_wax(w: Writing, wax: str, run: str, *, on: str | None = None) -> Entered:
    """Allot a wax in stock to a run of the same work."""
    return w.enter(WaxAllotted(run=run_of(w, run).code), found(w, wax, Wax).code, on=on)


def number_wax(
    w: Writing, wax: str, number: str, *, run: str | None = None, on: str | None = None
) -> Entered:
    """A number was cut into a wax, and is reserved by it.

    Args:
        w: The writing.
        wax: Code of the wax.
        number: The number as people write it.
        run: Code of the run; the one it is allotted to when absent.
        on: When, EDTF; today when absent.

    Raises:
        Unreadable: If the wax is allotted to no run and none is named.
        Refused: If the number is taken or the wax is not in stock.
    """
    whole = found(w, wax, Wax)
    meant = run or whole.run
    if meant is None:
        raise Unreadable(f"{whole.code} is allotted to no run.", "Name the run: --run R-0001.")
    of_run = run_of(w, meant)
    facts = WaxNumbered(run=of_run.code, designation=number_in(of_run, number))
    return w.enter(facts, whole.code, on=on)


def _next_pull(reading: Reading, mold: str | None, section: str | None) -> tuple[str, int | None]:
    if mold is None:
        if section is None:
            raise Unreadable("Neither a mold nor a section is named.", "Name what the wax is of.")
        return word(section, "section"), None
    whole = found(reading, mold, Mold)
    name = mold_section(whole, section)
    pulls = next(one.pulls for one in whole.sections if one.name == name)
    return name, pulls + 1
