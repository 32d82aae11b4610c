"""The shop of the story: its registry, its calendar, and work that many pieces share."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib.resources import as_file, files
from typing import NamedTuple

from editions.errors import FileUnusable
from editions.exchange.demo_pictures import Colouring, Subject, draw
from editions.exchange.importing import import_csv
from editions.registry import Registry, Writing
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.steps import record_step
from editions.store import photographs

CASTER, WAX, CHASER, PATINEUR = "Y-0005", "Y-0006", "Y-0007", "Y-0008"


class StoryClock:
    """A clock that stands where the story has come to, at half past four in the afternoon."""

    def __init__(self) -> None:
        self.day = datetime.date(2019, 3, 4)

    def __call__(self) -> datetime.datetime:
        """The story's present moment."""
        return datetime.datetime.combine(self.day, datetime.time(16, 30), datetime.UTC)


class Worked(NamedTuple):
    """One piece of the story on its way through the shop."""

    tag: str
    number: str


class Shop:
    """A registry and the story's calendar."""

    def __init__(
        self, registry: Registry, clock: StoryClock, certify: Callable[[Sequence[str]], None]
    ) -> None:
        self.registry = registry
        self.clock = clock
        self._certify = certify

    def certify(self, day: str, *tags: str) -> None:
        """Issue certificates on a day of the story; how is the teller's to say."""
        self.clock.day = max(self.clock.day, datetime.date.fromisoformat(day))
        self._certify(tags)

    @contextmanager
    def on(self, day: str) -> Iterator[Writing]:
        """A day's writing; the story never goes back."""
        self.clock.day = max(self.clock.day, datetime.date.fromisoformat(day))
        with self.registry.writing() as writing:
            yield writing

    def take_in(self, name: str, day: str) -> None:
        """Import one of the story's CSV files.

        Raises:
            FileUnusable: If a row of it is refused.
        """
        self.clock.day = datetime.date.fromisoformat(day)
        with as_file(files(__package__).joinpath(f"{name}.csv")) as path:
            done = import_csv(self.registry, path)
        if done.faults:
            raise FileUnusable(f"{name}.csv, row {done.faults[0].row}: {done.faults[0].message}")

    def photograph(self, code: str, subject: Subject, patina: Colouring, caption: str) -> None:
        """Draw a picture, keep it, and file it with a subject."""
        prepared = photographs.prepare(draw(subject, patina, 900))
        kept = photographs.keep(self.registry.home.photographs, prepared)
        with self.registry.writing() as writing:
            file_photograph(
                writing, code, kept.derivative_digest, kept.original_digest, caption=caption
            )


def shell(w: Writing, pieces: Sequence[str], days: Sequence[str], fired: str) -> None:
    """Chase, gate, dip coat by coat, dewax and fire a rack of pieces."""
    record_step(w, "wax_chased", pieces, hand=WAX, on=days[0])
    record_step(w, "gated", pieces, hand=WAX, on=days[0])
    for coat, day in enumerate(days, 1):
        record_step(w, "shelled", pieces, coat=coat, hand=CASTER, on=day)
    record_step(w, "dewaxed", pieces, hand=CASTER, on=fired)
    record_step(w, "fired", pieces, hand=CASTER, on=fired)


def dress(w: Writing, pieces: Sequence[str], broken_out: str, chased: str) -> None:
    """Break out, cut off, blast and chase a rack of pieces."""
    for step in ("broken_out", "cut_off", "blasted"):
        record_step(w, step, pieces, hand=CASTER, on=broken_out)
    record_step(w, "metal_chased", pieces, hand=CHASER, on=chased)


def coats(first: str, count: int = 8) -> list[str]:
    """The days on which coats were dipped: one every other day from the first."""
    day = datetime.date.fromisoformat(first)
    return [(day + datetime.timedelta(days=2 * at)).isoformat() for at in range(count)]
