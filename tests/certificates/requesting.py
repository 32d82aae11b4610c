"""Three certificates that an artist is asked to sign, the request, and replies right and wrong."""

from __future__ import annotations

from typing import Any

import msgspec

from certificates.integrity import Document
from certificates.requests import (
    Reply,
    check_reply,
    make_request,
    read_reply,
    read_request,
    sign_request,
)
from editions.ledger.keys import PrivateKey
from editions.trade.numbers import make_number
from editions.trade.statement import Statement
from tests.certificates.builders import (
    MINIMAL,
)
from tests.certificates.credentials import (
    ARTIST_KEY,
    LATER,
    NOON,
    unsigned,
)
from tests.helpers.chance import Chance

ARTIST_PUBLIC = ARTIST_KEY.public.raw
CHANCE = Chance("requests")
NUMBERS = [make_number(CHANCE) for _ in range(4)]


def one(at: int, statement: Statement = MINIMAL, **how: Any) -> Document:
    numbered = msgspec.structs.replace(statement, number=NUMBERS[at], designation=f"{at + 1}/8")
    return unsigned(numbered, **how)


DOCUMENTS = tuple(one(at) for at in range(3))
REQUEST = make_request(DOCUMENTS, ARTIST_PUBLIC, NOON)


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
