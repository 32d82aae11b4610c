"""Tests of the signed claim: its bytes, its signature, and the text of the code."""

from __future__ import annotations

import subprocess
import sys
import unicodedata
from typing import Any

import cbor2
import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates import cose
from certificates.claim import (
    PAPERS,
    Claim,
    code_text,
    cut,
    from_bytes,
    open_claim,
    peek_claim,
    read_code_text,
    record_address,
    sign_claim,
    to_bytes,
)
from editions.errors import Contradiction, Unreadable
from editions.ledger.keys import PrivateKey, PublicKey, key_id
from editions.trade.numbers import ALPHABET, check_character
from tests.certificates.builders import ADDRESS, FOUNDRY_KEY, NUMBER, OTHER_KEY, sealed

CLAIM = Claim(
    number="0123456789A",
    leaf=bytes(range(32)),
    index=1412,
    size=1418,
    root=bytes(range(32, 64)),
    origin="hollow-oak.example/book",
    paper="finished",
    artist="Ilse Varga",
    title="Standing Woman with Lowered Eyes",
    designation="3/8",
    cast="2026",
    issued="2026-11-24",
)

# Written out by hand from the table in the claim's specification and RFC 8949; never to change.
CLAIM_BYTES = bytes.fromhex(
    "ad"
    "0001"
    "016b" + b"0123456789A".hex() + "025820" + bytes(range(32)).hex() + "03190584"
    "0419058a"
    "055820" + bytes(range(32, 64)).hex() + "0677" + b"hollow-oak.example/book".hex() + "0700"
    "086a" + b"Ilse Varga".hex() + "097820" + b"Standing Woman with Lowered Eyes".hex() + "0a63"
    "332f38"
    "0b64" + b"2026".hex() + "0c6a" + b"2026-11-24".hex()
)

# cose-wg/Examples, eddsa-examples/eddsa-sig-01.json (Ed25519, one signer).
VECTOR_SEED = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
VECTOR_SIGNED = "846A5369676E61747572653145A2012703004054546869732069732074686520636F6E74656E742E"
VECTOR = (
    "D28445A201270300A10442313154546869732069732074686520636F6E74656E742E58407142FD2FF96D56DB85"
    "BEE905A76BA1D0B7321A95C8C4D3607C5781932B7AFB8711497DFA751BF40B58B3BCC32300B1487F3DB34085EE"
    "F013BF08F4A44D6FEF0D"
)


def _fitting(most: int) -> st.SearchStrategy[str]:
    letters = st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Zs", "Cn", "Co"))
    texts = st.text(letters, min_size=1, max_size=most)
    return texts.map(lambda text: cut(unicodedata.normalize("NFC", text), most)).filter(_kept)


def _kept(text: str) -> bool:
    return unicodedata.is_normalized("NFC", text) and text == text.strip() and text != ""


@st.composite
def numbers(draw: st.DrawFn) -> str:
    payload = draw(st.text(ALPHABET, min_size=10, max_size=10).filter(_has_check))
    return payload + check_character(payload)


def _has_check(payload: str) -> bool:
    return check_character(payload) in ALPHABET


@st.composite
def claims(draw: st.DrawFn) -> Claim:
    size = draw(st.integers(1, 2**53 - 1))
    return Claim(
        number=draw(numbers()),
        leaf=draw(st.binary(min_size=32, max_size=32)),
        index=draw(st.integers(0, size - 1)),
        size=size,
        root=draw(st.binary(min_size=32, max_size=32)),
        origin=draw(st.from_regex(r"\A[!-*,-~]{1,80}\Z")),
        paper=draw(st.sampled_from(PAPERS)),
        artist=draw(_fitting(48)),
        title=draw(_fitting(48)),
        designation=draw(st.none() | _fitting(24)),
        cast=draw(st.sampled_from([None, "1931", "../1939", "2026-11-24", "192X"])),
        issued=draw(st.dates().map(str)),
    )


def test_the_bytes_of_a_claim_never_change() -> None:
    assert to_bytes(CLAIM).hex() == CLAIM_BYTES.hex()
    assert from_bytes(CLAIM_BYTES) == CLAIM


