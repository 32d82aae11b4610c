"""Requests and replies: the holder reads what they sign, and what comes back is never trusted."""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.asked import Asked
from certificates.base58 import to_did
from certificates.credential import build
from certificates.integrity import document_hash, sign
from certificates.proofset import Known, add_proof, check_proofs, lacking, with_proof
from certificates.replies import LIMIT
from certificates.requests import (
    Answer,
    Reply,
    read_reply,
    read_request,
    sign_request,
    write_reply,
    write_request,
)
from editions.errors import BronzebookError, KeyUnusable, NotKnown, Refused, Unreadable
from editions.ledger.keys import fingerprint
from tests.certificates.builders import (
    FOUNDRY_KEY,
    LOG_KEY,
    OTHER_KEY,
    sealed,
    verifier,
)
from tests.certificates.credentials import (
    ARTIST,
    ARTIST_KEY,
    HEIR_KEYS,
    HEIRS,
    INK,
    LATER,
    NOON,
    altered,
)
from tests.certificates.requesting import (
    ARTIST_PUBLIC,
    DOCUMENTS,
    NUMBERS,
    REQUEST,
    against,
    answered,
    asked_one,
    checked,
    numbered,
    one,
    request_for,
    with_answer,
)

FIRST = asked_one(0)


def unsigned_like(at: int) -> Any:
    """The document of a certificate, built from the words that went into its entry."""
    asked = asked_one(at)
    claim = sealed(numbered(at), entry=asked.entry).claim
    return build(numbered(at), claim, FOUNDRY_KEY.public.raw, (ARTIST,))


def test_a_request_goes_out_and_its_proofs_come_back_into_the_certificates() -> None:
    request = read_request(REQUEST)
    assert (request.to, request.made, request.documents) == (ARTIST_PUBLIC, NOON, DOCUMENTS)
    assert request.documents == tuple(unsigned_like(at) for at in range(3))
    found = checked(read_reply(sign_request(request, ARTIST_KEY, LATER)))
    assert [f.result for f in found] == ["agrees"] * 3
    for document, returned in zip(DOCUMENTS, found, strict=True):
        whole = with_proof(add_proof(document, FOUNDRY_KEY, NOON), returned.proof)
        assert lacking(whole, check_proofs(whole)) == ""
        assert fingerprint(ARTIST_PUBLIC) in returned.says


def test_both_files_are_canonical_json_for_anybody_to_read() -> None:
    reply = sign_request(read_request(REQUEST), ARTIST_KEY, LATER)
    for data in (REQUEST, reply):
        assert rfc8785.dumps(json.loads(data)) == data
    assert set(json.loads(REQUEST)) == {
        "format", "to", "made", "keys", "rotations", "certificates"
    }  # fmt: skip
    assert set(json.loads(reply)) == {"format", "by", "answers"}
    assert json.loads(REQUEST)["to"] == json.loads(reply)["by"] == to_did(ARTIST_PUBLIC)


@settings(max_examples=30)
@given(st.sets(st.sampled_from(range(4)), min_size=1), st.sampled_from([NOON, LATER]))
def test_requests_and_replies_come_back_from_their_bytes(chosen: set[int], made: str) -> None:
    request = request_for(*(asked_one(at) for at in sorted(chosen)), made=made)
    assert read_request(write_request(request)) == request
    data = sign_request(request, ARTIST_KEY, made)
    assert write_reply(read_reply(data)) == data


def test_an_answer_is_checked_over_the_words_alone_whoever_else_has_signed() -> None:
    with_proofs = [add_proof(document, FOUNDRY_KEY, NOON) for document in DOCUMENTS]
    assert [f.result for f in checked(answered(), with_proofs)] == ["agrees"] * 3


def test_some_may_be_signed_and_the_others_are_missed() -> None:
    reply = answered(only=[NUMBERS[2].lower(), NUMBERS[0]])
    assert [answer.number for answer in reply.answers] == [NUMBERS[0], NUMBERS[2]]
    found = checked(reply)
    assert [f.result for f in found] == ["agrees", "agrees", "not checked"]
    assert (found[2].number, found[2].proof) == (NUMBERS[1], None)
    assert "was not signed" in found[2].says


def test_a_number_that_was_not_asked_for_is_not_signed() -> None:
    with pytest.raises(NotKnown, match="does not ask for"):
        answered(only=[NUMBERS[3]])
    with pytest.raises(Unreadable):
        answered(only=["no number"])


def test_signing_none_is_refused() -> None:
    with pytest.raises(Refused, match="nothing was signed"):
        answered(only=[])


def test_another_key_than_the_one_asked_cannot_answer() -> None:
    with pytest.raises(KeyUnusable, match="The request is for the key"):
        answered(key=OTHER_KEY)


def test_a_moment_that_is_none_signs_nothing() -> None:
    with pytest.raises(Unreadable):
        sign_request(read_request(REQUEST), ARTIST_KEY, "today")


