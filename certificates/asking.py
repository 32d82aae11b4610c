"""Asking the artist's side to sign, through a registry: what goes out, and what is taken back.

    data = ask_for(registry, numbers, "Y-0002")       # the request file, for a holder with a key
    taken = take_reply(registry, reply)               # each accepted, or refused and why
    sign_in_ink(registry, number, "Y-0002", scan)     # the equal alternative
    tell_refusal(registry, number, "Y-0002", how="by telephone")     # a no that nobody signed
    words = words_to_sign(registry, number)           # the sheet that is signed in ink

What comes back is checked against our own copy of each document and never trusted: a proof is
entered only where it holds over exactly those words, by the very key that the certificate's entry
names for its signer and that the book still holds for that party.  A certificate whose last
signature is entered is no longer pending; it is drawn by the next :func:`certificates.issue.issue`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence

import msgspec

from certificates.asked import Asked
from certificates.credential import of_document
from certificates.crediting import draft_of, unsigned
from certificates.integrity import Document, document_hash
from certificates.refusal import Refusal, require_refused
from certificates.requests import (
    Reply,
    Returned,
    check_reply,
    make_request,
    plain_words,
    read_reply,
    write_request,
)
from certificates.scanned import refuse_another
from editions.errors import BronzebookError, FileUnusable, Refused
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.registry import Reading, Registry, Writing
from editions.registry.acts.approvals import read_how
from editions.registry.acts.typed import confided
from editions.registry.keys import handovers
from editions.store.files import make_folder, write_once
from editions.trade.certificates import (
    Certificate,
    InkSigned,
    ProofReceived,
    RefusalTold,
    SignatureRefused,
    SignerLine,
)
from editions.trade.numbers import read_number, show_number
from editions.trade.parties import Party
from editions.trade.runs import Run
from editions.trade.text import shown

LARGEST_SCAN = 64_000_000

_SCANS = {b"%PDF-": ".pdf", b"\x89PNG": ".png", b"\xff\xd8\xff": ".jpg"}


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """What became of one certificate in a reply, and whether it may be drawn now."""

    number: str
    accepted: bool
    says: str
    complete: bool = False


def pending_of(registry: Registry, run: str | None = None) -> tuple[Certificate, ...]:
    """The certificates that wait for signatures, of one run where it is named."""
    with registry.reading() as reading:
        code = reading.get(run.strip().upper(), Run).code if run else None
        waiting = reading.all_of(Certificate, only_open=True)
    return tuple(one for one in waiting if one.pending and code in (None, one.run))


def ask_for(registry: Registry, numbers: Iterable[str], party: str) -> bytes:
    """The request file that asks a party to sign these certificates.

    Raises:
        NotKnown: If a certificate or the party is not in the book.
        Refused: If none is named, or one does not ask this party, with a key, or no longer does.
    """
    moment = registry.clock().strftime("%Y-%m-%dT%H:%M:%SZ")
    with registry.reading() as reading:
        asked = [reading.get(read_number(number), Certificate) for number in numbers]
        code = reading.get(party.strip().upper(), Party).code
        keys = {_key_asked(certificate, code) for certificate in asked}
        carried = [_carried(reading, certificate) for certificate in asked]
        followed = handovers(reading)
    if len(keys) != 1:
        raise Refused(
            f"These {len(asked)} certificates ask {code} to sign with {len(keys)} keys.",
            "Make a request for each key.",
        )
    known = registry.public_keys()
    return write_request(make_request(carried, keys.pop(), moment, known, followed))


def words_to_sign(registry: Registry, number: str) -> tuple[str, ...]:
    """What a signer of a certificate asserts and does not, a line each: to be signed in ink."""
    with registry.reading() as reading:
        certificate = reading.get(read_number(number), Certificate)
        return plain_words(_document(reading, certificate))


def take_reply(registry: Registry, data: bytes, *, by: str | None = None) -> tuple[Taken, ...]:
    """Check a reply and enter every proof in it that holds.

    Raises:
        Unreadable: If it is not a reply.
    """
    reply = read_reply(data)
    with registry.writing(by) as writing:
        expected = _expected(writing, reply)
        documents = {one.code: _document(writing, one) for one in expected}
        returned = check_reply(reply, documents.values(), [reply.by] if expected else [])
        answered = {answer.number for answer in reply.answers}
        taken = [
            _take(writing, one, documents.get(one.number), reply.by)
            for one in returned
            if one.number in answered
        ]
        refused = [
            _take_refusal(writing, one, documents.get(one.number), reply.by)
            for one in reply.refusals
        ]
    return (*taken, *refused)


def sign_in_ink(
    registry: Registry,
    number: str,
    party: str,
    scan: bytes,
    *,
    on: str | None = None,
    by: str | None = None,
) -> Taken:
    """Enter that a signer signed a certificate's words in ink; the scan is kept by its digest.

    Raises:
        FileUnusable: If the scan is no PDF, PNG or JPEG, or too large.
        NotKnown: If the certificate or the party is not in the book.
        Refused: If the certificate does not ask this party, or no longer waits; or the scan bears
            the code of another.
    """
    suffix = next((end for start, end in _SCANS.items() if scan.startswith(start)), None)
    if suffix is None or len(scan) > LARGEST_SCAN:
        raise FileUnusable(
            "The scan is not a PDF, PNG or JPEG of at most 64 MB.", "Scan the signed sheet again."
        )
    refuse_another(scan, read_number(number))
    digest = hashlib.sha256(scan).hexdigest()
    make_folder(registry.home.scans)
    write_once(registry.home.scans / f"{digest}{suffix}", scan, mode=0o600)
    with registry.writing(by) as writing:
        code = writing.get(party.strip().upper(), Party).code
        certificate = writing.get(read_number(number), Certificate)
        writing.enter(InkSigned(party=code, scan=digest), certificate.code, on=on)
        signed = writing.get(certificate.code, Certificate)
    says = f"{show_number(signed.code)} is signed in ink by {_name(signed, code)}."
    return Taken(number=signed.code, accepted=True, says=says, complete=not signed.pending)


def tell_refusal(
    registry: Registry,
    number: str,
    party: str,
    *,
    how: str,
    note: str | None = None,
    on: str | None = None,
    by: str | None = None,
) -> Taken:
    """Enter that a signer said they will not sign a certificate; it bears no signature.

    Args:
        registry: The registry.
        number: The certificate's.
        party: Who refuses.
        how: ``in person``, ``in writing``, ``by telephone`` or ``by photograph``.
        note: What was said; held.
        on: When it was said, EDTF; today when absent.
        by: The party who records.

    Raises:
        NotKnown: If the certificate or the party is not in the book.
        Refused: If the certificate does not ask this party, no longer waits, or has the refusal.
        Unreadable: If the way is none of the four.
    """
    with registry.writing(by) as writing:
        code = writing.get(party.strip().upper(), Party).code
        certificate = writing.get(read_number(number), Certificate)
        facts = RefusalTold(party=code, how=read_how(how), note=confided(note))
        writing.enter(facts, certificate.code, on=on)
        says = f"{show_number(certificate.code)} is refused by {_name(certificate, code)}, as told."
    return Taken(number=certificate.code, accepted=True, says=says, complete=False)


def _document(reading: Reading, certificate: Certificate) -> Document:
    return unsigned(draft_of(reading, certificate))


def _carried(reading: Reading, certificate: Certificate) -> Asked:
    proof = reading.proof(certificate.leaf)
    return Asked(entry=reading.entry(certificate.leaf), proof=proof)


def _key_asked(certificate: Certificate, party: str) -> bytes:
    """The raw key with which a party is asked to sign a certificate."""
    number = show_number(certificate.code)
    signer = certificate.signer(party)
    if signer is None:
        names = ", ".join(one.name for one in certificate.signers) or "nobody"
        raise Refused(
            f"Certificate {number} asks {names} to sign, not {party}.",
            "Name one of those who are asked.",
        )
    if certificate.standing != "stands" or certificate.pdf is not None:
        raise Refused(
            f"Certificate {number} no longer waits for a signature.", "See: bronzebook waiting."
        )
    if any(proof.party == party for proof in certificate.proofs):
        raise Refused(f"{signer.name} has signed {number} already.", "Nothing is left to do.")
    if signer.key is None:
        raise Refused(
            f"{signer.name} had no key when {number} was issued.",
            "Take the signature in ink: bronzebook certificate ink; or admit a key, withdraw the"
            " certificate and issue it anew.",
        )
    return VerifierKey.parse(signer.key).public


def _expected(reading: Reading, reply: Reply) -> Sequence[Certificate]:
    """The certificates in a reply that the book knows and that name its key among their signers."""
    found = []
    answered = (*(one.number for one in reply.answers), *(one.number for one in reply.refusals))
    for number in dict.fromkeys(answered):
        state = reading.state(number) if len(number) == 11 else None
        if isinstance(state, Certificate) and _signer_with(state, reply.by):
            found.append(state)
    return found


def _signer_with(certificate: Certificate, key: bytes) -> SignerLine | None:
    for signer in certificate.signers:
        if signer.key is not None and VerifierKey.parse(signer.key).public == key:
            return signer
    return None


def _take(writing: Writing, one: Returned, document: Document | None, key: bytes) -> Taken:
    """Enter one proof that holds; or say why it is not taken."""
    state = writing.state(one.number) if document else None
    signer = _signer_with(state, key) if isinstance(state, Certificate) else None
    if one.proof is None or document is None or signer is None or signer.key is None:
        return Taken(number=one.number, accepted=False, says=one.says)
    facts = ProofReceived(
        party=signer.party,
        credential=document_hash(document).hex(),
        proof=one.proof,
        key=signer.key,
    )
    try:
        writing.enter(facts, one.number)
    except BronzebookError as fault:
        return Taken(number=one.number, accepted=False, says=fault.message)
    signed = writing.get(one.number, Certificate)
    return Taken(number=one.number, accepted=True, says=one.says, complete=not signed.pending)


def _take_refusal(
    writing: Writing, refusal: Refusal, document: Document | None, by: bytes
) -> Taken:
    """Enter one refusal whose signature holds; or say why it is not taken."""
    number = refusal.number
    state = writing.state(number) if document else None
    signer = _signer_with(state, by) if isinstance(state, Certificate) else None
    if document is None or signer is None or signer.key is None:
        says = f"Nobody with the key {fingerprint(by)} was asked to sign {shown(number, 20)}."
        return Taken(number=number, accepted=False, says=says)
    facts = SignatureRefused(
        party=signer.party,
        key=signer.key,
        made=refusal.made,
        signature=refusal.signature,
        said=refusal.digest,
    )
    try:
        require_refused(
            of_document(document).place, number, facts.made, facts.said, facts.signature, by
        )
        writing.enter(facts, number)
    except BronzebookError as fault:
        return Taken(number=number, accepted=False, says=fault.message)
    why = f" Reason given: {refusal.reason}" if refusal.reason else ""
    return Taken(number=number, accepted=True, says=f"{signer.name} refuses to sign it.{why}")


def _name(certificate: Certificate, party: str) -> str:
    signer = certificate.signer(party)
    return signer.name if signer else party
