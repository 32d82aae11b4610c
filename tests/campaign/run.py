"""The whole campaign: who finds what of a book that was tampered with, as a table.

python -m tests.campaign.run            the short form
python -m tests.campaign.run --full     every table apart, many more whole databases
"""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import NamedTuple

from editions.registry import open_registry
from tests.campaign.forging import forge_in_memory
from tests.campaign.rewriting import book_of, forge_in_database, forge_with_both_keys
from tests.campaign.rows import tamper_with_rows, try_with_guards
from tests.campaign.story import Told, tell
from tests.campaign.tally import Tally


class Campaign(NamedTuple):
    """What was counted, and what should have been found and was not."""

    tally: Tally
    missed: list[str]


def run(told: Told, work: Path, *, full: bool) -> Campaign:
    """Tamper in every way with copies of a book."""
    tally = Tally()
    missed = try_with_guards(told, work, tally)
    missed += tamper_with_rows(told, work, tally, apart=full)
    registry = open_registry(told.folder)
    try:
        book, log, key = book_of(registry), registry.log_verifier(), registry.log_key()
    finally:
        registry.close()
    missed += forge_in_memory(told, book, log, key, tally)
    papered = told.papered
    step = 12 if full else papered
    samples = sorted({*range(7, papered, step), papered - 1, papered, told.seen.size})
    missed += forge_in_database(told, work, tally, samples)
    reissued = range(7, papered - 40, 40) if full else [papered // 2]
    missed += forge_with_both_keys(told, work, tally, reissued)
    return Campaign(tally, missed)


def main(full: bool) -> int:
    """Run the campaign and print its table; return 1 if anything was missed."""
    began = perf_counter()
    with TemporaryDirectory() as folder:
        told = tell(Path(folder) / "book")
        done = run(told, Path(folder), full=full)
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
