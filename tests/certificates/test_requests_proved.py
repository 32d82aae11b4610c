"""A request proves its own words: what was changed on the way is refused by whoever is asked."""

from __future__ import annotations

import json
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.asked import Asked, Opened
from certificates.countersign import countersign, countersign_text, read_countersigned
from certificates.keyfile import PublicKeyEntry
from certificates.replies import LIMIT
from certificates.requests import (
    make_request,
    proof_words,
    read_request,
    summary_words,
    write_request,
)
from editions.errors import BronzebookError, Contradiction, KeyUnusable, NotKnown, Unreadable
from editions.ledger.checkpoint import open_checkpoint, sign_checkpoint
from editions.ledger.envelope import decode, encode
from editions.ledger.keys import PrivateKey, fingerprint
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from tests.certificates.builders import FOUNDRY_KEY, LOG_KEY, ORIGIN, OTHER_KEY, verifier
from tests.certificates.credentials import NOON
from tests.certificates.requesting import ARTIST_PUBLIC, KEYS, REQUEST, asked_one, request_for

FIRST = asked_one(0)
GIVEN = KEYS
STRANGERS = (
    PublicKeyEntry(use="foundry", key=verifier(FOUNDRY_KEY)),
    PublicKeyEntry(use="log", key=verifier(OTHER_KEY)),
)


def again(one: Asked, key: PrivateKey, keys: Any) -> bytes:
    """The request of a stranger who signs the same state of the book with a key of their own."""
    state = open_checkpoint(one.proof.checkpoint_note, VerifierKey.parse(verifier(LOG_KEY)))
    proof = ProofFile(one.proof.index, one.proof.hashes, sign_checkpoint(state, key))
    carried = Asked(entry=one.entry, proof=proof)
    return write_request(make_request([carried], ARTIST_PUBLIC, NOON, keys))


def log_key(key: PrivateKey, name: str = ORIGIN) -> PublicKeyEntry:
    return PublicKeyEntry(use="log", key=verifier(key, name))


@pytest.mark.parametrize(
    ("word", "other"),
    [
        ("Hand", "Head"),
        ("Ilse Varga", "Ilse Vargo"),
        ("1/8", "2/8"),
        ("2026-11-24", "2026-11-25"),
        ("Hollow Oak Foundry", "Hollow Elm Foundry"),
    ],
)
def test_a_word_that_was_changed_has_no_place_in_the_book(word: str, other: str) -> None:
    file = json.loads(REQUEST)
    entry = file["certificates"][0]["entry"]
    file["certificates"][0]["entry"] = entry.replace(word, other)
    assert file["certificates"][0]["entry"] != entry
    with pytest.raises(Contradiction, match="were changed") as refused:
        read_request(rfc8785.dumps(file))
    assert "Sign nothing" in refused.value.remedy


