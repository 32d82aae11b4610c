"""What entries after a position changed: for whoever keeps something that was made before them.

A look-up is known by a mark (:mod:`editions.pages.watching`): a code, ``ROLE TARGET`` for a link,
``=RUN NUMBER`` for a number, ``@NAME`` for a name.  Marks of what a subject *was* linked to need no
table: whoever found it there has its code.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from typing import TypeVar

from sqlalchemy import Connection, select

from editions.store.effective import Stored
from editions.store.tables import checkpoints, entries, links, names, numbers, touches

Item = TypeVar("Item")

_IN_ONE_LOOK = 400
_IN_ONE_FETCH = 2000
_LEAF = b"\x00"


def changed_since(connection: Connection, position: int) -> set[str]:
    """The marks of every look-up that entries from a position on may answer otherwise."""
    look = select(touches.c.code).where(touches.c.position >= position).distinct()
    return _marks_of(connection, list(connection.execute(look).scalars()))


def touched_by(connection: Connection, positions: Iterable[int]) -> set[str]:
    """The codes that the entries at these positions touch."""
    wanted, found = list(positions), set[str]()
    for part in _parts(wanted):
        look = select(touches.c.code).where(touches.c.position.in_(part))
        found.update(connection.execute(look).scalars())
    return found


def _marks_of(connection: Connection, codes: list[str]) -> set[str]:
    marks = set(codes)
    for part in _parts(codes):
        linked = select(links.c.role, links.c.target).where(links.c.code.in_(part))
        marks.update(f"{role} {target}" for role, target in connection.execute(linked))
        borne = select(numbers.c.run, numbers.c.number).where(numbers.c.code.in_(part))
        marks.update(f"={run} {number}" for run, number in connection.execute(borne))
        named = select(names.c.name).where(names.c.code.in_(part))
        marks.update(f"@{name}" for name in connection.execute(named).scalars())
    return marks


def entries_of(connection: Connection, codes: list[str]) -> dict[str, list[Stored]]:
    """Every entry that touches each of these subjects, in the order of the book."""
    found: dict[str, list[Stored]] = {code: [] for code in codes}
    for part in _parts(codes):
        look = (
            select(touches.c.code, entries.c.position, entries.c.leaf, entries.c.bytes)
            .join(touches, touches.c.position == entries.c.position)
            .where(touches.c.code.in_(part))
            .order_by(entries.c.position)
        )
        for code, *stored in connection.execute(look):
            found[code].append(Stored(*stored))
    return found


def checkpoint_sizes(connection: Connection) -> list[int]:
    """The size of every checkpoint, the smallest first."""
    return list(
        connection.execute(select(checkpoints.c.size).order_by(checkpoints.c.size)).scalars()
    )


def linked_codes(connection: Connection, role: str, targets: list[str]) -> dict[str, list[str]]:
    """The codes of what is linked to each of these targets in a role, in order."""
    found: dict[str, list[str]] = {target: [] for target in targets}
    for part in _parts(targets):
        look = select(links.c.target, links.c.code).order_by(links.c.code)
        look = look.where(links.c.role == role, links.c.target.in_(part))
        for target, code in connection.execute(look):
            found[target].append(code)
    return found


def bearers(connection: Connection, runs: list[str]) -> dict[str, dict[str, str]]:
    """Who bears each number of these runs, by run and number."""
    found: dict[str, dict[str, str]] = {run: {} for run in runs}
    for part in _parts(runs):
        look = select(numbers.c.run, numbers.c.number, numbers.c.code)
        for run, number, code in connection.execute(look.where(numbers.c.run.in_(part))):
            found[run][number] = code
    return found


def _parts(items: list[Item]) -> Iterator[list[Item]]:
    for start in range(0, len(items), _IN_ONE_LOOK):
        yield items[start : start + _IN_ONE_LOOK]


def leaves_of(connection: Connection) -> Iterator[bytes]:
    """The leaf hash of each entry, made anew from its bytes."""
    look = select(entries.c.bytes).order_by(entries.c.position)
    found = connection.execute(look.execution_options(yield_per=_IN_ONE_FETCH))
    sha256 = hashlib.sha256
    for part in found.scalars().partitions():
        for raw in part:
            yield sha256(_LEAF + raw).digest()
