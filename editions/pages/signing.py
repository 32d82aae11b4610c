"""Who signed a certificate for the artist, as its page tells it: each proof checked anew.

The proofs lie in the book; the document that they sign is made again from the issuing entry.  The
foundry's own proof is in the certificate's PDF, and made when it is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator

from certificates.checks import Check, agrees, contradicts, unchecked
from certificates.credential import of_document
from certificates.crediting import draft_of, unsigned
from certificates.integrity import Document
from certificates.proofset import MORE, Known, check_proof
from certificates.signatures import ENOUGH, proof_name
from editions.registry import Reading
from editions.registry.reading import DAMAGED
from editions.trade.certificates import Certificate, ProofHeld
from editions.trade.saying import Day, marked, said

_IN_INK = marked("Signed in ink, {day}; the SHA-256 of the scan is {digest}.")


def signatures(reading: Reading, certificate: Certificate) -> Iterator[Check]:
    """A check for each signature of the artist's side, and for what still waits."""
    if not certificate.signers:
        return
    try:
        document = unsigned(draft_of(reading, certificate))
        made = [_one(certificate, held, document) for held in certificate.proofs]
    except DAMAGED:
        yield contradicts(ENOUGH, said("What was signed cannot be made again from the book."))
        return
    yield from made
    if certificate.pending:
        names = "; ".join(s.name for s in certificate.signers if _open(certificate, s.party))
        missing = certificate.needed - len(certificate.proofs)
        yield unchecked(ENOUGH, said(MORE, count=missing, names=names))


def _open(certificate: Certificate, party: str) -> bool:
    return all(held.party != party for held in certificate.proofs)


def _one(certificate: Certificate, held: ProofHeld, document: Document) -> Check:
    signer = certificate.signer(held.party)
    name = signer.name if signer else held.party
    if held.method == "ink":
        return unchecked(proof_name(name), said(_IN_INK, day=Day(held.on), digest=held.scan))
    credential = of_document(document)
    known = Known(holders=[one.key for one in credential.holders if one.key])
    found = check_proof(credential, document, held.proof, known)
    if found.holds and found.by == name:
        return agrees(proof_name(name), found.says)
    return contradicts(proof_name(name), found.says)
