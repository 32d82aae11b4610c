"""A whole database rewritten by one who holds it, the log key and, at last, the certifying key."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import delete, insert, select

from certificates.attach import read_attachments
from certificates.carried import CLAIM
from certificates.checks import STANDING
from certificates.claim import code_text, peek_claim
from certificates.issue import seal_of
from certificates.pdf import draw
from certificates.standing import check_code, check_pdf
from certificates.verify import Verdict
from editions.errors import BronzebookError, Contradiction
from editions.exchange import demo_story
from editions.ledger.canonical import canonical, parse
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.envelope import decode
from editions.ledger.keys import PrivateKey
from editions.ledger.tree import Frontier, leaf_hash
from editions.ledger.witness import Memory
from editions.registry import Registry
from editions.registry.auditing import audit
from editions.registry.witnesses import compare_witness
from editions.store import connection, queries
from editions.store.effective import Stored, corrections_in
from editions.store.journal import entry_row
from editions.store.replay import Replay
from editions.store.tables import BOOK_TABLES, PROJECTIONS, checkpoints, entries, held, nodes
from editions.trade.certificates import Certificate
from tests.campaign.forging import ACTS, Came, zone
from tests.campaign.story import PASSPHRASE, Told
from tests.campaign.tally import Tally
from tests.store.books import drop_guards


def book_of(registry: Registry) -> list[Came]:
    """The entries of a book as they are."""
    with connection.reading(registry.engine) as reading:
        return [(one.position, one.raw) for one in queries.stored_entries(reading)]


def rewrite(registry: Registry, book: Sequence[Came], key: PrivateKey | None) -> bool:
    """Put these entries in place of the book; returns whether its tables could be folded anew.

    Held values follow their entries, the tree is computed again, and with a key every checkpoint is
    signed again.  Where the entries cannot be folded the old tables are left.
    """
    stored = [Stored(at, leaf_hash(raw), raw) for at, (_, raw) in enumerate(book)]
    with registry.engine.connect() as owner:
        drop_guards(owner)
        _move_held(owner, book)
        folded = _fold(owner, stored)
        if not folded:
            _write_alone(owner, stored)
        if key is not None:
            _sign(owner, [one.raw for one in stored], key)
        owner.commit()
    return folded


def sign_again(registry: Registry, key: PrivateKey) -> None:
    """Sign every checkpoint of a book that was rewritten."""
    book = book_of(registry)
    with registry.engine.connect() as owner:
        _sign(owner, [raw for _, raw in book], key)
        owner.commit()


def _move_held(owner: connection.Connection, book: Sequence[Came]) -> None:
    rows = [dict(row) for row in owner.execute(select(held)).mappings()]
    now = {came: at for at, (came, _) in enumerate(book) if came is not None}
    owner.execute(delete(held))
    moved = [row | {"position": now[row["position"]]} for row in rows if row["position"] in now]
    owner.execute(insert(held), moved)


def _fold(owner: connection.Connection, stored: list[Stored]) -> bool:
    unfolded = owner.begin_nested()
    try:
        for table in (*BOOK_TABLES, *PROJECTIONS):
            if table is not checkpoints:
                owner.execute(delete(table))
        Replay(owner, corrections_in(one.raw for one in stored)).take(stored)
    except (BronzebookError, AttributeError, TypeError):
        unfolded.rollback()
        return False
    unfolded.commit()
    return True


def _write_alone(owner: connection.Connection, stored: list[Stored]) -> None:
    for table in (entries, nodes):
        owner.execute(delete(table))
    rows = [entry_row(one.position, decode(one.raw), one.leaf, one.raw) for one in stored]
    _, closed = Frontier(0, ()).grown([one.leaf for one in stored])
    owner.execute(insert(entries), rows)
    owner.execute(
        insert(nodes), [{"level": n.level, "place": n.index, "hash": n.hash} for n in closed]
    )


def _sign(owner: connection.Connection, book: Sequence[bytes], key: PrivateKey) -> None:
    """A checkpoint at the end of each batch, as one who writes honestly would have left it."""
    batches = [parse(raw)["batch"] for raw in book]
    frontier, rows = Frontier(0, ()), list[dict[str, Any]]()
    for at, raw in enumerate(book, 1):
        frontier, _ = frontier.grown([leaf_hash(raw)])
        if at == len(book) or batches[at] != batches[at - 1]:
            origin = demo_story.ADDRESS.removeprefix("https://")
            note = sign_checkpoint(Checkpoint(origin, at, frontier.root()), key)
            rows.append({"size": at, "frontier": b"".join(frontier.hashes), "note": note})
    owner.execute(delete(checkpoints))
    owner.execute(insert(checkpoints), rows)


def code_on(paper: bytes) -> str:
    """The text of a paper's code."""
    cose = read_attachments(paper)[CLAIM]
    return code_text(demo_story.ADDRESS, peek_claim(cose)[0].number, cose)


def forge_in_database(told: Told, work: Path, tally: Tally, samples: Sequence[int]) -> list[str]:
    """Every act on some entries, in whole databases; returns what should be found and is not."""
    missed = []
    codes = [code_on(paper) for paper in told.papers]
    for name in ACTS:
        for at in (place for place in samples if place < told.size - (name == "swapped")):
            registry = told.copied(work / "forged")
            try:
                missed += _forge(told, registry, tally, name, at, codes)
            finally:
                registry.close()
    return missed


