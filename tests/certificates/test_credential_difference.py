"""A credential compared with the entry it is the credential of."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from certificates.credential import (
    AGREEMENT,
    check_against,
)
from certificates.integrity import Document
from editions.trade.statement import Assertion, HeatLine, RunLine, Statement
from tests.certificates.builders import (
    EXTREME,
    FROM_OBJECT,
    RESERVATION,
    USUAL,
    sealed,
)
from tests.certificates.credentials import (
    altered,
    unsigned,
)


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
