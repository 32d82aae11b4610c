"""The certifying key is unlocked once a batch: its derivation is slow on purpose."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest

from certificates.issue import issue
from editions.registry import Registry
from tests.certificates import house
from tests.certificates.house import PASSPHRASE


def test_a_batch_derives_the_key_from_the_passphrase_once(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    pieces = [house.PIECE, *(house.finished(book, number) for number in ("4/8", "5/8"))]
    counted, real = list[int](), hashlib.scrypt

    def scrypt(*given: Any, **named: Any) -> bytes:
        counted.append(named["n"])
        return real(*given, **named)

    monkeypatch.setattr(hashlib, "scrypt", scrypt)
    assert len(issue(book, pieces, passphrase=PASSPHRASE)) == 3
    assert len(counted) == 1
