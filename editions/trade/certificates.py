"""Certificates: issued with the statement they print, drawn, withdrawn, replaced."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
    Count,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    State,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.pieces import Piece
from editions.trade.runs import Run, lock
from editions.trade.statement import Statement

Standing = Literal["stands", "withdrawn", "replaced"]
Withdrawal = Literal["issued in error", "surrendered", "cast destroyed", "disputed"]


@kind("certificate_issued", starts=True)
class CertificateIssued(Facts, frozen=True, kw_only=True):
    """A certificate is issued: everything it prints, and the digest of the record it stands on.

    ``record`` is the SHA-256 of the RFC 8785 form of the piece's open state (the run's, for a
    reservation) at the moment of issue.
    """

    number: Word
    statement: Statement
    record: Digest
    piece: Code | None = None
    run: Code | None = None
    replaces: Word | None = None

    def touched(self) -> tuple[str | None, ...]:
        """The piece, the run, and the certificate that this one replaces."""
        return (self.piece, self.run, self.replaces)


@kind("certificate_drawn")
class CertificateDrawn(Facts, frozen=True, kw_only=True):
    """The paper was drawn: its claim and the digest of its PDF, which is never redrawn."""

    pdf: Digest
    page: Literal["A4", "letter"]
    claim: Digest
    size: Count


@kind("certificate_withdrawn")
class CertificateWithdrawn(Facts, frozen=True, kw_only=True):
    """The certificate no longer stands; the reason in a word is open, the story held."""

    because: Withdrawal
    reason: HeldText = None


@subject("certificate")
class Certificate(State, frozen=True, kw_only=True):
    """What the book holds of a certificate."""

    statement: Statement
    leaf: str = ""
    issued: str = ""
    piece: str | None = None
    run: str | None = None
    standing: Standing = "stands"
    because: str = ""
    ended: str | None = None
    replaces: str | None = None
    replaced_by: str | None = None
    pdf: str | None = None
    page: Literal["A4", "letter"] = "A4"
    drawn_size: int | None = None

    def index(self) -> Index:
        """Linked to its piece, its run and the number it certifies; open until it is drawn."""
        links = [("piece", self.piece), ("run", self.run)]
        if self.run and self.statement.designation:
            links.append(("certifies", f"{self.run} {self.statement.designation}"))
        return Index(
            title=self.statement.title,
            links=tuple((role, code) for role, code in links if code),
            open=self.pdf is None and self.standing == "stands",
        )


@folds(CertificateIssued, Certificate)
def _issued(old: Certificate | None, entry: Happened) -> Certificate:
    facts: CertificateIssued = entry.facts
    if old is not None:
        return replace(old, standing="replaced", replaced_by=facts.number, ended=entry.on)
    return Certificate(
        code=entry.subject,
        since=entry.on,
        statement=facts.statement,
        leaf=entry.leaf,
        issued=entry.on,
        piece=facts.piece,
        run=facts.run,
        replaces=facts.replaces,
    )


@folds(CertificateIssued, Piece)
def _certified(piece: Piece, entry: Happened) -> Piece:
    return replace(piece, certificates=(*piece.certificates, entry.facts.number))


@folds(CertificateIssued, Run)
def _first_certificate(run: Run, entry: Happened) -> Run:
    return lock(run, "first certificate", entry.on)


@folds(CertificateDrawn, Certificate)
def _drawn(certificate: Certificate, entry: Happened) -> Certificate:
    facts: CertificateDrawn = entry.facts
    return replace(certificate, pdf=facts.pdf, page=facts.page, drawn_size=facts.size)


@folds(CertificateWithdrawn, Certificate)
def _withdrawn(certificate: Certificate, entry: Happened) -> Certificate:
    because = entry.facts.because
    return replace(certificate, standing="withdrawn", because=because, ended=entry.on)
