"""Issuing certificates, by a protocol that can be stopped and run again at any point.

1. One writing enters ``certificate_issued`` for every piece of the batch; its commit signs a
   checkpoint that covers them all.
2. Each claim names its entry's leaf and that checkpoint, and is signed by the certifying key, which
   is unlocked once a batch.
3. Where the run asks for the artist's signature the certificate is pending until it is in the book
   (see :mod:`certificates.asking`); it is not drawn before.
4. The paper is drawn, with the credential and its proofs, and kept by number; a file that is there
   already must have the same bytes.
5. ``certificate_drawn`` enters the PDF's SHA-256; from then on the paper is never drawn again.

Stopped after any step, the next run finds certificates issued but not drawn and goes on with them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Literal, get_args

import msgspec

from certificates.claim import Seal, sign_claim
from certificates.credential import to_bytes
from certificates.crediting import draft_of, signed
from certificates.reporting import piece_replaceable
from certificates.stating import state_piece, state_reservation
from editions.errors import Refused
from editions.ledger.canonical import canonical
from editions.ledger.keys import PrivateKey, public_text
from editions.ledger.notes import VerifierKey
from editions.registry import Reading, Registry, Writing
from editions.registry.acts.numbers import number_in
from editions.rules.judging.signing import SIGNED_PAPERS, signers_of
from editions.store.files import write_once
from editions.store.photographs import read as read_photograph
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateIssued,
    CertificateWithdrawn,
    Replaced,
    Withdrawal,
)
from editions.trade.kinds import State
from editions.trade.numbers import make_number
from editions.trade.paper import Paper
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration, Run
from editions.trade.statement import Statement

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

    The same call again goes on where it was stopped: a piece whose certificate is issued and not
    drawn gets no second one.

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
            for code in map(writing.resolve, wanted):
                if not _left_undrawn(writing, code, paper):
                    _enter(writing, code, paper, key)
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
        facts = CertificateIssued(
            number=number,
            statement=statement,
            record=record,
            run=code,
            foundry_key=_certifying(writing, key),
        )
        writing.enter(facts, number)
    return draw_waiting(registry, key, page=page, by=by)


def replace_lost(
    registry: Registry,
    number: str,
    because: Replaced | None = None,
    *,
    passphrase: str,
    page: Page = "A4",
    by: str | None = None,
) -> tuple[Issued, ...]:
    """Issue a new certificate in place of one lost or spoilt; the old then answers "replaced".

    Raises:
        Refused: If it is a reservation, or no paper of it was given out that could be lost.
    """
    key = registry.certifying_key(passphrase)
    with registry.writing(by) as writing:
        lost = writing.get(number, Certificate)
        ended = {"replaces": number, "because": because}
        _enter(writing, piece_replaceable(lost), lost.statement.paper, key, **ended)
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
    """The pieces of a run that may have a certificate now and have none drawn that stands, by code.

    The judges are asked, in a writing that is given up: what is listed here is what they allow.
    """
    with registry.writing(rehearse=True) as writing:
        code = writing.resolve(run)
        pieces = [state.code for state in writing.linked("run", code) if isinstance(state, Piece)]
        return tuple(piece for piece in pieces if _fit(writing, piece))


def _left_undrawn(reading: Reading, code: str, paper: Paper | None) -> bool:
    """Whether a stopped run issued such a certificate of a piece, and did not come to draw it."""
    issued = map(reading.state, reading.get(code, Piece).certificates)
    papers = [c.statement.paper for c in issued if isinstance(c, Certificate) and c.undrawn]
    return any(each != "reservation" and paper in (None, each) for each in papers)


def _fit(writing: Writing, piece: str) -> bool:
    if _left_undrawn(writing, piece, None):
        return True
    try:
        facts = _issuing(writing, piece, "finished")
        writing.judge(facts, facts.number)
    except Refused:
        return False
    return True


def _enter(writing: Writing, code: str, paper: Paper | None, key: PrivateKey, **ended: Any) -> None:
    kind = paper or ("from_object" if writing.get(code, Piece).from_object else "finished")
    facts = _issuing(writing, code, kind, key, **ended)
    writing.enter(facts, facts.number)


def _issuing(
    writing: Writing,
    code: str,
    paper: Paper,
    key: PrivateKey | None = None,
    **ended: Any,
) -> CertificateIssued:
    """The facts that issue a paper of a piece; ``ended`` says of one which it replaces, and why."""
    piece = writing.get(code, Piece)
    declared = _asking(writing, piece, paper)
    number = make_number(writing.random)
    return CertificateIssued(
        number=number,
        statement=state_piece(writing, code, number=number, issued=writing.today, paper=paper),
        record=_record(piece),
        piece=code,
        run=piece.run,
        **ended,
        foundry_key=_certifying(writing, key) if key else None,
        signers=signers_of(writing, declared, writing.today) if declared else (),
        signers_wanted=declared.signers_wanted if declared else "none",
    )


def _asking(writing: Writing, piece: Piece, paper: Paper) -> Declaration | None:
    """The declaration that says who signs, where this paper of this piece is signed at all."""
    run = writing.get(piece.run, Run) if piece.run else None
    return run.declared if run and paper in SIGNED_PAPERS else None


def _certifying(writing: Writing, key: PrivateKey) -> str:
    return public_text(writing.book.origin, key.public.raw)


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
    """Draw every certificate that is issued, not drawn and not pending; enter the digest of each.

    One that was issued under another certifying key is left: nobody may certify it any more.
    """
    with registry.reading() as reading:
        waiting = tuple(
            one for one in reading.all_of(Certificate, only_open=True) if _ready(reading, one, key)
        )
    for start in range(0, len(waiting), _IN_ONE_WRITING):
        part = waiting[start : start + _IN_ONE_WRITING]
        drawn = []
        for done, certificate in enumerate(part, start + 1):
            drawn.append((_draw(registry, certificate, key, page), certificate.code))
            progress(done, len(waiting))
        with registry.writing(by) as writing:
            for facts, number in drawn:
                # Someone else may have drawn it meanwhile, or withdrawn it.
                if writing.get(number, Certificate).undrawn:
                    writing.enter(facts, number)
    return tuple(_issued(registry, certificate) for certificate in waiting)


def _ready(reading: Reading, certificate: Certificate, key: PrivateKey) -> bool:
    named = certificate.foundry_key or reading.book.certifying_key
    return certificate.undrawn and VerifierKey.parse(named).public == key.public.raw


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
    """The seal of an issued certificate, and the size of the checkpoint that it names."""
    draft, book = draft_of(reading, certificate), reading.book
    seal = Seal(
        claim=sign_claim(draft.claim, key),
        address=book.address,
        entry=draft.entry,
        proof=str(draft.proof),
        log_key=str(reading.log_keys().at(draft.claim.size)),
        foundry_key=draft.foundry_key,
        credential=to_bytes(signed(draft, key)),
    )
    return seal, draft.claim.size


def _photograph(registry: Registry, statement: Statement) -> bytes | None:
    digest = statement.photograph
    return None if digest is None else read_photograph(registry.home.photographs, digest)
