"""Asking a holder to sign, on a machine of their own: the request that goes out, the reply back.

A *request* carries whole unsecured documents, so that the holder reads and signs the words
themselves; a *reply* carries for each certificate the digest of the words signed and the proof.
Both are RFC 8785 JSON::

    {"format":"bronzebook-request-1","to":"did:key:z6Mk…","made":"2026-11-24T16:20:00Z",
     "certificates":[…documents…]}
    {"format":"bronzebook-reply-1","by":"did:key:z6Mk…",
     "answers":[{"number":"…","signed":"…SHA-256 in hex…","proof":{…}}]}

What comes back is checked and never trusted: only a proof over our own copy of a document, by a key
that is expected, counts, whatever else the file says.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Any, Literal, TypeVar

import msgspec

from certificates.base58 import from_did, to_did
from certificates.checks import Result
from certificates.credential import of_document, without_proofs
from certificates.integrity import PROOF, Document, document_hash, require_moment, sign
from certificates.pledge import plain_words
from certificates.proofset import Known, ProofFound, check_proof
from editions.errors import KeyUnusable, NotKnown, Refused, Unreadable
from editions.ledger.canonical import canonical, parse
from editions.ledger.keys import PrivateKey, PublicKey, fingerprint
from editions.trade.numbers import read_number, show_number
from editions.trade.text import shown

__all__ = [
    "Answer", "Reply", "Request", "Returned", "check_reply", "make_request", "plain_words",
    "read_reply", "read_request", "sign_request", "summary_words", "write_reply", "write_request",
]  # fmt: skip

LIMIT = 32 * 1024 * 1024
MOST = 5_000

FileT = TypeVar("FileT", bound=msgspec.Struct)

UNPROVED = (
    "Nothing in this file proves that these words are the foundry's, or that its book holds them:"
    " compare them with what you agreed, and where they differ ask the foundry before you sign."
)
_WHOLE = "Is it the file that was sent, and is it whole?"


class Request(msgspec.Struct, frozen=True, kw_only=True):
    """What one holder is asked to sign; ``to`` is the raw public key."""

    to: bytes
    made: str
    documents: tuple[Document, ...]


class Answer(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One proof in a reply, with the digest of the words that it says were signed."""

    number: str
    signed: str
    proof: dict[str, Any]


class Reply(msgspec.Struct, frozen=True, kw_only=True):
    """What came back; ``by`` is the raw public key that it names.  Nothing is verified."""

    by: bytes
    answers: tuple[Answer, ...]


