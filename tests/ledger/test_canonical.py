"""Canonical bytes against RFC 8785 and against its reference library for Python."""

from __future__ import annotations

import enum
import unicodedata
from decimal import Decimal
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.ledger.canonical import DEPTH, LIMIT, canonical, parse
from editions.ledger.encodings import LARGEST

TEXT = st.text(max_size=30).map(lambda text: unicodedata.normalize("NFC", text))
KEYS = st.text(st.characters(max_codepoint=127), max_size=8)
SCALARS = st.none() | st.booleans() | st.integers(-LARGEST, LARGEST) | TEXT
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=20,
)


def nested(depth: int) -> Any:
    value: Any = 0
    for _ in range(depth):
        value = [value]
    return value


# The example of RFC 8785, sections 3.2.2 to 3.2.4, without its numbers, which are floating.
EXAMPLE = {
    "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
    "literals": [None, True, False],
}
EXAMPLE_BYTES = bytes.fromhex(
    "7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c"
    "22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e 41 27 42 5c 22 5c 5c 5c"
    "5c 5c 22 2f 22 7d"
)


def test_the_example_of_the_standard_is_written_as_it_prints_it() -> None:
    assert canonical(EXAMPLE) == EXAMPLE_BYTES
    assert parse(EXAMPLE_BYTES) == EXAMPLE


@pytest.mark.parametrize(
    ("number", "text"),
    # RFC 8785, appendix B and D: zero, minus zero, and the ends of what is exact.
    [(0, b"0"), (-0, b"0"), (LARGEST, b"9007199254740991"), (-LARGEST, b"-9007199254740991")],
)
def test_whole_numbers_are_written_as_the_standard_says(number: int, text: bytes) -> None:
    assert canonical(number) == text
    assert parse(text) == number


def test_control_characters_are_escaped_as_the_standard_says() -> None:
    # RFC 8785, 3.2.2.2: five have short forms, the rest four lower-case hex digits; U+007F none.
    short = {8: "\\b", 9: "\\t", 10: "\\n", 12: "\\f", 13: "\\r"}
    for code in range(32):
        escape = short.get(code, "\\u" + f"{code:04x}")
        assert canonical(chr(code)).decode() == f'"{escape}"'
    assert canonical("\x7f/<\u2028") == '"\x7f/<\u2028"'.encode()


@given(value=VALUES)
def test_a_value_is_written_as_the_reference_library_writes_it(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value)


@given(value=VALUES)
def test_what_is_written_is_read_as_the_same_value(value: Any) -> None:
    assert parse(canonical(value)) == value


@given(value=VALUES, data=st.data())
def test_bytes_that_were_touched_are_refused_or_are_canonical_for_another_value(
    value: Any, data: st.DataObject
) -> None:
    written = bytearray(canonical(value))
    place = data.draw(st.integers(0, len(written) - 1))
    written[place] ^= data.draw(st.integers(1, 255))
    try:
        read = parse(bytes(written))
    except Unreadable:
        return
    assert rfc8785.dumps(read) == written
    assert canonical(read) != canonical(value)


@given(data=st.binary(max_size=40))
def test_any_bytes_are_refused_or_written_again_the_same(data: bytes) -> None:
    try:
        value = parse(data)
    except Unreadable:
        return
    assert canonical(value) == data


def test_a_tuple_is_written_as_an_array() -> None:
    assert canonical({"sections": ("head", "base")}) == b'{"sections":["head","base"]}'


class Word(enum.StrEnum):
    A = "a"


@pytest.mark.parametrize(
    "value",
    [1.0, 0.0, float("nan"), float("inf"), Decimal(1), b"a", {"a"}, object(), Word.A, range(2)],
)
def test_a_value_that_json_or_the_book_does_not_know_is_refused(value: object) -> None:
    for within in (value, [value], {"a": value}, ({"a": [value]},)):
        with pytest.raises(Unreadable, match="cannot be kept"):
            canonical(within)


