"""The desk a command works at: the registry, who records, and whether anyone can be asked.

Every command takes it by :data:`pass_desk`::

    @click.command()
    @options.on_option
    @options.json_option
    @pass_desk
    def command(desk, on, as_json):
        with desk.writing() as writing:
            made = some_act(writing, on=on)
        output.entered(desk, as_json, made)

In a day sheet all lines share one writing, which the desk hands out; nobody is asked, and what was
entered is told when the whole sheet is in the book.  ``output.entered`` therefore stands after the
``with``, never in it.
"""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.errors import RegistryUnusable

if TYPE_CHECKING:
    from editions.registry import Reading, Registry, Writing

DATABASE = "registry.db"


class SheetLines:
    """What a sheet's lines share: one writing, the date of those that say none, the cautions."""

    def __init__(self, writing: Writing, on: str | None) -> None:
        self.writing = writing
        self.on = on
        self.cautions: dict[str, None] = {}


class Desk:
    """Opens the registry when first asked; stands for one run of the command line."""

    def __init__(
        self, where: str | None = None, home: str | None = None, by: str | None = None
    ) -> None:
        self.where = where
        self.home = home
        self.by = by
        self.sheet: SheetLines | None = None
        self.cautioned: set[str] = set()
        self._registry: Registry | None = None

    @property
    def registry(self) -> Registry:
        """The registry, opened once.

        Raises:
            RegistryUnusable: If none is named and none lies here, or it cannot be used.
        """
        if self._registry is None:
            from editions.registry import open_registry

            self._registry = open_registry(self.place(), home=self.home)
        return self._registry

    def place(self) -> str:
        """Where the registry is: as said, else this folder if it holds one.

        Raises:
            RegistryUnusable: If neither is the case.
        """
        if self.where:
            return self.where
        if Path(DATABASE).is_file():
            return "."
        raise RegistryUnusable(
            "No registry is named, and none lies in this folder.",
            "Name it: bronzebook --registry PATH … or BRONZEBOOK_REGISTRY; or begin one:"
            " bronzebook begin PATH.",
        )

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """One moment of the book; in a day sheet, the book with the lines so far."""
        if self.sheet is not None:
            yield self.sheet.writing
            return
        with self.registry.reading() as reading:
            yield reading

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """A writing of its own; in a day sheet, the one that all its lines share.

        Raises:
            NotKnown: If the party who records is not in the book.
        """
        if self.sheet is not None:
            yield self.sheet.writing
            return
        with self.registry.writing(by=self.by) as writing:
            require_recorder(writing, self.by)
            yield writing

    @property
    def interactive(self) -> bool:
        """Whether a person sits there who can be asked."""
        return self.sheet is None and sys.stdin.isatty() and sys.stderr.isatty()

    @property
    def sheet_on(self) -> str | None:
        """The date that a day sheet gives every line which says none."""
        return self.sheet.on if self.sheet else None

    def at_sheet(self, lines: SheetLines) -> Desk:
        """The same desk while the lines of a day sheet are worked through."""
        desk = Desk(self.where, self.home, self.by)
        desk._registry = self._registry
        desk.sheet = lines
        return desk

    def close(self) -> None:
        """Let go of the registry."""
        if self._registry is not None and self.sheet is None:
            self._registry.close()


def require_recorder(writing: Writing, by: str | None) -> None:
    """Refuse a recorder who is not in the book.

    Raises:
        NotKnown: If there is no such party.
    """
    if by is not None:
        from editions.trade.parties import Party

        writing.get(by, Party)


def today() -> datetime.date:
    """The date on the wall."""
    return datetime.datetime.now().astimezone().date()


pass_desk = click.make_pass_decorator(Desk)
