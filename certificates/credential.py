"""A certificate as a credential: one document, and in it who asserts what.

The document is a verifiable credential (W3C Verifiable Credentials Data Model 2.0, media type
``application/vc``).  Its subject is named once (number, kind of paper, designation, place in the
book).  All else that the paper says stands in two assertions, in the statement's own field names:
*casting*, the foundry's, and *authorship*, the artist's or the estate's: the work, the size of the
run and its proofs, what will not be cast, and the number's place in the run.  Each assertion lists
by did:key who makes it; a proof by that key asserts those words and no others.

Bytes are RFC 8785.  A document is read by taking the statement out of it and building it again: it
must come out the same, so nothing unknown, left over or spelt otherwise can stand in it.

>>> CASTING["from_object"]
'The bronze was examined, and found as stated here.'
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from certificates.base58 import from_did, to_did
from certificates.checks import Check, agrees, contradicts
from certificates.claim import Claim, claim_of
from certificates.integrity import CONTEXT, PROOF, Document
from certificates.signers import MOST, WHOLE, Credential, Place, Role, Signer, judge
from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.canonical import canonical, parse, written
from editions.trade.paper import Paper
from editions.trade.statement import Statement
from editions.trade.text import clean

MEDIA_TYPE = "application/vc"
LIMIT = 256 * 1024
MODEL = "https://www.w3.org/ns/credentials/v2"
# Gives our terms a name that nobody has to own or to keep online (RFC 9562, version 4).
TERMS = "urn:uuid:e2138bd7-ad3d-4263-bc1b-d383be34189e#"
TYPES = ("VerifiableCredential", "CastingCertificate")
DESCRIPTION = (
    "Each signer asserts the statements of the assertion that names them, and no others. "
    "What is absent is not recorded."
)
CASTING: dict[Paper, str] = {
    "finished": "The bronze was cast as stated here.",
    "raw_metal": "The bronze was cast as stated here and released in raw metal.",
    "reservation": "The number is reserved as stated here; no cast is certified.",
    "from_object": "The bronze was examined, and found as stated here.",
}
AUTHORSHIP = "The work, its run and this number's place in the run are as stated here."
UNSIGNED = "Recorded by the foundry as it was declared or is known; no signer asserts it here."

AGREEMENT = "what the credential says"

_CAST = ("number", "paper", "issued", "piece", "designation")
_AUTHOR = ("artist", "artist_life", "title", "designation_note", "run")
_FOUNDRY = tuple(f for f in Statement.__struct_fields__ if f not in (*_CAST, *_AUTHOR))


def build(
    statement: Statement,
    claim: Claim,
    foundry_key: bytes,
    holders: Iterable[Signer] = (),
    needed: int | None = None,
) -> Document:
    """The unsecured document of a certificate.

    Args:
        statement: What the paper says.
        claim: Its place in the book.
        foundry_key: The certifying key, 32 public bytes.
        holders: The artist, or those who act for the artist, who are to sign.
        needed: How many of them have to; by default all.

    Raises:
        Unreadable: Text that cannot be signed, or signers that cannot be told apart.
        Contradiction: The claim is another certificate's.
    """
    _require_claim(statement, claim)
    holders = tuple(holders)
    return to_document(
        Credential(
            statement=statement,
            place=place_of(claim),
            foundry=foundry_of(statement, foundry_key),
            holders=holders,
            needed=len(holders) if needed is None else needed,
        )
    )


def place_of(claim: Claim) -> Place:
    """The place in the book that a claim names."""
    return Place(
        origin=claim.origin,
        leaf=claim.leaf.hex(),
        index=claim.index,
        size=claim.size,
        root=claim.root.hex(),
    )


def foundry_of(statement: Statement, key: bytes) -> Signer:
    """The foundry as a signer: whoever issues the paper."""
    return Signer(name=statement.issuer or statement.foundry, role="foundry", key=key)


def to_document(credential: Credential) -> Document:
    """The unsecured document of a credential; the inverse of :func:`of_document`.

    Raises:
        Unreadable: A text, place or signer is not one that a document may have.
    """
    judge(credential)
    said = _plain(credential.statement)
    document = {
        CONTEXT: [MODEL, {"@vocab": TERMS}],
        "type": list(TYPES),
        "description": DESCRIPTION,
        "issuer": {"id": _did(credential.foundry), "name": credential.foundry.name},
        "credentialSubject": _taken(said, _CAST)
        | {
            "book": msgspec.to_builtins(credential.place),
            "assertions": {
                "casting": _casting(credential, said),
                "authorship": _authorship(credential, said),
            },
        },
    }
    _refuse_hidden(document)
    canonical(document)
    return document


def of_document(document: Document) -> Credential:
    """What a document says; its proofs are left aside, and nothing is verified.

    Raises:
        Unreadable: It is not exactly a document that :func:`to_document` gives.
    """
    unsecured = without_proofs(document)
    try:
        credential = _taken_apart(unsecured)
    except (KeyError, TypeError, AttributeError, msgspec.ValidationError) as fault:
        raise Unreadable(f"This is not the credential of a certificate: {fault}.", WHOLE) from None
    if written(to_document(credential)) != canonical(unsecured):
        raise Unreadable("The credential holds something that none of ours may hold.", WHOLE)
    return credential


def without_proofs(document: Document) -> Document:
    """The document as it is signed."""
    return {key: value for key, value in document.items() if key != PROOF}


def to_bytes(document: Document) -> bytes:
    """The canonical bytes of a document, with its proofs.

    Raises:
        Unreadable: It is not the credential of a certificate, or too long to be read again.
    """
    data = canonical(document)
    from_bytes(data)
    return data


def from_bytes(data: bytes) -> Document:
    """The document of canonical bytes; no proof is checked.

    Raises:
        Unreadable: Too long, not canonical, or not the credential of a certificate.
    """
    document = parse(data, LIMIT)
    if not isinstance(document, dict):
        raise Unreadable("This is not a credential: no object.", WHOLE)
    _judge_proofs(document, of_document(document))
    return document


def check_against(document: Document, statement: Statement, claim: Claim) -> Check:
    """Whether a document says what the paper's statement and signed claim say, word for word."""
    try:
        credential = of_document(document)
    except BronzebookError as fault:
        return contradicts(AGREEMENT, fault.message)
    expected = {"statement": _plain(statement), "book": msgspec.to_builtins(place_of(claim))}
    found = {
        "statement": _plain(credential.statement),
        "book": msgspec.to_builtins(credential.place),
    }
    differing = [name for part in found for name in _differing(found[part], expected[part])]
    if differing:
        names = ", ".join(name.replace("_", " ") for name in differing)
        return contradicts(AGREEMENT, f"The credential and the paper's entry differ in: {names}.")
    return agrees(
        AGREEMENT, "The credential says, word for word, what the entry and the signed code say."
    )


