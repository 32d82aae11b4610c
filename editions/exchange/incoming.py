"""What an import meets on its way: artists and works by name, and rows that must agree.

Nothing that a row says is dropped in silence: where it names what the book holds already, it must
say the same of it, or nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from editions.errors import NotKnown, Unreadable
from editions.exchange.rows import Row
from editions.registry import Writing
from editions.registry.acts.parties import enter_party
from editions.registry.acts.works import enter_work
from editions.trade.parties import Party
from editions.trade.text import shown
from editions.trade.works import Work


class Incoming:
    """A writing that takes rows in, and the artists and works met so far."""

    def __init__(self, writing: Writing) -> None:
        self.writing = writing
        self.artists = {p.name: p.code for p in writing.all_of(Party) if p.name}
        self.works: dict[str, list[str]] = {}
        for work in writing.all_of(Work):
            self.works.setdefault(work.title, []).append(work.code)

    def artist(self, row: Row) -> str:
        """The row's artist, entered now if the book holds none of that name.

        Raises:
            Unreadable: If the row says other dates of a life than the book.
        """
        name = row["artist"]
        born, died = row.get("artist born"), row.get("artist died")
        if name in self.artists:
            known = self.writing.get(self.artists[name], Party)
            same(row, "artist born", known.born, name)
            same(row, "artist died", known.died, name)
        else:
            made = enter_party(
                self.writing, "artist", name=name, born=born, died=died, row=row.number
            )
            self.artists[name] = made.code
        return self.artists[name]

    def work_of(self, artist: str, row: Row) -> str | None:
        """The work of that artist that the row names, if the book holds it.

        Raises:
            Unreadable: If the artist has several of that title, or the row says otherwise of it.
        """
        titled = (self.writing.get(code, Work) for code in self.works.get(row["title"], []))
        known = [work for work in titled if work.artist == artist]
        if not known:
            return None
        code = the_one(row["title"], [work.code for work in known])
        same(row, "work code", code, shown(row["title"]))
        same(row, "year", known[0].year, shown(row["title"]))
        return code

    def enter_work(self, artist: str, row: Row, *, code: str | None, on: str | None) -> str:
        """Enter the work that the row names."""
        made = enter_work(
            self.writing,
            artist,
            row["title"],
            year=row.get("year"),
            code=code,
            on=on,
            note=row.get("note"),
            row=row.number,
        )
        self.works.setdefault(row["title"], []).append(made.code)
        return made.code

    def work(self, title: str) -> str:
        """The one work of that title.

        Raises:
            NotKnown: If the book holds none.
            Unreadable: If it holds several.
        """
        codes = self.works.get(title, [])
        if not codes:
            raise NotKnown(f"No work is called {shown(title)}.", "Import works and runs first.")
        return the_one(title, codes)


def same(row: Row, column: str, held: str | None, of: str) -> None:
    """Refuse a row that says otherwise than the book of what the book holds already.

    Raises:
        Unreadable: If it does.
    """
    if column in row and row[column].upper() != (held or "").upper():
        raise Unreadable(
            f"{of} is in the book already, {column} {held or 'not said'}; this row says"
            f" {shown(row[column])}.",
            "Leave the cell empty, or correct the entry first.",
        )


def agreed(rows: Sequence[Row], apart: Iterable[str]) -> Row:
    """Rows of one thing as one row, but for the columns in which they stand apart.

    Raises:
        Unreadable: If two of them say different things.
    """
    cells: dict[str, str] = {}
    for row in rows:
        for column in row.keys() - set(apart):
            before = cells.setdefault(column, row[column])
            if before != row[column]:
                raise Unreadable(
                    f"Row {row.number} says {shown(row[column])} in column {column}, row"
                    f" {rows[0].number} says {shown(before)}, of one and the same thing.",
                    "Say it once, or the same in every row.",
                )
    return Row(rows[0].number, cells)


def the_one(name: str, codes: Sequence[str]) -> str:
    """The one code that a name stands for.

    Raises:
        Unreadable: If it stands for several.
    """
    if len(codes) > 1:
        raise Unreadable(f"{shown(name)} may be any of {', '.join(codes)}.", "Enter it by hand.")
    return codes[0]
