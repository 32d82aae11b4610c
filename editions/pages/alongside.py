"""Making the files of a large site in several processes, each over the same moment of the book.

Records are most of a site, and no record needs another: they are given out in parts, from the
front; the process that publishes takes parts from the end until all are taken.  Only it puts
anything in place, so an interrupted run leaves the old site whole as ever.

A process that comes to another moment (something was entered meanwhile) makes nothing, and one may
be killed; the parts that were given to it are then made by the process that publishes.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from multiprocessing import get_context, parent_process
from pathlib import Path

import msgspec

from editions.pages import site
from editions.pages.drafting import Drafted, Drafter, Task
from editions.pages.installing import Installer
from editions.pages.lately import Made
from editions.pages.view import Room, room
from editions.registry.homes import Home
from editions.registry.opening import open_registry

Given = tuple[str, str, Made | None]
"""A task as another process is told it: the path of the address, the member, what was before."""

# Below so many files, another process is not ready before all is done.
_MANY = 2_000
# The disk and the writer's share do not grow with more.
MOST = 4


class Moment(msgspec.Struct, frozen=True, kw_only=True):
    """All that another process must know to make the same files; ``size`` is the book's."""

    home: Home
    size: int
    hashed: bool
    published: str
    folder: Path
    staging: Path


def draft_parts(
    drafter: Drafter,
    parts: Sequence[Sequence[Task]],
    processes: int,
    told: Callable[[int], None],
) -> list[list[Drafted]]:
    """Make all these files, a part after the other, or some of the parts elsewhere meanwhile.

    Args:
        drafter: Makes files in this process.
        parts: The files.
        processes: In how many processes, this one among them.
        told: Told how many files are made.

    Raises:
        Contradiction: If a file that never changes is there with other bytes.
        MachineRefused: No room, or no permission.
    """
    count = _Count(told)
    if processes < 2 or sum(map(len, parts)) < _MANY:
        return [drafter.draft_all(part, count.one) for part in parts]
    with _company(_moment(drafter), min(processes, MOST) - 1) as company:
        given = {
            place: company.submit(_draft, list(map(_given, part)))
            for place, part in enumerate(parts)
            if all(task.address.family == site.RECORD for task in part)
        }
        return _shared(drafter, parts, given, count)


class _Count:
    """How many files are made, here and elsewhere."""

    def __init__(self, told: Callable[[int], None]) -> None:
        self._told = told
        self._here = 0
        self._elsewhere = 0

    def one(self) -> None:
        """One more was made in this process."""
        self._here += 1
        self._told(self._here + self._elsewhere)

    def elsewhere(self, files: int) -> None:
        """So many were made in others until now."""
        self._elsewhere = files
        self._told(self._here + self._elsewhere)


def _shared(
    drafter: Drafter,
    parts: Sequence[Sequence[Task]],
    given: dict[int, Future[list[Drafted] | None]],
    count: _Count,
) -> list[list[Drafted]]:
    found = dict[int, list[Drafted]]()
    for place in reversed(range(len(parts))):
        if place not in given or given[place].cancel():
            found[place] = drafter.draft_all(parts[place], count.one)
            done = (at for at, future in given.items() if at not in found and future.done())
            count.elsewhere(sum(len(parts[at]) for at in done))
    elsewhere = sorted(given.keys() - found.keys())
    for place in elsewhere:
        made = _made(given[place])
        found[place] = drafter.draft_all(parts[place]) if made is None else made
        count.elsewhere(sum(len(parts[at]) for at in elsewhere if at in found))
    return [found[place] for place in range(len(parts))]


def _made(future: Future[list[Drafted] | None]) -> list[Drafted] | None:
    try:
        return future.result()
    except BrokenProcessPool:
        return None


def _moment(drafter: Drafter) -> Moment:
    here, installer = drafter.here, drafter.installer
    return Moment(
        home=here.home,
        size=here.desk.reading.size,
        hashed=here.prover.hashed,
        published=drafter.today,
        folder=installer.folder,
        staging=installer.staging,
    )


@contextmanager
def _company(moment: Moment, processes: int) -> Iterator[ProcessPoolExecutor]:
    # Begun anew: a copy of this process would share its connection to the database.
    company = ProcessPoolExecutor(
        processes, mp_context=get_context("spawn"), initializer=_begin, initargs=(moment,)
    )
    try:
        yield company
    finally:
        company.shutdown(cancel_futures=True)


def _given(task: Task) -> Given:
    return task.address.path, task.member, task.before


# What follows runs in the other processes.

_DRAFTERS: list[Drafter] = []
"""The drafter of such a process, once it has begun."""

_OPEN = ExitStack()


def _begin(moment: Moment) -> None:
    """Come to the moment, and stay there; the process that publishes is told of no fault."""
    # Who interrupts means the process that publishes, which ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    registry = open_registry(moment.home.database, home=moment.home.folder)
    here: Room = _OPEN.enter_context(room(registry, moment.published))
    if here.desk.reading.size == moment.size:
        here.prover.hashed = moment.hashed
        _DRAFTERS.append(Drafter(here, Installer(moment.folder, moment.staging)))


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _draft(tasks: Sequence[Given]) -> list[Drafted] | None:
    """The files of a part; None where this process is not at the moment that is published."""
    by_path = {address.path: address for address in site.ADDRESSES}
    for drafter in _DRAFTERS:
        return drafter.draft_all([Task(by_path[path], one, was) for path, one, was in tasks])
    return None
