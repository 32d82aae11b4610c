"""The arithmetic of one run: what was declared, given, promised, is free, was cast.

Every number of the run itself is counted in one place only: given to a piece, promised, allotted
elsewhere, or free; so the four add up to the size declared.  Proofs are counted likewise, series by
series.  Trial casts count nowhere but in ``trials``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from editions.rules.designations import read_designation
from editions.trade.pieces import Piece
from editions.trade.runs import Run

NUMBERED = ""


class SeriesTally(msgspec.Struct, frozen=True, kw_only=True):
    """One series: the run itself (``""``) or proofs; None where no total was declared."""

    series: str
    declared: int | None
    given: int
    promised: int
    elsewhere: int

    @property
    def free(self) -> int | None:
        """How many numbers are neither given, promised nor elsewhere; None without a total."""
        if self.declared is None:
            return None
        return max(self.declared - self.given - self.promised - self.elsewhere, 0)


class Tally(msgspec.Struct, frozen=True, kw_only=True):
    """The counts of one run; ``proofs`` in the order declared, then series that were not."""

    numbered: SeriesTally
    proofs: tuple[SeriesTally, ...]
    cast: int
    released: int
    scrapped: int
    trials: int
    earlier: int

    @property
    def declared(self) -> int | None:
        """The size of the run and all its proofs together; None where no size was declared."""
        if self.numbered.declared is None:
            return None
        return self.numbered.declared + sum(proofs.declared or 0 for proofs in self.proofs)

    @property
    def given(self) -> int:
        """Every number given and borne now, proofs included."""
        return self.numbered.given + sum(proofs.given for proofs in self.proofs)

    @property
    def promised(self) -> int:
        """Every number promised and not given yet, proofs included."""
        return self.numbered.promised + sum(proofs.promised for proofs in self.proofs)


def tally(run: Run, pieces: Sequence[Piece]) -> Tally:
    """Count one run.

    Args:
        run: The run.
        pieces: Every piece linked to it, scrapped and earlier casts included.
    """
    own = [piece for piece in pieces if piece.purpose == "run"]
    cast = [piece for piece in own if piece.poured and not piece.scrapped]
    return Tally(
        numbered=_series(run, NUMBERED, run.declared.size),
        proofs=tuple(_series(run, series, count) for series, count in _proofs(run)),
        cast=len(cast),
        released=sum(1 for piece in own if piece.released and not piece.scrapped),
        scrapped=sum(1 for piece in own if piece.scrapped),
        trials=sum(1 for piece in pieces if piece.purpose == "trial"),
        earlier=sum(1 for piece in own if piece.from_object and not piece.scrapped),
    )


def _proofs(run: Run) -> list[tuple[str, int | None]]:
    declared: dict[str, int | None] = {one.series: one.count for one in run.declared.proofs}
    for number in _spoken_for(run):
        if series_of(number) != NUMBERED:
            declared.setdefault(series_of(number), None)
    return list(declared.items())


def _series(run: Run, series: str, declared: int | None) -> SeriesTally:
    elsewhere = {other.designation for other in run.declared.elsewhere}
    given = {one.designation for one in run.given if not one.freed} - elsewhere
    promised = {one.designation for one in run.promised} - given - elsewhere

    def count(numbers: Iterable[str]) -> int:
        return sum(1 for number in numbers if series_of(number) == series)

    return SeriesTally(
        series=series,
        declared=declared,
        given=count(given),
        promised=count(promised),
        elsewhere=count(elsewhere),
    )


def _spoken_for(run: Run) -> tuple[str, ...]:
    numbers = [one.designation for one in run.given if not one.freed]
    numbers += [one.designation for one in run.promised]
    numbers += [one.designation for one in run.declared.elsewhere]
    return tuple(numbers)


def series_of(number: str) -> str:
    """Return the series that a designation counts in; a unique cast is the whole of its run."""
    read = read_designation(number)
    return NUMBERED if read is None or read.series == "PU" else read.series
