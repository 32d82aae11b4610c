"""The audit: every leaf, node, checkpoint and held digest, and a replay of the whole book.

Nothing stops at the first fault; every fault is a line that says where and what.  The audit
believes only the raw bytes of the entries and the log key it is given::

    report = audit(connection, log_key)
    report.faults  ->  ("entry 12: its bytes do not hash to its leaf",)
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import msgspec
from sqlalchemy import Connection, select

from editions.errors import BronzebookError
from editions.ledger.canonical import parse
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.envelope import Entry, decode
from editions.ledger.held import opens
from editions.ledger.logkeys import LogKey
from editions.ledger.tree import Frontier, leaf_hash
from editions.store import compare, connection, erasing, queries, schema
from editions.store.effective import Stored
from editions.store.replay import Replay, in_batches
from editions.store.tables import BOOK_TABLES, PROJECTIONS, checkpoints, entries, held
from editions.trade.catalogue import KINDS

CERTIFICATE = "certificate_drawn"


class Witnessed(msgspec.Struct, frozen=True, kw_only=True):
    """What one witness saw of the book: which key, as its public text, how many entries, when."""

    witness: str
    fingerprint: str
    size: int
    seen: str


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """What an audit found.

    ``tail`` counts the entries after the newest checkpoint that a certificate carries, or one that
    a witness saw and the book continues: the part of the book that nobody outside vouches for.
    """

    entries: int
    checkpoints: int
    held: int
    certificates: int
    tail: int
    witnesses: tuple[Witnessed, ...] = ()
    faults: tuple[str, ...]


class _Seen:
    """What one pass over the entries gathers."""

    def __init__(self, erased: erasing.Erased) -> None:
        self.faults: list[str] = []
        self.erased = erased
        self.count = 0
        self.next = 0
        self.batch = ""
        self.ends: set[int] = set()
        self.held = 0
        self.certificates = 0
        self.witnessed = 0
        self.last_at = ""
        self.roots: dict[int, Frontier] = {}


def audit(book: Connection, log_key: LogKey) -> Report:
    """Check the whole book; the report lists every fault, never only the first.

    Args:
        book: A connection that sees one moment of the book.
        log_key: The key that its checkpoints must be signed by.
    """
    seen = _Seen(erasing.erased_in(book))
    sizes = set(book.execute(select(checkpoints.c.size)).scalars())
    with TemporaryDirectory(prefix="bronzebook-audit-") as folder:
        engine = connection.engine_for(Path(folder) / "replay.db")
        schema.build(engine)
        with connection.writing(engine) as fresh:
            replayed = _read_and_replay(book, fresh, seen, sizes)
            if replayed:
                seen.faults += _compare_tables(book, fresh)
        engine.dispose()
    seen.faults += _stray_held(book, seen.count)
    seen.faults += _check_checkpoints(book, log_key, seen)
    seen.faults += _unsigned(sizes, seen)
    return Report(
        entries=seen.count,
        checkpoints=len(sizes),
        held=seen.held,
        certificates=seen.certificates,
        tail=seen.count - min(seen.witnessed, seen.count),
        faults=tuple(dict.fromkeys(seen.faults)),
    )


def _read_and_replay(book: Connection, fresh: Connection, seen: _Seen, sizes: set[int]) -> bool:
    try:
        replay: Replay | None = Replay(fresh, queries.all_corrections(book))
    except BronzebookError as fault:
        seen.faults.append(f"corrections: {fault.message}")
        replay = None
    for batch in in_batches(queries.stored_entries(book)):
        kept = queries.held_between(book, batch[0].position, batch[-1].position)
        for one in batch:
            _check_entry(one, kept.get(one.position, {}), seen)
        if replay is not None:
            replay = _replay_batch(replay, batch, seen, sizes)
    if replay is None:
        seen.faults.append("tables: not compared, because the book cannot be replayed")
    return replay is not None


def _replay_batch(
    replay: Replay, batch: list[Stored], seen: _Seen, sizes: set[int]
) -> Replay | None:
    # Cut where a checkpoint was signed, so that the frontier at its size is known.
    start = 0
    for end in [i + 1 for i, one in enumerate(batch) if one.position + 1 in sizes] + [len(batch)]:
        part = batch[start:end]
        try:
            if part:
                replay.take(part)
        except (BronzebookError, AttributeError, TypeError, msgspec.ValidationError) as fault:
            seen.faults.append(f"entries {part[0].position} on: cannot be replayed: {fault}")
            return None
        seen.roots[replay.frontier.size] = replay.frontier
        start = end
    return replay


def _check_entry(one: Stored, kept: queries.Held, seen: _Seen) -> None:
    where = f"entry {one.position}"
    if one.position != seen.next:
        seen.faults.append(f"{where}: position {seen.next} was expected")
    seen.next = one.position + 1
    seen.count += 1
    if leaf_hash(one.raw) != one.leaf:
        seen.faults.append(f"{where}: its bytes do not hash to its leaf")
    try:
        entry = decode(one.raw)
    except BronzebookError as fault:
        seen.faults.append(f"{where}: {fault.message}")
        return
    if entry.kind not in KINDS:
        seen.faults.append(f"{where}: its kind {entry.kind!r} is not known")
    if entry.at < seen.last_at:
        seen.faults.append(f"{where}: recorded before the entry that it follows")
    seen.last_at = max(seen.last_at, entry.at)
    if entry.batch != seen.batch:
        seen.ends.add(one.position)
        seen.batch = entry.batch
    _check_held(one, entry, kept, seen)
    if entry.kind == CERTIFICATE:
        seen.certificates += 1
        seen.witnessed = max(seen.witnessed, int(entry.facts.get("size", 0)))


def _check_held(one: Stored, entry: Entry, kept: queries.Held, seen: _Seen) -> None:
    position = one.position
    erased = seen.erased.get(one.leaf.hex(), set())
    for field, digest in entry.held.items():
        if field not in kept:
            if field not in erased:
                seen.faults.append(f"entry {position}: the held value of {field} is missing")
            continue
        if field in erased:
            seen.faults.append(f"entry {position}: {field} was erased, and its value is still here")
        seen.held += 1
        salt, value = kept[field]
        if not _opens(digest, field, value, salt):
            seen.faults.append(f"entry {position}: the held value of {field} is not what was said")
    for field in kept.keys() - entry.held.keys():
        seen.faults.append(f"entry {position}: a held value {field} that the entry does not name")


def _opens(digest: str, field: str, value: bytes, salt: bytes) -> bool:
    try:
        return opens(digest, field, parse(value), salt)
    except BronzebookError:
        return False


def _stray_held(book: Connection, count: int) -> Iterator[str]:
    known = select(entries.c.position)
    stray = select(held.c.position).where(held.c.position.not_in(known)).distinct()
    for position in book.execute(stray).scalars():
        yield f"held values of entry {position}: there is no such entry among {count}"


def _compare_tables(book: Connection, fresh: Connection) -> Iterator[str]:
    for table in (*BOOK_TABLES, *PROJECTIONS):
        if table is not checkpoints:
            found = compare.ordered_rows(book, table)
            expected = compare.ordered_rows(fresh, table)
            yield from compare.differences(table, found, expected)


def _check_checkpoints(book: Connection, log_key: LogKey, seen: _Seen) -> Iterator[str]:
    newest = 0
    for size, frontier, note in compare.ordered_rows(book, checkpoints):
        newest = max(newest, size)
        where = f"checkpoint {size}"
        try:
            signed = open_checkpoint(note, log_key)
        except BronzebookError as fault:
            yield f"{where}: {fault.message}"
            continue
        yield from _check_root(where, signed, size, frontier, seen)
    if newest != seen.count:
        yield f"checkpoints: the newest covers {newest} of {seen.count} entries"


def _unsigned(sizes: set[int], seen: _Seen) -> Iterator[str]:
    """A writing ends with a checkpoint, so each batch of entries must end at one, and none else."""
    ends = seen.ends - {0} | {seen.next}
    for size in sorted(ends - sizes):
        yield f"checkpoint {size}: it is missing, though a batch of entries ends here"
    for size in sorted(sizes - ends):
        yield f"checkpoint {size}: no batch of entries ends here"


def _check_root(
    where: str, signed: Checkpoint, size: int, frontier: bytes, seen: _Seen
) -> Iterator[str]:
    if signed.size != size:
        yield f"{where}: the note is signed for {signed.size} entries"
    expected = seen.roots.get(size)
    if expected is None:
        yield f"{where}: the book cannot be recomputed to this size"
    elif expected.root() != signed.root:
        yield f"{where}: the entries do not hash to the root that was signed"
    elif b"".join(expected.hashes) != frontier:
        yield f"{where}: the stored frontier does not follow from the entries"