class Returned(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be said of one certificate in a reply; the proof only where it agrees."""

    number: str
    result: Result
    says: str
    proof: Document | None = None


class _RequestFile(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    format: Literal["bronzebook-request-1"]
    to: str
    made: str
    certificates: list[dict[str, Any]]


class _ReplyFile(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    format: Literal["bronzebook-reply-1"]
    by: str
    answers: list[Answer]


def make_request(documents: Iterable[Document], to: bytes, made: str) -> bytes:
    """The file that asks a holder to sign these documents.

    Args:
        documents: Credentials; proofs in them are left out.
        to: The holder's raw public key.
        made: The moment of asking, UTC to the second.

    Raises:
        Unreadable: There is none, there are too many, two of one number, or one that does not name
            the holder.
    """
    unsecured = tuple(without_proofs(document) for document in documents)
    return write_request(Request(to=to, made=made, documents=unsecured))


def write_request(request: Request) -> bytes:
    """The bytes of a request; the inverse of :func:`read_request`.

    Raises:
        Unreadable: See :func:`make_request`.
    """
    _judge_request(request)
    file = _RequestFile(
        format="bronzebook-request-1",
        to=to_did(request.to),
        made=request.made,
        certificates=list(request.documents),
    )
    return _written(file)


def read_request(data: bytes) -> Request:
    """The request of a file.

    Raises:
        Unreadable: Not a request, not canonical, too long, or not one that could be written.
    """
    file = _read(data, _RequestFile)
    request = Request(to=from_did(file.to), made=file.made, documents=tuple(file.certificates))
    _judge_request(request)
    return request


def summary_words(request: Request) -> tuple[str, ...]:
    """What a request asks for, a line for each work and foundry, and what nothing here proves."""
    groups: dict[str, list[str]] = {}
    for document in request.documents:
        credential = of_document(document)
        statement, foundry = credential.statement, credential.foundry
        head = f"“{statement.title}” by {statement.artist}, asked by {foundry.name}"
        name = statement.designation or show_number(statement.number)
        groups.setdefault(head, []).append(name)
    count = len(request.documents)
    many = "1 signature" if count == 1 else f"{count} signatures"
    return (
        f"You are asked for {many} with the key {fingerprint(request.to)}.",
        *(f"{head}: {', '.join(names)}." for head, names in groups.items()),
        UNPROVED,
    )


def sign_request(
    request: Request, private: PrivateKey, created: str, only: Collection[str] | None = None
) -> bytes:
    """The reply of a holder who signs what a request asks, or some of it.

    Args:
        request: What was asked.
        private: The holder's key.
        created: The moment of signing, UTC to the second.
        only: Numbers of the certificates to sign; by default all.

    Raises:
        KeyUnusable: The request is for another key.
        NotKnown: A number is not in the request.
        Unreadable: A number is none, or the moment none.
        Refused: Nothing would be signed.
    """
    if private.public.raw != request.to:
        raise KeyUnusable(
            f"The request is for the key {fingerprint(request.to)}; "
            f"this one is {fingerprint(private.public.raw)}.",
            "Use the key that the foundry was given, or ask for another request.",
        )
    by_number = {_number(document): document for document in request.documents}
    chosen = _chosen(by_number, by_number if only is None else only)
    answers = [_answer(number, by_number[number], private, created) for number in chosen]
    return write_reply(Reply(by=private.public.raw, answers=tuple(answers)))


def write_reply(reply: Reply) -> bytes:
    """The bytes of a reply; the inverse of :func:`read_reply`."""
    answers = list(reply.answers)
    return _written(_ReplyFile(format="bronzebook-reply-1", by=to_did(reply.by), answers=answers))


def read_reply(data: bytes) -> Reply:
    """The reply of a file; nothing in it is verified.

    Raises:
        Unreadable: Not a reply, not canonical, or too long.
        KeyUnusable: It names a key under which anybody could sign.
    """
    file = _read(data, _ReplyFile)
    if len(file.answers) > MOST:
        raise Unreadable(
            f"A reply holds at most {MOST} answers; this has {len(file.answers)}.",
            "Send it in several replies.",
        )
    return Reply(by=PublicKey(from_did(file.by)).raw, answers=tuple(file.answers))


def check_reply(
    reply: Reply, documents: Iterable[Document], expected: Collection[bytes]
) -> tuple[Returned, ...]:
    """What is to be said of every answer in a reply, and of every certificate without one.

    Args:
        reply: What came back.
        documents: Our own copies of what was asked.
        expected: Raw public keys that may answer.

    Raises:
        Unreadable: A document of ours is not a credential.
    """
    asked = {_number(document): without_proofs(document) for document in documents}
    times = Counter(answer.number for answer in reply.answers)
    if reply.by in expected:
        found = [_returned(answer, reply.by, asked, times) for answer in reply.answers]
    else:
        found = [_against(answer.number, _unexpected(reply.by)) for answer in reply.answers]
    missing = [
        Returned(number=number, result="not checked", says=f"{show_number(number)} was not signed.")
        for number in asked
        if number not in times
    ]
    return (*found, *missing)


def _returned(
    answer: Answer, by: bytes, asked: Mapping[str, Document], times: Mapping[str, int]
) -> Returned:
    number = answer.number
    if number not in asked:
        return _against(number, f"Nobody was asked to sign {shown(number)}.")
    name, document = show_number(number), asked[number]
    if times[number] > 1:
        return _against(number, f"The reply signs {name} {times[number]} times; none counts.")
    if answer.signed != document_hash(document).hex():
        return _against(number, f"Other words were signed for {name} than those sent.")
    found = _look_at(document, answer.proof)
    if not found.holds:
        return _against(number, f"{name}: {found.says}")
    if found.key != by:
        return _against(number, f"{name} is signed with another key than the reply names.")
    return Returned(
        number=number, result="agrees", says=f"{name}: {found.says}", proof=answer.proof
    )


def _look_at(document: Document, proof: Document) -> ProofFound:
    """A proof as that of a holder; the foundry's own is never taken for an answer."""
    credential = of_document(document)
    known = [holder.key for holder in credential.holders if holder.key]
    return check_proof(credential, document, proof, Known(foundry=(), holders=known))


def _unexpected(key: bytes) -> str:
    return f"The reply is by the key {fingerprint(key)}, from which none was expected."


def _against(number: str, says: str) -> Returned:
    return Returned(number=number, result="contradicts", says=says)


def _answer(number: str, document: Document, private: PrivateKey, created: str) -> Answer:
    proof = sign(document, private, created)
    return Answer(number=number, signed=document_hash(document).hex(), proof=proof)


def _chosen(by_number: Mapping[str, Document], only: Collection[str]) -> list[str]:
    wanted = {read_number(number) for number in only}
    for number in wanted - by_number.keys():
        raise NotKnown(
            f"The request does not ask for {show_number(number)}.",
            "See what it asks for: bronzebook request read FILE.",
        )
    chosen = [number for number in by_number if number in wanted]
    if not chosen:
        raise Refused(
            "No certificate was chosen; nothing was signed.",
            "Name at least one with --only, or leave that out.",
        )
    return chosen


def _number(document: Document) -> str:
    return of_document(document).statement.number


def _judge_request(request: Request) -> None:
    require_moment(request.made)
    if not 0 < len(request.documents) <= MOST:
        raise Unreadable(f"A request is for 1 to {MOST} certificates.", _WHOLE)
    numbers = set()
    for document in request.documents:
        credential = of_document(document)
        number = credential.statement.number
        signer = credential.signer(request.to)
        if PROOF in document or number in numbers:
            raise Unreadable(f"The request holds {show_number(number)} twice, or signed.", _WHOLE)
        if signer is None or signer == credential.foundry:
            raise Unreadable(
                f"{show_number(number)} does not name {to_did(request.to)} among its holders.",
                "Ask the foundry for a request to you.",
            )
        numbers.add(number)


def _written(file: msgspec.Struct) -> bytes:
    data = canonical(msgspec.to_builtins(file))
    if len(data) > LIMIT:
        raise Unreadable(f"The file would have {len(data)} bytes.", "Ask for fewer at a time.")
    return data


def _read(data: bytes, kind: type[FileT]) -> FileT:
    value = parse(data, LIMIT)
    try:
        return msgspec.convert(value, kind)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"This is not the file that was expected: {fault}.", _WHOLE) from None
