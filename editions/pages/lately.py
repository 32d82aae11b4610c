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
    """A file as it was published: its stamp, digest, the day of its content, what it draws on."""

    stamp: Stamp
    digest: str
    day: str
    draws: tuple[str, ...]


class Lately(msgspec.Struct, kw_only=True):
    """A site as it was published last: up to which entry, by which makers, and each file."""

    size: int = 0
    makers: str = ""
    made: dict[str, Made] = {}
    beside: dict[str, Stamp] = {}

    @classmethod
    def read(cls, home: Path, site: Path) -> Lately:
        """What was noted of a site; nothing where there is no such note, or none of this form."""
        try:
            return _DECODER.decode(_place(home, site).read_bytes())
        except (OSError, msgspec.MsgspecError):
            return cls()

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

    def holds(self, name: str, changed: set[str], *, fixed: bool) -> Made | None:
        """What was made of a file, if nothing that it draws on is among these marks.

        Of what is ``fixed`` only the files beside the book can be gone.
        """
        known = self.made.get(name)
        if known is None or any(mark.startswith(BROKEN) for mark in known.draws):
            return None
        draws: Iterable[str] = known.draws
        if fixed:
            draws = (mark for mark in draws if mark.startswith(FILE))
        return known if changed.isdisjoint(draws) else None


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
