"""Photographs filed with anything that has a code."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.registry import Registry
from editions.registry.acts.photographs import file_photograph
from tests.registry.builders import a_heat, a_mold, a_piece, state

DERIVATIVE, ORIGINAL = "ab" * 32, "cd" * 32


def test_a_photograph_is_filed_with_any_subject_and_its_original_is_held(
    registry: Registry,
) -> None:
    piece, mold, heat = a_piece(registry), a_mold(registry), a_heat(registry, number="24-117")
    with registry.writing() as w:
        made = file_photograph(w, piece, DERIVATIVE, ORIGINAL, caption="front", on="2026-02")
        file_photograph(w, mold.lower(), DERIVATIVE)
        file_photograph(w, "24-117", DERIVATIVE)
    (photograph,) = state(registry, piece).photographs
    assert (photograph.digest, photograph.caption, photograph.on) == (
        DERIVATIVE,
        "front",
        "2026-02",
    )
    assert len(state(registry, mold).photographs) == len(state(registry, heat).photographs) == 1
    with registry.reading() as reading:
        assert ORIGINAL.encode() not in reading.entry(made.leaf)


@pytest.mark.parametrize(
    ("code", "digest", "caption", "error"),
    [
        ("P-0099", DERIVATIVE, "", NotKnown),
        ("P-0001", "front.jpg", "", Unreadable),
        ("P-0001", DERIVATIVE[:-1], "", Unreadable),
        ("P-0001", DERIVATIVE, "x" * 2001, Unreadable),
        ("P-0001", DERIVATIVE, "a\nb", Unreadable),
    ],
)
def test_a_photograph_of_nothing_or_without_a_digest_is_not_filed(
    book: Registry, code: str, digest: str, caption: str, error: type[Exception]
) -> None:
    a_piece(book)
    with pytest.raises(error), book.writing() as w:
        file_photograph(w, code, digest, caption=caption)
    assert state(book, "P-0001").photographs == ()
