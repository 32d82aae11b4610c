"""Counting who found what, and the table that says so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

CAMPAIGN = "campaign"
"""The name under which a test hands its rows to whoever prints the table."""

TITLES = {
    "tried": "tried",
    "refused": "refused by guards",
    "root": "the signed root",
    "audit": "audit alone",
    "paper": "a certificate issued later",
    "witness": "a witness",
    "nobody": "nobody",
}


class Tally:
    """Rows of the campaign's table, in the order in which they were first counted."""

    def __init__(self) -> None:
        self.rows: dict[str, Counter[str]] = {}

    def add(self, row: str, tried: int = 1, **found: int) -> None:
        """Count so many tamperings of a kind, and by whom they were found."""
        counts = self.rows.setdefault(row, Counter())
        counts.update({"tried": tried, **found})

    def take(self, rows: Mapping[str, Mapping[str, int]], prefix: str = "") -> None:
        """Add the rows of another tally."""
        for name, counts in rows.items():
            self.add(prefix + name, **counts)

    def plain(self) -> dict[str, dict[str, int]]:
        """The rows as plain values, which a worker can send; the inverse of :meth:`take`."""
        return {name: dict(counts) for name, counts in self.rows.items()}

    def __str__(self) -> str:
        width = max(map(len, self.rows), default=0)
        lines = [" | ".join([" " * width, *TITLES.values()])]
        for name, counts in self.rows.items():
            cells = [f"{counts[column]:>{len(title)}}" for column, title in TITLES.items()]
            lines.append(" | ".join([name.ljust(width), *cells]))
        return "\n".join(lines)
