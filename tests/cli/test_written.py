"""Lines of a day sheet shown again, what they confide left out."""

from __future__ import annotations

import shlex

import click
import pytest

from editions.cli import bronzebook
from editions.cli.written import as_written


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("party add hand --private-name 'Tomas B' --contact=barn", "--private-name … --contact=…"),
        ("wax judge W-0001 --reject 'air in the beak' --on 2026", "--reject … --on 2026"),
        ("wax judge W-0001 --reject --accept", "W-0001 --reject …"),
        ("correct P-0003#2 note=sold --reason moved", "correct P-0003#2 note=… --reason …"),
        ("recipe write Brown --layer 'iron; hot'", "Brown --layer …"),
        ("mark add T-0101 'Varga 3/8' --place base", "T-0101 Varga 3/8 --place base"),
        ("mold add D-0001 --owner Y-0002", "D-0001 --owner Y-0002"),
        ("nothing of the sort --note x", "nothing of the sort --note x"),
        ("wax", "wax"),
    ],
)
def test_a_line_is_shown_again_without_what_it_confides(line: str, shown: str) -> None:
    root = click.Context(bronzebook, info_name="bronzebook")
    assert as_written(root, shlex.split(line)).endswith(shown)
