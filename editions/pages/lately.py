"""What was published last, so that the next publishing makes only what changed.

For each file of the site: its size, when it was written, its digest, the day of its content, and
the marks of what it draws on (:mod:`editions.pages.watching`).  A file is left alone while

- no entry since has touched what it draws on, and no file beside the book that it draws on changed,
- the entries behind it still hash to the leaves that were published as tiles,
- nothing was contradicted or unreadable when it was made,
- what makes pages (templates, style, script, this package) is what it was, and
- its size and time of writing on the disk are those that were noted.

This memory lists certificates, which nothing that is published may do; so it lies in the registry's
home, one file for each folder published into, and is lost without harm: then all is made anew.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from functools import lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

import msgspec

import editions
from editions.pages.watching import BROKEN, FILE
from editions.store.files import make_folder, write_durably

Stamp = tuple[int, int]
"""Size, and time of writing in nanoseconds."""

ABSENT: Stamp = (-1, 0)
_FOLDER = "published"
_MAKERS = ("pages", "charts")


class Made(msgspec.Struct, frozen=True, array_like=True):
    """A file as it was published: its stamp, digest, the day of its content, what it draws on.

    Files of one record draw on the same: their marks are noted once, and ``draws`` is where.
    """

    stamp: Stamp
    digest: str
    day: str
    draws: int


class Lately(msgspec.Struct, kw_only=True):
    """A site as it was published last: up to which entry, by which makers, and each file."""

    size: int = 0
    makers: str = ""
    made: dict[str, Made] = {}
    drawn: list[tuple[str, ...]] = []
    beside: dict[str, Stamp] = {}

    @classmethod
    def read(cls, home: Path, site: Path) -> Lately:
        """What was noted of a site; nothing where there is no such note, or none of this form."""
        try:
            found = _DECODER.decode(_place(home, site).read_bytes())
        except (OSError, msgspec.MsgspecError):
            return cls()
        places = range(len(found.drawn))
        return found if all(one.draws in places for one in found.made.values()) else cls()

    def write(self, home: Path, site: Path) -> None:
        """Note it, in the place of what was noted before.

        Raises:
            MachineRefused: No room, or no permission.
        """
        place = _place(home, site)
        make_folder(place.parent)
        write_durably(place, msgspec.json.encode(self), 0o600)

    def altered_beside(self) -> set[str]:
        """The marks of files beside the book that are no longer as they were."""
        return {FILE + path for path, stamp in self.beside.items() if stamp_of(path) != stamp}

    def stale(self, changed: set[str]) -> list[bool]:
        """Of each set of marks, whether what draws on it is to be made anew."""
        return [not changed.isdisjoint(marks) or _is_broken(marks) for marks in self.drawn]


class Drawn:
    """Sets of marks, each kept once; those of the last publishing keep their places."""

    def __init__(self, before: Lately) -> None:
        self.sets = list(before.drawn)
        self._places = {marks: place for place, marks in enumerate(self.sets)}

    def place(self, marks: Iterable[str]) -> int:
        """Where a set of marks is kept."""
        wanted = tuple(sorted(marks))
        if wanted not in self._places:
            self._places[wanted] = len(self.sets)
            self.sets.append(wanted)
        return self._places[wanted]

    def used(self, made: Iterable[Made]) -> list[tuple[str, ...]]:
        """The sets that these files draw on, in their places; the others are forgotten."""
        wanted = {one.draws for one in made}
        return [marks if place in wanted else () for place, marks in enumerate(self.sets)]


def _is_broken(marks: Iterable[str]) -> bool:
    return any(mark.startswith(BROKEN) for mark in marks)


_DECODER = msgspec.json.Decoder(Lately)


def _place(home: Path, site: Path) -> Path:
    named = hashlib.sha256(os.fsencode(site.resolve())).hexdigest()[:32]
    return home / _FOLDER / f"{named}.json"


def stamp_of(path: str | Path) -> Stamp:
    """The stamp of a file; that of none where nothing can be seen."""
    try:
        found = os.stat(path)  # noqa: PTH116 - for ten thousand files
    except OSError:
        return ABSENT
    return (found.st_size, found.st_mtime_ns)


@lru_cache(maxsize=1)
def makers() -> str:
    """A digest of all that turns a book into pages: when it differs, every page is made anew."""
    found = hashlib.sha256(editions.__version__.encode())
    for room in _MAKERS:
        for each in _files(resources.files(editions).joinpath(room)):
            found.update(each.name.encode() + b"\0" + each.read_bytes())
    return found.hexdigest()


def _files(folder: Traversable) -> Iterable[Traversable]:
    for each in sorted(folder.iterdir(), key=lambda one: one.name):
        if each.is_dir():
            if each.name != "__pycache__":
                yield from _files(each)
        elif not each.name.endswith(".pyc"):
            yield each
