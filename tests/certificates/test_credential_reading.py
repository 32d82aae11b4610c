"""What a credential's reader refuses: documents, spellings and bytes that were not built here."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.base58 import to_did
from certificates.credential import (
    LIMIT,
    UNSIGNED,
    from_bytes,
    of_document,
    to_bytes,
    without_proofs,
)
from editions.errors import BronzebookError, Unreadable
from tests.certificates.builders import (
    FOUNDRY_KEY,
    MINIMAL,
    OTHER_KEY,
    USUAL,
)
from tests.certificates.credentials import (
    ARTIST,
    ARTIST_KEY,
    SUBJECT,
    altered,
    lacking_field,
    signed,
    unsigned,
)

ASSERTIONS = (SUBJECT, "assertions")
FOREIGN: list[tuple[tuple[Any, ...], object]] = [
    (("@context",), "https://www.w3.org/ns/credentials/v2"),
    (("@context",), ["https://www.w3.org/2018/credentials/v1"]),
    (("@context", 1, "@vocab"), "https://vocabulary.example/#"),
    (("@context", 1, "title"), "https://vocabulary.example/#artist"),
    (("type",), ["CastingCertificate", "VerifiableCredential"]),
    (("type",), "VerifiableCredential"),
    (("description",), "Everyone asserts everything."),
    (("issuer",), to_did(FOUNDRY_KEY.public.raw)),
    (("issuer", "id"), to_did(ARTIST_KEY.public.raw)),
    (("issuer", "id"), "https://record.example"),
    (("issuer", "id"), 5),
    (("issuer", "name"), "Another Foundry"),
    (("issuer", "url"), "https://record.example"),
    (("validFrom",), "2026-11-24T00:00:00Z"),
    (("validUntil",), "2026-11-25T00:00:00Z"),
    (("credentialStatus",), {"type": "BitstringStatusListEntry"}),
    (("id",), "urn:uuid:1"),
    ((SUBJECT,), []),
    ((SUBJECT,), "text"),
    ((SUBJECT,), None),
    ((SUBJECT, "id"), "did:example:owner"),
    ((SUBJECT, "owner"), "somebody"),
    ((SUBJECT, "number"), "4MH8PV0PDA8"),
    ((SUBJECT, "number"), "4mh8pv0pda7"),
    ((SUBJECT, "number"), 7),
    ((SUBJECT, "paper"), "gold"),
    ((SUBJECT, "designation"), None),
    ((SUBJECT, "title"), "Another Title"),
    ((SUBJECT, "book", "index"), True),
    ((SUBJECT, "book", "index"), "5"),
    ((SUBJECT, "book", "index"), 5.0),
    ((SUBJECT, "book", "size"), 5),
    ((SUBJECT, "book", "leaf"), "no digest"),
    ((SUBJECT, "book", "page"), 1),
    ((SUBJECT, "book"), []),
    (ASSERTIONS, []),
    ((*ASSERTIONS, "ownership"), {}),
    ((*ASSERTIONS, "casting", "needed"), 0),
    ((*ASSERTIONS, "casting", "asserts"), "The bronze is authentic."),
    ((*ASSERTIONS, "casting", "by"), []),
    ((*ASSERTIONS, "casting", "by", 0, "role"), "artist"),
    ((*ASSERTIONS, "casting", "by", 0, "name"), "Another Foundry"),
    ((*ASSERTIONS, "casting", "by", 0, "id"), to_did(OTHER_KEY.public.raw)),
    ((*ASSERTIONS, "casting", "says"), []),
    ((*ASSERTIONS, "casting", "says", "title"), "Another Title"),
    ((*ASSERTIONS, "casting", "says", "foundry_place"), ""),
    ((*ASSERTIONS, "casting", "says", "colour"), None),
    ((*ASSERTIONS, "casting", "says", "remarks"), []),
    ((*ASSERTIONS, "casting", "says", "mass", "unit"), "mm³"),
    ((*ASSERTIONS, "casting", "says", "mass", "value"), "1e3"),
    ((*ASSERTIONS, "casting", "says", "mass"), 12.4),
    ((*ASSERTIONS, "authorship", "needed"), 2),
    ((*ASSERTIONS, "authorship", "needed"), True),
    ((*ASSERTIONS, "authorship", "asserts"), UNSIGNED),
    ((*ASSERTIONS, "authorship", "by"), [ARTIST.name]),
    ((*ASSERTIONS, "authorship", "by"), 0),
    ((*ASSERTIONS, "authorship", "by", 0, "role"), "owner"),
    ((*ASSERTIONS, "authorship", "by", 0, "role"), "foundry"),
    ((*ASSERTIONS, "authorship", "by", 0, "id"), None),
    ((*ASSERTIONS, "authorship", "by", 0, "id"), "did:key:z6Mk"),
    ((*ASSERTIONS, "authorship", "by", 0, "since"), "2026"),
    ((*ASSERTIONS, "authorship", "says", "foundry"), "Another Foundry"),
    ((*ASSERTIONS, "authorship", "says", "run", "size"), "8"),
    ((*ASSERTIONS, "authorship", "says", "run", "size"), 0.5),
    ((*ASSERTIONS, "authorship", "says", "run", "proofs", 0, "numerals"), "arabic"),
    ((*ASSERTIONS, "authorship", "says", "run", "left"), 3),
]


@pytest.mark.parametrize(("path", "value"), FOREIGN, ids=str)
def test_a_document_that_was_not_built_here_is_refused(
    path: tuple[Any, ...], value: object
) -> None:
    document = altered(unsigned(), *path, to=value)
    with pytest.raises(BronzebookError):
        of_document(document)
    with pytest.raises(BronzebookError):
        to_bytes(document)
    with pytest.raises(BronzebookError):
        from_bytes(json.dumps(document, sort_keys=True, separators=(",", ":")).encode())


NEEDED = [
    ("@context",),
    ("type",),
    ("description",),
    ("issuer",),
    ("issuer", "id"),
    ("issuer", "name"),
    (SUBJECT,),
    *((SUBJECT, name) for name in ("number", "paper", "issued", "book", "assertions")),
    *((SUBJECT, "book", name) for name in ("origin", "leaf", "index", "size", "root")),
    *((*ASSERTIONS, "casting", name) for name in ("by", "needed", "asserts", "says")),
    *((*ASSERTIONS, "authorship", name) for name in ("by", "needed", "asserts", "says")),
    (*ASSERTIONS, "authorship", "by", 0, "role"),
    (*ASSERTIONS, "authorship", "by", 0, "name"),
    (*ASSERTIONS, "authorship", "says", "artist"),
    (*ASSERTIONS, "casting", "says", "foundry"),
]


@pytest.mark.parametrize("path", NEEDED, ids=str)
def test_a_document_that_lacks_a_field_is_refused(path: tuple[Any, ...]) -> None:
    with pytest.raises(Unreadable):
        of_document(lacking_field(unsigned(), *path))


@pytest.mark.parametrize(
    "spelt",
    [
        lambda data: data + b"\n",
        lambda data: b"\xef\xbb\xbf" + data,
        lambda data: data.replace(b'"size":13', b'"size":13.0'),
        lambda data: data.replace(b'"size":13', b'"size":1.3e1'),
        lambda data: data.replace(b'"size":13', b'"size":12,"size":13'),
        lambda data: data.replace(b'{"@context"', b'{ "@context"', 1),
        lambda data: data.replace("é".encode(), b"\\u00e9"),
        lambda data: data.replace("é".encode(), "e\u0301".encode()),
        lambda data: data.replace("é".encode(), b"\xe9"),
        lambda data: data[:-1],
        lambda data: b"[" + data + b"]",
        lambda _: b"null",
        lambda _: b"",
        lambda _: b"[" * 100_000,
        lambda _: b" " * (LIMIT + 1),
    ],
)
def test_another_spelling_of_a_document_is_refused(spelt: Any) -> None:
    data = to_bytes(unsigned())
    assert from_bytes(data) == unsigned()
    assert spelt(data) != data
    with pytest.raises(Unreadable):
        from_bytes(spelt(data))


def test_a_document_too_long_to_be_read_is_not_written() -> None:
    long = msgspec.structs.replace(USUAL, remarks=("word " * 400,) * 140)
    with pytest.raises(Unreadable, match="too many"):
        to_bytes(unsigned(long))


@given(st.binary(max_size=200))
def test_bytes_are_refused_with_an_error_of_ours(data: bytes) -> None:
    with pytest.raises(Unreadable):
        from_bytes(data)


@given(st.data())
def test_a_document_with_any_value_replaced_is_refused_or_says_something_else(
    data: st.DataObject,
) -> None:
    document = unsigned()
    path = data.draw(st.sampled_from(_paths(document)))
    value = data.draw(st.none() | st.booleans() | st.integers() | st.text(max_size=5))
    changed = altered(document, *path, to=value)
    try:
        said = of_document(changed)
    except BronzebookError:
        return
    assert (said == of_document(document)) == (changed == document)


def _paths(value: object) -> list[tuple[Any, ...]]:
    if isinstance(value, dict):
        steps: Any = value.items()
    elif isinstance(value, list):
        steps = enumerate(value)
    else:
        return [()]
    return [(step, *rest) for step, item in steps for rest in [(), *_paths(item)]]


@pytest.mark.parametrize("proofs", [None, [], {}, "text", [{}] * 33])
def test_the_proofs_are_a_list_of_some(proofs: object) -> None:
    with pytest.raises(Unreadable, match="list that is not empty"):
        to_bytes(unsigned() | {"proof": proofs})


def test_proofs_in_another_order_than_their_signers_are_refused() -> None:
    document = signed()
    assert from_bytes(to_bytes(document)) == document
    with pytest.raises(Unreadable, match="in the order of their signers"):
        to_bytes(document | {"proof": document["proof"][::-1]})
    with pytest.raises(Unreadable, match="in the order of their signers"):
        to_bytes(document | {"proof": [{}, *document["proof"]]})


def test_proofs_are_no_part_of_what_is_said() -> None:
    document = signed()
    assert without_proofs(document) == unsigned(MINIMAL)
    assert of_document(document) == of_document(unsigned(MINIMAL))
