"""How fast the record is published, beside a bare Jinja2 loop; and what one more certificate costs.

Run by hand, or by what checks a change; pytest does not collect it, since it measures time.  A
registry of runs of eight is grown, all but one piece certified.

- *From nothing*: pages a second of the first publishing as the command line does it, in several
  processes where there are processors, beside a loop, in one, that does nothing but render the same
  templates with the same values and write the same bytes.  At least half.
- *One more*: the last piece gets its certificate, and the site is published again.  At most 3 % of
  the time of the first; of records, only those of its run may be written.

    python -m tests.benchmarks.publishing [--full] [--registry FOLDER]

A thousand certificates, or ten thousand with --full.  A registry that was grown before is taken
again from its FOLDER, which is left there, with one certificate more.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path
from time import perf_counter
from typing import Any

from editions.pages import render, site, structured
from editions.pages.addresses import PAGE
from editions.pages.publish import Published, publish
from editions.pages.tongues import Tongue
from editions.pages.view import room
from editions.registry import Registry, open_registry
from editions.trade.pieces import Piece
from tests.benchmarks import grown
from tests.helpers.clock import Clock

AT_LEAST = 0.5
AT_MOST = 0.03
SAMPLE = 400
# The sample takes a second or two: on a noisy machine its best time is the floor.
TRIES = 5
FEW, MANY = 1_000, 10_000

Values = tuple[str, str, Tongue, dict[str, Any]]


def stamps(folder: Path) -> dict[str, int]:
    """When each file of a site was written."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.stat().st_mtime_ns for path in files}


def timed(registry: Registry, folder: Path) -> tuple[Published, float]:
    """Publish, and how many seconds it took."""
    began = perf_counter()
    done = publish(registry, folder, processes=os.cpu_count() or 1)
    return done, perf_counter() - began


def values_of(registry: Registry, sample: int) -> list[Values]:
    """The file, template and values of pages of the site, evenly from all of them."""
    found: list[Values] = []
    whole = render.page
    with room(registry) as here:
        pages = [
            (address, member)
            for address in site.ADDRESSES
            if address.is_page
            for member in address.members(here)
        ]
        for address, member in pages[:: max(1, len(pages) // sample)]:
            render.page = _noting(found, address.file(member))
            address.make(here, member)
    render.page = whole
    return found


def _noting(found: list[Values], name: str) -> Any:
    def note(template: str, tongue: Tongue, **values: Any) -> bytes:
        if told := values.get("structured"):
            values["structured"] = structured.on_page(told, tongue.tag)
        found.append((name, template, tongue, values))
        return b""

    return note


def bare(pages: list[Values], folder: Path) -> float:
    """Pages a second of a loop that renders and writes, and does nothing else."""
    for name, *_ in pages:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
    began = perf_counter()
    for name, template, tongue, values in pages:
        data = render._environment(tongue).get_template(template).render(**values).encode()
        (folder / name).write_bytes(data)
    return len(pages) / (perf_counter() - began)


def from_nothing(registry: Registry, folder: Path) -> tuple[float, bool]:
    """Publish a whole site and print how fast; the seconds it took, and whether that will do."""
    done, seconds = timed(registry, folder / "site")
    count = sum(1 for _ in (folder / "site").rglob(f"*{PAGE}"))
    values = values_of(registry, SAMPLE)
    bare(values, folder / "warm")
    floor = max(bare(values, folder / "bare") for _ in range(TRIES))
    same = sum(
        (folder / "bare" / name).read_bytes() == (folder / "site" / name).read_bytes()
        for name, *_ in values
    )
    ratio = count / seconds / floor
    print(f"{done.records} records, {count} pages of {done.written} files: {seconds:.1f} s")
    print(f"{count / seconds:.0f} pages a second; a bare loop {floor:.0f}: {ratio:.2f}")
    print(f"the bare loop wrote the same bytes in {same} of {len(values)} pages")
    return seconds, ratio >= AT_LEAST and same == len(values)


def one_more(registry: Registry, folder: Path, first: float) -> bool:
    """Certify one more piece, publish again, and say what was written."""
    with registry.reading() as reading:
        piece = next(p for p in reversed(reading.all_of(Piece)) if not p.certificates)
        run = {one.code for one in reading.linked("run", piece.run or "")}
    (number,) = grown.certify(registry, [piece.code])
    before = stamps(folder / "site")
    done, seconds = timed(registry, folder / "site")
    after = stamps(folder / "site")
    written = sorted(name for name in after if before.get(name) != after[name])
    records = [name.split("/")[1] for name in written if name.startswith("C/")]
    others = [n for n in records if n not in run and n != number]
    print(f"one more: {seconds:.2f} s, {seconds / first:.1%}; {done.written} files written:")
    print("  " + "\n  ".join(written))
    return seconds <= AT_MOST * first and not others


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--full", action="store_true", help=f"{MANY} certificates, not {FEW}")
    parser.add_argument("--registry", type=Path, help="grown before, or to be grown here")
    return parser.parse_args()


def opened(folder: Path, certificates: int) -> Registry:
    """The registry in a folder, grown there if it is not there yet."""
    if (folder / "registry.db").exists():
        clock = Clock()
        clock.wind(days=300)
        return open_registry(folder, clock=clock)
    registry = grown.begun(folder)
    grown.grow(registry, certificates, left=1)
    return registry


def main() -> int:
    """Measure both; return 1 if a limit is not kept."""
    asked = arguments()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        registry = opened(asked.registry or folder / "registry", MANY if asked.full else FEW)
        first, fast = from_nothing(registry, folder)
        spare = one_more(registry, folder, first)
        registry.close()
    if not fast:
        print(f"from nothing: less than {AT_LEAST} of the bare loop")
    if not spare:
        print(f"one more: over {AT_MOST:.0%} of the first time, or records of other runs written")
    return 0 if fast and spare else 1


if __name__ == "__main__":
    sys.exit(main())
