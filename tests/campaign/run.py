"""The whole campaign: who finds what of a book that was tampered with, as a table.

python -m tests.campaign.run            the short form
python -m tests.campaign.run --full     every table apart, every row on PostgreSQL too, many more
                                        whole databases

Ends with 1 if anything went undetected that the audit, a certificate or a witness must find.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import NamedTuple

from editions.registry import open_registry
from tests.campaign.forging import ACTS, forge_in_memory
from tests.campaign.rewriting import book_of, forge_in_database, forge_with_both_keys
from tests.campaign.rows import tamper_with_rows, try_with_guards
from tests.campaign.story import Told, moved, tell
from tests.campaign.tally import Tally
from tests.helpers.postgresql import Server
from tests.helpers.stores import PostgreSQLStores

SAMPLE = 8  # rows of a table, in the short form on PostgreSQL
ON_POSTGRESQL = "PostgreSQL: "


class Campaign(NamedTuple):
    """What was counted, and what should have been found and was not."""

    tally: Tally
    missed: list[str]


Part = Callable[[Told, Path, Tally, bool], list[str]]


def guards(told: Told, work: Path, tally: Tally, full: bool) -> list[str]:
    """Statements, with the guards in place."""
    return try_with_guards(told, work, tally, _most(told, full=full))


def rows(told: Told, work: Path, tally: Tally, full: bool) -> list[str]:
    """Rows, with the guards gone."""
    apart = full and told.stores is None
    most, step = _most(told, full=full), 1 if apart else 80
    return tamper_with_rows(told, work, tally, apart=apart, step=step, most=most)


def _most(told: Told, *, full: bool) -> int | None:
    return None if full or told.stores is None else SAMPLE


def trees(told: Told, _: Path, tally: Tally, full: bool) -> list[str]:
    """The tree of every forged book, in memory."""
    registry = open_registry(told.folder)
    try:
        book, log, key = book_of(registry), registry.log_verifier().newest, registry.log_key()
    finally:
        registry.close()
    return forge_in_memory(told, book, log, key, tally)


def databases(told: Told, work: Path, tally: Tally, full: bool) -> list[str]:
    """Whole databases, with the log key."""
    samples = {7, told.papered}
    if full or told.stores is None:
        samples |= {told.papered - 1, told.seen.size}
    if full and told.stores is None:
        samples |= {*range(7, told.papered, 12)}
    return forge_in_database(told, work, tally, sorted(samples))


def papers(told: Told, work: Path, tally: Tally, full: bool) -> list[str]:
    """Whole databases and every paper, with both keys."""
    if not full:
        return forge_with_both_keys(told, work, tally, [told.papered // 2], ["changed"])
    samples = range(7, told.papered - 40, 40)
    return forge_with_both_keys(told, work, tally, samples, list(ACTS))


PARTS: dict[str, Part] = {part.__name__: part for part in (guards, rows, trees, databases, papers)}
# What depends on the kind of database; the rest is the same on each.
STORED = (guards, rows, databases)


def run(part: Part, told: Told, work: Path, *, full: bool) -> Campaign:
    """One part of the campaign on copies of a book."""
    tally = Tally()
    return Campaign(tally, part(told, work, tally, full))


def run_all(told: Told, work: Path, *, full: bool) -> Campaign:
    """Every part on SQLite, and what is stored on PostgreSQL too."""
    done = Campaign(Tally(), [])
    for part in PARTS.values():
        _join(done, run(part, told, work, full=full))
    with _postgresql() as stores:
        there = moved(told, work / "moved", stores)
        for part in STORED:
            _join(done, run(part, there, work, full=full), ON_POSTGRESQL)
    return done


def _join(whole: Campaign, part: Campaign, prefix: str = "") -> None:
    whole.tally.take(part.tally.rows, prefix)
    whole.missed.extend(f"{prefix}{line}" for line in part.missed)


@contextmanager
def _postgresql() -> Iterator[PostgreSQLStores]:
    server = Server()
    server.start()
    try:
        yield PostgreSQLStores(server)
    finally:
        server.stop()


def main(*, full: bool) -> int:
    """Run the campaign and print its table; return 1 if anything was missed."""
    began = perf_counter()
    with TemporaryDirectory() as folder:
        told = tell(Path(folder) / "book")
        done = run_all(told, Path(folder), full=full)
    print(done.tally)
    print(
        f"{told.size} entries; the last certificate covers {told.papered}, the witness saw "
        f"{told.seen.size}; {len(told.papers)} papers; {perf_counter() - began:.0f} s"
    )
    for line in done.missed:
        print("missed:", line)
    return 1 if done.missed else 0


if __name__ == "__main__":
    sys.exit(main(full="--full" in sys.argv))
