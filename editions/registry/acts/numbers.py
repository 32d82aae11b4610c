"""What people do with the numbers of a run: promise, give, give the next, free.

A number may be typed in any of the usual forms, and in short: ``3`` in a run of eight is ``3/8``,
``AP II`` in a run of four artist's proofs is ``AP II/IV``.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, get_args

import msgspec
from msgspec.structs import replace

from editions.errors import Refused, Unreadable
from editions.registry.acts.typed import (
    confided,
    label,
    listed,
    one_of,
    party,
    piece_of,
    run_of,
    word,
)
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.designations import Designation, read_designation, read_roman, roman
from editions.rules.judging.belonging import every_number
from editions.rules.judging.standing import reservations
from editions.trade.pieces import Piece
from editions.trade.runs import (
    Declaration,
    NumberFreed,
    NumberGiven,
    NumberPromised,
    PromiseEnded,
    Run,
)
from editions.trade.statement import ProofSeries
from editions.trade.text import shown
from editions.trade.waxes import wax_numbers

HeldFor = Literal["promise", "payment", "sale"]
HELD_FOR: tuple[HeldFor, ...] = get_args(HeldFor)


class NumberLine(msgspec.Struct, frozen=True, kw_only=True):
    """One number of a run and how it stands: who bears it, or why it is not free."""

    number: str
    standing: Literal["free", "given", "spoken for", "elsewhere", "cut in wax"]
    code: str | None = None
    says: str = ""


def promise_number(
    w: Writing,
    run: str,
    number: str,
    *,
    held_for: str = "promise",
    to: str | None = None,
    on: str | None = None,
) -> Entered:
    """Promise a number before its cast exists, or hold it for payment.

    Args:
        w: The writing.
        run: Code of the run.
        number: The number as people write it.
        held_for: ``promise``, ``payment`` or ``sale``.
        to: To whom, held.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If the run has no such number, or it is given or spoken for.
    """
    whole = run_of(w, run)
    facts = NumberPromised(
        designation=number_in(whole, number),
        held_for=one_of(held_for, HELD_FOR, "reason to hold a number"),
        to=confided(to),
    )
    return w.enter(facts, whole.code, on=on)


def end_promise(
    w: Writing, run: str, number: str, *, reason: str | None = None, on: str | None = None
) -> Entered:
    """A promise fell through: the number is free again, and a paper that reserved it lapses.

    Args:
        w: The writing.
        run: Code of the run.
        number: The number as people write it.
        reason: Why, held.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If the number is not promised.
    """
    whole = run_of(w, run)
    designation = number_in(whole, number)
    facts = PromiseEnded(
        designation=designation,
        reservations=tuple(one.code for one in reservations(w, whole.code, designation)),
        reason=confided(reason),
    )
    return w.enter(facts, whole.code, on=on)


def give_number(
    w: Writing, piece: str, number: str, *, on: str | None = None, row: int | None = None
) -> Entered:
    """Give a piece its number of the run, once.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        number: The number as people write it.
        on: When, EDTF; today when absent.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        Refused: If the number is given already, above the run, or cut into another wax.
    """
    run, bearer = _run_and_piece(w, piece)
    facts = NumberGiven(piece=bearer.code, designation=number_in(run, number))
    return w.enter(facts, run.code, on=on, row=row)


def give_next_number(w: Writing, piece: str, *, series: str = "", on: str | None = None) -> Entered:
    """Give a piece the number cut into its wax, or else the next free one.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        series: ``AP``, ``HC`` … for the next of that series; the numbered run when empty.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If none is free.
    """
    run, bearer = _run_and_piece(w, piece)
    number = bearer.reserved or next_number(w, run, series)
    return w.enter(NumberGiven(piece=bearer.code, designation=number), run.code, on=on)


def free_number(
    w: Writing,
    piece: str,
    *,
    evidence: str | None = None,
    authorised_by: str | None = None,
    on: str | None = None,
) -> Entered:
    """Return the number of a destroyed piece to its run.

    A piece that had been released was surrendered, and then its run's authority must agree.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        evidence: How the destruction is proven; as told at scrapping when absent.
        authorised_by: Code of who agreed: the artist, or who holds the authority.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If the piece bears no number, or is not proven destroyed.
    """
    run, bearer = _run_and_piece(w, piece)
    if bearer.number is None:
        raise Refused(
            f"{label(bearer)} bears no number.", "Check the code; nothing is to be freed."
        )
    proof = evidence or (bearer.ending.evidence if bearer.ending else "not told")
    facts = NumberFreed(
        piece=bearer.code,
        designation=bearer.number,
        because="surrendered and destroyed" if bearer.released else "scrapped before release",
        evidence=word(proof, "evidence"),
        authorised_by=party(w, authorised_by),
    )
    return w.enter(facts, run.code, on=on)


def number_in(run: Run, text: str) -> str:
    """The canonical text of a number as typed, its total taken from the run where not said.

    Raises:
        Unreadable: If it is none of the forms.
    """
    read = _in_short(run.declared, text) or read_designation(text)
    if read is None:
        raise Unreadable(
            f"{shown(text)} is not a number of a run.",
            "Write it as 3/8, III/VIII, AP I/IV, EA 2/4, HC 1/2 or a letter.",
        )
    series = next((p for p in run.declared.proofs if p.series == read.series), None)
    if series and read.total is None and read.numerals == series.numerals:
        read = replace(read, total=series.count)
    return str(read)


def next_number(reading: Reading, run: Run, series: str = "") -> str:
    """The first number of a run, or of a series, that is free.

    Raises:
        Refused: If there is none.
    """
    taken = {given.designation for given in run.given if not given.freed}
    taken |= {promise.designation for promise in run.promised}
    taken |= {other.designation for other in run.declared.elsewhere}
    for number in _numbers(run.declared, series):
        # A number cut into a wax is rare, so it is asked for only where all else is free.
        if number not in taken and not reading.bearer(wax_numbers(run.code), number):
            return number
    if series and series.upper() not in {proofs.series for proofs in run.declared.proofs}:
        own = listed(proofs.series for proofs in run.declared.proofs) or "none"
        raise Refused(f"{run.code} declares no series {shown(series)}.", f"Its series: {own}.")
    named = f"series {series.upper()} of {run.code}" if series else run.code
    raise Refused(
        f"No number of {named} is free.", f"See how they stand: bronzebook run show {run.code}."
    )


def numbers_of(reading: Reading, run: str) -> tuple[NumberLine, ...]:
    """Every number of a run and of its series, in order, and how each stands."""
    whole = run_of(reading, run)
    declared = [number for series in _series(whole.declared) for number in series]
    # A trial proof may be numbered without being declared.
    given = [g.designation for g in whole.given if not g.freed]
    every = dict.fromkeys(declared + given)
    return tuple(_line(reading, whole, number) for number in every)


def _line(reading: Reading, run: Run, number: str) -> NumberLine:
    bearer = run.bearer(number)
    if bearer:
        return NumberLine(number=number, standing="given", code=bearer)
    for other in run.declared.elsewhere:
        if other.designation == number:
            return NumberLine(number=number, standing="elsewhere", says=other.where)
    cut = reading.bearer(wax_numbers(run.code), number)
    for promise in run.promised:
        if promise.designation == number:
            return NumberLine(number=number, standing="spoken for", code=cut, says=promise.held_for)
    return NumberLine(number=number, standing="cut in wax" if cut else "free", code=cut)


def _run_and_piece(reading: Reading, text: str) -> tuple[Run, Piece]:
    piece = piece_of(reading, text)
    if piece.run is None:
        raise Refused(
            f"{label(piece)} is of no run in this book; it takes no number.",
            "Its mark is recorded as found: bronzebook mark add.",
        )
    return run_of(reading, piece.run), piece


def _in_short(declared: Declaration, text: str) -> Designation | None:
    """A number without its total, in a run of known size; None where it is anything else."""
    plain, size = text.strip(), declared.size
    if size and declared.numerals == "roman" and read_roman(plain):
        return read_designation(f"{plain}/{roman(size)}")
    if size and declared.numerals == "arabic" and plain.isdecimal():
        return read_designation(f"{plain}/{size}")
    return None


def _numbers(declared: Declaration, series: str) -> tuple[str, ...]:
    """The numbers of the run itself, or those of one series."""
    if not series:
        return every_number(declared)
    wanted = series.upper().replace(".", "")
    return next((tuple(_proofs(p)) for p in declared.proofs if p.series == wanted), ())


def _series(declared: Declaration) -> Iterator[tuple[str, ...]]:
    yield every_number(declared)
    for proofs in declared.proofs:
        yield tuple(_proofs(proofs))


def _proofs(proofs: ProofSeries) -> Iterator[str]:
    for position in range(1, proofs.count + 1):
        yield str(Designation(proofs.series, position, proofs.count, proofs.numerals))
