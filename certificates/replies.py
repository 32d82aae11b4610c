"""What a holder sends back: the reply, and what is to be said of each answer in it.

A reply carries for each certificate the digest of the words signed and the proof.  It is RFC 8785
JSON::

    {"format":"bronzebook-reply-1","by":"did:key:z6Mk…",
     "answers":[{"number":"…","signed":"…SHA-256 in hex…","proof":{…}}]}

A reply that refuses is of the second format, with ``refusals`` beside ``answers``
(:mod:`certificates.refusal`).

What comes back is checked and never trusted: only a proof over our own copy of a document, by a key
that is expected, counts, whatever else the file says.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Any

import msgspec

from certificates.base58 import from_did, to_did
from certificates.checks import Result
from certificates.credential import of_document, without_proofs
from certificates.integrity import Document, document_hash
from certificates.proofset import Known, ProofFound, check_proof
from certificates.refusal import Refusal, require_form
from editions.errors import Unreadable
from editions.ledger.canonical import canonical, parse
from editions.ledger.keys import PublicKey, fingerprint
from editions.trade.numbers import show_number
from editions.trade.text import shown

LIMIT = 32 * 1024 * 1024
MOST = 5_000
WHOLE = "Is it the file that was sent, and is it whole?"
_OLD = "This request is of the first format: nothing in it proves its words."


class Answer(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One proof in a reply, with the digest of the words that it says were signed."""

    number: str
    signed: str
    proof: dict[str, Any]


class Reply(msgspec.Struct, frozen=True, kw_only=True):
    """What came back; ``by`` is the raw public key that it names.  Nothing is verified."""

    by: bytes
    answers: tuple[Answer, ...]
    refusals: tuple[Refusal, ...] = ()


class Returned(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be said of one certificate in a reply; the proof only where it agrees."""

    number: str
    result: Result
    says: str
    proof: Document | None = None


class _ReplyFile(
    msgspec.Struct,
    kw_only=True,
    forbid_unknown_fields=True,
    tag_field="format",
    tag="bronzebook-reply-1",
):
    by: str
    answers: list[Answer]


class _RefusingFile(
    msgspec.Struct,
    kw_only=True,
    forbid_unknown_fields=True,
    tag_field="format",
    tag="bronzebook-reply-2",
):
    by: str
    answers: list[Answer]
    refusals: list[Refusal]


def write_reply(reply: Reply) -> bytes:
    """The bytes of a reply; the inverse of :func:`read_reply`.

    Raises:
        Unreadable: It would be too long to be read again.
    """
    by, answers = to_did(reply.by), list(reply.answers)
    if not reply.refusals:
        return write_file(_ReplyFile(by=by, answers=answers))
    refusals = list(reply.refusals)
    return write_file(_RefusingFile(by=by, answers=answers, refusals=refusals))


def read_reply(data: bytes) -> Reply:
    """The reply of a file; nothing in it is verified.

    Raises:
        Unreadable: Not a reply, not canonical, or too long.
        KeyUnusable: It names a key under which anybody could sign.
    """
    file = read_file(data, _ReplyFile | _RefusingFile)
    refusals = tuple(file.refusals) if isinstance(file, _RefusingFile) else ()
    count = len(file.answers) + len(refusals)
    if count > MOST:
        raise Unreadable(
            f"A reply holds at most {MOST} answers; this has {count}.",
            "Send it in several replies.",
        )
    for one in refusals:
        require_form(one)
    reply = Reply(
        by=PublicKey(from_did(file.by)).raw, answers=tuple(file.answers), refusals=refusals
    )
    if write_reply(reply) != data:
        raise Unreadable("The reply is not written as one is.", WHOLE)
    return reply


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
    asked = {number_of(document): without_proofs(document) for document in documents}
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


def number_of(document: Document) -> str:
    """The number of the certificate that a document is of."""
    return of_document(document).statement.number


def write_file(file: msgspec.Struct) -> bytes:
    """The canonical bytes of a request or a reply.

    Raises:
        Unreadable: They would be too many to be read again.
    """
    data = canonical(msgspec.to_builtins(file))
    if len(data) > LIMIT:
        raise Unreadable(f"The file would have {len(data)} bytes.", "Ask for fewer at a time.")
    return data


def read_file(data: bytes, kind: Any) -> Any:
    """What the canonical bytes of a request or a reply hold.

    Raises:
        Unreadable: Too long, not canonical, or not what was expected.
    """
    value = parse(data, LIMIT)
    if isinstance(value, dict) and value.get("format") == "bronzebook-request-1":
        raise Unreadable(_OLD, "Ask the foundry for the request once more; sign nothing of this.")
    try:
        return msgspec.convert(value, kind)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"This is not the file that was expected: {fault}.", WHOLE) from None
