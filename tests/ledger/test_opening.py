"""Openings: one held field shown with what proves it, and every way in which that fails."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.envelope import Entry, encode, leaf_of
from editions.ledger.held import seal
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.opening import LIMIT, Opening
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import leaf_hash, node_hash

ORIGIN = "book.harrowlane.example"
KEY = PrivateKey(bytes(range(32)))
LOG = VerifierKey(ORIGIN, KEY.public.raw)
SALT = bytes(range(32, 64))
OTHER = leaf_hash(b"the entry beside it")


def an_entry(value: Any = "Tomas Brandl", *, salt: bytes = SALT) -> bytes:
    return encode(
        Entry(
            id="0" * 32,
            batch="1" * 32,
            at="2026-03-02T07:00:00Z",
            by="Y-0001",
            kind="piece_released",
            on="2026-03-02",
            subject="P-0003",
            facts={"state": "raw metal"},
            held={"to": seal("to", value, salt), "note": seal("note", None, bytes(32))},
            source=None,
        )
    )


def an_opening(value: Any = "Tomas Brandl", *, salt: bytes = SALT) -> Opening:
    """An opening in a book of two entries, of which it is the second."""
    entry = an_entry(value, salt=salt)
    root = node_hash(OTHER, leaf_of(entry))
    note = sign_checkpoint(Checkpoint(origin=ORIGIN, size=2, root=root), KEY)
    proof = ProofFile(index=1, hashes=(OTHER,), checkpoint_note=note)
    return Opening(entry=entry, field="to", value=value, salt=salt, proof=proof, log=LOG)


def test_an_opening_shows_what_was_sealed_and_where() -> None:
    opening = an_opening()
    assert opening.sealed().subject == "P-0003"
    assert opening.placed(LOG).size == 2
    assert opening.check(LOG) == opening.placed(LOG)


def test_another_program_can_check_the_seal_from_the_file_alone() -> None:
    # By hand, with another library for RFC 8785: SHA-256 of salt and ["to", value].
    plain = json.loads(an_opening().to_bytes())
    said = rfc8785.dumps([plain["field"], plain["value"]])
    digest = hashlib.sha256(bytes.fromhex(plain["salt"]) + said).hexdigest()
    assert json.loads(plain["entry"])["held"]["to"] == digest
    assert set(plain) == {"v", "entry", "field", "value", "salt", "proof", "log"}


VALUES = (
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text('ab é\\"\n', max_size=12)
    | st.lists(st.text("xy", max_size=3), max_size=3)
)


@given(value=VALUES, salt=st.binary(min_size=32, max_size=32))
def test_an_opening_is_read_as_it_was_written(value: Any, salt: bytes) -> None:
    opening = an_opening(value, salt=salt)
    data = opening.to_bytes()
    assert data == rfc8785.dumps(json.loads(data))
    again = Opening.from_bytes(data)
    assert again == opening
    assert again.to_bytes() == data
    again.check(LOG)


def _refused(data: bytes) -> bool:
    try:
        Opening.from_bytes(data).check(LOG)
    except BronzebookError:
        return True
    return False


def test_every_single_bit_of_an_opening_counts() -> None:
    data = an_opening().to_bytes()
    held = [
        (at, bit)
        for at in range(len(data))
        for bit in range(8)
        if not _refused(data[:at] + bytes([data[at] ^ (1 << bit)]) + data[at + 1 :])
    ]
    assert held == []


def test_no_part_of_an_opening_is_an_opening() -> None:
    data = an_opening().to_bytes()
    assert all(_refused(data[:end]) for end in range(len(data)))
    assert _refused(data + b" ")
    assert _refused(data + data)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"value": "Tomas Brandt"}, "not what the entry sealed"),
        ({"value": None}, "not what the entry sealed"),
        ({"value": ["Tomas Brandl"]}, "not what the entry sealed"),
        ({"salt": bytes(32)}, "not what the entry sealed"),
        ({"field": "note"}, "not what the entry sealed"),
        ({"field": "state"}, "no held field 'state'"),
        ({"field": "owner"}, "no held field 'owner'"),
        ({"entry": an_entry("another")}, "not what the entry sealed"),
    ],
)
def test_words_that_were_not_sealed_there_contradict(change: dict[str, Any], says: str) -> None:
    with pytest.raises(Contradiction, match=says):
        replace(an_opening(), **change).check(LOG)


def test_an_entry_that_is_in_no_such_book_contradicts() -> None:
    opening = an_opening()
    entry = an_entry(salt=SALT).replace(b"P-0003", b"P-0004")
    forged = replace(opening, entry=entry)
    assert forged.sealed().subject == "P-0004"
    with pytest.raises(Contradiction):
        forged.check(LOG)
    moved = replace(opening, proof=ProofFile(0, (OTHER,), opening.proof.checkpoint_note))
    with pytest.raises(Contradiction):
        moved.check(LOG)


def test_a_book_signed_with_another_key_of_the_same_name_contradicts() -> None:
    thief = PrivateKey(bytes(32))
    opening = an_opening()
    checkpoint = opening.placed(LOG)
    note = sign_checkpoint(checkpoint, thief)
    forged = replace(
        opening,
        proof=ProofFile(1, (OTHER,), note),
        log=VerifierKey(ORIGIN, thief.public.raw),
    )
    forged.check(forged.log)  # it agrees with itself, which is all a file can do
    with pytest.raises(Contradiction, match="another key"):
        forged.check(LOG)
    with pytest.raises(Contradiction):
        replace(forged, log=LOG).check(LOG)


def plain(**changes: Any) -> bytes:
    return rfc8785.dumps({**json.loads(an_opening().to_bytes()), **changes})


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{}",
        b"[]",
        b"%PDF-1.7",
        plain(v=2),
        plain(v="1"),
        plain(extra=1),
        plain(salt="00" * 31),
        plain(salt="A0" * 32),
        plain(salt=None),
        plain(entry="{}"),
        plain(entry=None),
        plain(entry=an_entry().decode() + "\n"),
        plain(field=7),
        plain(proof="c2sp.org/tlog-proof@v1"),
        plain(proof=""),
        an_opening().to_bytes().replace(b'"v":1', b'"v": 1'),
        an_opening().to_bytes().replace(b'{"entry"', b'{"v":1,"entry"'),
        b'"' + b"a" * LIMIT + b'"',
    ],
)
def test_what_is_no_opening_is_unreadable(data: bytes) -> None:
    with pytest.raises(Unreadable):
        Opening.from_bytes(data)


@pytest.mark.parametrize("key", ["", "a name", str(LOG)[:-1], str(LOG).upper()])
def test_a_key_that_is_none_is_said(key: str) -> None:
    with pytest.raises(KeyUnusable):
        Opening.from_bytes(plain(log=key))


def test_a_value_that_cannot_be_kept_is_not_written() -> None:
    with pytest.raises(Unreadable):
        replace(an_opening(), value=1.5).to_bytes()
