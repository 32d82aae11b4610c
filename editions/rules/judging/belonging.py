"""Whether a designation belongs to a run as declared, and whether it is free in it.

A designation carries its total, so ``3/8`` belongs to a run of eight and to no other.  Trial and
foundry proofs stand outside every edition; a run need not declare them, and ``TP 1`` then goes
without a total.
"""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.designations import LETTERS, SERIES, Designation, read_designation
from editions.rules.judging.desk import Desk
from editions.trade.runs import Declaration, Run
from editions.trade.statement import ProofSeries
from editions.trade.waxes import wax_numbers

OUTSIDE = frozenset({"TP", "FP"})


def canonical(text: str) -> Designation:
    """The designation that a text means, where the text is its canonical form.

    Raises:
        Refused: If it is unparsed, or is written another way.
    """
    read = read_designation(text)
    if read is None:
        raise Refused(
            f"“{text}” is not read as a designation.",
            "Write it as 3/8, III/VIII, AP I/IV, EA 2/4, HC 1/2, A or PU.",
        )
    if str(read) != text:
        raise Refused(f"“{text}” is written {read}.", f"Enter {read}.")
    return read


def belongs(run: str, declared: Declaration, text: str) -> Designation:
    """The designation, which must be one that the run as declared can give.

    Raises:
        Refused: If the run does not give such a number.
    """
    read = canonical(text)
    if read.series == "PU" or declared.edition_class == "unique":
        _unique(run, declared, read)
    elif read.series == "":
        _of_the_run(run, declared, read)
    else:
        _of_a_series(run, declared, read)
    return read


def _unique(run: str, declared: Declaration, read: Designation) -> None:
    if read.series in OUTSIDE:
        return
    if declared.edition_class != "unique":
        raise Refused(
            f"{run} is declared {declared.edition_class}; PU is for a unique cast.",
            _one_of_its_own(declared),
        )
    if str(read) not in ("PU", "1/1"):
        raise Refused(f"{run} is a unique cast; it has no number {read}.", "It may bear PU.")


def _of_the_run(run: str, declared: Declaration, read: Designation) -> None:
    if declared.numerals == "none":
        raise Refused(f"{run} gives no numbers.", "Its casts are known by their codes.")
    if read.numerals != declared.numerals:
        raise Refused(
            f"{run} numbers in {_numerals(declared.numerals)}; {read} is {_written(read)}.",
            _one_of_its_own(declared),
        )
    if declared.size is None:
        raise Refused(f"{run} declares no size, so it has no {read}.", "Declare the size first.")
    if read.numerals == "letter":
        last = LETTERS[declared.size - 1]
        if str(read.position) > last:
            raise Refused(
                f"{run} goes from A to {last}; it has no {read}.", f"Choose from A to {last}."
            )
        return
    _within(run, read, declared.size, f"a run of {declared.size}")


def _of_a_series(run: str, declared: Declaration, read: Designation) -> None:
    proofs = next((p for p in declared.proofs if p.series == read.series), None)
    name = SERIES[read.series]
    if proofs is None:
        if read.series in OUTSIDE and read.total is None:
            return
        raise Refused(
            f"{run} declares no series {read.series} ({name}).",
            f"Write {read.series} 1." if read.series in OUTSIDE else "Choose a number it declares.",
        )
    if read.numerals != proofs.numerals:
        raise Refused(
            f"{run} numbers its {read.series} in {_numerals(proofs.numerals)}; {read} is"
            f" {_written(read)}.",
            f"Its {read.series} go from {_span(proofs)}.",
        )
    _within(run, read, proofs.count, f"{proofs.count} of the series {read.series}")


def _within(run: str, read: Designation, total: int, declared: str) -> None:
    if read.total != total:
        raise Refused(
            f"{run} is declared as {declared}; {read} is out of another total.",
            "Give the total as declared.",
        )
    if not read.within_total():
        raise Refused(
            f"{read} is above the total: {run} is declared as {declared}.",
            f"Choose a number up to {total}.",
        )


def _numerals(style: str) -> str:
    return "letters" if style == "letter" else f"{style.capitalize()} numerals"


def _written(read: Designation) -> str:
    return "a letter" if read.numerals == "letter" else f"in {_numerals(read.numerals)}"


def _one_of_its_own(declared: Declaration) -> str:
    """The remedy for a number of another style: how the run's own are written."""
    numbers = every_number(declared)
    if not numbers:
        return "Its casts are known by their codes."
    if len(numbers) == 1:
        return f"It may bear {numbers[0]}."
    return f"Its numbers go from {numbers[0]} to {numbers[-1]}."


def _span(proofs: ProofSeries) -> str:
    """The first and the last number of a series of proofs: ``AP I/IV to AP IV/IV``."""
    first, last = (
        Designation(proofs.series, position, proofs.count, proofs.numerals)
        for position in (1, proofs.count)
    )
    return f"{first} to {last}"


def every_number(declared: Declaration) -> tuple[str, ...]:
    """Every number of the run itself, in order; none where it declares no size or no numerals."""
    if declared.size is None or declared.numerals == "none":
        return ()
    if declared.edition_class == "unique":
        return ("PU",)
    if declared.numerals == "letter":
        return tuple(LETTERS[: declared.size])
    return tuple(
        str(Designation("", position, declared.size, declared.numerals))
        for position in range(1, declared.size + 1)
    )


def not_elsewhere(run: Run, text: str) -> None:
    """Refuse a number that the declaration says was allotted elsewhere.

    Raises:
        Refused: Naming where.
    """
    where = next((e.where for e in run.declared.elsewhere if e.designation == text), None)
    if where is not None:
        raise Refused(
            f"{text} of {run.code} was allotted elsewhere: {where}.", "Choose a free number."
        )


def not_given(desk: Desk, run: Run, text: str) -> None:
    """Refuse a number that a piece bears.

    Raises:
        Refused: Naming the piece.
    """
    bearer = desk.bearer(run.code, text) or run.bearer(text)
    if bearer:
        raise Refused(
            f"{text} was given to {bearer}.", "A number is given once; choose a free one."
        )


def not_cut_elsewhere(desk: Desk, run: str, text: str, own: str) -> None:
    """Refuse a number that is cut into the wax of another.

    Raises:
        Refused: Naming the wax, or the piece made from it.
    """
    holder = desk.bearer(wax_numbers(run), text)
    if holder not in (None, own):
        raise Refused(
            f"{text} is cut into the wax of {holder}."
            if holder.startswith("P-")
            else f"{text} is cut into {holder}.",
            "Give the number to the piece made from that wax, or choose a free one.",
        )