@pytest.mark.parametrize(
    ("certificates", "to", "made"),
    [
        ((), ARTIST_PUBLIC, NOON),
        ((FIRST, FIRST), ARTIST_PUBLIC, NOON),
        ((FIRST,), OTHER_KEY.public.raw, NOON),
        ((FIRST,), FOUNDRY_KEY.public.raw, NOON),
        ((FIRST, asked_one(3, holders=HEIRS)), ARTIST_PUBLIC, NOON),
        ((asked_one(3, holders=(INK,)),), ARTIST_PUBLIC, NOON),
        ((FIRST,), ARTIST_PUBLIC, "noon"),
        ((asked_one(3, foundry_key=None),), ARTIST_PUBLIC, NOON),
        ((asked_one(3, number=NUMBERS[2]),), ARTIST_PUBLIC, NOON),
    ],
)
def test_a_request_that_cannot_be_meant_is_not_made(
    certificates: tuple[Asked, ...], to: bytes, made: str
) -> None:
    with pytest.raises(Unreadable):
        request_for(*certificates, to=to, made=made)


def test_a_request_asks_for_a_bounded_number() -> None:
    with pytest.raises(Unreadable, match="1 to 5000"):
        request_for(*(FIRST,) * 5001)


def test_a_file_too_long_to_be_read_is_not_written() -> None:
    answer = answered().answers[0]
    many = msgspec.structs.replace(answered(), answers=(answer,) * 60_000)
    with pytest.raises(Unreadable, match="fewer at a time"):
        write_reply(many)


FOREIGN: list[tuple[tuple[Any, ...], object]] = [
    (("format",), "bronzebook-request-1"),
    (("format",), "bronzebook-request-3"),
    (("format",), "bronzebook-reply-1"),
    (("format",), None),
    (("to",), to_did(OTHER_KEY.public.raw)),
    (("to",), "did:web:record.example"),
    (("to",), 5),
    (("made",), "2026"),
    (("keys",), ""),
    (("keys",), json.loads(REQUEST)["keys"].removesuffix("\n")),
    (("keys",), f"log {verifier(OTHER_KEY)}\n"),
    (("keys",), f"foundry {verifier(LOG_KEY)}\n"),
    (("rotations",), "and so on"),
    (("rotations",), None),
    (("certificates",), []),
    (("certificates",), {}),
    (("certificates", 0), "text"),
    (("certificates", 0), json.loads(REQUEST)["certificates"][1]),
    (("certificates", 0, "entry"), json.loads(REQUEST)["certificates"][1]["entry"]),
    (("certificates", 0, "entry"), "{}"),
    (("certificates", 0, "proof"), ""),
    (("certificates", 0, "proof"), json.loads(REQUEST)["certificates"][1]["proof"]),
    (("certificates", 0, "words"), "somebody"),
    (("note",), "sign quickly"),
]


@pytest.mark.parametrize(("path", "value"), FOREIGN, ids=lambda x: str(x)[:60])
def test_a_file_that_was_not_made_here_is_no_request(path: tuple[Any, ...], value: object) -> None:
    file = altered(json.loads(REQUEST), *path, to=value)
    with pytest.raises(BronzebookError):
        read_request(rfc8785.dumps(file))


@pytest.mark.parametrize(
    "data",
    [b"", b"null", b"[]", b"{}", REQUEST[:-1], REQUEST + b"\n", b" " * (LIMIT + 1)],
    ids=lambda data: f"{data[:8]!r}, {len(data)} bytes",
)
def test_bytes_that_are_neither_are_refused(data: bytes) -> None:
    with pytest.raises(Unreadable):
        read_request(data)
    with pytest.raises(Unreadable):
        read_reply(data)


def test_a_request_without_its_format_is_refused() -> None:
    for read, data in ((read_request, REQUEST), (read_reply, write_reply(answered()))):
        file = json.loads(data)
        del file["format"]
        with pytest.raises(Unreadable):
            read(rfc8785.dumps(file))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format",), "bronzebook-request-1"),
        (("by",), "did:key:z6Mk"),
        (("by",), to_did(bytes(32))),
        (("answers",), None),
        (("answers", 0), None),
        (("answers", 0, "number"), 5),
        (("answers", 0, "signed"), None),
        (("answers", 0, "proof"), "text"),
        (("answers", 0, "proof"), []),
        (("answers", 0, "note"), "text"),
        (("note",), "text"),
    ],
    ids=str,
)
def test_a_file_of_another_form_is_no_reply(path: tuple[Any, ...], value: object) -> None:
    file = altered(json.loads(write_reply(answered())), *path, to=value)
    with pytest.raises((Unreadable, KeyUnusable)):
        read_reply(rfc8785.dumps(file))


def test_a_reply_of_too_many_answers_is_refused() -> None:
    answer = Answer(number="", signed="", proof={})
    data = write_reply(Reply(by=ARTIST_PUBLIC, answers=(answer,) * 5001))
    with pytest.raises(Unreadable, match="at most 5000"):
        read_reply(data)


