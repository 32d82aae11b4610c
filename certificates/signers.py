"""Who asserts a certificate, and where the book holds it: the values of a credential.

The foundry always signs, with a key.  The *holders* are the artist or those who act for the artist;
each signs with a key of their own, or in ink.  ``needed`` says how many of them have to.

>>> Signer(name="Ilse Varga", role="executor").said
'Ilse Varga, executor for the artist'
"""

from __future__ import annotations

import re
from typing import Literal

import msgspec

from editions.errors import Unreadable
from editions.ledger.encodings import LARGEST
from editions.ledger.keys import PublicKey
from editions.trade.numbers import read_number
from editions.trade.saying import Said, marked, said
from editions.trade.statement import Statement
from editions.trade.text import clean

MOST = 32
NAME_LIMIT = 200
WHOLE = "Is it the credential of a certificate, and is it whole?"

Role = Literal["foundry", "artist", "executor", "heirs", "estate", "foundation", "representative"]

_ROLES: dict[Role, str] = {
    "foundry": marked("{name}, the foundry"),
    "artist": marked("{name}, artist"),
    "executor": marked("{name}, executor for the artist"),
    "heirs": marked("{name}, heirs of the artist"),
    "estate": marked("{name}, estate of the artist"),
    "foundation": marked("{name}, foundation of the artist"),
    "representative": marked("{name}, representative of the artist"),
}
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)


class Signer(msgspec.Struct, frozen=True, kw_only=True):
    """One who asserts; ``key`` is the raw public key, or None for one who signs in ink."""

    name: str
    role: Role
    key: bytes | None = None

    @property
    def said(self) -> Said:
        """Name and role, as a sentence has them."""
        return said(_ROLES[self.role], name=self.name)


class Place(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where the book holds the certificate; leaf and root are hex digests."""

    origin: str
    leaf: str
    index: int
    size: int
    root: str


class Credential(msgspec.Struct, frozen=True, kw_only=True):
    """A credential taken apart: what it says, where the book holds it, and who asserts it."""

    statement: Statement
    place: Place
    foundry: Signer
    holders: tuple[Signer, ...] = ()
    needed: int = 0

    @property
    def signers(self) -> tuple[Signer, ...]:
        """The foundry, then the holders, in the order of their proofs."""
        return (self.foundry, *self.holders)

    def signer(self, key: bytes) -> Signer | None:
        """The signer whose key this is."""
        return next((signer for signer in self.signers if signer.key == key), None)


def judge(credential: Credential) -> None:
    """Check what the types leave open: number, place, names, keys and how many are needed.

    Raises:
        Unreadable: A credential cannot hold this.
        KeyUnusable: A key is one under which anybody could sign.
    """
    number, place = credential.statement.number, credential.place
    if read_number(number) != number:
        raise Unreadable("The credential's number is not as it is kept.", WHOLE)
    if not all(map(_DIGEST.fullmatch, (place.leaf, place.root))):
        raise Unreadable("The credential's leaf and root are not digests.", WHOLE)
    if not 0 <= place.index < place.size <= LARGEST:
        raise Unreadable("The credential's place lies outside its checkpoint.", WHOLE)
    _judge_holders(credential.holders, credential.needed)
    _judge_keys(credential)


def _judge_holders(holders: tuple[Signer, ...], needed: int) -> None:
    if len(holders) >= MOST or any(holder.role == "foundry" for holder in holders):
        raise Unreadable("The credential names too many signers, or two foundries.", WHOLE)
    for holder in holders:
        if not holder.name or clean(holder.name, NAME_LIMIT) != holder.name:
            raise Unreadable("A signer's name is empty, or not as it is kept.", WHOLE)
    if not min(1, len(holders)) <= needed <= len(holders):
        raise Unreadable(f"{needed} of {len(holders)} signatures cannot be needed.", WHOLE)


def _judge_keys(credential: Credential) -> None:
    keys = [signer.key for signer in credential.signers if signer.key is not None]
    for key in keys:
        PublicKey(key)
    if credential.foundry.key is None:
        raise Unreadable("The foundry signs with a key, never in ink alone.")
    if len(set(keys)) != len(keys):
        raise Unreadable("Two signers share a key.", "Each needs a key of their own.")
