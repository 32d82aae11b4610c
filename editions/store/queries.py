"""Reading: entries, proofs, subjects, links, words.  Everything here sees one connection."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from sqlalchemy import Connection, Select, and_, bindparam, func, or_, select

from editions.errors import Contradiction, NotKnown
from editions.store.effective import AMENDING, Changes, Stored, corrections_in, effective
from editions.store.tables import (
    checkpoints,
    entries,
    held,
    links,
    names,
    nodes,
    numbers,
    subjects,
    touches,
)
from editions.trade.kinds import Happened
from editions.trade.strikes import STRIKE

Held = dict[str, tuple[bytes, bytes]]
"""The held fields of an entry: salt and canonical value of each."""

_STORED = (entries.c.position, entries.c.leaf, entries.c.bytes)


def size(connection: Connection) -> int:
    """How many entries the book holds."""
    return int(connection.execute(select(func.count()).select_from(entries)).scalar_one())


def stored_entries(
    connection: Connection, start: int = 0, stop: int | None = None
) -> Iterator[Stored]:
    """Entries from ``start`` up to ``stop``, in the order of the book."""
    look = select(*_STORED).where(entries.c.position >= start).order_by(entries.c.position)
    if stop is not None:
        look = look.where(entries.c.position < stop)
    for row in connection.execute(look.execution_options(yield_per=1000)):
        yield Stored(*row)


def entry_by_leaf(connection: Connection, leaf: bytes) -> Stored:
    """The entry with this leaf hash.

    Raises:
        NotKnown: If the book holds none.
    """
    row = connection.execute(select(*_STORED).where(entries.c.leaf == leaf)).first()
    if row is None:
        raise NotKnown(f"No entry has the leaf {leaf.hex()}.", "See: bronzebook show CODE.")
    return Stored(*row)


def entries_by_leaf_start(connection: Connection, start: str, most: int = 3) -> list[Stored]:
    """The entries whose leaf hash, in hex, begins with ``start``; ``most`` of them at most."""
    low, high = (bytes.fromhex(start.ljust(64, digit)) for digit in "0f")
    look = select(*_STORED).where(entries.c.leaf.between(low, high)).order_by(entries.c.position)
    return [Stored(*row) for row in connection.execute(look.limit(most))]


def entries_touching(connection: Connection, code: str) -> list[Stored]:
    """Every entry that touches a subject, in the order of the book."""
    look = (
        select(*_STORED)
        .join(touches, touches.c.position == entries.c.position)
        .where(touches.c.code == code)
        .order_by(entries.c.position)
    )
    return [Stored(*row) for row in connection.execute(look)]


def history(connection: Connection, code: str) -> list[tuple[Stored, Happened]]:
    """The effective entries that touch a subject: corrections applied, what is struck left out."""
    stored = entries_touching(connection, code)
    changes = corrections_in(one.raw for one in stored)
    return list(effective(stored, changes))


def all_corrections(connection: Connection) -> Changes:
    """Every correction and strike in the book, by the leaf it names."""
    look = select(entries.c.bytes).where(entries.c.kind.in_(AMENDING))
    return corrections_in(
        row.bytes for row in connection.execute(look.order_by(entries.c.position))
    )


def corrected_after(connection: Connection, codes: Sequence[str], position: int) -> set[str]:
    """Those of these subjects that a correction or a strike after a position touches."""
    later = touches.c.code.in_(codes) & (touches.c.position > position)
    look = select(touches.c.code).join(entries, entries.c.position == touches.c.position)
    return set(connection.execute(look.where(later, entries.c.kind.in_(AMENDING))).scalars())


def was_struck(connection: Connection, code: str) -> bool:
    """Whether a strike touches a subject."""
    look = select(entries.c.position).join(touches, touches.c.position == entries.c.position)
    look = look.where(touches.c.code == code, entries.c.kind == STRIKE).limit(1)
    return connection.execute(look).first() is not None


def entries_of_kind(connection: Connection, kind: str) -> list[Stored]:
    """Every entry of a kind, in the order of the book."""
    look = select(*_STORED).where(entries.c.kind == kind).order_by(entries.c.position)
    return [Stored(*row) for row in connection.execute(look)]


def entries_holding(connection: Connection, text: str) -> list[Stored]:
    """Every entry in whose bytes a text stands as a whole word of the facts, such as a code."""
    wanted = f'"{text}"'.encode()
    return [one for one in stored_entries(connection) if wanted in one.raw]


def nodes_at(places: Sequence[tuple[int, int]]) -> Select[tuple[int, int, bytes]]:
    """The statement that reads the nodes at these places, each a level and a place in it.

    It asks level by level: for pairs, SQLite reads the whole table, however few are wanted.
    """
    levels: dict[int, list[int]] = {}
    for level, place in places:
        levels.setdefault(level, []).append(place)
    return select(nodes).where(
        or_(
            *(
                and_(nodes.c.level == level, nodes.c.place.in_(wanted))
                for level, wanted in levels.items()
            )
        )
    )


def node_reader(connection: Connection) -> Callable[[Sequence[tuple[int, int]]], Sequence[bytes]]:
    """A reader of tree nodes for proofs: one statement a proof.

    Raises:
        Contradiction: When called for a node that is missing.
    """

    def read(wanted: Sequence[tuple[int, int]]) -> Sequence[bytes]:
        if not wanted:
            return []
        look = nodes_at(wanted)
        found = {(row.level, row.place): row.hash for row in connection.execute(look)}
        missing = [place for place in wanted if place not in found]
        if missing:
            raise Contradiction(f"The tree lacks node {missing[0]}.", "Run: bronzebook audit.")
        return [found[place] for place in wanted]

    return read


def checkpoint_note(connection: Connection, at_least: int | None = None) -> str:
    """The newest checkpoint's note, or the first that covers ``at_least`` entries.

    Raises:
        NotKnown: If there is none.
    """
    look = select(checkpoints.c.note)
    if at_least is None:
        look = look.order_by(checkpoints.c.size.desc())
    else:
        look = look.where(checkpoints.c.size >= at_least).order_by(checkpoints.c.size)
    note = connection.execute(look.limit(1)).scalar()
    if note is None:
        raise NotKnown(
            "The book has no checkpoint that covers this entry.", "Run: bronzebook audit."
        )
    return str(note)


def held_values(connection: Connection, position: int) -> Held:
    """The held fields of an entry: salt and canonical value; erased ones are absent."""
    look = select(held).where(held.c.position == position)
    return {row.field: (row.salt, row.value) for row in connection.execute(look)}


def held_between(connection: Connection, first: int, last: int) -> dict[int, Held]:
    """The held fields of every entry between two positions, both included, by position."""
    look = select(held).where(held.c.position.between(first, last))
    found: dict[int, Held] = {}
    for row in connection.execute(look):
        found.setdefault(row.position, {})[row.field] = (row.salt, row.value)
    return found


def named(connection: Connection, name: str) -> str | None:
    """The code that a shop tag or heat number belongs to."""
    return connection.execute(select(names.c.code).where(names.c.name == name)).scalar()


# Asked for every page, and so built once.
_LINKED = (
    select(subjects.c.code, subjects.c.state)
    .join(links, links.c.code == subjects.c.code)
    .where(links.c.target == bindparam("target"), links.c.role == bindparam("role"))
    .order_by(subjects.c.code)
)


def linked(connection: Connection, role: str, target: str) -> list[tuple[str, str]]:
    """Code and state of every subject linked to ``target`` in a role, ordered by code."""
    asked = {"target": target, "role": role}
    return [tuple(row) for row in connection.execute(_LINKED, asked)]


def bearer(connection: Connection, run: str, number: str) -> str | None:
    """The code that bears a number of a run."""
    look = select(numbers.c.code).where(numbers.c.run == run, numbers.c.number == number)
    return connection.execute(look).scalar()


def bearing(connection: Connection, words: Sequence[str]) -> list[str]:
    """The codes that bear a number which is one of these, or of which one of these is a part.

    Parts are what a space divides: of ``AP II/IV`` the series and the place in it.
    """
    asked = [word.casefold() for word in words if word]
    folded = func.lower(numbers.c.number)
    parts = [folded.startswith(f"{word} ", autoescape=True) for word in asked]
    parts += [folded.endswith(f" {word}", autoescape=True) for word in asked]
    look = select(numbers.c.code).where(or_(folded.in_(asked), *parts))
    return [str(code) for code in connection.execute(look.order_by(numbers.c.code)).scalars()]


def subjects_of(
    connection: Connection, letter: str, *, only_open: bool = False
) -> list[tuple[str, str]]:
    """Code and state of every subject of a letter ("" for certificates), ordered by code."""
    look = select(subjects.c.code, subjects.c.state).where(subjects.c.letter == letter)
    if only_open:
        look = look.where(subjects.c.open == 1)
    return [tuple(row) for row in connection.execute(look.order_by(subjects.c.code))]


def known_codes(connection: Connection, letter: str | None = None) -> list[str]:
    """Every registry code, and every shop tag, for suggestions and completion."""
    codes = select(subjects.c.code)
    if letter is not None:
        codes = codes.where(subjects.c.letter == letter)
    found = [str(code) for code in connection.execute(codes).scalars()]
    return sorted(
        found + [str(name) for name in connection.execute(select(names.c.name)).scalars()]
    )


def recorded_at(connection: Connection, entry_id: str) -> str | None:
    """When the entry with this id was recorded; the first entry of a batch has the batch's id."""
    return connection.execute(select(entries.c.at).where(entries.c.id == entry_id)).scalar()


def search(connection: Connection, words: Sequence[str]) -> list[Any]:
    """Code, letter and title of subjects whose words contain every one of these."""
    look = select(subjects.c.code, subjects.c.letter, subjects.c.title)
    for word in words:
        look = look.where(subjects.c.words.contains(word.casefold(), autoescape=True))
    return list(connection.execute(look.order_by(subjects.c.code)))
