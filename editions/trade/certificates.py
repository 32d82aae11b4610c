"""Certificates: issued with the statement they print, signed, drawn; withdrawn, replaced, lost.

Who is asked to sign is settled when a certificate is issued, with the key of each, so that the
entry commits to it; the certificate is *pending* until as many have signed as its run wants.
"""

from __future__ import annotations

from typing import Any, Literal

from msgspec.structs import replace

from editions.trade.casting import ApprovalHow
from editions.trade.kinds import (
    BookSize,
    Code,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    KeyText,
    Line,
    State,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.pieces import Piece
from editions.trade.runs import PromiseEnded, Run, SignersWanted, lock
from editions.trade.statement import Statement

Standing = Literal["stands", "withdrawn", "replaced", "lost", "stolen", "lapsed"]
Withdrawal = Literal[
    "issued in error", "surrendered", "cast destroyed", "disputed", "signature refused"
]
Missing = Literal["lost", "stolen"]
Replaced = Literal["lost", "stolen", "spoilt"]
SignerRole = Literal["artist", "executor", "heirs", "estate", "foundation", "representative"]


class SignerLine(Line, frozen=True, kw_only=True):
    """One who is to sign for the artist; without a key, in ink."""

    party: Code
    name: Word
    role: SignerRole
    key: KeyText | None = None


@kind("certificate_issued", starts=True)
class CertificateIssued(Facts, frozen=True, kw_only=True):
    """A certificate is issued: everything it prints, and the digest of the record it stands on.

    ``record`` is the SHA-256 of the RFC 8785 form of the piece's open state (the run's, for a
    reservation) at the moment of issue.  ``foundry_key`` is the key that certifies it.  ``because``
    says what became of the paper that it replaces.
    """

    number: Word
    statement: Statement
    record: Digest
    piece: Code | None = None
    run: Code | None = None
    replaces: Word | None = None
    because: Replaced | None = None
    foundry_key: KeyText | None = None
    signers: tuple[SignerLine, ...] = ()
    signers_wanted: SignersWanted = "none"

    def touched(self) -> tuple[str | None, ...]:
        """The piece, the run, and the certificate that this one replaces."""
        return (self.piece, self.run, self.replaces)


@kind("certificate_drawn")
class CertificateDrawn(Facts, frozen=True, kw_only=True):
    """The paper was drawn: its claim and the digest of its PDF, which is never redrawn."""

    pdf: Digest
    page: Literal["A4", "letter"]
    claim: Digest
    size: BookSize


@kind("proof_received")
class ProofReceived(Facts, frozen=True, kw_only=True):
    """A signer's proof over the certificate's credential came back, was checked, and holds.

    ``credential`` is the SHA-256 of the credential's RFC 8785 form without proofs.
    """

    party: Code
    credential: Digest
    proof: dict[str, Any]
    key: KeyText


@kind("ink_signed")
class InkSigned(Facts, frozen=True, kw_only=True):
    """A signer signed the certificate's words in ink; ``scan`` is the SHA-256 of the scan."""

    party: Code
    scan: Digest
    method: Literal["ink"] = "ink"


@kind("signature_refused")
class SignatureRefused(Facts, frozen=True, kw_only=True):
    """A signer will not sign the certificate, and signed that.

    ``made`` is the moment that the signer wrote, ``said`` the salted digest of the reason that the
    signature names (:mod:`certificates.refusal`); the reason itself stays in the reply.
    """

    party: Code
    key: KeyText
    made: Word
    signature: Word
    said: Digest | None = None


@kind("refusal_told")
class RefusalTold(Facts, frozen=True, kw_only=True):
    """A signer told the foundry, unsigned, that they will not sign the certificate; and how."""

    party: Code
    how: ApprovalHow
    note: HeldText = None


@kind("certificate_withdrawn")
class CertificateWithdrawn(Facts, frozen=True, kw_only=True):
    """The certificate no longer stands; the reason in a word is open, the story held."""

    because: Withdrawal
    reason: HeldText = None


@kind("certificate_reported", correctable=("reference",))
class CertificateReported(Facts, frozen=True, kw_only=True):
    """The paper is gone from its owner; who says so is held, a reference to look it up by is open.

    Such as the number under which the police or a register of stolen works keeps the report.
    """

    because: Missing
    reported_by: HeldText = None
    reference: Word | None = None


class ProofHeld(Line, frozen=True, kw_only=True):
    """One signature of the artist's side: whose, how, since which entry, and what shows it."""

    party: str
    method: Literal["key", "ink"]
    on: str
    leaf: str = ""
    key: str | None = None
    scan: str | None = None
    proof: dict[str, Any] | None = None


class RefusalHeld(Line, frozen=True, kw_only=True):
    """One refusal of the artist's side: whose, since which entry; how, where it was only told."""

    party: str
    on: str
    leaf: str = ""
    how: ApprovalHow | None = None

    @property
    def as_told(self) -> str:
        """How it was told, to follow a name; empty where it was signed."""
        return f" {self.how}" if self.how else ""


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
    foundry_key: str | None = None
    signers: tuple[SignerLine, ...] = ()
    signers_wanted: SignersWanted = "none"
    proofs: tuple[ProofHeld, ...] = ()
    refusals: tuple[RefusalHeld, ...] = ()

    @property
    def needed(self) -> int:
        """How many of the signers have to sign."""
        return {"none": 0, "any": min(1, len(self.signers)), "all": len(self.signers)}[
            self.signers_wanted
        ]

    @property
    def pending(self) -> bool:
        """Whether signatures are wanting; such a certificate is not drawn."""
        return len(self.proofs) < self.needed

    @property
    def undrawn(self) -> bool:
        """Whether it stands, wants nothing more, and its paper was not drawn yet."""
        return self.pdf is None and self.standing == "stands" and not self.pending

    @property
    def given_out(self) -> bool:
        """Whether there ever was a paper of it that anyone can hold."""
        return self.pdf is not None or self.standing != "stands"

    @property
    def waits_for(self) -> tuple[str, ...]:
        """The names of those whose signatures it waits for, while it does."""
        signed = {held.party for held in self.proofs}
        open_ = tuple(signer.name for signer in self.signers if signer.party not in signed)
        return open_ if self.pending else ()

    @property
    def refused(self) -> tuple[RefusalHeld, ...]:
        """The refusals of those who have not signed since, while it waits for signatures."""
        signed = {held.party for held in self.proofs}
        # Told first and signed later, it is one refusal.
        last = {one.party: one for one in self.refusals if one.party not in signed}
        return tuple(last.values()) if self.pending else ()

    @property
    def reserves(self) -> bool:
        """Whether this paper reserves a number, and so is no certificate."""
        return self.statement.paper == "reservation"

    def signer(self, party: str) -> SignerLine | None:
        """The signer of that code, if this certificate names it."""
        return next((signer for signer in self.signers if signer.party == party), None)

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
        return replace(
            old, standing="replaced", because="", replaced_by=facts.number, ended=entry.on
        )
    return Certificate(
        code=entry.subject,
        since=entry.on,
        statement=facts.statement,
        leaf=entry.leaf,
        issued=entry.on,
        piece=facts.piece,
        run=facts.run,
        replaces=facts.replaces,
        foundry_key=facts.foundry_key,
        signers=facts.signers,
        signers_wanted=facts.signers_wanted,
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


@folds(ProofReceived, Certificate)
def _proved(certificate: Certificate, entry: Happened) -> Certificate:
    facts: ProofReceived = entry.facts
    held = ProofHeld(
        party=facts.party,
        method="key",
        on=entry.on,
        leaf=entry.leaf,
        key=facts.key,
        proof=facts.proof,
    )
    return replace(certificate, proofs=(*certificate.proofs, held))


@folds(InkSigned, Certificate)
def _inked(certificate: Certificate, entry: Happened) -> Certificate:
    facts: InkSigned = entry.facts
    held = ProofHeld(party=facts.party, method="ink", on=entry.on, leaf=entry.leaf, scan=facts.scan)
    return replace(certificate, proofs=(*certificate.proofs, held))


@folds(SignatureRefused, Certificate)
def _refused(certificate: Certificate, entry: Happened) -> Certificate:
    refusal = RefusalHeld(party=entry.facts.party, on=entry.on, leaf=entry.leaf)
    return replace(certificate, refusals=(*certificate.refusals, refusal))


@folds(RefusalTold, Certificate)
def _refusal_told(certificate: Certificate, entry: Happened) -> Certificate:
    facts: RefusalTold = entry.facts
    refusal = RefusalHeld(party=facts.party, on=entry.on, leaf=entry.leaf, how=facts.how)
    return replace(certificate, refusals=(*certificate.refusals, refusal))


@folds(CertificateWithdrawn, Certificate)
def _withdrawn(certificate: Certificate, entry: Happened) -> Certificate:
    because = entry.facts.because
    return replace(certificate, standing="withdrawn", because=because, ended=entry.on)


@folds(CertificateReported, Certificate)
def _reported(certificate: Certificate, entry: Happened) -> Certificate:
    facts: CertificateReported = entry.facts
    because = facts.reference or ""
    return replace(certificate, standing=facts.because, because=because, ended=entry.on)


@folds(PromiseEnded, Certificate)
def _lapsed(reservation: Certificate, entry: Happened) -> Certificate:
    return replace(reservation, standing="lapsed", because="", ended=entry.on)
