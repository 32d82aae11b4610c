"""Making the files of a site: the bytes of each, the day of its content, what it draws on.

A page bears the day on which its content was last made: one that is made again and says the same is
left as it is, day and all.  What is otherwise is written as a draft; :mod:`editions.pages.publish`
gives the drafts their places when all are there.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from editions.errors import NotKnown
from editions.pages import site
from editions.pages.addresses import Address
from editions.pages.installing import Installer
from editions.pages.lately import ABSENT, Made, stamp_of
from editions.pages.view import Room

_UNPLACED = -1


class Task(NamedTuple):
    """A file to be made: its address, which member of it, and what was published before."""

    address: Address
    member: str
    before: Made | None


class Drafted(NamedTuple):
    """A file that was made: the marks of what it draws on, and the draft where it is otherwise.

    ``fresh`` is whether the file is not the one that was noted: what lies there is to be noted.
    """

    name: str
    made: Made
    marks: tuple[str, ...]
    fresh: bool
    draft: Path | None


class Drafter:
    """Makes the files of one site from one moment of the book."""

    def __init__(self, here: Room, installer: Installer) -> None:
        self.here = here
        self.installer = installer
        self.today = here.published
        self._marks: dict[tuple[str, ...], tuple[str, ...]] = {}

    def draft_all(
        self, tasks: Sequence[Task], each: Callable[[], None] = lambda: None
    ) -> list[Drafted]:
        """Make these files; what they are about is read at once.

        Args:
            tasks: The files to be made.
            each: Called when one is done.

        Raises:
            Contradiction: If a file that never changes is there with other bytes.
            MachineRefused: No room, or no permission.
        """
        site.fetch(self.here, [(task.address, task.member) for task in tasks])
        found = list[Drafted]()
        for task in tasks:
            # A photograph that is lost, a paper that is not at hand: the site does without.
            if (drafted := self._drafted(task)) is not None:
                found.append(drafted)
            each()
        return found

    def _drafted(self, task: Task) -> Drafted | None:
        name = task.address.file(task.member)
        try:
            data, made, marks = self._content(task)
        except NotKnown:
            return None
        fresh = made.stamp == ABSENT or made.stamp != stamp_of(f"{self.installer.folder}/{name}")
        needed = fresh and not self._lies_there(task.address, name, data)
        draft = self.installer.draft(name, data) if needed else None
        return Drafted(name, made, marks, fresh, draft)

    def _lies_there(self, address: Address, name: str, data: bytes) -> bool:
        if address.once and self.installer.require_unchanged(name, data):
            return True
        return self.installer.same(name, data)

    def _content(self, task: Task) -> tuple[bytes, Made, tuple[str, ...]]:
        """The bytes of a file, dated today unless they say what they said before."""
        before = task.before
        first = before.day if before and task.address.keep != "dated" else self.today
        for day in dict.fromkeys((first, self.today)):
            data, marks = self._dated(task, day)
            digest = hashlib.sha256(data).hexdigest()[:32]
            if before is not None and digest == before.digest:
                return data, replace(before, day=day, draws=_UNPLACED), marks
        return data, Made(ABSENT, digest, day, _UNPLACED), marks

    def _dated(self, task: Task, day: str) -> tuple[bytes, tuple[str, ...]]:
        self.here.published = day
        with self.here.desk.reading.watching() as seen:
            data = task.address.make(self.here, task.member)
        marks = tuple(sorted(seen))
        # The files of one record draw on the same.
        return data, self._marks.setdefault(marks, marks)
