"""A holder's key: made and kept by an artist or an estate, on any machine, without a registry.

Two texts.  The *card* is handed to the foundry; it is signed by its own key, which shows that who
made it holds the key, and that no word of it was changed since::

    bronzebook-holder-1
    name Ilse Varga
    key did:key:z6Mk…
    fingerprint 139E 3940 …
    signature <base64, of the four lines above>

The *key file* is the card, and under it the private key locked under a passphrase, as
:mod:`editions.ledger.locked` writes it.  A card proves no name: the foundry compares the
fingerprint with the holder, face to face or by a voice it knows.

>>> card = Holder(name="Ilse Varga", key=bytes(range(32)))
>>> card.did[:12], card.fingerprint[:9]
('did:key:z6Mk', '630D CD29')
"""

from __future__ import annotations

import os
import re

import msgspec

from certificates.base58 import from_did, to_did
from editions.errors import BronzebookError, KeyUnusable, Unreadable
from editions.ledger.encodings import from_base64, to_base64
from editions.ledger.keys import (
    COST,
    SIGNATURE,
    PrivateKey,
    PublicKey,
    Random,
    fingerprint,
    lock_private,
    unlock_private,
)
from editions.ledger.locked import public_of
from editions.trade.text import clean

NAME_LIMIT = 120
LIMIT = 8 * 1024

_CARD = re.compile(
    r"(?P<said>bronzebook-holder-1\n"
    r"name (?P<name>[^\n]+)\n"
    r"key (?P<key>\S+)\n"
    r"fingerprint (?P<fingerprint>[0-9A-F ]+)\n)"
    r"signature (?P<signature>\S+)\n",
)


class Holder(msgspec.Struct, frozen=True, kw_only=True):
    """A holder as the foundry knows one: a name and a raw public key."""

    name: str
    key: bytes

    @property
    def did(self) -> str:
        """The did:key by which credentials name the holder."""
        return to_did(self.key)

    @property
    def fingerprint(self) -> str:
        """The key's fingerprint, to be compared by eye or read out."""
        return fingerprint(self.key)


class HolderKey(msgspec.Struct, frozen=True, kw_only=True):
    """A holder's key file: the card's text, who it is of, and the locked key."""

    holder: Holder
    card: str
    locked: str

    def __str__(self) -> str:
        return self.card + self.locked

    def unlock(self, passphrase: str) -> PrivateKey:
        """The private key.

        Raises:
            KeyUnusable: A wrong passphrase, or the file was altered.
        """
        return unlock_private(self.locked, passphrase)


def new_holder_key(
    name: str, passphrase: str, random: Random = os.urandom, cost: int = COST
) -> HolderKey:
    """A new key for a holder; ``str`` of it is the file to keep, ``card`` the text to hand out.

    Raises:
        Unreadable: The name is empty, too long, or holds what cannot be seen.
        KeyUnusable: The passphrase is empty.
    """
    private = PrivateKey.generate(random)
    card = write_card(name, private)
    locked = lock_private(private, passphrase, random, cost)
    return HolderKey(holder=read_card(card), card=card, locked=locked)


def read_holder_key(text: str) -> HolderKey:
    """The key file of a holder; what is accepted prints to the same text.

    Raises:
        KeyUnusable: Not a whole key file, or its card and its key do not belong together.
    """
    found = _CARD.match(text[:LIMIT])
    if found is None or len(text) > LIMIT:
        raise _foreign("the key file of a holder")
    card, locked = text[: found.end()], text[found.end() :]
    holder = read_card(card)
    if public_of(locked) != holder.key:
        raise KeyUnusable("The card in this file is of another key than the one locked in it.")
    return HolderKey(holder=holder, card=card, locked=locked)


def write_card(name: str, private: PrivateKey) -> str:
    """The card of a holder, signed by the holder's key; the inverse of :func:`read_card`.

    Raises:
        Unreadable: The name is empty, too long, or holds what cannot be seen.
    """
    name = clean(name, NAME_LIMIT)
    if not name:
        raise Unreadable("A holder's key needs a name.", "Such as: --name 'Ilse Varga'")
    said = _said(Holder(name=name, key=private.public.raw))
    return f"{said}signature {to_base64(private.sign(said.encode()))}\n"


def read_card(text: str) -> Holder:
    """The holder that a card names, its own signature checked.

    Raises:
        KeyUnusable: Not a whole card, or one that was altered.
    """
    found = _CARD.fullmatch(text) if len(text) <= LIMIT else None
    if found is None:
        raise _foreign("the card of a holder's key")
    try:
        holder = Holder(name=clean(found["name"], NAME_LIMIT), key=from_did(found["key"]))
        signature = from_base64(found["signature"], SIGNATURE)
        PublicKey(holder.key).verify(signature, found["said"].encode())
    except BronzebookError:
        raise _foreign("the card of a holder's key") from None
    if _said(holder) != found["said"]:
        raise _foreign("the card of a holder's key")
    return holder


def _said(holder: Holder) -> str:
    return (
        f"bronzebook-holder-1\nname {holder.name}\nkey {holder.did}\n"
        f"fingerprint {holder.fingerprint}\n"
    )


def _foreign(what: str) -> KeyUnusable:
    return KeyUnusable(f"This is not {what}, whole and unaltered.", "Ask for it once more.")
