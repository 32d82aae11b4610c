"""Checking what someone holds against a registry: what the paper proves, and how it stands today.

A paper in the hand is first checked alone, with the registry's keys.  Then the registry is asked:
whether it knows the certificate, whether the entry is the one it holds, whether the PDF is the one
that was drawn, whether the book has grown from the state that the paper prints, and how the
certificate stands.  A number alone is looked up and its record proved from the book.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from msgspec.structs import replace

from certificates import checks
from certificates.appended import under_seal
from certificates.checks import (
    GROWTH,
    KEY_THEN,
    Check,
    agrees,
    contradicts,
    unchecked,
)
from certificates.claim import Claim
from certificates.signatures import key_then
from certificates.standings import pending_word, standing_word
from certificates.verify import Verdict, verify_code, verify_pdf, verify_picture, with_standing
from editions.errors import BronzebookError
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.keys import key_id
from editions.ledger.notes import VerifierKey
from editions.ledger.tree import consistency_proof, verify_consistency
from editions.registry import Reading, Registry
from editions.registry.corrected_since import corrected_since
from editions.registry.keys import ENDED, UNKNOWN, VALID, key_judgement
from editions.registry.proving import Proving, prove
from editions.store.queries import node_reader
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number

FILE = "the file itself"


def check_number(registry: Registry, number: str) -> Verdict:
    """Look up a certificate by its number and prove its record from the book.

    Raises:
        NotKnown: If the registry has issued no such certificate.
    """
    with registry.reading() as reading:
        certificate = reading.get(number, Certificate)
        verdict = _of_record(certificate, prove(reading, certificate, registry.log_verifier()))
        if verdict.proved:
            # Only in a book that holds are places in it worth anything.
            verdict = _joined(verdict, tuple(_keys_then(reading, certificate, verdict)))
        return _with_word(verdict, registry, reading, certificate)


def check_code(registry: Registry, text: str) -> Verdict:
    """Check a scanned code's text, then ask the registry."""
    return ask(registry, verify_code(text, registry.public_keys()))


def check_picture(registry: Registry, data: bytes) -> Verdict:
    """Check the code in a picture, then ask the registry."""
    return ask(registry, verify_picture(data, registry.public_keys()))


def check_pdf(registry: Registry, data: bytes) -> Verdict:
    """Check a certificate's PDF, then ask the registry, to the PDF's last byte."""
    return ask(registry, verify_pdf(data, registry.public_keys()), data)


def ask(registry: Registry, verdict: Verdict, pdf: bytes | None = None) -> Verdict:
    """The verdict on a paper that was checked alone, once this registry has said what it knows.

    Args:
        registry: The registry.
        verdict: What the paper alone, checked with the registry's keys, came to.
        pdf: The paper's file, to be compared to the last byte that was drawn.
    """
    digest = None if pdf is None else hashlib.sha256(under_seal(pdf)).hexdigest()
    with registry.reading() as reading:
        state = reading.state(verdict.number)
        if not isinstance(state, Certificate):
            return _not_ours(verdict, reading.book.origin)
        asked = (
            *_keys_then(reading, state, verdict),
            *_compare(registry, reading, state, verdict.claim, digest),
        )
        return _with_word(_joined(verdict, asked), registry, reading, state)


def _of_record(certificate: Certificate, proving: Proving) -> Verdict:
    return Verdict(
        number=certificate.code,
        checks=(*proving.checks, checks.standing()),
        statement=certificate.statement,
        proved=proving.holds,
        key_from="given",
        seen="record",
        status=5 if proving.holds else 3,
    )


def _not_ours(verdict: Verdict, book: str) -> Verdict:
    """A paper that this registry knows nothing of: of another book, or falsely of this one."""
    said = f"This registry has issued no {verdict.noun} {show_number(verdict.number)}."
    if verdict.claim is not None and verdict.claim.origin != book:
        said += f" The paper is of another book, {verdict.claim.origin}; this one is {book}."
    contradicted = verdict.proved or verdict.status == 3
    check = contradicts(checks.STANDING, said) if contradicted else unchecked(checks.STANDING, said)
    kept = tuple(check if each.name == checks.STANDING else each for each in verdict.checks)
    return replace(verdict, checks=kept, proved=False, status=3 if contradicted else 4)


def _compare(
    registry: Registry,
    reading: Reading,
    certificate: Certificate,
    claim: Claim | None,
    digest: str | None,
) -> Iterator[Check]:
    proving = prove(reading, certificate, registry.log_verifier())
    if claim is not None:
        yield _same_entry(reading, certificate, claim)
        if claim.leaf.hex() == certificate.leaf:
            # Whoever holds the key can sign other words over an entry of the book.
            yield checks.paper(claim, certificate.statement)
        yield _growth(registry, reading, claim)
    yield from (check for check in proving.checks if check.result == "contradicts")
    if digest is not None:
        yield _same_file(certificate, digest)


