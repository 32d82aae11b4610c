"""The credential's document: what it holds, its one form, and what it may not hold."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.base58 import to_did
from certificates.credential import (
    AGREEMENT,
    AUTHORSHIP,
    CASTING,
    LIMIT,
    UNSIGNED,
    build,
    check_against,
    from_bytes,
    of_document,
    to_bytes,
    to_document,
    without_proofs,
)
from certificates.integrity import Document
from certificates.signers import Credential, Place, Signer
from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.trade.statement import Assertion, HeatLine, RunLine, Statement
from tests.certificates.builders import (
    EXTREME,
    FOUNDRY_KEY,
    FROM_OBJECT,
    MINIMAL,
    OTHER_KEY,
    RESERVATION,
    STATEMENTS,
    USUAL,
    sealed,
)
from tests.certificates.credentials import (
    ARTIST,
    ARTIST_KEY,
    HEIRS,
    INK,
    altered,
    lacking_field,
    signed,
    unsigned,
)
from tests.certificates.test_claim import numbers

SUBJECT = "credentialSubject"
WORDS = st.text("abcXYZ3/8-“é静ж", min_size=1, max_size=12)


@st.composite
def credentials(draw: st.DrawFn) -> Credential:
    size = draw(st.integers(1, 2**53 - 1))
    holders = draw(st.sampled_from([(), (ARTIST,), HEIRS, (*HEIRS, INK), (INK,)]))
    statement = draw(st.sampled_from([*STATEMENTS.values()]))
    statement = msgspec.structs.replace(
        statement,
        number=draw(numbers()),
        title=draw(WORDS),
        colour=draw(st.none() | WORDS),
        remarks=tuple(draw(st.lists(WORDS, max_size=2))),
        heats=draw(st.sampled_from([(), (HeatLine(number="1", alloy="", poured="", verdict=""),)])),
    )
    return Credential(
        statement=statement,
        place=Place(
            origin=draw(WORDS),
            leaf=draw(st.binary(min_size=32, max_size=32)).hex(),
            index=draw(st.integers(0, size - 1)),
            size=size,
            root=draw(st.binary(min_size=32, max_size=32)).hex(),
        ),
        foundry=Signer(
            name=statement.issuer or statement.foundry, role="foundry", key=FOUNDRY_KEY.public.raw
        ),
        holders=holders,
        needed=draw(st.integers(min(1, len(holders)), len(holders))),
    )


@settings(max_examples=60)
@given(credentials())
def test_a_credential_comes_back_from_its_document_and_from_its_bytes(made: Credential) -> None:
    document = to_document(made)
    assert of_document(document) == made
    assert of_document(from_bytes(to_bytes(document))) == made


@pytest.mark.parametrize("name", STATEMENTS)
def test_every_kind_of_paper_says_in_its_credential_all_that_its_statement_says(name: str) -> None:
    statement = STATEMENTS[name]
    document = unsigned(statement)
    assert of_document(document).statement == statement
    assert check_against(document, statement, sealed(statement).claim).result == "agrees"
    assert to_bytes(document) == rfc8785.dumps(document)


# The form of a certificate with one statement to each signer; never to change.  Keys and digests
# are those of the builders, everything else is written out by hand from the specification.
ALWAYS: dict[str, Any] = {
    "@context": [
        "https://www.w3.org/ns/credentials/v2",
        {"@vocab": "urn:uuid:e2138bd7-ad3d-4263-bc1b-d383be34189e#"},
    ],
    "type": ["VerifiableCredential", "CastingCertificate"],
    "description": "Each signer asserts the statements of the assertion that names them, "
    "and no others. What is absent is not recorded.",
    "issuer": {"id": to_did(FOUNDRY_KEY.public.raw), "name": "Hollow Oak Foundry"},
    "credentialSubject": {
        "number": MINIMAL.number,
        "paper": "finished",
        "issued": "2026-11-24",
        "book": {
            "origin": "hollow-oak.example/book",
            "leaf": sealed(MINIMAL).claim.leaf.hex(),
            "index": 5,
            "size": 13,
            "root": sealed(MINIMAL).claim.root.hex(),
        },
        "assertions": {
            "casting": {
                "by": [
                    {
                        "id": to_did(FOUNDRY_KEY.public.raw),
                        "role": "foundry",
                        "name": "Hollow Oak Foundry",
                    }
                ],
                "needed": 1,
                "asserts": "The bronze was cast as stated here.",
                "says": {"foundry": "Hollow Oak Foundry"},
            },
            "authorship": {
                "by": [
                    {"id": to_did(ARTIST_KEY.public.raw), "role": "artist", "name": "Ilse Varga"}
                ],
                "needed": 1,
                "asserts": "The work, its run and this number's place in the run "
                "are as stated here.",
                "says": {"artist": "Ilse Varga", "title": "Hand"},
            },
        },
    },
}


def test_the_bytes_of_a_credential_never_change() -> None:
    assert to_bytes(unsigned(MINIMAL)) == rfc8785.dumps(ALWAYS)
    digest = hashlib.sha256(to_bytes(signed(MINIMAL))).hexdigest()
    assert digest == "6cbc586daa2ab4fd4dbf2f93f6d53191d09525865fef14ace91a7b43d4621f44"


def test_the_document_is_a_credential_of_the_data_model() -> None:
    # "Verifiable Credentials Data Model v2.0", W3C Recommendation of 15 May 2025: 4.3 (the first
    # context), 4.5 (type), 4.7 (issuer: a URL, or an object whose id is one), 4.8 (subject).
    document = unsigned()
    assert document["@context"][0] == "https://www.w3.org/ns/credentials/v2"
    assert document["type"][0] == "VerifiableCredential"
    assert document["issuer"] == {
        "id": to_did(FOUNDRY_KEY.public.raw),
        "name": "Hollow Oak Foundry",
    }
    assert isinstance(document[SUBJECT], dict)
    assert "proof" not in document
    assert not any(value is None for value in _values(document))


def _values(value: object) -> list[object]:
    if isinstance(value, dict):
        return [item for each in value.values() for item in _values(each)]
    if isinstance(value, list):
        return [item for each in value for item in _values(each)]
    return [value]


def test_foundry_and_artist_each_assert_what_is_theirs_and_together_everything() -> None:
    subject = unsigned()[SUBJECT]
    casting, authorship = subject["assertions"]["casting"], subject["assertions"]["authorship"]
    assert set(authorship["says"]) == {"artist", "artist_life", "title", "run"}
    assert set(casting["says"]) == {
        "foundry", "foundry_place", "cast", "route", "alloy", "heats", "stations", "mass",
        "marks", "colour", "molds", "approvals", "photograph",
    }  # fmt: skip
    assert casting["by"] == [
        {"id": to_did(FOUNDRY_KEY.public.raw), "role": "foundry", "name": "Hollow Oak Foundry"}
    ]
    assert authorship["by"] == [
        {"id": to_did(ARTIST_KEY.public.raw), "role": "artist", "name": "Ilse Varga"}
    ]
    named = {"number", "paper", "issued", "piece", "designation"}
    assert set(subject) == named | {"book", "assertions"}
    fields = {*casting["says"], *authorship["says"], *named}
    assert fields == {f for f in Statement.__struct_fields__ if getattr(USUAL, f)}


def test_no_field_of_a_statement_is_left_to_nobody() -> None:
    full = msgspec.structs.replace(
        EXTREME, designation_note="as found", issuer="Hollow Oak Foundry, Marrowby"
    )
    document = unsigned(full)
    assert of_document(document).statement == full
    assert all(getattr(full, name) for name in Statement.__struct_fields__)
    assert document["issuer"]["name"] == "Hollow Oak Foundry, Marrowby"


@pytest.mark.parametrize("paper", CASTING)
def test_the_foundry_asserts_of_each_paper_what_it_can_know(paper: Any) -> None:
    document = unsigned(msgspec.structs.replace(USUAL, paper=paper))
    assert document[SUBJECT]["assertions"]["casting"]["asserts"] == CASTING[paper]


def test_without_a_holder_nobody_asserts_the_authorship() -> None:
    authorship = unsigned(holders=())[SUBJECT]["assertions"]["authorship"]
    assert (authorship["by"], authorship["needed"]) == ([], 0)
    assert authorship["asserts"] == UNSIGNED != AUTHORSHIP


def test_all_holders_are_needed_unless_it_is_said_how_many() -> None:
    assert of_document(unsigned(holders=HEIRS)).needed == 2
    assert of_document(unsigned(holders=HEIRS, needed=1)).needed == 1


def test_one_who_signs_in_ink_is_named_without_a_key() -> None:
    named = unsigned(holders=(INK,))[SUBJECT]["assertions"]["authorship"]["by"]
    assert named == [{"role": "executor", "name": "Ottó Varga"}]


@pytest.mark.parametrize("needed", [-1, 0, 3])
def test_a_number_of_signatures_that_cannot_be_reached_is_refused(needed: int) -> None:
    with pytest.raises(Unreadable, match="cannot be needed"):
        unsigned(holders=HEIRS, needed=needed)


def test_nothing_is_needed_of_nobody() -> None:
    with pytest.raises(Unreadable, match="cannot be needed"):
        unsigned(holders=(), needed=1)


@pytest.mark.parametrize(
    "holder",
    [
        Signer(name="", role="artist", key=OTHER_KEY.public.raw),
        Signer(name=" Ilse", role="artist", key=OTHER_KEY.public.raw),
        Signer(name="Ilse\nVarga", role="artist", key=OTHER_KEY.public.raw),
        Signer(name="Ilse \u202egraV", role="artist", key=OTHER_KEY.public.raw),
        Signer(name="Varga\u0301 e\u0301", role="artist", key=OTHER_KEY.public.raw),
        Signer(name="x" * 201, role="artist", key=OTHER_KEY.public.raw),
        Signer(name="Ilse Varga", role="foundry", key=OTHER_KEY.public.raw),
        Signer(name="Ilse Varga", role="artist", key=FOUNDRY_KEY.public.raw),
        Signer(name="Ilse Varga", role="artist", key=bytes(32)),
        Signer(name="Ilse Varga", role="artist", key=b"short"),
    ],
    ids=repr,
)
def test_a_holder_that_cannot_be_told_apart_or_believed_is_refused(holder: Signer) -> None:
    with pytest.raises((Unreadable, KeyUnusable)):
        unsigned(holders=(holder,))


def test_two_holders_of_one_key_and_a_crowd_are_refused() -> None:
    with pytest.raises(Unreadable, match="share a key"):
        unsigned(holders=(ARTIST, ARTIST))
    with pytest.raises(Unreadable, match="too many"):
        unsigned(holders=(INK,) * 32)
    assert len(of_document(unsigned(holders=(INK,) * 31)).holders) == 31


def test_a_foundry_without_a_key_issues_nothing() -> None:
    made = of_document(unsigned())
    keyless = msgspec.structs.replace(made.foundry, key=None)
    with pytest.raises(Unreadable, match="never in ink alone"):
        to_document(msgspec.structs.replace(made, foundry=keyless))


@pytest.mark.parametrize(
    "changes",
    [
        {"index": 13},
        {"index": -1},
        {"size": 2**53},
        {"leaf": "AB" * 32},
        {"leaf": "ab" * 31},
        {"root": ""},
    ],
    ids=str,
)
def test_a_place_outside_the_book_is_refused(changes: dict[str, Any]) -> None:
    made = of_document(unsigned())
    place = msgspec.structs.replace(made.place, **changes)
    with pytest.raises(Unreadable):
        to_document(msgspec.structs.replace(made, place=place))


def test_the_claim_must_be_that_of_the_statement() -> None:
    with pytest.raises(Contradiction, match="not that of this statement"):
        build(MINIMAL, sealed(USUAL).claim, FOUNDRY_KEY.public.raw)


@pytest.mark.parametrize(
    "text",
    ["e\u0301", "a\x00b", "a\x1b[2Jb", "a\u202eb", "a\u2066b", "\ufeffa", "a\ufffe"],
    ids=ascii,
)
def test_text_that_hides_or_rearranges_anything_is_never_signed(text: str) -> None:
    with pytest.raises(Unreadable):
        unsigned(msgspec.structs.replace(USUAL, colour=text))


def test_lines_and_joiners_of_a_script_may_be_signed() -> None:
    unsigned(msgspec.structs.replace(USUAL, colour="one\ntwo", title="क्\u200dष"))


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


def difference(document: Document, statement: Statement, **claimed: Any) -> str:
    check = check_against(document, statement, sealed(statement, **claimed).claim)
    assert check.name == AGREEMENT
    assert check.result == "contradicts"
    return check.says


def test_a_credential_that_differs_from_the_entry_names_the_fields() -> None:
    other = msgspec.structs.replace(USUAL, colour="Black.", title="Another Title")
    assert "differ in: colour, title, leaf, root." in difference(unsigned(), other)
    assert "differ in: foundry place, leaf" in difference(
        unsigned(), msgspec.structs.replace(USUAL, foundry_place="")
    )


def test_a_credential_at_another_place_of_the_book_contradicts() -> None:
    assert "differ in: size." in difference(unsigned(), USUAL, size=14)
    assert "differ in: origin." in difference(unsigned(), USUAL, origin="other.example/book")
    assert "differ in: index." in difference(unsigned(), USUAL, index=4)


def test_a_document_that_cannot_be_read_agrees_with_nothing() -> None:
    document = altered(unsigned(), "type", to="VerifiableCredential")
    assert "none of ours may hold" in difference(document, USUAL)
    assert "not the credential of a certificate" in difference({}, USUAL)


@pytest.mark.parametrize("field", [f for f in Statement.__struct_fields__ if f != "number"])
def test_every_field_of_the_statement_is_compared(field: str) -> None:
    others = {
        "paper": "raw_metal",
        "run": RunLine(code="R-0018", size=8),
        "heats": (HeatLine(number="1", alloy="a", poured="b", verdict="c"),),
        "approvals": (Assertion(text="a", by="b"),),
    }
    usual = getattr(USUAL, field)
    value = others.get(field, () if isinstance(usual, tuple) else "other")
    if field in ("sections", "remarks"):
        value = getattr(EXTREME, field)
    if field == "mass":
        value = None
    other = msgspec.structs.replace(USUAL, **{field: value})
    claim = sealed(USUAL).claim
    words = field.replace("_", " ")
    assert check_against(unsigned(), other, claim).says.endswith(f"differ in: {words}.")


def test_reservations_and_old_casts_are_worded_apart() -> None:
    assert "no cast is certified" in str(unsigned(RESERVATION))
    assert "examined, and found" in str(unsigned(FROM_OBJECT, holders=()))


def test_checking_the_text_of_a_code_loads_none_of_this() -> None:
    script = (
        "import sys; from certificates.verify import verify_code; "
        "import certificates.claim; "
        "print([m for m in sys.modules if m.startswith('certificates.')])"
    )
    found = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout
    assert "certificates.verify" in found
    for name in ("base58", "integrity", "credential", "signers", "proofset", "requests", "holder"):
        assert f"certificates.{name}'" not in found
