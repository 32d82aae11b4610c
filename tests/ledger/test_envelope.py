"""An entry's bytes: exactly one form, and everything else refused."""

from __future__ import annotations

import datetime
import hashlib
import json
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.ledger.canonical import LIMIT
from editions.ledger.envelope import Entry, Source, decode, encode, leaf_of
from editions.trade.dates import read_when

ENTRY = Entry(
    id="00112233445566778899aabbccddeeff",
    batch="ffeeddccbbaa99887766554433221100",
    at="2026-11-24T10:00:00Z",
    by="Y-0001",
    kind="wax_pulled",
    on="2026-11",
    subject="W-0007",
    facts={"wall": {"unit": "mm", "value": "4"}, "pull": 3, "sections": ["head", "base"]},
    held={"note": "ab" * 32},
    source={"digest": "cd" * 32, "row": 12},
)
# Typed out by hand from the specification in the module's docstring.
RAW = (
    b'{"at":"2026-11-24T10:00:00Z","batch":"ffeeddccbbaa99887766554433221100","by":"Y-0001",'
    b'"facts":{"pull":3,"sections":["head","base"],"wall":{"unit":"mm","value":"4"}},'
    b'"held":{"note":"abababababababababababababababababababababababababababababababab"},'
    b'"id":"00112233445566778899aabbccddeeff","kind":"wax_pulled","on":"2026-11",'
    b'"source":{"digest":"cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd",'
    b'"row":12},"subject":"W-0007","v":1}'
)
FIELDS = msgspec.structs.asdict(ENTRY)

HEX32 = st.text("0123456789abcdef", min_size=32, max_size=32)
HEX64 = st.text("0123456789abcdef", min_size=64, max_size=64)
REST = st.from_regex(r"[0-9A-Z][0-9A-Z-]{0,18}", fullmatch=True)
NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,12}", fullmatch=True)
FACTS = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text('aZ é€\n"\\', max_size=9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=8,
)
WHENS = st.sampled_from(
    [
        "2026",
        "2026-11",
        "2026-11-24",
        "2026-11~",
        "2026?",
        "2026-21%",
        "201X",
        "20XX",
        "2026-XX",
        "2026-11-XX",
        "2026-XX-XX",
        "../2026",
        "2026/..",
        "2026/2027",
        "/2026",
        "2026/",
        "2026~/2027?",
        "2026-11/2026-12-24%",
    ]
)
SOURCES = st.none() | st.builds(
    lambda digest, row: Source(digest=digest, row=row), HEX64, st.integers(1, 2**53 - 1)
)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    facts = draw(st.dictionaries(NAMES, FACTS, max_size=4))
    held = draw(st.dictionaries(NAMES.filter(lambda name: name not in facts), HEX64, max_size=3))
    moment = datetime.datetime.fromtimestamp(draw(st.integers(0, 2**33)), datetime.UTC)
    return Entry(
        id=draw(HEX32),
        batch=draw(HEX32),
        at=moment.strftime("%Y-%m-%dT%H:%M:%SZ"),
        by=f"Y-{draw(REST)}",
        kind=draw(NAMES),
        on=draw(WHENS),
        subject=draw(REST),
        facts=facts,
        held=held,
        source=draw(SOURCES),
    )


def changed(**fields: Any) -> dict[str, Any]:
    return {**FIELDS, **fields}


def refused(fields: Any) -> bool:
    """Whether the canonical JSON of these fields is no entry: only the form is at fault."""
    try:
        decode(rfc8785.dumps(fields))
    except Unreadable:
        return True
    return False


def test_an_entry_has_the_bytes_that_the_specification_gives() -> None:
    assert encode(ENTRY) == RAW
    assert decode(RAW) == ENTRY
    assert leaf_of(RAW) == hashlib.sha256(b"\x00" + RAW).digest()


@given(entry=entries())
def test_what_is_encoded_is_decoded_and_is_canonical(entry: Entry) -> None:
    raw = encode(entry)
    assert raw == rfc8785.dumps(msgspec.structs.asdict(entry))
    assert decode(raw) == entry
    assert not refused(json.loads(raw))


