"""Three certificates that an artist is asked to sign, the request, and replies right and wrong."""

from __future__ import annotations

from typing import Any

import msgspec

from certificates.asked import Asked, Opened
from certificates.integrity import Document
from certificates.keyfile import PublicKeyEntry
from certificates.requests import (
    Reply,
    Request,
    check_reply,
    make_request,
    read_reply,
    read_request,
    sign_request,
    write_request,
)
from certificates.signers import Signer
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.trade.numbers import make_number
from editions.trade.statement import Statement
from tests.certificates.builders import (
    FOUNDRY_KEY,
    LOG_KEY,
    MINIMAL,
    ORIGIN,
    entry_of,
    foundry_keys,
    sealed,
    verifier,
)
from tests.certificates.credentials import ARTIST, ARTIST_KEY, LATER, NOON
from tests.helpers.chance import Chance

ARTIST_PUBLIC = ARTIST_KEY.public.raw
CHANCE = Chance("requests")
NUMBERS = [make_number(CHANCE) for _ in range(4)]


KEYS = (
    *foundry_keys(),
    PublicKeyEntry(use="log", key=verifier(LOG_KEY)),
)


def asked(statement: Statement, holders: tuple[Signer, ...] = (ARTIST,), **changes: Any) -> Asked:
    """A certificate to be signed: its entry in a small book, and the proof of its place."""
    facts = {
        "number": statement.number,
        "statement": msgspec.to_builtins(statement),
        "record": "0" * 64,
        "foundry_key": verifier(FOUNDRY_KEY),
        "signers": [line(holder, at) for at, holder in enumerate(holders)],
        "signers_wanted": "all" if holders else "none",
    }
    entry = entry_of(statement, facts=facts | changes)
    return Asked(entry=entry, proof=sealed(statement, entry=entry).proof)


def line(holder: Signer, at: int) -> dict[str, Any]:
    """A holder as the issuing entry names one."""
    said = {"party": f"Y-{at + 2:04d}", "name": holder.name, "role": holder.role}
    if holder.key is None:
        return said
    return said | {"key": str(VerifierKey(f"{ORIGIN}/Y-{at + 2:04d}", holder.key))}


def numbered(at: int, statement: Statement = MINIMAL) -> Statement:
    return msgspec.structs.replace(statement, number=NUMBERS[at], designation=f"{at + 1}/8")


def asked_one(at: int, statement: Statement = MINIMAL, **how: Any) -> Asked:
    return asked(numbered(at, statement), **how)


def one(at: int, statement: Statement = MINIMAL, **how: Any) -> Document:
    return Opened(KEYS).document(asked_one(at, statement, **how))


def request_for(*certificates: Asked, to: bytes = ARTIST_PUBLIC, made: str = NOON) -> Request:
    return make_request(certificates, to, made, KEYS)


DOCUMENTS = tuple(one(at) for at in range(3))
REQUEST = write_request(request_for(*(asked_one(at) for at in range(3))))


def answered(only: Any = None, key: PrivateKey = ARTIST_KEY) -> Reply:
    return read_reply(sign_request(read_request(REQUEST), key, LATER, only))


def checked(reply: Reply, documents: Any = DOCUMENTS, expected: Any = (ARTIST_PUBLIC,)) -> Any:
    return check_reply(reply, documents, expected)


def with_answer(at: int, **changes: Any) -> Reply:
    reply = answered()
    answers = list(reply.answers)
    answers[at] = msgspec.structs.replace(answers[at], **changes)
    return msgspec.structs.replace(reply, answers=tuple(answers))


def against(reply: Reply, at: int = 1, **how: Any) -> str:
    """What is said of one answer, which must contradict, while the others agree."""
    found = checked(reply, **how)
    assert [f.result for f in found] == [
        "contradicts" if place == at else "agrees" for place in range(3)
    ]
    assert found[at].proof is None
    return str(found[at].says)
