"""Tests of the claim's bytes: one claim, one form, and nothing else is read."""

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

from certificates.claim import Claim, cut, from_bytes, to_bytes
from editions.errors import Unreadable
from editions.trade.numbers import ALPHABET, check_character
from editions.trade.paper import PAPERS

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


@pytest.mark.parametrize("module", ["certificates.claim", "certificates.verify"])
def test_claims_and_checking_load_nothing_heavy(module: str) -> None:
    heavy = ("reportlab", "pikepdf", "PIL", "qrcode", "zxingcpp", "sqlalchemy", "flask", "click")
    script = f"import sys, {module}; print([m for m in {heavy!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({10: None}, "a field that is empty"),
        ({13: "more"}, "an unknown field, number 13"),
        ({-1: "less"}, "an unknown field, number -1"),
        ({0: True}, "another version"),
        ({0: 2}, "another version"),
        ({True: "1"}, "no map of numbered fields"),
        ({7: 4}, "cannot be read"),
        ({7: -1}, "cannot be read"),
        ({7: True}, "cannot be read"),
    ],
)
def test_a_claim_has_one_form_and_holds_nothing_else(change: dict[int, Any], says: str) -> None:
    fields = cbor2.loads(to_bytes(CLAIM))
    if True in change and change[True] == "1":
        del fields[1]
    with pytest.raises(Unreadable, match=says):
        from_bytes(cbor2.dumps(fields | change, canonical=True))
