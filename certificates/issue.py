"""Issuing certificates, by a protocol that can be stopped and run again at any point.

1. One writing enters ``certificate_issued`` for every piece of the batch; its commit signs a
   checkpoint that covers them all.
2. Each claim names its entry's leaf and that checkpoint, and is signed by the certifying key, which
   is unlocked once a batch.
3. The paper is drawn and kept by number; a file that is there already must have the same bytes.
4. ``certificate_drawn`` enters the PDF's SHA-256; from then on the paper is never drawn again.

Stopped after any step, the next run finds certificates issued but not drawn and goes on with them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Literal, get_args

import msgspec

from certificates.claim import Seal, claim_of, sign_claim
from certificates.stating import state_piece, state_reservation
from editions.errors import Refused
from editions.ledger.canonical import canonical
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.registry import Reading, Registry, Writing
from editions.registry.acts.numbers import number_in
from editions.store.files import write_once
from editions.store.photographs import read as read_photograph
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateIssued,
    CertificateWithdrawn,
    Withdrawal,
)
from editions.trade.kinds import State
from editions.trade.numbers import make_number
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.statement import Paper, Statement

Page = Literal["A4", "letter"]
Progress = Callable[[int, int], None]

_IN_ONE_WRITING = 20


class Issued(msgspec.Struct, frozen=True, kw_only=True):
    """A certificate as issued and drawn."""

    number: str
    code: str
    designation: str | None
    path: Path


def _quiet(_: int, __: int) -> None:
    """No progress wanted."""


def issue(
    registry: Registry,
    pieces: Iterable[str] = (),
    *,
    passphrase: str,
    paper: Paper | None = None,
    page: Page = "A4",
    by: str | None = None,
    progress: Progress = _quiet,
) -> tuple[Issued, ...]:
    """Issue and draw certificates for these pieces, and draw what an earlier run left undrawn.

    Args:
        registry: The registry.
        pieces: Codes or shop tags of pieces; may be empty to finish an earlier run only.
        passphrase: Unlocks the certifying key, before anything is written.
        paper: What kind of paper; by default what the piece is fit for.
        page: The paper's size.
        by: The party who records.
        progress: Told how many of how many papers are drawn.

    Raises:
        KeyUnusable: If the passphrase is wrong.
        Refused: If a piece is not fit for a certificate; nothing is written then.
    """
    key = registry.certifying_key(passphrase)
    wanted = tuple(pieces)
    if wanted:
        with registry.writing(by) as writing:
            for piece in wanted:
                _enter(writing, writing.resolve(piece), paper)
    return draw_waiting(registry, key, page=page, by=by, progress=progress)


def reserve(
    registry: Registry,
    run: str,
    designation: str,
    *,
    passphrase: str,
    page: Page = "A4",
    by: str | None = None,
) -> tuple[Issued, ...]:
    """Issue the paper that reserves a number of a run: a reservation, not a certificate."""
    key = registry.certifying_key(passphrase)
    with registry.writing(by) as writing:
        code, number = writing.resolve(run), make_number(writing.random)
        whole = writing.get(code, Run)
        promised = number_in(whole, designation)
        statement = state_reservation(writing, code, promised, number=number, issued=writing.today)
        record = _record(whole)
        writing.enter(
            CertificateIssued(number=number, statement=statement, record=record, run=code), number
        )
    return draw_waiting(registry, key, page=page, by=by)


def replace_lost(
    registry: Registry, number: str, *, passphrase: str, page: Page = "A4", by: str | None = None
) -> tuple[Issued, ...]:
    """Issue a new certificate in place of a lost one; the old number then answers "replaced"."""
    key = registry.certifying_key(passphrase)
    with registry.writing(by) as writing:
        lost = writing.get(number, Certificate)
        if lost.piece is None:
            raise Refused(f"{number} reserves a number; it is withdrawn, not replaced.")
        _enter(writing, lost.piece, lost.statement.paper, replaces=number)
    return draw_waiting(registry, key, page=page, by=by)


def withdraw(
    registry: Registry,
    number: str,
    because: Withdrawal,
    *,
    reason: str | None = None,
    on: str | None = None,
    by: str | None = None,
) -> None:
    """Withdraw a certificate; the word is open, the reason's story held."""
    with registry.writing(by) as writing:
        writing.get(number, Certificate)
        writing.enter(CertificateWithdrawn(because=because, reason=reason), number, on=on)


def eligible(registry: Registry, run: str) -> tuple[str, ...]:
    """The pieces of a run that may have a certificate now and have none that stands, by code.

    The judges are asked, in a writing that is given up: what is listed here is what they allow.
    """
    with registry.writing(rehearse=True) as writing:
        code = writing.resolve(run)
        pieces = [state.code for state in writing.linked("run", code) if isinstance(state, Piece)]
        return tuple(piece for piece in pieces if _fit(writing, piece))