def _forge(
    told: Told, registry: Registry, tally: Tally, name: str, at: int, codes: Sequence[str]
) -> list[str]:
    """One act on one entry: the tree recomputed first, then signed with the log key."""
    book, key = ACTS[name](book_of(registry), at), registry.log_key()
    rewrite(registry, book, None)
    unsigned = not audit(registry).faults
    tally.add("tree recomputed, in a database", audit=not unsigned, nobody=unsigned)
    sign_again(registry, key)
    silent = not audit(registry).faults
    paper = any(_contradicts(registry, code) for code in codes)
    witness = _is_contradicted(registry, told.memory)
    row = f"log key used, in a database, {zone(told, at)}"
    nobody = silent and not paper and not witness
    tally.add(row, audit=not silent, paper=paper, witness=witness, nobody=nobody)
    missed = [f"{name} {at}, tree recomputed"] if unsigned else []
    if not (paper or at >= told.papered) or not (witness or at >= told.seen.size):
        missed.append(f"{name} {at}, log key used")
    return missed


def _contradicts(registry: Registry, code: str) -> bool:
    """Whether the book contradicts a paper; that it was replaced in good order does not count."""
    verdict = check_code(registry, code)
    return verdict.status == 3 and not _ended(verdict)


def _is_contradicted(registry: Registry, memory: Memory) -> bool:
    """Whether the book is not what a witness saw: the comparison that an audit makes."""
    with registry.reading() as reading:
        try:
            compare_witness(reading, str(memory), registry.log_verifier())
        except Contradiction:
            return True
    return False


def reissue_all(registry: Registry) -> None:
    """Draw every certificate again over a rewritten book, with both keys, and enter each digest.

    A paper states the book as it was after the paper before it was entered, so one is drawn, the
    book rewritten with its digest, and then the next.
    """
    key = registry.certifying_key(PASSPHRASE)
    for number in _in_order(registry):
        with registry.reading() as reading:
            certificate = reading.get(number, Certificate)
            seal, size = seal_of(reading, certificate, key)
        pdf = draw(certificate.statement, seal, None, "A4")
        (registry.home.certificates / f"{number}.pdf").write_bytes(pdf)
        digests = {"pdf": hashlib.sha256(pdf), "claim": hashlib.sha256(seal.claim)}
        says = {"size": size} | {name: digest.hexdigest() for name, digest in digests.items()}
        book = [(came, _entered_again(raw, number, says)) for came, raw in book_of(registry)]
        rewrite(registry, book, registry.log_key())


def _in_order(registry: Registry) -> list[str]:
    drawn = (parse(raw) for _, raw in book_of(registry))
    return [entry["subject"] for entry in drawn if entry["kind"] == "certificate_drawn"]


def _entered_again(raw: bytes, number: str, says: dict[str, Any]) -> bytes:
    entry = parse(raw)
    if (entry["kind"], entry["subject"]) != ("certificate_drawn", number):
        return raw
    entry["facts"] |= says
    return canonical(entry)


def forge_with_both_keys(
    told: Told, work: Path, tally: Tally, samples: Sequence[int], acts: Sequence[str]
) -> list[str]:
    """Rewrite entries and reissue every paper; the forgeries agree, the papers outside do not."""
    missed = []
    for name in acts:
        for at in samples:
            registry = told.copied(work / "reissued")
            try:
                missed += _reissue(told, registry, tally, name, at)
            finally:
                registry.close()
    return missed


def _reissue(told: Told, registry: Registry, tally: Tally, name: str, at: int) -> list[str]:
    key = registry.log_key()
    folded = rewrite(registry, ACTS[name](book_of(registry), at), key)
    if folded:
        reissue_all(registry)
    silent = not audit(registry).faults
    forged = [check_pdf(registry, path.read_bytes()) for path in _papers(registry)]
    held_out = [check_pdf(registry, paper) for paper in told.papers]
    paper = any(verdict.status == 3 and not _ended(verdict) for verdict in held_out)
    witness = _is_contradicted(registry, told.memory)
    row = f"both keys used, all reissued, {zone(told, at)}"
    nobody = silent and not paper and not witness
    tally.add(row, audit=not silent, paper=paper, witness=witness, nobody=nobody)
    missed = []
    # An entry whose held value was erased later cannot be changed: the erasure names its leaf.
    if silent and not all(map(_passes, forged)):
        missed.append(f"both keys, {name} {at}: the forger's own paper was told")
    if at < told.papered and not paper:
        missed.append(f"both keys, {name} {at}: no paper contradicts")
    if at < told.seen.size and not witness:
        missed.append(f"both keys, {name} {at}: the witness follows")
    return missed


def _papers(registry: Registry) -> list[Path]:
    return sorted(registry.home.certificates.glob("*.pdf"))


def _ended(verdict: Verdict) -> bool:
    """Whether nothing but its standing is against it: it was withdrawn or replaced."""
    unknown = any("has issued no certificate" in check.says for check in verdict.contradicted)
    return not unknown and all(check.name == STANDING for check in verdict.contradicted)


def _passes(verdict: Verdict) -> bool:
    return verdict.status == 0 or _ended(verdict)
