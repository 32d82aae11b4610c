"""A holder's key: a card that anybody can check, and a file that only its passphrase opens."""

from __future__ import annotations

import base64
import hashlib

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.base58 import from_did, to_did
from certificates.holder import (
    LIMIT,
    Holder,
    new_holder_key,
    read_card,
    read_holder_key,
    write_card,
)
from editions.errors import BronzebookError, KeyUnusable, Unreadable
from editions.ledger.keys import PrivateKey, lock_private
from editions.ledger.locked import LOWEST
from tests.helpers.chance import Chance

NAME = "Ilse Varga"
PASSPHRASE = "the plaster stays in the yard"
MADE = new_holder_key(NAME, PASSPHRASE, Chance("holder"), LOWEST)
FILE = str(MADE)
LINES = MADE.card.split("\n")
OTHER = PrivateKey(bytes(range(32)))


def _kept(name: str) -> bool:
    try:
        return bool(read_card(write_card(name, OTHER)).name)
    except Unreadable:
        return False


NAMES = st.text(
    st.characters(exclude_categories=("C", "Zl", "Zp", "Mn")), min_size=1, max_size=60
).filter(_kept)


def test_a_key_made_is_opened_by_its_passphrase_and_no_other() -> None:
    key = read_holder_key(FILE)
    assert key.unlock(PASSPHRASE).public.raw == key.holder.key
    with pytest.raises(KeyUnusable):
        key.unlock(PASSPHRASE + " ")


def test_the_same_random_bytes_make_the_same_file() -> None:
    assert str(new_holder_key(NAME, PASSPHRASE, Chance("holder"), LOWEST)) == FILE
    assert str(new_holder_key(NAME, PASSPHRASE, Chance("another"), LOWEST)) != FILE


def test_a_file_reads_back_as_it_was_written() -> None:
    assert read_holder_key(FILE) == MADE
    assert str(read_holder_key(FILE)) == FILE
    assert read_card(MADE.card) == MADE.holder == Holder(name=NAME, key=MADE.holder.key)


def test_the_secret_is_nowhere_in_the_file() -> None:
    seed = MADE.unlock(PASSPHRASE).seed
    for form in (seed.hex(), base64.b64encode(seed).decode(), to_did(seed)[8:]):
        assert form not in FILE
    assert "PrivateKey" not in repr(MADE)


def test_a_card_can_be_checked_by_another_program_from_what_it_says() -> None:
    # cryptography called by hand: the signature is of the four lines above it.
    said = "\n".join(LINES[:4]) + "\n"
    key = from_did(LINES[2].removeprefix("key "))
    signature = base64.b64decode(LINES[4].removeprefix("signature "))
    Ed25519PublicKey.from_public_bytes(key).verify(signature, said.encode())
    digits = LINES[3].removeprefix("fingerprint ").replace(" ", "")
    assert digits == hashlib.sha256(key).hexdigest().upper()
    assert LINES[1] == "name Ilse Varga"
    assert MADE.holder.did == LINES[2].removeprefix("key ")


@settings(max_examples=40)
@given(NAMES, st.binary(min_size=32, max_size=32))
def test_a_card_comes_back_from_its_text(name: str, seed: bytes) -> None:
    private = PrivateKey(seed)
    holder = read_card(write_card(name, private))
    assert holder.key == private.public.raw
    assert write_card(holder.name, private) == write_card(name, private)


@pytest.mark.parametrize("name", ["", "  ", "a\nkey b", "a\x00", "a\u202eb", "x" * 121, "\ud800"])
def test_a_name_that_cannot_be_read_as_one_is_refused(name: str) -> None:
    with pytest.raises(Unreadable):
        new_holder_key(name, PASSPHRASE, Chance(), LOWEST)


def test_a_key_without_a_passphrase_is_not_made() -> None:
    with pytest.raises(KeyUnusable):
        new_holder_key(NAME, "", Chance(), LOWEST)


def test_every_single_bit_of_a_card_counts() -> None:
    data = MADE.card.encode()
    read = []
    for bit in range(len(data) * 8):
        changed = bytearray(data)
        changed[bit // 8] ^= 1 << bit % 8
        try:
            read.append(read_card(changed.decode()))
        except (KeyUnusable, UnicodeDecodeError):
            continue
    assert read == []


def test_a_bit_flipped_in_a_key_file_is_refused_on_reading_or_on_unlocking() -> None:
    data = FILE.encode()
    # The lock costs milliseconds a try, so bits are sampled; every bit of the card is tried above.
    lock = len(MADE.card) * 8
    for bit in [*range(0, lock, 3), *range(lock, len(data) * 8, 11)]:
        changed = bytearray(data)
        changed[bit // 8] ^= 1 << bit % 8
        with pytest.raises((BronzebookError, UnicodeDecodeError)):
            read_holder_key(changed.decode()).unlock(PASSPHRASE)


def line(at: int, text: str) -> str:
    return "\n".join([*LINES[:at], text, *LINES[at + 1 :]])


def signed_as(said: str, private: PrivateKey = OTHER) -> str:
    return f"{said}signature {base64.b64encode(private.sign(said.encode())).decode()}\n"


DID, PRINT = to_did(OTHER.public.raw), Holder(name="x", key=OTHER.public.raw).fingerprint


@pytest.mark.parametrize(
    "text",
    [
        "",
        MADE.card[:-1],
        MADE.card + "\n",
        "\n" + MADE.card,
        MADE.card.replace("\n", "\r\n"),
        line(0, "bronzebook-holder-2"),
        line(1, "name Somebody Else"),
        line(2, f"key {DID}"),
        line(3, f"fingerprint {PRINT}"),
        line(4, "signature AAAA"),
        line(4, "signature " + base64.b64encode(bytes(64)).decode()),
        MADE.card + "x" * LIMIT,
        # Signed by their own key, and still not as a card is written.
        signed_as(f"bronzebook-holder-1\nname  x\nkey {DID}\nfingerprint {PRINT}\n"),
        signed_as(f"bronzebook-holder-1\nname e\u0301\nkey {DID}\nfingerprint {PRINT}\n"),
        signed_as(f"bronzebook-holder-1\nname a\u202eb\nkey {DID}\nfingerprint {PRINT}\n"),
        signed_as(f"bronzebook-holder-1\nname x\nkey {DID}\nfingerprint {PRINT[:-1]}\n"),
        signed_as(f"bronzebook-holder-1\nname x\nkey {DID}\nfingerprint {LINES[3][12:]}\n"),
        signed_as(f"bronzebook-holder-1\nname x\nkey {to_did(bytes(32))}\nfingerprint {PRINT}\n"),
        signed_as(f"bronzebook-holder-1\nname x\nkey did:web:x\nfingerprint {PRINT}\n"),
    ],
)
def test_what_is_not_a_whole_and_unaltered_card_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable, match="card of a holder's key, whole and unaltered"):
        read_card(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        MADE.card,
        MADE.locked,
        FILE[:-1],
        FILE + "\n",
        MADE.card + FILE,
        FILE + "x" * LIMIT,
        FILE.replace(NAME, "Somebody Else"),
        lock_private(OTHER, PASSPHRASE, Chance(), LOWEST),
    ],
)
def test_what_is_not_a_whole_key_file_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable):
        read_holder_key(text)


def test_a_card_over_another_key_than_the_one_locked_is_refused() -> None:
    with pytest.raises(KeyUnusable, match="another key than the one locked"):
        read_holder_key(write_card(NAME, OTHER) + MADE.locked)
