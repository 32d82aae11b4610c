"""A certificate's credential, made from what the book holds of it.

The document is settled when the certificate is issued: by its entry (the statement, the foundry's
key, the signers and the key of each) and by the first checkpoint that covers it.  So the holder
signs, months later, the words that were asked, whatever was entered meanwhile::

    draft = draft_of(reading, certificate)       # claim and proof of the entry
    document = unsigned(draft)                   # what goes out in a request
    document = signed(draft, key)                # with every proof, as the PDF carries it
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from certificates.claim import Claim, claim_of
from certificates.credential import build
from certificates.integrity import Document
from certificates.proofset import add_proof, with_proof
from certificates.signers import Signer
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.envelope import decode
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.trade.certificates import Certificate, SignerLine

if TYPE_CHECKING:
    from editions.registry.reading import Reading


class CredentialDraft(NamedTuple):
    """What a credential is made from: the certificate, its place, and the keys' texts."""

    certificate: Certificate
    entry: bytes
    claim: Claim
    proof: ProofFile
    foundry_key: str


def draft_of(reading: Reading, certificate: Certificate) -> CredentialDraft:
    """The draft of an issued certificate's credential.

    The checkpoint is the first that covers the issuing entry, so that what is made of it is the
    same whenever it is made.
    """
    book = reading.book
    proof = reading.proof(certificate.leaf)
    checkpoint = open_checkpoint(proof.checkpoint_note, reading.log_keys())
    claim = claim_of(
        certificate.statement,
        leaf=bytes.fromhex(certificate.leaf),
        index=proof.index,
        size=checkpoint.size,
        root=checkpoint.root,
        origin=checkpoint.origin,
    )
    return CredentialDraft(
        certificate=certificate,
        entry=reading.entry(certificate.leaf),
        claim=claim,
        proof=proof,
        foundry_key=certificate.foundry_key or book.certifying_key,
    )


def unsigned(draft: CredentialDraft) -> Document:
    """The document as it is to be signed."""
    certificate = draft.certificate
    return build(
        certificate.statement,
        draft.claim,
        VerifierKey.parse(draft.foundry_key).public,
        holders_of(certificate.signers),
        certificate.needed,
    )


def signed(draft: CredentialDraft, key: PrivateKey) -> Document:
    """The document with the foundry's proof, dated as its entry, and every proof that came back."""
    document = add_proof(unsigned(draft), key, decode(draft.entry).at)
    for held in draft.certificate.proofs:
        if held.proof is not None:
            document = with_proof(document, held.proof)
    return document


def holders_of(signers: tuple[SignerLine, ...]) -> tuple[Signer, ...]:
    """The signers that an entry names, as a credential names them."""
    return tuple(
        Signer(
            name=one.name,
            role=one.role,
            key=None if one.key is None else VerifierKey.parse(one.key).public,
        )
        for one in signers
    )