def test_a_reply_by_a_key_that_was_not_expected_counts_for_nothing() -> None:
    found = checked(answered(), expected=(OTHER_KEY.public.raw,))
    assert [f.result for f in found] == ["contradicts"] * 3
    assert "from which none was expected" in found[0].says
    assert not any(f.proof for f in found)


def test_a_reply_that_names_the_expected_key_but_is_signed_by_another_is_found() -> None:
    proofs = [sign(document, OTHER_KEY, LATER) for document in DOCUMENTS]
    says = against(with_answer(1, proof=proofs[1]))
    assert "a key that this credential does not name" in says


def test_other_words_than_those_sent_are_found() -> None:
    path = ("credentialSubject", "assertions", "authorship", "says", "title")
    other = altered(DOCUMENTS[1], *path, to="Another Title")
    honest = with_answer(1, signed=document_hash(other).hex(), proof=sign(other, ARTIST_KEY, LATER))
    assert "Other words were signed" in against(honest)
    lying = with_answer(1, proof=sign(other, ARTIST_KEY, LATER))
    assert "these are not the words that were signed" in against(lying)


def test_our_own_words_changed_since_are_found_too() -> None:
    path = ("credentialSubject", "assertions", "casting", "says", "foundry_place")
    changed = (DOCUMENTS[0], altered(DOCUMENTS[1], *path, to="Elsewhere"), DOCUMENTS[2])
    assert "Other words were signed" in against(answered(), documents=changed)


def test_a_proof_of_another_certificate_is_found() -> None:
    reply = answered()
    assert "does not hold" in against(with_answer(1, proof=reply.answers[0].proof))


def test_a_certificate_that_was_not_asked_for_is_found() -> None:
    extra = one(3)
    answer = Answer(
        number=NUMBERS[3],
        signed=document_hash(extra).hex(),
        proof=sign(extra, ARTIST_KEY, LATER),
    )
    reply = answered()
    found = checked(msgspec.structs.replace(reply, answers=(*reply.answers, answer)))
    assert [f.result for f in found] == ["agrees"] * 3 + ["contradicts"]
    assert found[3].says.startswith("Nobody was asked to sign")


def test_a_certificate_that_is_signed_twice_counts_not_once() -> None:
    reply = answered()
    found = checked(msgspec.structs.replace(reply, answers=(*reply.answers, reply.answers[0])))
    assert [f.result for f in found] == ["contradicts", "agrees", "agrees", "contradicts"]
    assert "2 times; none counts" in found[0].says


def test_an_empty_reply_misses_everything() -> None:
    found = checked(Reply(by=ARTIST_PUBLIC, answers=()))
    assert [f.result for f in found] == ["not checked"] * 3


HEIRLOOM = one(0, holders=HEIRS)


def test_one_heir_does_not_answer_for_the_other() -> None:
    first, second = (key.public.raw for key in HEIR_KEYS)
    answer = Answer(
        number=NUMBERS[0],
        signed=document_hash(HEIRLOOM).hex(),
        proof=sign(HEIRLOOM, HEIR_KEYS[1], LATER),
    )
    (found,) = checked(Reply(by=first, answers=(answer,)), (HEIRLOOM,), (first, second))
    assert (found.result, found.proof) == ("contradicts", None)
    assert "another key than the reply names" in found.says


def test_each_heir_answers_a_request_of_their_own() -> None:
    document = HEIRLOOM
    for key in HEIR_KEYS:
        request = request_for(asked_one(0, holders=HEIRS), to=key.public.raw)
        reply = read_reply(sign_request(request, key, LATER))
        (found,) = checked(reply, (document,), (key.public.raw,))
        assert found.result == "agrees"
        document = with_proof(document, found.proof)
    known = Known(holders=[key.public.raw for key in HEIR_KEYS])
    assert [f.result for f in check_proofs(document, known)] == ["agrees", "agrees", "not checked"]


def test_the_foundrys_own_proof_is_no_answer() -> None:
    proof = sign(DOCUMENTS[0], FOUNDRY_KEY, LATER)
    answer = Answer(number=NUMBERS[0], signed=document_hash(DOCUMENTS[0]).hex(), proof=proof)
    reply = Reply(by=FOUNDRY_KEY.public.raw, answers=(answer,))
    (found,) = checked(reply, DOCUMENTS[:1], (FOUNDRY_KEY.public.raw,))
    assert (found.result, found.proof) == ("contradicts", None)


@settings(max_examples=150)
@given(st.data())
def test_a_bit_flipped_in_a_reply_never_lets_another_proof_through(data: st.DataObject) -> None:
    original = sign_request(read_request(REQUEST), ARTIST_KEY, LATER)
    bit = data.draw(st.integers(0, len(original) * 8 - 1))
    changed = bytearray(original)
    changed[bit // 8] ^= 1 << bit % 8
    try:
        found = checked(read_reply(bytes(changed)))
    except BronzebookError:
        return
    results = Counter(f.result for f in found)
    assert results["contradicts"] >= 1
    sound = {answer.number: answer.proof for answer in answered().answers}
    assert all(f.proof == sound[f.number] for f in found if f.proof)
