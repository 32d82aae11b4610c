"""Which lines and branches of the product the tests reach, measured where it is asked for::

    BRONZEBOOK_COVERAGE=95 .venv/bin/pytest

prints what no test reached, and fails where less than 95 % were.  ``tests/conftest.py`` imports
this before anything of the product, in each worker: a module is marked as it is loaded.

SlipCover puts a mark before each line and branch, and takes it out once it was passed.  Tracing
(``sys.settrace``) slows every instruction on Python 3.11: ten times in what is measured, four times
in the libraries that are not.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

ASKED = "BRONZEBOOK_COVERAGE"
PACKAGES = ["editions", "certificates"]
# What no run reaches: names for the type checker alone, and bodies that are three dots.
LEFT_OUT = ["if TYPE_CHECKING:", "@overload", r"assert_never\(", r"\.\.\.$"]
ROOT = Path(__file__).parents[1]

Report = dict[str, Any]
"""Lines and branches of each file, reached and missed, as SlipCover writes them."""


class Covering:
    """The measure of one process, and in the process that leads, of all its workers."""

    def __init__(self, least: float) -> None:
        from slipcover import FileMatcher, ImportManager, Slipcover

        sources = [str(ROOT / package) for package in PACKAGES]
        self.least = least
        self.reports: list[Report] = []
        self._measure = Slipcover(branch=True, source=sources, exclude_also=LEFT_OUT)
        ImportManager(self._measure, FileMatcher(sources=sources)).__enter__()

    def pytest_testnodedown(self, node: Any) -> None:
        """Take in what a worker has measured; one that crashed has measured nothing."""
        said = getattr(node, "workeroutput", {}).get(ASKED)
        if said is not None:
            self.reports.append(json.loads(said))

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        """Hand the measure on, or judge all that was handed on."""
        if hasattr(session.config, "workeroutput"):
            session.config.workeroutput[ASKED] = json.dumps(self._measure.get_coverage())
            return
        if self.share() < self.least and session.exitstatus == pytest.ExitCode.OK:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        """Print what was missed, and the share of lines and branches that were reached."""
        from slipcover import print_coverage

        terminalreporter.section("lines and branches that no test reached")
        print_coverage(self.whole(), outfile=terminalreporter, skip_covered=True)
        terminalreporter.write_line(
            f"{self.share():.2f} % of lines and branches were reached; at least {self.least:g} %"
        )

    def share(self) -> float:
        """The lines and branches reached, in hundredths of all."""
        return float(self.whole()["summary"]["percent_covered"])

    def whole(self) -> Report:
        """What all the processes have reached together."""
        from slipcover import merge_coverage

        if not self.reports:
            self.reports.append(self._measure.get_coverage())
        while len(self.reports) > 1:
            merge_coverage(self.reports[0], self.reports.pop())
        return self.reports[0]


def begun() -> Covering | None:
    """Begin to measure, if it is asked for."""
    asked = os.environ.get(ASKED)
    return Covering(float(asked)) if asked else None


covering = begun()
