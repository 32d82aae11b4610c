"""The credential's document: what it holds, its one form, and what it may not hold."""

from __future__ import annotations

import hashlib
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
    AUTHORSHIP,
    CASTING,
    UNSIGNED,
    build,
    check_against,
    from_bytes,
    of_document,
    to_bytes,
    to_document,
)
from certificates.signers import Credential, Place, Signer
from editions.errors import Contradiction, KeyUnusable, Unreadable
from editions.trade.statement import HeatLine, Statement
from tests.certificates.builders import (
    EXTREME,
    FOUNDRY_KEY,
    MINIMAL,
    OTHER_KEY,
    STATEMENTS,
    USUAL,
    sealed,
)
from tests.certificates.credentials import (
    ARTIST,
    ARTIST_KEY,
    HEIRS,
    INK,
    SUBJECT,
    signed,
    unsigned,
)
from tests.certificates.test_claim import numbers

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
    assert digest == "cfe06a63049293f01ee14ae298f87dde5102ce353bc718a0a24e2f3d154fefc8"


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
        EXTREME,
        designation_note="as found",
        issuer="Hollow Oak Foundry, Marrowby",
        posthumous=True,
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
