"""The checks of a paper's credential: what it says, who was to sign it, and whose proofs hold.

The entry behind the paper names the signers and the key of each, and the foundry's claim commits to
the entry.  So with a key of the foundry that a person brought, the proof of an artist is worth the
foundry's word that the key is the artist's; with the paper's own keys it shows only that the paper
agrees with itself.  Nothing is raised for what is found.
"""

from __future__ import annotations

from collections.abc import Iterator

from certificates.checks import Check, Trusted, agrees, contradicts, unchecked
from certificates.claim import Claim
from certificates.credential import AGREEMENT, check_against, from_bytes, of_document
from certificates.integrity import Document
from certificates.proofset import Known, ProofFound, check_proofs, lacking
from certificates.signers import Credential, Signer
from editions.errors import BronzebookError
from editions.ledger.envelope import Entry
from editions.ledger.keys import key_id
from editions.ledger.notes import VerifierKey
from editions.trade.certificates import CertificateIssued, SignerLine
from editions.trade.kinds import facts_from
from editions.trade.saying import Said, said
from editions.trade.statement import Statement

SIGNERS = "who is to sign"
ENOUGH = "whether enough have signed"

_INK = "Where one signed in ink, the book holds the digest of the scan: ask the registry."


def credential_checks(
    data: bytes | None, entry: Entry, statement: Statement, claim: Claim, trusted: Trusted
) -> Iterator[Check]:
    """Every check of the credential that a paper carries, or of its absence.

    Args:
        data: The attached credential, or None.
        entry: The entry attached, which was found to be the one claimed.
        statement: What the entry states.
        claim: The signed claim.
        trusted: The keys; as given only if one of them signed the claim.
    """
    issued = _issued(entry)
    if data is None:
        yield _absent(issued)
        return
    try:
        document = from_bytes(data)
    except BronzebookError as fault:
        yield contradicts(AGREEMENT, f"The credential attached cannot be read: {fault.message}")
        return
    yield check_against(document, statement, claim)
    credential = of_document(document)
    kid = key_id(credential.foundry.key or b"")
    yield _named(credential, issued, kid)
    found = check_proofs(document, _known(credential, trusted))
    yield from map(_line, found)
    yield from _enough(document, credential, found)


def proof_name(who: str) -> Said:
    """The name of the check of one signer's proof."""
    return said("proof of {who}", who=who)


def key_then(name: str) -> Said:
    """The name of the check of what one signer's key was worth where it signed."""
    return said("the key of {name} then", name=name)


def signing_keys(entry: Entry) -> Iterator[tuple[str, bytes]]:
    """The name and the raw key of each signer with a key whom an issuing entry names."""
    issued = _issued(entry)
    for line in issued.signers if issued else ():
        if line.key is not None:
            yield line.name, VerifierKey.parse(line.key).public


def _issued(entry: Entry) -> CertificateIssued | None:
    try:
        facts = facts_from(entry.kind, entry.facts)
    except BronzebookError:
        return None
    return facts if isinstance(facts, CertificateIssued) else None


def _absent(issued: CertificateIssued | None) -> Check:
    if issued is not None and issued.signers:
        names = "; ".join(one.name for one in issued.signers)
        return contradicts(
            AGREEMENT,
            f"The entry names who was to sign ({names}), but the credential with the proofs was"
            " taken out of this paper.",
        )
    return unchecked(AGREEMENT, "The paper carries no credential; the claim alone is signed.")


def _named(credential: Credential, issued: CertificateIssued | None, kid: bytes) -> Check:
    """Whether the credential names as signers those whom the entry names, with their keys."""
    if issued is None:
        return contradicts(SIGNERS, "The entry does not say who is to sign.")
    if asked_of(issued) != (credential.holders, credential.needed):
        return contradicts(
            SIGNERS,
            "The credential names other signers, or other keys of theirs, than the entry: its"
            " proofs are not those that were asked for.",
        )
    if issued.foundry_key is not None and _kid_of(issued.foundry_key) != kid:
        return contradicts(SIGNERS, "The credential names another key of the foundry.")
    if not credential.holders:
        return agrees(SIGNERS, "The foundry alone signs, as the entry says.")
    names = "; ".join(one.said for one in credential.holders)
    return agrees(SIGNERS, f"As the entry says, {credential.needed} of: {names}.")


def asked_of(issued: CertificateIssued) -> tuple[tuple[Signer, ...], int]:
    """The signers that an issuing entry names, and how many of them have to sign."""
    many = len(issued.signers)
    needed = {"none": 0, "any": min(1, many), "all": many}[issued.signers_wanted]
    return tuple(map(_signer, issued.signers)), needed


def _signer(line: SignerLine) -> Signer:
    key = None if line.key is None else VerifierKey.parse(line.key).public
    return Signer(name=line.name, role=line.role, key=key)


def _kid_of(text: str) -> bytes:
    return key_id(VerifierKey.parse(text).public)


def _known(credential: Credential, trusted: Trusted) -> Known:
    if not trusted.given:
        return Known()
    return Known(
        foundry=[key.public for key in trusted.of("foundry")],
        holders=[holder.key for holder in credential.holders if holder.key is not None],
    )


def _line(found: ProofFound) -> Check:
    # A verdict is kept as data: its words are bare English.
    return Check(name=str(proof_name(found.by)), result=found.result, says=str(found.says))


def _enough(
    document: Document, credential: Credential, found: tuple[ProofFound, ...]
) -> Iterator[Check]:
    missing = lacking(document, found)
    foundry = any(one.holds and one.role == "foundry" for one in found)
    if not foundry:
        yield contradicts(ENOUGH, f"{missing} A certificate always carries it.")
    elif missing:
        yield unchecked(ENOUGH, f"{missing} {_INK}")
    elif credential.holders:
        yield agrees(ENOUGH, "All who have to sign have signed with a key.")
