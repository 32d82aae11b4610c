r"""Asking a holder to sign, on a machine of their own: the request that goes out, the reply back.

A *request* carries of each certificate the issuing entry's bytes and the proof that they have a
place in the signed book; the words that the holder reads and signs are made from these and stand
nowhere else (:mod:`certificates.asked`).  A *reply* carries for each certificate the digest of the
words signed and the proof.  Both are RFC 8785 JSON::

    {"format":"bronzebook-request-2","to":"did:key:z6Mk…","made":"2026-11-24T16:20:00Z",
     "keys":"foundry …\nlog …\n","rotations":"",
     "certificates":[{"entry":"{…its bytes, as text…}","proof":"c2sp.org/tlog-proof@v1\n…"}]}
    {"format":"bronzebook-reply-1","by":"did:key:z6Mk…",
     "answers":[{"number":"…","signed":"…SHA-256 in hex…","proof":{…}}]}

``keys`` is the foundry's key file and ``rotations`` the row of texts by which its later keys are
followed, both as its site publishes them.  A request of the first format carried words that
nothing proved; it is refused, since whoever changes words could write it.

What comes back is checked and never trusted: only a proof over our own copy of a document, by a key
that is expected, counts, whatever else the file says.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal

import msgspec

from certificates.asked import Asked, Opened, require_known
from certificates.base58 import from_did, to_did
from certificates.countersign import Countersigned
from certificates.credential import of_document
from certificates.handover import read_handovers
from certificates.integrity import Document, document_hash, require_moment, sign
from certificates.keyfile import PublicKeyEntry, read_keys, write_keys
from certificates.pledge import plain_words
from certificates.refusal import refuse
from certificates.replies import (
    MOST,
    WHOLE,
    Answer,
    Reply,
    Returned,
    check_reply,
    number_of,
    read_file,
    read_reply,
    write_file,
    write_reply,
)
from editions.errors import KeyUnusable, NotKnown, Refused, Unreadable
from editions.ledger.keys import PrivateKey, fingerprint
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.trade.numbers import read_number, show_number

__all__ = [
    "Answer", "Reply", "Request", "Returned", "check_reply", "make_request", "plain_words",
    "proof_words", "read_reply", "read_request", "refuse_request", "sign_request",
    "summary_words", "write_reply", "write_request",
]  # fmt: skip

_COMPARE = (
    "That it is the foundry's, this file cannot prove. Compare the fingerprint with an independent"
    " place, or bring the foundry's public keys: --foundry FILE."
)
_STANDS = "These words are those of the book {book}: entry and proof agree, and its state is signed"


class Request(msgspec.Struct, frozen=True, kw_only=True):
    """What one holder is asked to sign, each word proved to stand in the book of the keys beside.

    Attributes:
        to: The holder's raw public key.
        made: The moment of asking, UTC to the second.
        asked: The certificates, each by its entry and proof.
        keys: The public keys that came with the request.
        handovers: The countersigned texts by which later keys are followed.
        documents: The words of each certificate, made from its entry.
        signed_by: The log keys that signed the states of the book carried here.
    """

    to: bytes
    made: str
    asked: tuple[Asked, ...]
    keys: tuple[PublicKeyEntry, ...]
    handovers: tuple[Countersigned, ...]
    documents: tuple[Document, ...]
    signed_by: tuple[VerifierKey, ...]


class _AskedFile(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    entry: str
    proof: str


class _RequestFile(msgspec.Struct, kw_only=True, forbid_unknown_fields=True):
    format: Literal["bronzebook-request-2"]
    to: str
    made: str
    keys: str
    rotations: str
    certificates: list[_AskedFile]


def make_request(
    asked: Iterable[Asked],
    to: bytes,
    made: str,
    keys: Iterable[PublicKeyEntry],
    handovers: Iterable[Countersigned] = (),
) -> Request:
    """The request that asks a holder to sign these certificates.

    Args:
        asked: Each by its entry and the proof of its place.
        to: The holder's raw public key.
        made: The moment of asking, UTC to the second.
        keys: The foundry's public keys, its log's among them.
        handovers: The texts by which later keys of the foundry are followed.

    Raises:
        Unreadable: There is none, there are too many, two of one number, or one that does not name
            the holder.
        Contradiction: An entry has no place in the book, or the book is signed by none of the keys.
    """
    certificates, beside = tuple(asked), tuple(keys)
    if not 0 < len(certificates) <= MOST:
        raise Unreadable(f"A request is for 1 to {MOST} certificates.", WHOLE)
    require_moment(made)
    opened = Opened(beside)
    documents = tuple(map(opened.document, certificates))
    _judge_asked(documents, to)
    if len({key.name for key in opened.signed_by}) != 1:
        raise Unreadable("A request is of one book.", WHOLE)
    return Request(
        to=to,
        made=made,
        asked=certificates,
        keys=beside,
        handovers=tuple(handovers),
        documents=documents,
        signed_by=tuple(opened.signed_by),
    )


def write_request(request: Request) -> bytes:
    """The bytes of a request; the inverse of :func:`read_request`.

    Raises:
        Unreadable: It would be too long to be read again.
    """
    certificates = [
        _AskedFile(entry=one.entry.decode(), proof=str(one.proof)) for one in request.asked
    ]
    file = _RequestFile(
        format="bronzebook-request-2",
        to=to_did(request.to),
        made=request.made,
        keys=write_keys(request.keys),
        rotations="".join(map(str, request.handovers)),
        certificates=certificates,
    )
    return write_file(file)


def read_request(data: bytes) -> Request:
    """The request of a file, every word in it proved by the keys that it carries.

    Raises:
        Unreadable: Not a request, not canonical, too long, or not one that could be written.
        Contradiction: Its words were changed, or no key in it signed the book.
        KeyUnusable: A key in it is none.
        FileUnusable: Its rotations are no row of countersigned keys.
    """
    file = read_file(data, _RequestFile)
    if len(file.certificates) > MOST:
        raise Unreadable(f"A request is for 1 to {MOST} certificates.", WHOLE)
    request = make_request(
        [
            Asked(entry=one.entry.encode(), proof=ProofFile.parse(one.proof))
            for one in file.certificates
        ],
        from_did(file.to),
        file.made,
        read_keys(file.keys),
        read_handovers(file.rotations.encode()),
    )
    if write_request(request) != data:
        raise Unreadable("The request is not written as one is.", WHOLE)
    return request


def summary_words(request: Request, given: Sequence[PublicKeyEntry] = ()) -> tuple[str, ...]:
    """What a request asks for, a line for each work and foundry, and what proves its words.

    Args:
        request: What is asked.
        given: The foundry's public keys, brought from elsewhere; without them the request proves
            itself by its own.

    Raises:
        NotKnown: The keys given are those of another book.
        KeyUnusable: There is no log key among them.
        Contradiction: None of them signed the book that the request shows.
    """
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
        *proof_words(request, given),
    )


def proof_words(request: Request, given: Sequence[PublicKeyEntry] = ()) -> tuple[str, ...]:
    """What proves the words of a request, and what is left to the holder's eye.

    Raises:
        NotKnown: The keys given are those of another book.
        KeyUnusable: There is no log key among them.
        Contradiction: None of them signed the book that the request shows.
    """
    book = request.signed_by[0].name
    if given:
        require_known(request.signed_by, given, request.handovers)
        return (f"{_STANDS.format(book=book)} by the public keys that you brought.",)
    prints = " and ".join(fingerprint(key.public) for key in request.signed_by)
    return (
        f"{_STANDS.format(book=book)} by the key that came with this request, {prints}.",
        _COMPARE,
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
    _require_asked(request, private)
    by_number = {number_of(document): document for document in request.documents}
    chosen = _chosen(by_number, by_number if only is None else only)
    answers = [_answer(number, by_number[number], private, created) for number in chosen]
    return write_reply(Reply(by=private.public.raw, answers=tuple(answers)))


def _answer(number: str, document: Document, private: PrivateKey, created: str) -> Answer:
    proof = sign(document, private, created)
    return Answer(number=number, signed=document_hash(document).hex(), proof=proof)


def refuse_request(
    request: Request,
    private: PrivateKey,
    made: str,
    only: Collection[str] | None = None,
    reason: str | None = None,
) -> bytes:
    """The reply of a holder who will not sign what a request asks, or some of it.

    Args:
        request: What was asked.
        private: The holder's key.
        made: The moment of refusing, UTC to the second.
        only: Numbers of the certificates refused; by default all.
        reason: Why, for the foundry to read; its book keeps a salted digest alone.

    Raises:
        KeyUnusable: The request is for another key.
        NotKnown: A number is not in the request.
        Unreadable: A number or the moment is none, or the reason cannot be kept.
        Refused: Nothing would be refused.
    """
    _require_asked(request, private)
    by_number = {number_of(document): document for document in request.documents}
    chosen = _chosen(by_number, by_number if only is None else only)
    refusals = tuple(
        refuse(of_document(by_number[number]).place, number, private, made, reason)
        for number in chosen
    )
    return write_reply(Reply(by=private.public.raw, answers=(), refusals=refusals))


def _require_asked(request: Request, private: PrivateKey) -> None:
    if private.public.raw != request.to:
        raise KeyUnusable(
            f"The request is for the key {fingerprint(request.to)}; "
            f"this one is {fingerprint(private.public.raw)}.",
            "Use the key that the foundry was given, or ask for another request.",
        )


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


def _judge_asked(documents: Sequence[Document], to: bytes) -> None:
    numbers = set()
    for document in documents:
        credential = of_document(document)
        number = credential.statement.number
        signer = credential.signer(to)
        if number in numbers:
            raise Unreadable(f"The request holds {show_number(number)} twice.", WHOLE)
        if signer is None or signer == credential.foundry:
            raise Unreadable(
                f"{show_number(number)} does not name {to_did(to)} among its holders.",
                "Ask the foundry for a request to you.",
            )
        numbers.add(number)