def _fit(writing: Writing, piece: str) -> bool:
    facts = _issuing(writing, piece, "finished")
    try:
        writing.judge(facts, facts.number)
    except Refused:
        return False
    return True


def _enter(
    writing: Writing, code: str, paper: Paper | None, *, replaces: str | None = None
) -> None:
    kind = paper or ("from_object" if writing.get(code, Piece).from_object else "finished")
    facts = _issuing(writing, code, kind, replaces=replaces)
    writing.enter(facts, facts.number)


def _issuing(
    writing: Writing, code: str, paper: Paper, *, replaces: str | None = None
) -> CertificateIssued:
    piece = writing.get(code, Piece)
    number = make_number(writing.random)
    return CertificateIssued(
        number=number,
        statement=state_piece(writing, code, number=number, issued=writing.today, paper=paper),
        record=_record(piece),
        piece=code,
        run=piece.run,
        replaces=replaces,
    )


def _record(state: State) -> str:
    """SHA-256 of the RFC 8785 form of a subject's open state."""
    return hashlib.sha256(canonical(msgspec.to_builtins(state))).hexdigest()


def draw_waiting(
    registry: Registry,
    key: PrivateKey,
    *,
    page: Page = "A4",
    by: str | None = None,
    progress: Progress = _quiet,
) -> tuple[Issued, ...]:
    """Draw every certificate that is issued and not drawn, and enter the digest of each."""
    with registry.reading() as reading:
        waiting = reading.all_of(Certificate, only_open=True)
    for start in range(0, len(waiting), _IN_ONE_WRITING):
        part = waiting[start : start + _IN_ONE_WRITING]
        drawn = []
        for done, certificate in enumerate(part, start + 1):
            drawn.append((_draw(registry, certificate, key, page), certificate.code))
            progress(done, len(waiting))
        with registry.writing(by) as writing:
            for facts, number in drawn:
                # Someone else may have drawn it meanwhile, or withdrawn it.
                if writing.get(number, Certificate).index().open:
                    writing.enter(facts, number)
    return tuple(_issued(registry, certificate) for certificate in waiting)


def _draw(
    registry: Registry, certificate: Certificate, key: PrivateKey, page: Page
) -> CertificateDrawn:
    """Draw one paper and keep it by its number; nothing is entered yet."""
    from certificates.pdf import draw

    with registry.reading() as reading:
        seal, size = seal_of(reading, certificate, key)
    photograph = _photograph(registry, certificate.statement)
    path, drawn = _path(registry, certificate.code), {}
    for sheet in _sheets(path, page):
        drawn[sheet] = draw(certificate.statement, seal, photograph, sheet)
    chosen = _there_already(path, drawn) or page
    write_once(path, drawn[chosen])
    return CertificateDrawn(
        pdf=hashlib.sha256(drawn[chosen]).hexdigest(),
        page=chosen,
        claim=hashlib.sha256(seal.claim).hexdigest(),
        size=size,
    )


def _sheets(path: Path, page: Page) -> tuple[Page, ...]:
    """The sheets to draw: every one where a stopped run left a paper of a size not known."""
    return get_args(Page) if path.exists() else (page,)


def _there_already(path: Path, drawn: Mapping[Page, bytes]) -> Page | None:
    """The size of the paper that a stopped run left; it keeps that size."""
    if not path.exists():
        return None
    left = path.read_bytes()
    return next((sheet for sheet, pdf in drawn.items() if pdf == left), None)


def _path(registry: Registry, number: str) -> Path:
    return registry.home.certificates / f"{number}.pdf"


def _issued(registry: Registry, certificate: Certificate) -> Issued:
    return Issued(
        number=certificate.code,
        code=certificate.piece or certificate.run or "",
        designation=certificate.statement.designation,
        path=_path(registry, certificate.code),
    )


def seal_of(reading: Reading, certificate: Certificate, key: PrivateKey) -> tuple[Seal, int]:
    """The seal of an issued certificate, and the size of the checkpoint that it names.

    The checkpoint is the first that covers the issuing entry, so that drawing again after a stop
    gives the same bytes.
    """
    book = reading.book
    proof = reading.proof(certificate.leaf)
    checkpoint = open_checkpoint(proof.checkpoint_note, VerifierKey.parse(book.log_key))
    claim = claim_of(
        certificate.statement,
        leaf=bytes.fromhex(certificate.leaf),
        index=proof.index,
        size=checkpoint.size,
        root=checkpoint.root,
        origin=checkpoint.origin,
    )
    seal = Seal(
        claim=sign_claim(claim, key),
        address=book.address,
        entry=reading.entry(certificate.leaf),
        proof=str(proof),
        log_key=book.log_key,
        foundry_key=book.certifying_key,
    )
    return seal, checkpoint.size


def _photograph(registry: Registry, statement: Statement) -> bytes | None:
    if statement.photograph is None:
        return None
    return read_photograph(registry.home.photographs, statement.photograph)