def test_a_claim_without_designation_or_date_of_casting_leaves_both_out() -> None:
    bare = msgspec.structs.replace(CLAIM, designation=None, cast=None)
    assert cbor2.loads(to_bytes(bare)).keys() == {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 12}
    assert from_bytes(to_bytes(bare)) == bare


@given(claims())
def test_a_claim_reads_back_from_its_bytes(claim: Claim) -> None:
    assert from_bytes(to_bytes(claim)) == claim


@given(st.binary(max_size=300))
def test_bytes_are_refused_or_write_back_the_same(data: bytes) -> None:
    try:
        claim = from_bytes(data)
    except Unreadable:
        return
    assert to_bytes(claim) == data


@pytest.mark.parametrize(
    "changes",
    [
        {0: 2},
        {0: None},
        {1: "0123456789B"},
        {1: "0123456789a"},
        {1: "0123 4567 89A"},
        {1: 5},
        {2: bytes(31)},
        {2: "text"},
        {3: -1},
        {3: 1418},
        {3: True},
        {3: 1.0},
        {4: 0},
        {4: 2**53},
        {5: bytes(33)},
        {6: ""},
        {6: "two words"},
        {6: "with+plus"},
        {6: "x" * 81},
        {7: 4},
        {7: -1},
        {7: "finished"},
        {7: True},
        {8: ""},
        {8: "x" * 49},
        {8: "静" * 33},
        {8: "a\nb"},
        {8: "a\u202eb"},
        {8: "e\u0301"},
        {8: " a"},
        {8: b"bytes"},
        {9: None},
        {10: "x" * 25},
        {10: ""},
        {11: "soon"},
        {11: ""},
        {11: 2026},
        {12: "2026-02-30"},
        {12: "2026-11-24~/2026-11-25~" + " " * 3},
        {13: "more"},
        {-1: 1},
        {"1": "text"},
    ],
    ids=str,
)
def test_a_claim_outside_its_grammar_is_refused(changes: dict[Any, Any]) -> None:
    fields = cbor2.loads(CLAIM_BYTES) | changes
    with pytest.raises(Unreadable):
        from_bytes(cbor2.dumps(fields, canonical=True))


@pytest.mark.parametrize("key", [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 12])
def test_a_claim_lacking_a_field_is_refused(key: int) -> None:
    fields = dict(cbor2.loads(CLAIM_BYTES))
    del fields[key]
    with pytest.raises(Unreadable):
        from_bytes(cbor2.dumps(fields, canonical=True))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x00",
        b"\x80",
        b"\xa0",
        b"\xff",
        CLAIM_BYTES[:-1],
        CLAIM_BYTES + b"\x00",
        # The version written in two bytes; a map of indefinite length; a tag around the map.
        CLAIM_BYTES.replace(b"\xad\x00\x01", b"\xad\x00\x18\x01", 1),
        b"\xbf" + CLAIM_BYTES[1:] + b"\xff",
        b"\xd8\x2a" + CLAIM_BYTES,
        b"\xae\x00\x01" + CLAIM_BYTES[1:],
        b"\x81" * 1500 + b"\x00",
        b"\x5b\x7f\xff\xff\xff\xff\xff\xff\xff",
        bytes(3000),
    ],
    ids=lambda data: data[:8].hex() or "nothing",
)
def test_bytes_in_another_form_are_refused(data: bytes) -> None:
    with pytest.raises(Unreadable):
        from_bytes(data)


def test_writing_refuses_what_reading_would_refuse() -> None:
    for changes in ({"artist": "x" * 49}, {"leaf": b"short"}, {"origin": "a b"}, {"number": "1"}):
        with pytest.raises(Unreadable):
            to_bytes(msgspec.structs.replace(CLAIM, **changes))


@given(st.text(min_size=1, max_size=200))
def test_a_cut_name_fits_and_begins_as_the_name_does(text: str) -> None:
    short = cut(text)
    assert len(short) <= 48
    assert len(short.encode("utf-8", "surrogatepass")) <= 96 if _encodable(text) else True
    assert short == text or text.startswith(short.removesuffix("…"))


