"""Publishing: the whole record as files that any host can serve.

Everything is read from one moment of the book.  Only what changed since the last run is made:
:mod:`editions.pages.lately` says how that is known.  New files are made beside the site and put in
place together (:mod:`editions.pages.installing`); the checkpoint comes last, so that an interrupted
run leaves none that speaks of what is not there.  A tile is never rewritten.  What no longer
belongs is removed; nothing else in the folder is touched.

A folder that holds something else is refused: it must be empty, or a site of this very book.  So is
a site whose checkpoint this book does not continue.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from editions.errors import BronzebookError, Contradiction, FileUnusable
from editions.ledger.checkpoint import open_checkpoint
from editions.pages import site
from editions.pages.addresses import MEMBER, Address
from editions.pages.alongside import draft_parts
from editions.pages.altered import altered
from editions.pages.drafting import Drafted, Drafter, Task
from editions.pages.installing import Installer
from editions.pages.lately import Drawn, Lately, Made, makers, stamp_of
from editions.pages.view import Room, room
from editions.pages.watching import ANYTHING, FILE
from editions.registry import Registry
from editions.store.files import plain_refusals
from editions.store.growth import changed_since

Progress = Callable[[int, int], None]

# So many pages' subjects are read together.
_AT_ONCE = 160
_CHECKPOINT = "checkpoint"
_KEYS = "keys.txt"
# What tells how far the site reaches, in the order of writing, after all that it speaks of.
_LAST = ("/status", "/checkpoint")
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


def publish(
    registry: Registry,
    folder: str | Path,
    *,
    progress: Progress = _quiet,
    processes: int = 1,
) -> Published:
    """Write the public record into a folder, or what changed of it.

    Args:
        registry: The registry.
        folder: An empty or missing folder, or one that holds this book's site already.
        progress: Told how many of how many files that have to be made are done.
        processes: In how many processes a large site may be made.  Others than this one begin as
            :mod:`multiprocessing` begins them: they import the program's main module again.

    Raises:
        FileUnusable: If the folder holds something else.
        Contradiction: If the book does not continue what is published there.
        MachineRefused: No room, or no permission.
    """
    into = Path(folder)
    with room(registry) as here:
        _refuse_foreign(into, site.keys(here))
        reached = _published_size(into, here)
        installer = Installer(into)
        installer.begin()
        try:
            run = _Run(here, installer, reached)
            run.make(progress, processes)
            run.install()
        finally:
            installer.clear()
    return Published(
        folder=into,
        records=run.records,
        written=installer.written,
        removed=installer.removed,
    )


class _Run:
    """One publishing: what is kept of the last one, what is made, what goes."""

    def __init__(self, here: Room, installer: Installer, reached: int) -> None:
        self.here = here
        self.installer = installer
        self.today = here.published
        self._size = here.desk.reading.size
        self.before = Lately.read(here.home.folder, installer.folder)
        if self.before.makers != makers():
            self.before = Lately()
        changed = self._changed(reached)
        self._stale = self.before.stale(changed)
        # Of what is fixed, only the files beside the book can be gone.
        self._lost = self.before.stale({one for one in changed if one.startswith(FILE)})
        self._drawn = Drawn(self.before)
        self.made: dict[str, Made] = {}
        self._fresh: list[str] = []
        self._members: dict[str, tuple[str, ...]] = {}

    @property
    def records(self) -> int:
        """How many records the site has."""
        return len(self._members[site.RECORD])

    def _changed(self, reached: int) -> set[str]:
        """The marks of all that may be otherwise than when it was published."""
        connection, size = self.here.desk.reading.connection, self._size
        found = changed_since(connection, self.before.size) | self.before.altered_beside()
        if size != self.before.size:
            found.add(ANYTHING)
        return found | altered(self.here, self.installer.folder, min(size, reached))

    def make(self, progress: Progress, processes: int) -> None:
        """Make every file that cannot be left as it is."""
        wanted: list[Task] = []
        for address in site.ADDRESSES:
            members = self._members[address.path] = tuple(address.members(self.here))
            if address.path not in _LAST:
                left = (one for one in members if not self._left(address, one))
                wanted += [Task(address, one, self._before(address, one)) for one in left]
        wanted = _by_member(wanted)
        parts = [wanted[at : at + _AT_ONCE] for at in range(0, len(wanted), _AT_ONCE)]
        drafter = Drafter(self.here, self.installer)
        for part in draft_parts(
            drafter, parts, processes, lambda done: progress(done, len(wanted))
        ):
            for drafted in part:
                self._take(drafted)

    def _before(self, address: Address, member: str) -> Made | None:
        return self.before.made.get(address.file(member))

    def _left(self, address: Address, member: str) -> bool:
        """Whether a file is left as it is."""
        name = address.file(member)
        known = self.before.made.get(name)
        stale = self._lost if address.keep == "fixed" else self._stale
        if (
            address.keep == "dated"
            or known is None
            or stale[known.draws]
            or known.stamp != stamp_of(f"{self.installer.folder}/{name}")
        ):
            return False
        self.made[name] = known
        return True

    def _take(self, drafted: Drafted) -> None:
        name, made = drafted.name, drafted.made
        self.made[name] = msgspec.structs.replace(made, draws=self._drawn.place(drafted.marks))
        if drafted.fresh:
            self._fresh.append(name)
        if drafted.draft:
            self.installer.take(name, drafted.draft)

    def install(self) -> None:
        """Put everything in place, the checkpoint last; then note it, and remove what goes."""
        last = [(one.file(""), one.make(self.here, "")) for one in self._last()]
        self.installer.finish()
        for name, data in last:
            self.installer.put_last(name, data)
        for name in self._strays():
            self.installer.remove(name)
        self._note()

    def _last(self) -> Iterator[Address]:
        by_path = {address.path: address for address in site.ADDRESSES}
        return (by_path[path] for path in _LAST)

    def _strays(self) -> list[str]:
        """Files under our names that the site no longer has."""
        found = dict.fromkeys(name for name in self.before.made if name not in self.made)
        there = [name for name in found if (self.installer.folder / name).is_file()]
        for address in site.ADDRESSES:
            if address.varies and not address.once:
                there += self._lying(address)
        return list(dict.fromkeys((*there, *_outgrown(self.installer.folder))))

    def _lying(self, address: Address) -> Iterator[str]:
        """The files that lie where those of an address do, each with a member's name."""
        before, after = address.path.removeprefix("/").split(MEMBER)
        folder, _, start = before.rpartition("/")
        tail = "" if "/" in after else after.removesuffix("/")
        place = self.installer.folder / folder
        for name in sorted(os.listdir(place)) if place.is_dir() else ():  # noqa: PTH208 - many
            member = name.removeprefix(start).removesuffix(tail)
            file = address.file(member)
            path = f"{self.installer.folder}/{file}"
            lies = file not in self.made and os.path.isfile(path)  # noqa: PTH113 - likewise
            if lies and self._is_member(address, member):
                yield file

    @staticmethod
    def _is_member(address: Address, member: str) -> bool:
        try:
            return address.read(member) == member
        except BronzebookError:
            return False

    def _note(self) -> None:
        """Note what lies there now."""
        folder = self.installer.folder
        for name in self._fresh:
            now = stamp_of(folder / name)
            self.made[name] = msgspec.structs.replace(self.made[name], stamp=now)
        drawn = self._drawn.used(self.made.values())
        beside = {mark for marks in drawn for mark in marks if mark.startswith(FILE)}
        Lately(
            size=self._size,
            makers=makers(),
            made=self.made,
            drawn=drawn,
            beside={path: stamp_of(path) for path in (one.removeprefix(FILE) for one in beside)},
        ).write(self.here.home.folder, folder)


def _by_member(wanted: list[Task]) -> list[Task]:
    """The files in the order of the site, but all that lies under one record together."""
    ranks: dict[str, int] = {}
    for rank, address in enumerate(site.ADDRESSES):
        ranks.setdefault(address.family, rank)
    places: dict[str, int] = {}
    for place, task in enumerate(wanted):
        places.setdefault(task.member, place)
    return sorted(wanted, key=lambda task: (ranks[task.address.family], places[task.member]))


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


def _outgrown(folder: Path) -> Iterator[str]:
    """Partial tiles whose full tile is published."""
    for partial in sorted(folder.glob("tile/**/*.p/*")):
        if partial.parent.with_suffix("").is_file():
            yield str(partial.relative_to(folder))


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
