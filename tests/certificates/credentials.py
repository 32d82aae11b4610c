"""Credentials made for tests: an artist, two heirs, a foundry, and documents signed by them."""

from __future__ import annotations

import copy
import hashlib
from typing import Any

from certificates.credential import build
from certificates.integrity import Document
from certificates.proofset import add_proof
from certificates.signers import Signer
from editions.ledger.keys import PrivateKey
from editions.trade.statement import Statement
from tests.certificates.builders import FOUNDRY_KEY, MINIMAL, USUAL, sealed


def key_of(name: str) -> PrivateKey:
    """A key that depends on nothing but a name."""
    return PrivateKey(hashlib.sha256(name.encode()).digest())


SUBJECT = "credentialSubject"
NOON = "2026-11-24T12:00:00Z"
LATER = "2026-12-01T09:30:00Z"
ARTIST_KEY = key_of("the artist of a test")
HEIR_KEYS = (key_of("the first heir of a test"), key_of("the second heir of a test"))
ARTIST = Signer(name="Ilse Varga", role="artist", key=ARTIST_KEY.public.raw)
HEIRS = (
    Signer(name="Bódog Varga", role="heirs", key=HEIR_KEYS[0].public.raw),
    Signer(name="Réka Varga", role="heirs", key=HEIR_KEYS[1].public.raw),
)
INK = Signer(name="Ottó Varga", role="executor")


def unsigned(
    statement: Statement = USUAL,
    holders: tuple[Signer, ...] = (ARTIST,),
    needed: int | None = None,
    foundry: PrivateKey = FOUNDRY_KEY,
) -> Document:
    """The document of a statement at its place in a small book."""
    claim = sealed(statement).claim
    return build(statement, claim, foundry.public.raw, holders, needed)


def signed(
    statement: Statement = MINIMAL,
    *,
    holders: tuple[Signer, ...] = (ARTIST,),
    keys: tuple[PrivateKey, ...] = (FOUNDRY_KEY, ARTIST_KEY),
) -> Document:
    """The document with the proofs of these keys."""
    document = unsigned(statement, holders)
    for key in keys:
        document = add_proof(document, key, NOON)
    return document


def altered(document: Document, *path: Any, to: object) -> Document:
    """A copy of a document with one value replaced, or put where none was."""
    changed = copy.deepcopy(document)
    place: Any = changed
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = to
    return changed


def lacking_field(document: Document, *path: Any) -> Document:
    """A copy of a document without one value."""
    changed = copy.deepcopy(document)
    place: Any = changed
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    return changed