def _encodable(text: str) -> bool:
    return not any("\ud800" <= letter <= "\udfff" for letter in text)


def test_a_cut_never_parts_a_letter_from_its_mark() -> None:
    text = "x" * 46 + "q\u0323" + "rest of the name"
    assert cut(text) == "x" * 46 + "…"


def test_the_published_cose_vector_has_these_bytes_to_be_signed() -> None:
    signed = cose.take_apart(bytes.fromhex(VECTOR))
    assert cose.to_be_signed(signed.protected, signed.payload).hex().upper() == VECTOR_SIGNED
    assert signed.payload == b"This is the content."


def test_the_published_cose_vector_has_this_signature() -> None:
    signed = cose.take_apart(bytes.fromhex(VECTOR))
    key = PrivateKey(bytes.fromhex(VECTOR_SEED))
    assert key.sign(bytes.fromhex(VECTOR_SIGNED)) == signed.signature
    PublicKey(key.public.raw).verify(signed.signature, bytes.fromhex(VECTOR_SIGNED))


def test_the_published_cose_vector_is_no_claim_since_its_headers_are_others() -> None:
    with pytest.raises(Unreadable, match="headers"):
        peek_claim(bytes.fromhex(VECTOR))


def test_a_signed_claim_opens_with_its_key_and_names_it() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    assert open_claim(message, FOUNDRY_KEY.public.raw) == CLAIM
    assert peek_claim(message) == (CLAIM, key_id(FOUNDRY_KEY.public.raw))


def test_a_signed_claim_begins_with_the_headers_of_its_specification() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    kid = key_id(FOUNDRY_KEY.public.raw).hex()
    assert message.hex().startswith(f"d2844da2013204{'48'}{kid}a0")
    assert message[-66:-64].hex() == "5840"


def _signed_as(protected: dict[Any, Any], unprotected: dict[Any, Any] | None = None) -> bytes:
    header, payload = cose.canonical(protected), to_bytes(CLAIM)
    signature = FOUNDRY_KEY.sign(cose.to_be_signed(header, payload))
    parts = [header, unprotected or {}, payload, signature]
    return cose.canonical(cbor2.CBORTag(18, parts))


def test_the_older_name_of_the_algorithm_is_read_too() -> None:
    kid = key_id(FOUNDRY_KEY.public.raw)
    assert open_claim(_signed_as({1: -8, 4: kid}), FOUNDRY_KEY.public.raw) == CLAIM


@pytest.mark.parametrize(
    ("protected", "unprotected"),
    [
        ({1: -7, 4: bytes(8)}, {}),
        ({1: "EdDSA", 4: bytes(8)}, {}),
        ({1: True, 4: bytes(8)}, {}),
        ({1: -19}, {4: bytes(8)}),
        ({1: -19, 4: bytes(7)}, {}),
        ({1: -19, 4: "12345678"}, {}),
        ({1: -19, 4: bytes(8), 3: 0}, {}),
        ({1: -19, 4: bytes(8)}, {3: 0}),
        ({4: bytes(8)}, {}),
        ({}, {}),
    ],
    ids=str,
)
def test_other_headers_are_refused(protected: dict[Any, Any], unprotected: dict[Any, Any]) -> None:
    with pytest.raises(Unreadable):
        peek_claim(_signed_as(protected, unprotected))


@pytest.mark.parametrize(
    "message",
    [
        [b"", {}, b"", b""],
        cbor2.CBORTag(17, [b"", {}, b"", b""]),
        cbor2.CBORTag(18, [b"", {}, b""]),
        cbor2.CBORTag(18, [b"", {}, b"", b"", b""]),
        cbor2.CBORTag(18, [b"", {}, None, b""]),
        cbor2.CBORTag(18, [b"", [], b"", b""]),
        cbor2.CBORTag(18, ["", {}, b"", b""]),
        cbor2.CBORTag(18, 5),
        cbor2.CBORTag(18, [b"\xa2\x01\x32\x04\x48" + bytes(8), {}, b"\xa0", b"short"]),
    ],
    ids=str,
)
def test_messages_that_are_no_signed_claim_are_refused(message: Any) -> None:
    with pytest.raises(Unreadable):
        peek_claim(cose.canonical(message))


