"""What a holder reads before they sign: every word that is theirs, and none that is not."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from certificates.pledge import ASSERTS, FOUNDRY_SAYS, NOT_ASSERTS
from certificates.requests import (
    Returned,
    plain_words,
    summary_words,
)
from editions.errors import Unreadable
from editions.ledger.keys import fingerprint
from editions.trade.statement import RunLine, Statement
from tests.certificates.builders import (
    FROM_OBJECT,
    LOG_KEY,
    MINIMAL,
    ORIGIN,
    RAW_METAL,
    RESERVATION,
    STATEMENTS,
    USUAL,
)
from tests.certificates.credentials import (
    ARTIST,
    HEIRS,
    INK,
    unsigned,
)
from tests.certificates.requesting import (
    ARTIST_PUBLIC,
    answered,
    asked,
    asked_one,
    checked,
    request_for,
)

PROMISE = "No more than 8 and 4 proofs will be cast, at this or any other scale."


def said(statement: Statement, **how: Any) -> list[str]:
    """The lines under "asserts", without their dash."""
    lines = plain_words(unsigned(statement, **how))
    return [line[2:] for line in lines[lines.index(ASSERTS) + 1 : lines.index(NOT_ASSERTS)]]


def test_the_holder_reads_exactly_what_is_theirs_to_assert() -> None:
    assert said(USUAL) == [
        "The work “Standing Woman with Lowered Eyes” is by Ilse Varga (born 1961, Pécs).",
        "The run R-0017 is of 8 numbered casts, at the scale 1:1.",
        "Outside the numbers: 4 artist’s proofs (AP, Roman numerals).",
        "The run is an original edition.",
        f"“{PROMISE}” (as declared by Ilse Varga, artist)",
        "The number 3/8, for which this certificate is, is one of that run.",
    ]


def test_the_holder_reads_what_is_not_theirs_and_who_else_signs() -> None:
    words = plain_words(unsigned(USUAL, holders=(*HEIRS, INK), needed=2))
    text = "\n".join(words)
    assert words[0].startswith("Certificate of casting ")
    assert words[1].startswith("The place it names is entry ")
    assert "how, where, when or of what metal the bronze was cast" in text
    assert "who owns the cast, what it is worth" in text
    assert "2 of 3 named here have to sign:" in words
    assert f"- Bódog Varga, heirs of the artist: key {fingerprint(HEIRS[0].key or b'')}" in words
    assert "- Ottó Varga, executor for the artist: in ink" in words
    assert words[-1].startswith("For the foundry: Hollow Oak Foundry, key ")


def test_everything_the_foundry_states_is_shown_to_the_holder() -> None:
    words = plain_words(unsigned(USUAL))
    text = "\n".join(words[words.index(FOUNDRY_SAYS) :])
    for told in (
        "Silicon bronze", "26-041", "450 mm", "12.4 kg", "Varga 3/8", "struck in the metal",
        "Transparent brown", "M-0007", "Approved in metal", "Lost wax, ceramic shell", "P-0412",
    ):  # fmt: skip
        assert told in text


def test_what_is_not_stated_is_not_promised() -> None:
    bare = msgspec.structs.replace(USUAL, run=RunLine(code="R-0017", size=None))
    assert said(bare)[1:4] == [
        "The run R-0017; its size is not stated, and you promise none.",
        "No proofs outside the numbers are stated.",
        "No promise about further casts or other runs is stated; you make none here.",
    ]
    assert said(MINIMAL) == [
        "The work “Hand” is by Ilse Varga.",
        "No run is stated: your signature promises nothing of how many casts there are.",
    ]


def test_other_papers_have_their_own_words() -> None:
    assert "no cast of it is certified" in said(RESERVATION)[-1]
    assert "one of that run" in said(RAW_METAL)[-1]
    assert said(FROM_OBJECT)[-2:] == [
        "The number is 2 / 6?, of no run that is stated here.",
        "Of the number: as found on the metal.",
    ]
    examined = msgspec.structs.replace(FROM_OBJECT, run=USUAL.run)
    assert "The number 2 / 6? is that of the bronze examined." in said(examined)


@pytest.mark.parametrize("name", STATEMENTS)
def test_every_paper_can_be_read_line_by_line(name: str) -> None:
    words = plain_words(unsigned(STATEMENTS[name]))
    assert all(line and line.isprintable() for line in words)


def test_the_words_of_a_document_that_is_none_are_not_invented() -> None:
    with pytest.raises(Unreadable):
        plain_words({})


def test_a_request_is_summed_up_by_work() -> None:
    other = asked(msgspec.structs.replace(USUAL, designation=None))
    lines = summary_words(request_for(*(asked_one(at) for at in range(3)), asked_one(3, USUAL)))
    assert lines[0] == f"You are asked for 4 signatures with the key {fingerprint(ARTIST_PUBLIC)}."
    assert lines[1] == "“Hand” by Ilse Varga, asked by Hollow Oak Foundry: 1/8, 2/8, 3/8."
    assert lines[2].endswith("Hollow Oak Foundry: 4/8.")
    assert lines[3].startswith(f"These words are those of the book {ORIGIN}: entry and proof agree")
    assert fingerprint(LOG_KEY.public.raw) in lines[3]
    assert lines[4].startswith("That it is the foundry's, this file cannot prove.")
    single = summary_words(request_for(other))
    assert "asked for 1 signature with" in single[0]
    assert single[1].endswith(": 4MH8 PV0P DA7.")


def test_what_is_returned_holds_a_proof_only_where_it_agrees() -> None:
    found: tuple[Returned, ...] = checked(answered())
    assert all(f.proof is not None for f in found)
    assert ARTIST.name in found[0].says
