"""What others signed into the book, checked again: countersignatures of keys, proofs of signers.

Each was checked before it was entered; a book that was rewritten may hold another.  The words are
made again from the entries, and the signature is checked by the key that the entry names::

    tuple(signature_faults(reading))  ->  ("entry 41: nobody countersigned this key of …",)

Whether a key still stood where it signed is not asked here: one found out later to be compromised
is no fault of the book; ``verify`` says what it was worth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import msgspec

from certificates.countersign import countersign_text
from certificates.credential import of_document
from certificates.crediting import draft_of, unsigned
from certificates.integrity import Document, document_hash
from certificates.proofset import Known, check_proof
from certificates.refusal import require_refused
from editions.errors import BronzebookError, Contradiction
from editions.ledger.encodings import from_base64
from editions.ledger.envelope import decode
from editions.ledger.keys import SIGNATURE, PublicKey
from editions.ledger.notes import VerifierKey
from editions.registry.keys import KeyInBook, all_keys
from editions.registry.reading import DAMAGED, Reading
from editions.trade.certificates import (
    Certificate,
    ProofHeld,
    ProofReceived,
    RefusalHeld,
    SignatureRefused,
)
from editions.trade.keys import KeyAdmitted


def signature_faults(reading: Reading) -> Iterator[str]:
    """Every countersignature and every signer's proof in the book that does not hold."""
    keys = all_keys(reading)
    for one in keys:
        if one.held.leaf:
            said = _found(partial(_require_vouched, reading, one, keys))
            if said:
                yield f"entry {one.admitted}: {said}"
    for certificate in reading.all_of(Certificate):
        for held in certificate.proofs:
            if held.method == "key":
                said = _found(partial(_require_signed, reading, certificate, held))
                if said:
                    yield f"certificate {certificate.code}: the proof of {held.party}: {said}"
        # One that was told by word bears no signature.
        for refusal in (one for one in certificate.refusals if one.how is None):
            said = _found(partial(_require_refusal, reading, certificate, refusal))
            if said:
                yield f"certificate {certificate.code}: the refusal of {refusal.party}: {said}"


def _found(look: Callable[[], None]) -> str:
    """What is wrong, in a sentence; empty where nothing is."""
    try:
        look()
    except BronzebookError as fault:
        return fault.message
    except DAMAGED:
        return "its entry can no longer be read"
    return ""


def _require_vouched(reading: Reading, one: KeyInBook, keys: tuple[KeyInBook, ...]) -> None:
    """Check the countersignature of a key by the key that the entry names."""
    facts = msgspec.convert(decode(reading.entry(one.held.leaf)).facts, KeyAdmitted)
    if facts.countersigned_by is None:
        if one.held.use != "artist":
            raise Contradiction("nobody countersigned this key of the foundry")
        return
    before = [key for key in keys if key.held.key == facts.countersigned_by]
    if not any(key.admitted < one.admitted for key in before):
        raise Contradiction("the book did not hold the key that countersigned this one")
    text = countersign_text(reading.book.origin, one.party, facts.use, facts.key)
    try:
        signature = from_base64(facts.countersignature or "", SIGNATURE)
        PublicKey(before[0].verifier.public).verify(signature, text.encode())
    except BronzebookError:
        raise Contradiction("the countersignature of this key does not hold") from None


def _require_signed(reading: Reading, certificate: Certificate, held: ProofHeld) -> None:
    facts = msgspec.convert(decode(reading.entry(held.leaf)).facts, ProofReceived)
    _require(certificate, facts, unsigned(draft_of(reading, certificate)))


def _require_refusal(reading: Reading, certificate: Certificate, held: RefusalHeld) -> None:
    facts = msgspec.convert(decode(reading.entry(held.leaf)).facts, SignatureRefused, strict=True)
    signer = certificate.signer(facts.party)
    if signer is None or signer.key != facts.key:
        raise Contradiction("the certificate did not ask this signer to sign with this key")
    place = of_document(unsigned(draft_of(reading, certificate))).place
    key, made = VerifierKey.parse(facts.key).public, facts.made
    require_refused(place, certificate.code, made, facts.said, facts.signature, key)


def _require(certificate: Certificate, facts: ProofReceived, document: Document) -> None:
    """Check a proof by the key that the issuing entry names, over the words made again."""
    signer = certificate.signer(facts.party)
    if signer is None or signer.key != facts.key:
        raise Contradiction("the certificate did not ask this signer to sign with this key")
    if document_hash(document).hex() != facts.credential:
        raise Contradiction("it was given over another credential than the entries make")
    key = VerifierKey.parse(facts.key).public
    found = check_proof(of_document(document), document, facts.proof, Known(holders=[key]))
    if not found.holds or found.key != key:
        raise Contradiction(str(found.says))