@given(entry=entries(), data=st.data())
def test_bytes_that_were_touched_are_refused_or_are_another_entry(
    entry: Entry, data: st.DataObject
) -> None:
    raw = bytearray(encode(entry))
    raw[data.draw(st.integers(0, len(raw) - 1))] ^= data.draw(st.integers(1, 255))
    try:
        other = decode(bytes(raw))
    except Unreadable:
        return
    assert other != entry
    assert encode(other) == raw


@given(data=st.binary(max_size=60))
def test_any_bytes_raise_no_other_error(data: bytes) -> None:
    with pytest.raises(Unreadable):
        decode(data)


def test_every_bit_flipped_is_refused_or_gives_another_leaf() -> None:
    for bit in range(len(RAW) * 8):
        raw = bytearray(RAW)
        raw[bit // 8] ^= 1 << bit % 8
        try:
            assert encode(decode(bytes(raw))) == raw
        except Unreadable:
            continue
        assert leaf_of(bytes(raw)) != leaf_of(RAW)


@pytest.mark.parametrize("end", range(0, len(RAW), 7))
def test_bytes_cut_short_are_refused(end: int) -> None:
    with pytest.raises(Unreadable):
        decode(RAW[:end])


@pytest.mark.parametrize("name", sorted(FIELDS))
def test_no_field_may_be_missing_or_null(name: str) -> None:
    assert refused({key: value for key, value in FIELDS.items() if key != name})
    if name != "source":
        assert refused(changed(**{name: None}))


@pytest.mark.parametrize("name", ["x", "V", "note", "facts2", "", "sig"])
def test_no_other_field_may_be_there(name: str) -> None:
    assert refused(changed(**{name: 1}))


@pytest.mark.parametrize("value", [1, True, [], {}, "", " "])
@pytest.mark.parametrize("name", ["id", "batch", "at", "by", "kind", "on", "subject"])
def test_no_field_of_text_may_be_something_else(name: str, value: Any) -> None:
    assert refused(changed(**{name: value}))
    with pytest.raises(Unreadable, match=name):
        encode(Entry(**changed(**{name: value})))


WRONG = {
    "id": ["0" * 31, "0" * 33, "A" * 32, "g" * 32, "0" * 32 + "\n", "٠" * 32],
    "at": [
        "2026-11-24",
        "2026-11-24T10:00:00",
        "2026-11-24T10:00:00+00:00",
        "2026-11-24T10:00:00.5Z",
        "2026-11-24t10:00:00z",
        "2026-11-24 10:00:00Z",
        "2026-13-24T10:00:00Z",
        "2026-02-30T10:00:00Z",
        "2026-11-24T25:00:00Z",
        "2026-11-24T10:60:00Z",
        "2026-11-24T10:00:61Z",
        "0000-11-24T10:00:00Z",
        "٢026-11-24T10:00:00Z",
    ],
    "by": ["P-0001", "Y", "Y-", "y-0001", "Y-0001\n", "Y--1", "Y-" + "1" * 20, "A Name"],
    "kind": ["Wax_pulled", "wax pulled", "_wax", "1wax", "wax-pulled", "wax_pulled\n", "a" * 65],
    "on": [
        "24.11.2026",
        "2026-1",
        "26",
        "2026-11-24T10:00:00Z",
        "20X6",
        "2026/2027/2028",
        "..",
        "/",
        "../..",
        "2026!",
        "2026~?",
        "today",
        "2026-11\n",
    ],
    "subject": ["p-0412", "-P", "P_0412", "P 0412", "P-0412\n", "A" * 22, "é"],
}


@pytest.mark.parametrize(
    ("name", "value"), [(name, value) for name in WRONG for value in WRONG[name]]
)
def test_a_field_without_its_form_is_refused_by_its_name(name: str, value: str) -> None:
    assert refused(changed(**{name: value}))
    with pytest.raises(Unreadable, match=f"'{name}'"):
        encode(Entry(**changed(**{name: value})))


@pytest.mark.parametrize("version", [0, 2, -1, True, "1", None])
def test_another_version_is_refused(version: Any) -> None:
    assert refused(changed(v=version))
    with pytest.raises(Unreadable, match="version"):
        encode(Entry(**changed(v=version)))


@pytest.mark.parametrize("facts", [[], "a", [["a", 1]], None, 3])
def test_facts_that_are_not_by_name_are_refused(facts: Any) -> None:
    for name in ("facts", "held"):
        assert refused(changed(**{name: facts}))
        with pytest.raises(Unreadable):
            encode(Entry(**changed(**{name: facts})))


@pytest.mark.parametrize("name", ["", "Note", "note ", "1", "_a", "a-b", "é", "a" * 65])
def test_a_fact_without_a_proper_name_is_refused(name: str) -> None:
    assert refused(changed(facts={name: 1}))
    assert refused(changed(held={name: "ab" * 32}))
    for part in ({"facts": {name: 1}}, {"held": {name: "ab" * 32}}):
        with pytest.raises(Unreadable):
            encode(Entry(**changed(**part)))


@pytest.mark.parametrize("digest", ["", "AB" * 32, "ab" * 31, "ab" * 33, "ab" * 32 + "\n", 1, None])
def test_a_held_fact_that_is_no_digest_is_refused(digest: Any) -> None:
    assert refused(changed(held={"note": digest}))
    with pytest.raises(Unreadable, match="held"):
        encode(Entry(**changed(held={"note": digest})))


def test_a_fact_that_is_open_and_held_is_refused() -> None:
    both = changed(facts={"note": "a"}, held={"note": "ab" * 32})
    assert refused(both)
    with pytest.raises(Unreadable, match="both open and held"):
        encode(Entry(**both))


@pytest.mark.parametrize(
    "source",
    [
        {},
        [],
        "cd",
        {"digest": "cd" * 32},
        {"row": 1},
        {"digest": "cd" * 32, "row": 0},
        {"digest": "cd" * 32, "row": -1},
        {"digest": "cd" * 32, "row": True},
        {"digest": "cd" * 32, "row": "1"},
        {"digest": "cd" * 32, "row": None},
        {"digest": "CD" * 32, "row": 1},
        {"digest": None, "row": 1},
        {"digest": "cd" * 32, "row": 1, "sheet": "a"},
    ],
)
def test_a_source_without_its_form_is_refused(source: Any) -> None:
    assert refused(changed(source=source))
    with pytest.raises(Unreadable, match="source"):
        encode(Entry(**changed(source=source)))


@pytest.mark.parametrize("value", [1.5, 2**53, "e\u0301", {"é": 1}, "\ud800", b"a", float("nan")])
def test_a_fact_that_cannot_be_kept_is_refused(value: Any) -> None:
    with pytest.raises(Unreadable):
        encode(Entry(**changed(facts={"wall": value})))


@pytest.mark.parametrize(
    ("found", "put"),
    [
        (b'"pull":3', b'"pull":3.0'),
        (b'"pull":3', b'"pull":3e0'),
        (b'"pull":3', b'"pull":1.5'),
        (b'"pull":3', b'"pull":9007199254740992'),
        (b'"pull":3', b'"pull":3,"pull":3'),
        (b'"pull":3', b'"pull": 3'),
        (b'"v":1', b'"v":1.0'),
        (b'"v":1', b'"v":1,"v":1'),
        (b'"row":12', b'"row":12.0'),
        (b'"row":12', b'"row":12,"sheet":1'),
        (b'"head"', b'"\\u0068ead"'),
        (b'"head"', b'"e\xcc\x81"'),
        (b'"head"', b'"\xff"'),
        (b'"at":', b'"at":"2026-11-24T10:00:00Z","at":'),
        (b'"unit":"mm","value":"4"', b'"value":"4","unit":"mm"'),
    ],
)
def test_another_spelling_of_an_entry_is_refused(found: bytes, put: bytes) -> None:
    assert RAW.count(found) == 1
    with pytest.raises(Unreadable):
        decode(RAW.replace(found, put))


def test_an_entry_too_large_to_be_read_is_not_written() -> None:
    most = LIMIT - len(RAW) + len('"x":"",') * -1
    assert len(encode(Entry(**changed(facts={**ENTRY.facts, "x": "a" * most})))) == LIMIT
    with pytest.raises(Unreadable, match="at most"):
        encode(Entry(**changed(facts={**ENTRY.facts, "x": "a" * (most + 1)})))
    with pytest.raises(Unreadable, match="too many"):
        decode(RAW + b" " * LIMIT)


@given(when=WHENS)
def test_every_form_of_date_that_the_trade_keeps_has_its_form_here(when: str) -> None:
    assert read_when(when) == when
    assert decode(encode(Entry(**changed(on=when)))).on == when
