"""Proofs over a JSON document: W3C Data Integrity with the cryptosuite ``eddsa-jcs-2022``.

A document is signed as it reads, not as it is spelt.  Two hashes are made, of the RFC 8785 form of
the proof's options (everything in the proof but ``proofValue``, and the document's ``@context``)
and of that of the document without its proofs; Ed25519 signs the first followed by the second.

A proof has exactly these fields, and no other option of the standard, so that none can be
overlooked::

    type                DataIntegrityProof
    cryptosuite         eddsa-jcs-2022
    created             2026-11-24T16:20:00Z
    verificationMethod  did:key:z6Mk…#z6Mk…
    proofPurpose        assertionMethod
    @context            that of the document, where it has one
    proofValue          z, and the signature in base58btc

Sources: Verifiable Credential Data Integrity 1.0 and Data Integrity EdDSA Cryptosuites v1.0, W3C
Recommendations of 15 May 2025; section 3.3 of the latter for the suite.

>>> from editions.ledger.keys import PrivateKey
>>> words = {"title": "Hand"}
>>> proof = sign(words, PrivateKey(bytes(32)), "2026-11-24T16:20:00Z")
>>> verify(words, proof).hex()[:8]
'3b6a27bc'
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from hashlib import sha256
from typing import Any

import msgspec

from certificates.base58 import from_method, from_multibase, to_method, to_multibase
from editions.errors import Contradiction, Unreadable
from editions.ledger.canonical import canonical
from editions.ledger.keys import SIGNATURE, PrivateKey, PublicKey
from editions.trade.text import shown

Document = dict[str, Any]

TYPE = "DataIntegrityProof"
SUITE = "eddsa-jcs-2022"
PURPOSE = "assertionMethod"
CONTEXT, PROOF, VALUE = "@context", "proof", "proofValue"

_REQUIRED = ("type", "cryptosuite", "created", "verificationMethod", "proofPurpose", VALUE)
_FIXED = (
    ("type", TYPE, "is of the type {}; a {} is needed"),
    ("cryptosuite", SUITE, "was made with the cryptosuite {}; only {} is read"),
    ("proofPurpose", PURPOSE, "was made for the purpose {}; it asserts nothing without {}"),
)
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", re.ASCII)


class Proof(msgspec.Struct, frozen=True, kw_only=True):
    """A proof taken apart; nothing in it is verified yet.  ``key`` is the raw public key."""

    key: bytes
    created: str
    options: Mapping[str, Any]
    signature: bytes


def sign(document: Document, private: PrivateKey, created: str) -> Document:
    """Return a new proof over a document, whatever proofs stand in it.

    Raises:
        Unreadable: The moment is no UTC time to the second, or the document cannot be written.
    """
    require_moment(created)
    options = {
        "type": TYPE,
        "cryptosuite": SUITE,
        "created": created,
        "verificationMethod": to_method(private.public.raw),
        "proofPurpose": PURPOSE,
    }
    if CONTEXT in document:
        options[CONTEXT] = document[CONTEXT]
    signature = private.sign(options_hash(options) + document_hash(document))
    return options | {VALUE: to_multibase(signature)}


def verify(document: Document, proof: object) -> bytes:
    """Check a proof over a document and return the public key that made it, 32 bytes.

    The proof's context must begin the document's, and then stands in its place (3.3.2 of the
    suite).

    Raises:
        Unreadable: The proof is not of the form above.
        Contradiction: It was made under another context, over another document, or altered.
    """
    read = read_proof(proof)
    if CONTEXT in read.options:
        context = read.options[CONTEXT]
        require_context(context, document.get(CONTEXT))
        document = document | {CONTEXT: context}
    require_signed(read, document_hash(document))
    return read.key


def read_proof(proof: object) -> Proof:
    """Take a proof apart.

    Raises:
        Unreadable: A field is missing, unknown, or not what it must be; the message says which.
        KeyUnusable: It names a key under which anybody could sign.
    """
    if not isinstance(proof, dict):
        raise Unreadable("The proof is not an object.")
    _require_fields(proof)
    require_moment(proof["created"])
    key = PublicKey(from_method(proof["verificationMethod"])).raw
    signature = from_multibase(proof[VALUE])
    if len(signature) != SIGNATURE:
        raise Unreadable(f"The proof's value has {len(signature)} bytes, not {SIGNATURE}.")
    return Proof(key=key, created=proof["created"], options=options_of(proof), signature=signature)


def require_signed(proof: Proof, words: bytes) -> None:
    """Check that a proof signs a document, given by its hash of 32 bytes.

    Raises:
        Contradiction: It does not: other words, other options, or another key.
    """
    PublicKey(proof.key).verify(proof.signature, options_hash(proof.options) + words)


def require_context(proof: object, document: object) -> None:
    """Check that a proof's context begins its document's.

    Raises:
        Contradiction: It does not.
    """
    signed, standing = _listed(proof), _listed(document)
    if not signed or canonical(standing[: len(signed)]) != canonical(signed):
        raise Contradiction("The proof was made under another context than the document's.")


def require_moment(text: str) -> None:
    """Check that text is a UTC time to the second.

    Raises:
        Unreadable: It is not, such as ``2026-11-24T16:20:00Z``.
    """
    try:
        if not _MOMENT.fullmatch(text):
            raise ValueError
        datetime.datetime.fromisoformat(text)
    except ValueError:
        raise Unreadable(
            f"{shown(text)} is not a moment.", "Such as: 2026-11-24T16:20:00Z"
        ) from None


def document_hash(document: Document) -> bytes:
    """Return the SHA-256 of a document without its proofs, 32 bytes.

    Raises:
        Unreadable: The document holds what canonical bytes leave out.
    """
    return sha256(canonical({k: v for k, v in document.items() if k != PROOF})).digest()


def options_of(proof: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a proof's options: all of it but its value."""
    return {k: v for k, v in proof.items() if k != VALUE}


def options_hash(options: Mapping[str, Any]) -> bytes:
    """Return the SHA-256 of a proof's options, 32 bytes.

    Raises:
        Unreadable: They hold what canonical bytes leave out.
    """
    return sha256(canonical(dict(options))).digest()


def _require_fields(proof: Document) -> None:
    for name in _REQUIRED:
        if not isinstance(proof.get(name), str):
            raise Unreadable(f"The proof lacks its field {name}, or it is no text.")
    for name, fixed, says in _FIXED:
        if proof[name] != fixed:
            raise Unreadable(f"The proof {says.format(shown(proof[name]), fixed)}.")
    unknown = sorted(set(proof) - {*_REQUIRED, CONTEXT})
    if unknown:
        raise Unreadable(f"The proof has an option that is not read here: {shown(unknown[0])}.")


def _listed(context: object) -> list[object]:
    if context is None:
        return []
    return list(context) if isinstance(context, list | tuple) else [context]
