"""Countersigning: a key that the book holds vouches that another follows as somebody's key.

A text says which key is to follow, whose and for what; the signature stands under it.  The signer
needs no registry, only the text and a key of their own::

    bronzebook-countersign-1
    book record.example
    party Y-0001
    use foundry
    key record.example+1a2b3c4d+AX…
    by did:key:z6Mk…
    signature <base64, of the five lines above>

>>> print(countersign_text("record.example", "Y-0002", "artist", "record.example/Y-0002+…")[:24])
bronzebook-countersign-1
"""

from __future__ import annotations

import re

import msgspec

from certificates.base58 import from_did, to_did
from editions.errors import Contradiction, KeyUnusable
from editions.ledger.encodings import from_base64, to_base64
from editions.ledger.keys import SIGNATURE, PrivateKey, PublicKey

LIMIT = 8 * 1024

_AS = {
    "foundry": "for the foundry",
    "artist": "for the artist",
    "log": "each state of the book",
}

_FORM = re.compile(
    r"(?P<text>bronzebook-countersign-1\n"
    r"book (?P<book>\S{1,255})\n"
    r"party (?P<party>\S{1,20})\n"
    r"use (?P<use>foundry|artist|log)\n"
    r"key (?P<key>\S{1,320})\n)"
    r"(?:by (?P<by>did:key:\S{1,80})\nsignature (?P<signature>\S+)\n)?"
)


class Countersigned(msgspec.Struct, frozen=True, kw_only=True):
    """A text that was countersigned: its parts, the signer's raw key, and the signature."""

    text: str
    book: str
    party: str
    use: str
    key: str
    by: bytes
    signature: bytes

    def __str__(self) -> str:
        return f"{self.text}by {to_did(self.by)}\nsignature {to_base64(self.signature)}\n"


def countersign_text(book: str, party: str, use: str, key: str) -> str:
    """The text that is countersigned: this key follows, in this book, as a key of this party."""
    return f"bronzebook-countersign-1\nbook {book}\nparty {party}\nuse {use}\nkey {key}\n"


def plain_words(text: str) -> tuple[str, ...]:
    """What whoever countersigns a text says by it, a line each.

    Raises:
        KeyUnusable: It is not such a text.
    """
    found = _taken_apart(text)
    return (
        f"In the book {found['book']} the party {found['party']} is to sign, {_AS[found['use']]},",
        f"with this key from now on: {found['key']}",
        "By countersigning you say that you know this party, and had its fingerprint from it.",
    )


def countersign(text: str, private: PrivateKey) -> Countersigned:
    """The text, countersigned.

    Raises:
        KeyUnusable: It is not such a text.
    """
    found = _taken_apart(text)
    return _made(found, private.public.raw, private.sign(found["text"].encode()))


def read_countersigned(file: str) -> Countersigned:
    """A countersigned text, its signature checked.

    Raises:
        KeyUnusable: It is not one, or nobody signed it.
        Contradiction: The signature does not hold.
    """
    found = _taken_apart(file)
    if found["by"] is None:
        raise KeyUnusable("Nobody has countersigned this text.", "See: bronzebook key countersign.")
    by, signature = from_did(found["by"]), from_base64(found["signature"], SIGNATURE)
    PublicKey(by).verify(signature, found["text"].encode())
    return _made(found, by, signature)


def require_for(found: Countersigned, text: str) -> None:
    """Check that what was countersigned is this text.

    Raises:
        Contradiction: Another key, party, use or book was countersigned.
    """
    if found.text != text:
        raise Contradiction(
            f"The countersignature is for the key {found.key} of {found.party} in the book"
            f" {found.book}, not for the one that is to be admitted."
        )


def _made(found: re.Match[str], by: bytes, signature: bytes) -> Countersigned:
    return Countersigned(
        text=found["text"],
        book=found["book"],
        party=found["party"],
        use=found["use"],
        key=found["key"],
        by=by,
        signature=signature,
    )


def _taken_apart(text: str) -> re.Match[str]:
    found = _FORM.fullmatch(text) if len(text) <= LIMIT else None
    if found is None:
        raise KeyUnusable(
            "This is not a text to countersign, whole and unaltered.", "Ask for it once more."
        )
    return found
