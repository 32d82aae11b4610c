"""The audit checks again what others signed into the book: one who rewrites it cannot sign anew."""

from __future__ import annotations

import base64
from collections.abc import Callable
from typing import Any

import pytest

from certificates.asking import take_reply
from certificates.countersign import countersign
from editions.ledger.keys import PrivateKey, public_text
from editions.registry import Registry
from editions.registry.acts.keys import admit_key, countersigning, end_key
from editions.registry.auditing import audit
from editions.registry.rotating import prepare_rotation, rotate_foundry_key
from tests.certificates import asked, house
from tests.registry.builders import KEY_COST, PASSPHRASE

Change = Callable[[dict[str, Any]], None]
NEXT = PrivateKey(b"\x09" * 32)
STRANGER = PrivateKey(b"\x0a" * 32)


@pytest.fixture
def signed(book: Registry) -> Registry:
    """A book with an artist's proof, her next key, and a new key of the foundry."""
    asked.admit(book)
    number = asked.pending(book)
    assert take_reply(book, asked.replied(book, number))[0].accepted
    with book.reading() as reading:
        text = countersigning(reading, asked.ARTIST, NEXT.public.raw)
    with book.writing() as w:
        admit_key(w, asked.ARTIST, NEXT.public.raw, countersigned=countersign(text, asked.KEY))
    prepare_rotation(book, "a passphrase for the next key", key_cost=KEY_COST)
    rotate_foundry_key(book, passphrase=PASSPHRASE)
    return book


def last(book: Registry, kind: str) -> int:
    return max(at for at, one in enumerate(house.kinds(book)) if one == kind)


def keys_admitted(book: Registry) -> list[int]:
    return [at for at, kind in enumerate(house.kinds(book)) if kind == "key_admitted"]


def faults(book: Registry) -> tuple[str, ...]:
    return audit(book).faults


def test_an_honest_book_has_no_fault(signed: Registry) -> None:
    assert faults(signed) == ()


def test_keys_ended_since_are_no_fault(signed: Registry) -> None:
    with signed.writing() as w:
        for key in (asked.KEY, NEXT):
            end_key(w, asked.ARTIST, key.public.raw, because="compromised", from_position=0)
    assert faults(signed) == ()


def flipped(text: str, bit: int) -> str:
    data = bytearray(base64.b64decode(text))
    data[bit // 8] ^= 1 << bit % 8
    return base64.b64encode(bytes(data)).decode()


@pytest.mark.parametrize("bit", [0, 256, 503])
@pytest.mark.parametrize("which", [1, 2])
def test_a_countersignature_with_one_bit_changed_is_found(
    signed: Registry, which: int, bit: int
) -> None:
    def change(entry: dict[str, Any]) -> None:
        facts = entry["facts"]
        facts["countersignature"] = flipped(facts["countersignature"], bit)

    at = keys_admitted(signed)[which]
    house.rewrite(signed, at, change)
    assert faults(signed) == (f"entry {at}: the countersignature of this key does not hold",)


@pytest.mark.parametrize("which", [1, 2])
def test_another_key_in_the_place_of_the_countersigned_one_is_found(
    signed: Registry, which: int
) -> None:
    def change(entry: dict[str, Any]) -> None:
        name = entry["facts"]["key"].split("+")[0]
        entry["facts"]["key"] = public_text(name, STRANGER.public.raw)

    at = keys_admitted(signed)[which]
    house.rewrite(signed, at, change)
    assert f"entry {at}: the countersignature of this key does not hold" in faults(signed)


def test_a_countersignature_taken_out_is_found(signed: Registry) -> None:
    def change(entry: dict[str, Any]) -> None:
        del entry["facts"]["countersigned_by"], entry["facts"]["countersignature"]

    at = keys_admitted(signed)[-1]
    house.rewrite(signed, at, change)
    assert faults(signed) == (f"entry {at}: nobody countersigned this key of the foundry",)


def test_a_voucher_that_the_book_never_held_is_found(signed: Registry) -> None:
    def change(entry: dict[str, Any]) -> None:
        stranger = public_text("book.kilnlane.example", STRANGER.public.raw)
        entry["facts"]["countersigned_by"] = stranger

    at = keys_admitted(signed)[-1]
    house.rewrite(signed, at, change)
    said = f"entry {at}: the book did not hold the key that countersigned this one"
    assert faults(signed) == (said,)


def proof_fault(book: Registry) -> str:
    (said,) = (one for one in faults(book) if "the proof of Y-0002" in one)
    return said


def test_a_proof_that_was_altered_is_found(signed: Registry) -> None:
    def change(entry: dict[str, Any]) -> None:
        value = entry["facts"]["proof"]["proofValue"]
        entry["facts"]["proof"]["proofValue"] = value[:-1] + ("2" if value[-1] != "2" else "3")

    house.rewrite(signed, last(signed, "proof_received"), change)
    assert "the proof of Y-0002: " in proof_fault(signed)


def test_a_proof_moved_to_another_key_is_found(signed: Registry) -> None:
    def change(entry: dict[str, Any]) -> None:
        name = entry["facts"]["key"].split("+")[0]
        entry["facts"]["key"] = public_text(name, STRANGER.public.raw)

    house.rewrite(signed, last(signed, "proof_received"), change)
    assert "did not ask this signer to sign with this key" in proof_fault(signed)


def test_a_proof_that_names_another_credential_is_found(signed: Registry) -> None:
    def change(entry: dict[str, Any]) -> None:
        entry["facts"]["credential"] = "0" * 64

    house.rewrite(signed, last(signed, "proof_received"), change)
    assert "over another credential than the entries make" in proof_fault(signed)


def title(entry: dict[str, Any]) -> None:
    entry["facts"]["statement"]["title"] = "Heron, falling"


def larger(entry: dict[str, Any]) -> None:
    entry["facts"]["declared"]["size"] = 12


@pytest.mark.parametrize(
    ("kind", "change"), [("certificate_issued", title), ("run_declared", larger)]
)
def test_an_artists_proof_contradicts_a_book_that_was_rewritten_before_it(
    signed: Registry, kind: str, change: Change
) -> None:
    """The proof names leaf and root: it is itself a witness, in the book and out of it."""
    house.rewrite(signed, last(signed, kind), change)
    assert "over another credential than the entries make" in proof_fault(signed)