def _differing(one: Mapping[str, Any], other: Mapping[str, Any]) -> list[str]:
    return sorted(key for key in one.keys() | other.keys() if one.get(key) != other.get(key))


def _taken_apart(document: Document) -> Credential:
    subject = document["credentialSubject"]
    casting, authorship = (subject["assertions"][one] for one in ("casting", "authorship"))
    said = _taken(subject, _CAST) | casting["says"] | authorship["says"]
    statement = msgspec.convert(said, Statement)
    return Credential(
        statement=statement,
        place=msgspec.convert(subject["book"], Place),
        foundry=foundry_of(statement, from_did(document["issuer"]["id"])),
        holders=tuple(_signer(named) for named in authorship["by"]),
        needed=msgspec.convert(authorship["needed"], int),
    )


def _casting(credential: Credential, said: Mapping[str, Any]) -> Document:
    return {
        "by": [_named(credential.foundry)],
        "needed": 1,
        "asserts": CASTING[credential.statement.paper],
        "says": _taken(said, _FOUNDRY),
    }


def _authorship(credential: Credential, said: Mapping[str, Any]) -> Document:
    return {
        "by": [_named(holder) for holder in credential.holders],
        "needed": credential.needed,
        "asserts": AUTHORSHIP if credential.holders else UNSIGNED,
        "says": _taken(said, _AUTHOR),
    }


def _named(signer: Signer) -> dict[str, str]:
    key = {} if signer.key is None else {"id": _did(signer)}
    return key | {"role": signer.role, "name": signer.name}


def _did(signer: Signer) -> str:
    return "" if signer.key is None else to_did(signer.key)


def _signer(named: Mapping[str, Any]) -> Signer:
    role = msgspec.convert(named["role"], Role)
    name = msgspec.convert(named["name"], str)
    return Signer(name=name, role=role, key=from_did(named["id"]) if "id" in named else None)


def _plain(value: object) -> Any:
    """A statement as JSON; a field that has its default is left out."""
    if isinstance(value, msgspec.Struct):
        found = {name: getattr(value, name) for name in value.__struct_fields__}
        usual = _defaults(type(value))
        return {k: _plain(item) for k, item in found.items() if k not in usual or item != usual[k]}
    return [_plain(item) for item in value] if isinstance(value, tuple) else value


@functools.cache
def _defaults(kind: type[msgspec.Struct]) -> Mapping[str, Any]:
    fields = msgspec.structs.fields(kind)
    return {f.name: f.default for f in fields if f.default is not msgspec.NODEFAULT}


def _taken(said: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    return {name: said[name] for name in names if name in said}


def _require_claim(statement: Statement, claim: Claim) -> None:
    expected = claim_of(
        statement,
        leaf=claim.leaf,
        index=claim.index,
        size=claim.size,
        root=claim.root,
        origin=claim.origin,
    )
    if expected != claim:
        raise Contradiction("The claim is not that of this statement.")


def _judge_proofs(document: Document, credential: Credential) -> None:
    """Refuse a list of proofs that is empty, too long, or in another order than the signers."""
    if PROOF not in document:
        return
    proofs = document[PROOF]
    if not isinstance(proofs, list) or not 0 < len(proofs) <= MOST:
        raise Unreadable("The proofs of a credential are a list that is not empty.", WHOLE)
    places = [seat(credential, proof) for proof in proofs]
    if places != sorted(places):
        raise Unreadable("The proofs do not stand in the order of their signers.", WHOLE)


def seat(credential: Credential, proof: object) -> int:
    """Where a proof belongs in the list, by the key that it names; strangers come last."""
    method = proof.get("verificationMethod") if isinstance(proof, dict) else None
    did = str(method).partition("#")[0]
    seats = [_did(signer) for signer in credential.signers]
    return seats.index(did) if did and did in seats else len(seats)


def _refuse_hidden(value: object) -> None:
    """Raise for text that a reader cannot see or that rearranges what is read."""
    if isinstance(value, str):
        if not value.isprintable():
            clean(value, limit=LIMIT, lines=True)
    elif isinstance(value, dict):
        for item in value.values():
            _refuse_hidden(item)
    elif isinstance(value, list):
        for item in value:
            _refuse_hidden(item)
