"""Looking up the papers of a number that a work's casts bear: ``3/8`` and the work.

Certificates of the cast that was given the number come first; where none was, a reservation that
keeps it answers, as what it is.  A number that no run of the work has is told from one that is only
not given yet: whoever holds a bronze marked ``3/9`` of a run of 8 must hear that there is none.

    check_designation(registry, "3/8", "K-0001")[0].standing      # this certificate stands
"""

from __future__ import annotations

from collections.abc import Iterator

from certificates.standing import check_number
from certificates.verify import Verdict
from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Reading, Registry
from editions.rules.designations import read_designation
from editions.rules.judging.belonging import belongs
from editions.trade.certificates import Certificate
from editions.trade.runs import Run, run_title
from editions.trade.works import Work

_ASK = "Ask the foundry, with the marks and measurements of the object."


def check_designation(registry: Registry, designation: str, work: str) -> tuple[Verdict, ...]:
    """Look up the papers of a work's casts that were given this number, or for which it is kept.

    Args:
        registry: The registry.
        designation: As people write it.
        work: The work's code.

    Raises:
        Unreadable: If the designation cannot be read.
        NotKnown: If no run of the work has such a number, or none of its papers is known.
    """
    read = read_designation(designation)
    if read is None:
        raise Unreadable(
            f"{designation!r} cannot be read as a number.", "Write it as 3/8 or AP I/IV."
        )
    with registry.reading() as reading:
        code = reading.resolve(work)
        runs = _runs(reading, reading.get(code, Work))
        numbers = tuple(number for run in runs for number in _papers(reading, run, str(read)))
        if not numbers:
            raise _uncertified(reading, runs, str(read)) or _unknown(code, runs, str(read))
    verdicts = [check_number(registry, number) for number in dict.fromkeys(numbers)]
    # What stands is what the holder asks for; what it replaced comes after.
    return tuple(sorted(verdicts, key=lambda verdict: verdict.status))


def _runs(reading: Reading, work: Work) -> tuple[Run, ...]:
    return tuple(run for run in reading.linked("work", work.code) if isinstance(run, Run))


def _papers(reading: Reading, run: Run, designation: str) -> Iterator[str]:
    """Certificates of the cast that bears the number; else the reservations that kept it."""
    piece = reading.bearer(run.code, designation)
    states = reading.linked("piece", piece) if piece else ()
    certificates = [state.code for state in states if isinstance(state, Certificate)]
    yield from certificates
    for state in reading.linked("certifies", f"{run.code} {designation}"):
        if isinstance(state, Certificate) and state.reserves and not certificates:
            yield state.code


def _uncertified(reading: Reading, runs: tuple[Run, ...], designation: str) -> NotKnown | None:
    """That the number was given to a cast of which no certificate was issued yet, if so."""
    for run in runs:
        bearer = reading.bearer(run.code, designation)
        if bearer is not None:
            return NotKnown(
                f"{designation} of {run.code} was given to {bearer}, and no certificate of it was"
                " issued.",
                f"A paper that says otherwise is not of this book. {_ASK}",
            )
    return None


def _unknown(work: str, runs: tuple[Run, ...], designation: str) -> NotKnown:
    """What there is to say of a number that no paper is known of."""
    if runs and not any(_has(run, designation) for run in runs):
        sizes = "; ".join(f"{run.code}: {run_title(run.declared)}" for run in runs)
        return NotKnown(
            f"No cast of {work} can be {designation}: there is no such number. {sizes}.",
            "A bronze that bears it is none of these runs, or is marked wrongly. " + _ASK,
        )
    return NotKnown(f"This book knows no certificate of {designation} of that work.", _ASK)


def _has(run: Run, designation: str) -> bool:
    """Whether the run as declared has this number, or says that another shop was allotted it."""
    if any(one.designation == designation for one in run.declared.elsewhere):
        return True
    try:
        belongs(run.code, run.declared, designation)
    except Refused:
        return False
    return True
