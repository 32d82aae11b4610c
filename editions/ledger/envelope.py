"""An entry of the book, and its bytes.

The bytes are canonical JSON of exactly these fields:

===========  ===============================================================================
``v``        1, the version of this envelope
``id``       32 hex digits, random; recording the same id twice is recording once
``batch``    32 hex digits, the id of the command or day sheet the entry came in
``at``       when it was recorded, UTC: ``2026-11-24T10:00:00Z``
``by``       the code of the party who recorded it
``kind``     what happened
``on``       when it happened, as known: EDTF, level 1
``subject``  the code of what it happened to, a certificate's number, or ``BOOK``
``facts``    open facts by name
``held``     digests of held facts by name, 64 hex digits each; no name is open and held
``source``   null, or the ``digest`` and the ``row`` of the older record it was taken from
===========  ===============================================================================

The form of dates is kept here; whether the calendar has the day of ``on``, and what the facts mean,
is for the kinds to say.  What is decoded is encoded to the same bytes.

>>> entry = Entry(id="0" * 32, batch="1" * 32, at="2026-11-24T10:00:00Z", by="Y-0001",
...     kind="wax_pulled", on="2026-11", subject="W-0007", facts={"pull": 3}, held={}, source=None)
>>> decode(encode(entry)) == entry
True
"""

from __future__ import annotations

import datetime
import re
from typing import Any, TypedDict

import msgspec

from editions.errors import Unreadable
from editions.ledger.canonical import LIMIT, read_json, require_plain, require_same, written
from editions.ledger.encodings import LARGEST
from editions.ledger.tree import leaf_hash

VERSION = 1

_POINT = r"[0-9]{2}(?:[0-9]{2}|[0-9]X|XX)(?:-(?:[0-9]{2}|XX)(?:-(?:[0-9]{2}|XX))?)?[?~%]?"
_FORMS = {
    "id": re.compile(r"[0-9a-f]{32}"),
    "batch": re.compile(r"[0-9a-f]{32}"),
    "at": re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z"),
    "by": re.compile(r"Y-[0-9A-Z][0-9A-Z-]{0,18}"),
    "kind": re.compile(r"[a-z][a-z0-9_]{0,63}"),
    "on": re.compile(rf"{_POINT}|(?:{_POINT}|(?:\.\.)?)/{_POINT}|{_POINT}/(?:\.\.)?"),
    "subject": re.compile(r"[0-9A-Z][0-9A-Z-]{0,20}"),
}
_NAME = re.compile(r"[a-z][a-z0-9_]{0,63}")
_DIGEST = re.compile(r"[0-9a-f]{64}")


class Source(TypedDict):
    """The older record an entry was taken from: its SHA-256 in hex, and the row, from 1."""

    digest: str
    row: int


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One entry of the book, as in the table above."""

    v: int = VERSION
    id: str
    batch: str
    at: str
    by: str
    kind: str
    on: str
    subject: str
    facts: dict[str, Any]
    held: dict[str, str]
    source: Source | None


_decoder = msgspec.json.Decoder(Entry)


def encode(entry: Entry) -> bytes:
    """Return the canonical bytes of an entry.

    Raises:
        Unreadable: A field has not its form; the message names it.
    """
    _require_form(entry)
    data = written(entry)
    if len(data) > LIMIT:
        raise Unreadable(f"The entry has {len(data)} bytes; at most {LIMIT} are kept.")
    return data


def decode(data: bytes) -> Entry:
    """Return the entry that the bytes are.

    Raises:
        Unreadable: Not an entry of this version, or not in canonical form.
    """
    entry: Entry = read_json(data, _decoder)
    _require_form(entry)
    require_same(entry, data)
    return entry


def leaf_of(data: bytes) -> bytes:
    """Return the leaf hash of an entry's bytes, by which other entries name it."""
    return leaf_hash(data)


def _require_form(entry: Entry) -> None:
    if type(entry.v) is not int or entry.v != VERSION:
        raise Unreadable(f"The entry is of version {entry.v}, not {VERSION}.")
    for name, form in _FORMS.items():
        value = getattr(entry, name)
        if type(value) is not str or not form.fullmatch(value):
            raise _unlike(name)
    _require_moment(entry.at)
    _require_names(entry.facts, entry.held)
    # Every other field is ASCII text or a small number by its form; with this, all is plain.
    require_plain(entry.facts)
    if entry.source is not None:
        _require_source(entry.source)


def _require_moment(at: str) -> None:
    try:
        datetime.datetime.fromisoformat(at)
    except ValueError:
        raise _unlike("at") from None


def _require_names(facts: dict[str, Any], held: dict[str, str]) -> None:
    if type(facts) is not dict or type(held) is not dict:
        raise Unreadable("The entry's facts are not by name.")
    for name in (*facts, *held):
        if type(name) is not str or not _NAME.fullmatch(name):
            raise Unreadable(f"The entry has a fact named {name!a}, which is no name.")
    if not facts.keys().isdisjoint(held):
        raise Unreadable("The entry has a fact that is both open and held.")
    for digest in held.values():
        if type(digest) is not str or not _DIGEST.fullmatch(digest):
            raise _unlike("held")


def _require_source(source: Source) -> None:
    if type(source) is not dict or source.keys() != {"digest", "row"}:
        raise _unlike("source")
    digest, row = source["digest"], source["row"]
    if type(digest) is not str or type(row) is not int:
        raise _unlike("source")
    if not _DIGEST.fullmatch(digest) or not 1 <= row <= LARGEST:
        raise _unlike("source")


def _unlike(name: str) -> Unreadable:
    return Unreadable(f"The entry's field '{name}' has not its form.")