@settings(max_examples=300)
@given(st.integers(0, len(REQUEST) * 8 - 1))
def test_a_bit_flipped_in_a_request_changes_no_word_that_is_read(bit: int) -> None:
    changed = bytearray(REQUEST)
    changed[bit // 8] ^= 1 << bit % 8
    try:
        request = read_request(bytes(changed))
    except BronzebookError:
        return
    assert request.documents == read_request(REQUEST).documents
    assert request.signed_by == read_request(REQUEST).signed_by


@settings(max_examples=200)
@given(st.binary(max_size=400) | st.text(max_size=200).map(str.encode))
def test_whatever_is_handed_over_is_refused_in_our_own_words(data: bytes) -> None:
    with pytest.raises(BronzebookError):
        read_request(data)


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


@settings(max_examples=200)
@given(st.sampled_from(["certificates", "keys", "rotations", "to", "made", "entry", "proof"]), JUNK)
def test_no_field_of_another_form_gets_through_or_raises_another_error(
    field: str, junk: object
) -> None:
    file = json.loads(REQUEST)
    place = file["certificates"][0] if field in ("entry", "proof") else file
    place[field] = junk
    try:
        data = rfc8785.dumps(file)
    except (ValueError, UnicodeError):
        return
    if data != REQUEST:
        with pytest.raises(BronzebookError):
            read_request(data)


def test_a_request_of_the_first_format_is_refused_and_says_why() -> None:
    old: Any = {
        "format": "bronzebook-request-1",
        "to": "did:key:z",
        "made": NOON,
        "certificates": [{}],
    }
    with pytest.raises(Unreadable, match="nothing in it proves its words") as refused:
        read_request(rfc8785.dumps(old))
    assert "once more" in refused.value.remedy


def test_a_request_that_is_too_long_is_not_parsed() -> None:
    with pytest.raises(Unreadable):
        read_request(b"{" + b" " * LIMIT)


def test_an_entry_of_another_kind_asks_for_nothing() -> None:
    entry = decode(FIRST.entry)
    drawn = {"pdf": "0" * 64, "page": "A4", "claim": "0" * 64, "size": 9}
    for changes in ({"kind": "certificate_drawn", "facts": drawn}, {"kind": "no_such_kind"}):
        fields = {name: getattr(entry, name) for name in entry.__struct_fields__}
        with pytest.raises(BronzebookError):
            Opened(KEYS).document(
                Asked(entry=encode(type(entry)(**(fields | changes))), proof=FIRST.proof)
            )


def test_keys_brought_along_vouch_for_the_book() -> None:
    request = request_for(FIRST)
    (said,) = proof_words(request, GIVEN)
    assert said.startswith(f"These words are those of the book {ORIGIN}: entry and proof agree")
    assert said.endswith(" signed by the public keys that you brought.")
    assert summary_words(request, GIVEN)[-1] == said
    alone = proof_words(request)
    assert fingerprint(LOG_KEY.public.raw) in alone[0]
    assert "cannot prove" in alone[1]


def test_a_strangers_book_of_the_same_name_agrees_with_itself_and_with_no_key_brought() -> None:
    request = read_request(again(FIRST, OTHER_KEY, STRANGERS))
    assert fingerprint(OTHER_KEY.public.raw) in proof_words(request)[0]
    with pytest.raises(Contradiction, match="not the foundry's"):
        proof_words(request, GIVEN)


def test_keys_of_another_book_say_nothing_for_or_against() -> None:
    with pytest.raises(NotKnown, match="the keys given are of"):
        proof_words(request_for(FIRST), [log_key(OTHER_KEY, "kiln-lane.example")])
    with pytest.raises(KeyUnusable, match="no log key"):
        proof_words(request_for(FIRST), KEYS[:1])


@pytest.mark.parametrize("by", [OTHER_KEY, FOUNDRY_KEY], ids=["the log key before", "certifying"])
def test_a_later_log_key_is_followed_from_the_keys_brought(by: PrivateKey) -> None:
    text = countersign_text(ORIGIN, "Y-0001", "log", verifier(LOG_KEY))
    followed = read_countersigned(str(countersign(text, by)))
    request = make_request([FIRST], ARTIST_PUBLIC, NOON, KEYS, [followed])
    assert read_request(write_request(request)) == request
    assert "that you brought" in proof_words(request, STRANGERS)[0]
    alone = make_request([FIRST], ARTIST_PUBLIC, NOON, KEYS)
    with pytest.raises(Contradiction):
        proof_words(alone, STRANGERS)


def test_a_rotation_that_nobody_trusted_has_signed_is_passed_over() -> None:
    text = countersign_text(ORIGIN, "Y-0001", "log", verifier(LOG_KEY))
    by_nobody = read_countersigned(str(countersign(text, PrivateKey(b"\x21" * 32))))
    request = make_request([FIRST], ARTIST_PUBLIC, NOON, KEYS, [by_nobody])
    with pytest.raises(Contradiction):
        proof_words(request, STRANGERS)