@pytest.mark.parametrize("number", [LARGEST + 1, -LARGEST - 1, 2**64, -(10**40)])
def test_a_number_that_other_readers_would_round_is_refused(number: int) -> None:
    with pytest.raises(Unreadable, match="2\\^53"):
        canonical([number])
    with pytest.raises(Unreadable):
        parse(b"[%d]" % number)


@pytest.mark.parametrize("key", ["é", "\u20ac", "a\U0001f600", 1, None, True, ("a",), b"a", Word.A])
def test_a_key_that_is_not_ascii_text_is_refused(key: Any) -> None:
    with pytest.raises(Unreadable, match="not ASCII"):
        canonical({key: 1})


def test_a_key_that_is_not_ascii_is_refused_in_bytes() -> None:
    with pytest.raises(Unreadable, match="not ASCII"):
        parse('{"é":1}'.encode())


@pytest.mark.parametrize("text", ["e\u0301", "\u212b", "\uac00\u11a8", "a\u0301\u0323"])
def test_text_that_is_not_normalized_is_refused(text: str) -> None:
    # Unicode Standard Annex 15: U+212B ANGSTROM SIGN and decomposed letters are not in form C.
    with pytest.raises(Unreadable, match="form C"):
        canonical(text)
    with pytest.raises(Unreadable, match="form C"):
        parse(f'"{text}"'.encode())


@pytest.mark.parametrize("text", ["\ud800", "a\udc00", "\udc00\ud800"])
def test_half_of_a_character_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="half of a character"):
        canonical([text])


def test_nesting_ends_where_it_is_said() -> None:
    assert parse(canonical(nested(DEPTH))) == nested(DEPTH)
    with pytest.raises(Unreadable, match="nested"):
        canonical(nested(DEPTH + 1))
    with pytest.raises(Unreadable, match="nested"):
        parse(b"[" * (DEPTH + 1) + b"]" * (DEPTH + 1))
    with pytest.raises(Unreadable, match="nested"):
        canonical({"a": {"a": nested(DEPTH - 1)}})
    with pytest.raises(Unreadable):
        parse(b"[" * 200_000 + b"]" * 200_000)


@pytest.mark.parametrize(
    "data",
    [
        b'{"a":1,"a":1}',
        b'{"a":1,"a":2}',
        b'{"b":{"a":1,"a":1}}',
        b'{"b":1,"a":2}',
        b'{"a":1, "b":2}',
        b'{"a" :1}',
        b" 1",
        b"1 ",
        b"1\n",
        b"[1,]",
        b"[1 ,2]",
        b"-0",
        b"01",
        b"1.0",
        b"1e2",
        b"1E2",
        b"100.5",
        b"NaN",
        b"Infinity",
        b"True",
        b"nul",
        b"'a'",
        b'"\\u0041"',
        b'"\\u00e9"',
        b'"\\u000A"',
        b'"\\u000a"',
        b'"\\u001F"',
        b'"\\u007f"',
        b'"\\/"',
        b'"\\ud83d\\ude00"',
        b'"\\ud800"',
        b'"\\x41"',
        b'"a\nb"',
        b'"\xff"',
        b'"\xc0\xaf"',
        b'"\xed\xa0\x80"',
        b"\xef\xbb\xbf1",
        b'"\xff\xfe',
        b"",
        b"1 2",
        b"[1][2]",
        b"// a\n1",
    ],
)
def test_another_spelling_is_refused(data: bytes) -> None:
    with pytest.raises(Unreadable):
        parse(data)


def test_bytes_cut_short_or_lengthened_are_refused() -> None:
    for end in range(len(EXAMPLE_BYTES)):
        with pytest.raises(Unreadable):
            parse(EXAMPLE_BYTES[:end])
    for more in (b" ", b"\0", b"}", b"1", b"\n"):
        with pytest.raises(Unreadable):
            parse(EXAMPLE_BYTES + more)


def test_more_bytes_than_the_limit_are_refused_unread() -> None:
    assert parse(b'"aaa"', limit=5) == "aaa"
    with pytest.raises(Unreadable, match="5 bytes are too many: at most 4"):
        parse(b'"aaa"', limit=4)
    with pytest.raises(Unreadable, match="too many"):
        parse(b"x" * (LIMIT + 1))
