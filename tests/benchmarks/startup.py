"""How long ``bronzebook --help`` takes, beside a Python that only imports click.

Run by hand, or by what checks a change; pytest does not collect it, since it measures time.  The
two are run in turn, so that what else the machine does falls on both, and their medians compared.
A disturbed measurement is made again, at most twice more.

    python tests/benchmarks/startup.py
"""

from __future__ import annotations

import subprocess
import sys
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

LIMIT = 1.8
RUNS = 31
ATTEMPTS = 3

PLAIN = "import click"
HELP = "import sys; sys.argv = ['bronzebook', '--help']; from editions.cli import main; main()"


def seconds(script: str, folder: str) -> float:
    """Return how long a new Python takes over a script, in seconds."""
    began = perf_counter()
    subprocess.run(
        [sys.executable, "-c", script], cwd=folder, stdout=subprocess.DEVNULL, check=True
    )
    return perf_counter() - began


def ratio(folder: str) -> float:
    """Return the help's median time over click's, and print both."""
    pairs = [(seconds(PLAIN, folder), seconds(HELP, folder)) for _ in range(RUNS + 2)]
    # The first two bring the files into the machine's memory.
    plain, full = (median(times) for times in zip(*pairs[2:], strict=True))
    found: float = full / plain
    print(
        f"import click {1000 * plain:.0f} ms; bronzebook --help {1000 * full:.0f} ms: {found:.2f}"
    )
    return found


def main() -> int:
    """Measure until one measurement keeps the limit; return 1 if none does."""
    # Away from the checkout, so that the installed program is measured.
    with TemporaryDirectory() as folder:
        if any(ratio(folder) <= LIMIT for _ in range(ATTEMPTS)):
            return 0
    print(f"over the limit of {LIMIT}, {ATTEMPTS} times")
    return 1


if __name__ == "__main__":
    sys.exit(main())