def test_another_key_is_refused_by_name() -> None:
    with pytest.raises(Contradiction, match="another key"):
        open_claim(sign_claim(CLAIM, FOUNDRY_KEY), OTHER_KEY.public.raw)


def test_every_single_bit_of_a_signed_claim_counts() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    for at in range(len(message) * 8):
        flipped = bytearray(message)
        flipped[at // 8] ^= 1 << at % 8
        with pytest.raises((Contradiction, Unreadable)):
            open_claim(bytes(flipped), FOUNDRY_KEY.public.raw)


def test_a_code_carries_the_address_in_capitals_and_the_signed_claim() -> None:
    made = sealed()
    text = code_text(ADDRESS, NUMBER, made.seal.claim)
    assert text.startswith(f"HTTPS://RECORD.HOLLOW-OAK.EXAMPLE/C/{NUMBER}#2KCE")
    assert text == text.upper()
    read = read_code_text(text)
    assert read.cose == made.seal.claim
    assert read.number == NUMBER
    assert read.address == record_address(ADDRESS, NUMBER)


@given(st.sampled_from(["http", "https"]), st.binary(min_size=1, max_size=400), numbers())
def test_a_code_reads_back_from_its_text_in_any_case(
    scheme: str, message: bytes, number: str
) -> None:
    text = code_text(f"{scheme}://host.example:8080/", number, message)
    assert str(read_code_text(text)) == text
    assert str(read_code_text(f"  {text.lower()}\n")) == text


@given(
    st.text(max_size=200)
    | st.from_regex(r"\Ahttps?://[a-z]{1,9}/c/0[i1l]23456789a#[a-z2-7]{2,20}\Z")
)
def test_a_text_is_refused_or_printed_as_it_is_read_again(text: str) -> None:
    try:
        read = read_code_text(text)
    except Unreadable:
        return
    assert read_code_text(str(read)) == read


@pytest.mark.parametrize(
    "text",
    [
        "",
        "WIFI:S:foundry;T:WPA;P:secret;;",
        "https://record.example/",
        f"ftp://record.example/C/{NUMBER}#AA",
        f"https://user@record.example/C/{NUMBER}#AA",
        f"https://record.example/D/{NUMBER}#AA",
        f"https://record.example/C/{NUMBER}/x#AA",
        f"https://record.example/C/{NUMBER}?x#AA",
        f"https://record.example/C/{NUMBER[:-1]}#AA",
        f"https://record.example/C/{NUMBER[:-1]}{'0' if NUMBER[-1] != '0' else '2'}#AA",
        f"https://record.example/C/{NUMBER}#",
        f"https://record.example/C/{NUMBER}#A",
        f"https://record.example/C/{NUMBER}#AB",
        f"https://record.example/C/{NUMBER}#AA======",
        f"https://record.example/C/{NUMBER}#A1",
        f"https://récord.example/C/{NUMBER}#AA",
        f"https://record.example/C/{NUMBER}#AA\x00",
        "A" * 5000,
    ],
    ids=lambda text: text[:50],
)
def test_other_texts_are_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_code_text(text)


def test_an_address_without_its_claim_is_told_apart() -> None:
    with pytest.raises(Unreadable, match="proves nothing"):
        read_code_text(record_address(ADDRESS, NUMBER))


@pytest.mark.parametrize(
    "base",
    [
        "record.example",
        "https://",
        "https://a b",
        "https://host/path",
        "https://[::1]:80",
        "x" * 200,
    ],
)
def test_an_address_that_no_code_can_carry_is_refused(base: str) -> None:
    with pytest.raises(Unreadable, match="cannot be printed"):
        code_text(base, NUMBER, b"x")


@pytest.mark.parametrize("module", ["certificates.claim", "certificates.verify"])
def test_claims_and_checking_load_nothing_heavy(module: str) -> None:
    heavy = ("reportlab", "pikepdf", "PIL", "qrcode", "zxingcpp", "sqlalchemy", "flask", "click")
    script = f"import sys, {module}; print([m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
