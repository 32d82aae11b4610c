"""A book whose log key changes, for the tests of it."""

from __future__ import annotations

from editions.ledger.keys import PrivateKey
from editions.ledger.logkeys import LogKeys
from editions.registry import Registry
from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key
from tests.registry.builders import PASSPHRASE

ORIGIN = "book.kilnlane.example"
FOUNDRY = "Y-0001"
STRANGER = PrivateKey(b"\x0b" * 32)


def rotate(book: Registry, because: str = "rotated") -> None:
    prepare_log_rotation(book)
    rotate_log_key(book, because=because, passphrase=PASSPHRASE)


def keys(book: Registry) -> LogKeys:
    return book.log_verifier()


def size(book: Registry) -> int:
    with book.reading() as reading:
        return reading.size
