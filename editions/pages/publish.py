"""Publishing: the whole record as files that any host can serve.

Everything is read from one moment of the book.  A file whose bytes are the same is left alone;
every other is written whole or not at all.  Photographs come first, then pages, tiles, the status
note, and the checkpoint last, so that an interrupted run leaves no checkpoint that speaks of what
is not there.  A tile is never rewritten.  Records that no longer belong are removed; nothing else
in the folder is touched.  A site whose checkpoint this book does not continue is refused.

A folder that holds something else is refused: it must be empty, or a site of this very book.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from editions.errors import BronzebookError, Contradiction, FileUnusable
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.tiles import Tile, tiles_for
from editions.pages import render, site
from editions.pages.view import Room, room
from editions.registry import Registry
from editions.store.files import make_folder, plain_refusals, write_durably, write_once
from editions.trade.numbers import LENGTH

Progress = Callable[[int, int], None]

_PAGE = "index.html"
_CHECKPOINT = "checkpoint"
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

    def put_once(self, name: str, data: bytes) -> None:
        """Write a file that never changes.

        Raises:
            Contradiction: If it is there with other bytes.
        """
        path = self.folder / name
        make_folder(path.parent)
        self.written += write_once(path, data)

    def remove(self, path: Path) -> None:
        """Remove a file of ours, and its folder where nothing else is in it."""
        with plain_refusals(path):
            path.unlink()
            own = path.name == _PAGE or path.parent.suffix == ".p"
            if own and not any(path.parent.iterdir()):
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
        tiles = _tiles_wanted(writer.folder, here)
        make_folder(writer.folder)
        writer.put(_KEYS, site.keys(here))
        writer.put("rotations.txt", site.rotations(here))
        numbers = tuple(site.numbers(here))
        photographs = _photographs(writer, here)
        for done, number in enumerate(numbers, 1):
            writer.put(f"C/{number}/{_PAGE}", site.record(here, number))
            progress(done, len(numbers))
        _plain_pages(writer, here)
        for path in _strays(writer.folder, frozenset(numbers), photographs):
            writer.remove(path)
        for tile in tiles:
            writer.put_once(tile.path, site.tile(here, tile.path))
        writer.put("status", site.status(here, registry.log_key(), registry.clock()))
        writer.put(_CHECKPOINT, site.checkpoint(here))
    for path in _outgrown(writer.folder):
        writer.remove(path)
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


def _tiles_wanted(folder: Path, here: Room) -> list[Tile]:
    """The tiles that are not published yet, or whose file is gone.

    Raises:
        Contradiction: If the book is not grown from the one that is published.
    """
    size, before = here.desk.reading.size, _published_size(folder, here)
    grown = set(tiles_for(before, size))
    return [
        tile for tile in tiles_for(0, size) if tile in grown or not (folder / tile.path).is_file()
    ]


def _published_size(folder: Path, here: Room) -> int:
    path = folder / _CHECKPOINT
    with plain_refusals(path):
        note = path.read_text() if path.is_file() else ""
    if not note:
        return 0
    if here.prover.key is None:
        raise Contradiction("The book names no log key that can be read.", "Run an audit.")
    old = open_checkpoint(note, here.prover.key)
    newest = here.prover.newest()[0]
    try:
        if newest is None:
            raise Contradiction("The newest checkpoint of the book does not hold.")
        here.prover.require_grown(old, newest)
    except BronzebookError as fault:
        raise Contradiction(
            f"This book does not continue the {old.size} entries published in {folder}. "
            f"{fault.message}",
            "Run an audit, and keep the folder: its checkpoint is evidence.",
        ) from None
    return old.size


def _outgrown(folder: Path) -> Iterator[Path]:
    """Partial tiles whose full tile is published."""
    for partial in sorted(folder.glob("tile/**/*.p/*")):
        if partial.parent.with_suffix("").is_file():
            yield partial


def _ours(published: bytes, keys: bytes) -> bool:
    """Whether a folder's keys are keys of this book: all of them, or those it had before."""
    return bool(published) and set(published.splitlines()) <= set(keys.splitlines())


def _refuse_foreign(folder: Path, keys: bytes) -> None:
    with plain_refusals(folder):
        if not folder.exists():
            return
        if not folder.is_dir():
            raise FileUnusable(f"{folder} is a file.", "Name a folder for the site.")
        own = (folder / _KEYS).is_file() and _ours((folder / _KEYS).read_bytes(), keys)
        others = [p.name for p in folder.iterdir() if not p.name.startswith(".")]
    if not own and set(others) - _HOSTS_OWN:
        raise FileUnusable(
            f"{folder} holds other things than the site of this book.",
            "Name an empty folder; what is there is left as it is.",
        )
