"""A foundry that issues certificates, and a forger who holds its database and its log key.

issued = certify(registry)            # P-0001, finished, 3/8
rewrite(registry, 7, larger_run)      # entry 7 says something else, and the book hides it
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import delete, insert, select

from certificates.issue import Issued, issue
from editions.ledger.canonical import canonical, parse
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.tree import leaf_hash
from editions.registry import Reading, Registry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.photographs import file_photograph
from editions.registry.writing import Random
from editions.store import connection, queries
from editions.store.effective import Stored, corrections_in
from editions.store.photographs import keep, prepare
from editions.store.replay import Replay
from editions.store.tables import BOOK_TABLES, PROJECTIONS, checkpoints, held
from tests.certificates.builders import photograph
from tests.registry import builders
from tests.store.books import drop_guards

PASSPHRASE = builders.PASSPHRASE
PIECE = "P-0001"
RUN = "R-0001"

Change = Callable[[dict[str, Any]], None]


def built(where: str | Path, home: Path, *, random: Random | None = None) -> Registry:
    """A registry just begun, and a finished piece of a run of 8, marked and photographed."""
    registry = builders.a_registry(where, home, random=random)
    finished(registry, "3/8")
    mark(registry, PIECE, "Varga 3/8", number="3/8", place="back of the base", method="stamped")
    kept = keep(registry.home.photographs, prepare(photograph()))
    with registry.writing() as w:
        file_photograph(w, PIECE, kept.derivative_digest, kept.original_digest)
    return registry


def finished(registry: Registry, number: str, *, to: str = "approved in colour") -> str:
    """One more piece of the run, carried as far as approval of its colour."""
    with registry.reading() as r:
        run = RUN if r.state(RUN) else None
    return builders.a_piece(registry, run, to=to, number=number)


def mark(registry: Registry, piece: str, text: str, **said: Any) -> None:
    """A mark found on a piece."""
    with registry.writing() as w:
        record_mark(w, piece, text, **said)


def certify(registry: Registry, *pieces: str, **said: Any) -> Issued:
    """Issue certificates; the last of them."""
    return issue(registry, pieces or (PIECE,), passphrase=PASSPHRASE, **said)[-1]


def size(registry: Registry) -> int:
    """How many entries the book holds."""
    with registry.reading() as r:
        return r.size


def kinds(registry: Registry) -> list[str]:
    """The kinds of all entries, in order."""
    with registry.reading() as r:
        return [parse(one.raw)["kind"] for one in queries.stored_entries(r.connection)]


def first(registry: Registry, kind: str) -> int:
    """The position of the first entry of a kind."""
    return kinds(registry).index(kind)


def stored(reading: Reading, position: int) -> bytes:
    """The bytes of an entry."""
    (one,) = queries.stored_entries(reading.connection, position, position + 1)
    return one.raw


def rewrite(
    registry: Registry,
    position: int,
    change: Change,
    *,
    key: PrivateKey | None = None,
    until: int | None = None,
) -> None:
    """Change one entry, and hide it as well as the owner of everything but the papers can.

    The tree is built again, every table is folded again from the changed book, and every checkpoint
    is signed again, with the log key unless another is given; ``until`` cuts the book off there.
    """
    signer = key or registry.log_key()
    with connection.reading(registry.engine) as old:
        stored = list(queries.stored_entries(old, stop=until))
        known = select(checkpoints.c.size).order_by(checkpoints.c.size)
        sizes = [size for size in old.execute(known).scalars() if size <= len(stored)]
    changed = [_changed(one, change) if one.position == position else one for one in stored]
    with registry.engine.connect() as owner:
        drop_guards(owner)
        for table in (*BOOK_TABLES, *PROJECTIONS):
            owner.execute(delete(table))
        owner.execute(delete(held).where(held.c.position >= len(stored)))
        replay = Replay(owner, corrections_in(one.raw for one in changed))
        for start, end in itertools.pairwise([0, *sizes]):
            replay.take(changed[start:end])
            owner.execute(insert(checkpoints), [_checkpoint(replay, signer)])
        owner.commit()


def _changed(one: Stored, change: Change) -> Stored:
    entry = parse(one.raw)
    change(entry)
    raw = canonical(entry)
    return Stored(one.position, leaf_hash(raw), raw)


def _checkpoint(replay: Replay, key: PrivateKey) -> dict[str, Any]:
    origin, grown = builders.ADDRESS.removeprefix("https://"), replay.frontier
    note = sign_checkpoint(Checkpoint(origin, grown.size, grown.root()), key)
    return {"size": grown.size, "frontier": b"".join(grown.hashes), "note": note}
