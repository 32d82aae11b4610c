"""Publishing: the whole record as files that any host can serve.

Everything is read from one moment of the book.  A file whose bytes are the same is left alone;
every other is written whole or not at all.  Photographs come first, then pages, and the checkpoint
last, so that an interrupted run leaves no checkpoint that speaks of pages not there.  Records that
no longer belong are removed; nothing else in the folder is touched.

A folder that holds something else is refused: it must be empty, or a site of this very book.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from editions.errors import FileUnusable
from editions.pages import render, site
from editions.pages.view import Room, room
from editions.registry import Registry
from editions.store.files import make_folder, plain_refusals, write_durably
from editions.trade.numbers import LENGTH

Progress = Callable[[int, int], None]

_PAGE = "index.html"
_KEYS = "keys.txt"
# What hosts of static sites keep beside the pages.
_HOSTS_OWN = frozenset({"CNAME"})


class Published(msgspec.Struct, frozen=True, kw_only=True):
    """What was published: how many records, how many files were written and removed."""

    folder: Path
    records: int
    written: int
    removed: int


def _quiet(_: int, __: int) -> None:
    """No progress wanted."""


class _Writer:
    """Writes into one folder and counts."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.written = 0
        self.removed = 0

    def put(self, name: str, data: bytes) -> None:
        """Write a file unless it is there with the same bytes."""
        path = self.folder / name
        with plain_refusals(path):
            same = path.is_file() and path.read_bytes() == data
        if not same:
            make_folder(path.parent)
            write_durably(path, data)
            self.written += 1

    def remove(self, path: Path) -> None:
        """Remove a file of ours, and its folder where nothing else is in it."""
        with plain_refusals(path):
            path.unlink()
            if path.name == _PAGE and not any(path.parent.iterdir()):
                path.parent.rmdir()
        self.removed += 1


def publish(registry: Registry, folder: str | Path, *, progress: Progress = _quiet) -> Published:
    """Write the public record into a folder.

    Args:
        registry: The registry.
        folder: An empty or missing folder, or one that holds this book's site already.
        progress: Told how many of how many records are done.

    Raises:
        FileUnusable: If the folder holds something else.
        MachineRefused: No room, or no permission.
    """
    writer = _Writer(Path(folder))
    with room(registry) as here:
        _refuse_foreign(writer.folder, site.keys(here))
        make_folder(writer.folder)
        writer.put(_KEYS, site.keys(here))
        numbers = tuple(site.numbers(here))
        photographs = _photographs(writer, here)
        for done, number in enumerate(numbers, 1):
            writer.put(f"C/{number}/{_PAGE}", site.record(here, number))
            progress(done, len(numbers))
        _plain_pages(writer, here)
        for path in _strays(writer.folder, frozenset(numbers), photographs):
            writer.remove(path)
        writer.put("checkpoint", site.checkpoint(here))
    return Published(
        folder=writer.folder,
        records=len(numbers),
        written=writer.written,
        removed=writer.removed,
    )


def _photographs(writer: _Writer, here: Room) -> frozenset[str]:
    """Write every photograph that is kept whole; their digests."""
    kept = set()
    for digest in site.photographs(here):
        data = site.photograph(here, digest)
        if data is not None:
            writer.put(f"photo/{digest}.jpg", data)
            kept.add(digest)
    return frozenset(kept)


def _plain_pages(writer: _Writer, here: Room) -> None:
    foundry = here.desk.book.foundry_name
    wanted = render.number_wanted_page(foundry)
    writer.put(f"C/{_PAGE}", wanted)
    writer.put(f"photo/{_PAGE}", wanted)
    writer.put("icon.svg", render.icon())
    writer.put("404.html", render.missing_page(foundry))
    writer.put(_PAGE, site.front(here))


def _strays(folder: Path, numbers: frozenset[str], photographs: frozenset[str]) -> Iterator[Path]:
    """Records and photographs under our names that the book no longer has."""
    for page in sorted(folder.glob(f"C/*/{_PAGE}")):
        if len(page.parent.name) == LENGTH and page.parent.name not in numbers:
            yield page
    for picture in sorted(folder.glob("photo/*.jpg")):
        if picture.stem not in photographs:
            yield picture


def _refuse_foreign(folder: Path, keys: bytes) -> None:
    with plain_refusals(folder):
        if not folder.exists():
            return
        if not folder.is_dir():
            raise FileUnusable(f"{folder} is a file.", "Name a folder for the site.")
        own = (folder / _KEYS).is_file() and (folder / _KEYS).read_bytes() == keys
        others = [p.name for p in folder.iterdir() if not p.name.startswith(".")]
    if not own and set(others) - _HOSTS_OWN:
        raise FileUnusable(
            f"{folder} holds other things than the site of this book.",
            "Name an empty folder; what is there is left as it is.",
        )