def _keys_then(reading: Reading, certificate: Certificate, verdict: Verdict) -> Iterator[Check]:
    """What the keys of this certificate were worth where they signed: at their place in the log."""
    named, at = verdict.key_id, _place(reading, certificate, verdict.claim)
    if verdict.claim is None and certificate.foundry_key:
        named = key_id(VerifierKey.parse(certificate.foundry_key).public).hex()
    if named:
        judged = key_judgement(reading, bytes.fromhex(named), at, "foundry")
        yield _key_then(KEY_THEN, judged, at, "The foundry's key")
    for held in certificate.proofs:
        name = _name(certificate, held.party)
        if held.key is not None:
            at = reading.position_of(held.leaf)
            id_ = key_id(VerifierKey.parse(held.key).public)
            judged = key_judgement(reading, id_, at, "artist")
            yield _key_then(str(key_then(name)), judged, at, f"The key of {name}")
        else:
            said = f"The book holds, since {held.on}, a signature in ink; its scan is {held.scan}."
            yield unchecked(f"ink of {name}", said)


def _place(reading: Reading, certificate: Certificate, claim: Claim | None) -> int:
    """The place of the issuing entry by the book; by the claim where the book has it not."""
    try:
        return reading.position_of(certificate.leaf)
    except BronzebookError:
        return claim.index if claim else 0


def _name(certificate: Certificate, party: str) -> str:
    signer = certificate.signer(party)
    return signer.name if signer else party


def _key_then(name: str, judged: str, at: int, what: str) -> Check:
    if judged == VALID:
        return agrees(name, f"{what} was valid at entry {at}, where it signed.")
    if judged == UNKNOWN:
        return contradicts(name, f"{what} was none that the book held at entry {at}.")
    if judged == ENDED:
        return contradicts(name, f"{what} had ended before entry {at}, where it signed.")
    revoked = judged.replace("from", "from entry")
    return contradicts(name, f"{what} signed at entry {at}, and is {revoked}: it was compromised.")


def _same_entry(reading: Reading, certificate: Certificate, claim: Claim) -> Check:
    if certificate.leaf != claim.leaf.hex():
        return contradicts(checks.ENTRY, "The registry issued this number under another entry.")
    at = _place(reading, certificate, claim)
    if at != claim.index:
        return contradicts(
            checks.ENTRY,
            f"The entry that the paper names is entry {at} of the registry, not {claim.index}.",
        )
    return agrees(checks.ENTRY, "The registry holds the very entry that the paper names.")


def _growth(registry: Registry, reading: Reading, claim: Claim) -> Check:
    """Whether the book, as it is now, has grown from the state that the paper prints."""
    try:
        newest = open_checkpoint(reading.checkpoint(), registry.log_verifier())
        if newest.size < claim.size:
            return contradicts(
                GROWTH,
                f"The book was cut off since this paper was printed: it held {claim.size} entries"
                f" then, and holds {newest.size} now.",
            )
        proof = consistency_proof(claim.size, newest.size, node_reader(reading.connection))
        verify_consistency(claim.size, claim.root, newest.size, newest.root, proof)
    except BronzebookError as fault:
        said = f"The book was rewritten since this paper was printed: {fault.message}"
        return contradicts(GROWTH, said)
    said = f"Nothing before entry {claim.size} was changed; the book now holds {newest.size}."
    return agrees(GROWTH, said)


def _same_file(certificate: Certificate, digest: str) -> Check:
    if certificate.pdf == digest:
        return agrees(FILE, "It is, to the last byte, the PDF that was drawn for it.")
    return contradicts(FILE, "It is not the PDF that was drawn for this certificate.")


def _joined(verdict: Verdict, asked: tuple[Check, ...]) -> Verdict:
    """The paper's own checks, then the registry's; the page need not be drawn again then."""
    named = {check.name for check in asked}
    own = tuple(check for check in verdict.checks if check.name not in named)
    made = (*own[:-1], *asked, own[-1]) if own else asked
    sound = verdict.proved and all(check.result != "contradicts" for check in asked)
    return replace(verdict, checks=made, proved=sound)


def _with_word(
    verdict: Verdict, registry: Registry, reading: Reading, certificate: Certificate
) -> Verdict:
    """How it stands by this registry, and what was corrected of it since it was issued."""
    as_of = registry.clock().strftime("%Y-%m-%d %H:%M UTC")
    if not certificate.given_out:
        asked = with_standing(verdict, pending_word(certificate), as_of, stands=None)
    else:
        kind, by = certificate.statement.paper, certificate.replaced_by
        word = standing_word(certificate.standing, kind, by)
        word = f"{word} ({certificate.because})" if certificate.because else word
        asked = with_standing(verdict, word, as_of, stands=certificate.standing == "stands")
    return replace(asked, corrected=_corrected(reading, certificate))


def _corrected(reading: Reading, certificate: Certificate) -> tuple[str, ...]:
    try:
        return tuple(fact.says for fact in corrected_since(reading, certificate))
    except BronzebookError:
        # A book that is damaged is told by the checks of its entries.
        return ()
