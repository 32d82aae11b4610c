"""Counting who found what, and the table that says so."""

from __future__ import annotations

from collections import Counter

COLUMNS = ("tried", "refused", "audit", "paper", "witness", "nobody")
_TITLES = {
    "tried": "tried",
    "refused": "refused by guards",
    "audit": "audit alone",
    "paper": "a later certificate",
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

    def __str__(self) -> str:
        width = max(map(len, self.rows))
        lines = [" | ".join([" " * width, *(_TITLES[name] for name in COLUMNS)])]
        for name, counts in self.rows.items():
            cells = [f"{counts[column]:>{len(_TITLES[column])}}" for column in COLUMNS]
            lines.append(" | ".join([name.ljust(width), *cells]))
        return "\n".join(lines)
