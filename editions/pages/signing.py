"""Who signed a certificate for the artist, as its page tells it: each proof checked anew.

The proofs lie in the book; the document that they sign is made again from the issuing entry.  The
foundry's own proof is in the certificate's PDF, and made when it is drawn.  A key that signed where
it proves nothing is told too; one that was good at its place is not spoken of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from certificates.checks import KEY_THEN, Check, agrees, contradicts, unchecked
from certificates.credential import of_document
from certificates.crediting import draft_of, unsigned
from certificates.integrity import Document
from certificates.proofset import MORE, Known, check_proof
from certificates.signatures import ENOUGH, key_then, proof_name
from editions.pages.desk import Desk
from editions.registry import Reading
from editions.registry.keys import ENDED, UNKNOWN, VALID, KeyInBook, keys_of_party
from editions.registry.reading import DAMAGED
from editions.trade.certificates import Certificate, ProofHeld
from editions.trade.saying import Day, marked, said

_UNKNOWN = marked("The book did not hold this key at entry {entry}, where it signed.")
_ENDED = marked("This key had ended before entry {entry}, where it signed.")
_REVOKED = marked(
    "This key signs nothing from entry {start} on: it was compromised. It signed at entry {entry}."
)
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


def keys_then(desk: Desk, certificate: Certificate) -> Iterator[Check]:
    """A contradiction for each key that proves nothing at the place where it signed."""
    for name, party, key, leaf in _signed(desk, certificate):
        found = desk.once(("keys", party), partial(keys_of_party, desk.reading, party))
        at = desk.attempt(party, partial(desk.reading.position_of, leaf))
        if found is not None and at is not None:
            yield from _worthless(name, found, key, at)


def _signed(desk: Desk, certificate: Certificate) -> Iterator[tuple[str, str, str, str]]:
    """For each key that signed: the name of its check, whose it is, itself, and by which entry."""
    book = desk.book
    key = certificate.foundry_key or book.certifying_key
    yield KEY_THEN, book.foundry, key, certificate.leaf
    for held in certificate.proofs:
        if held.key is not None:
            signer = certificate.signer(held.party)
            name = key_then(signer.name if signer else held.party)
            yield name, held.party, held.key, held.leaf


def _worthless(name: str, held: Sequence[KeyInBook], key: str, at: int) -> Iterator[Check]:
    one = next((each for each in held if each.held.key == key), None)
    judged = one.judged(at) if one else UNKNOWN
    if judged == UNKNOWN:
        yield contradicts(name, said(_UNKNOWN, entry=at))
    elif judged == ENDED:
        yield contradicts(name, said(_ENDED, entry=at))
    elif one is not None and judged != VALID:
        yield contradicts(name, said(_REVOKED, start=one.held.from_position, entry=at))
