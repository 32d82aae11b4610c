"""Tests of the positions: nothing lies on anything else, and the code is as large as promised."""

from __future__ import annotations

import itertools

import pytest

from certificates.claim import Claim, code_text, sign_claim
from certificates.layout import SHEETS, Box, Page, Sheet, code_module
from certificates.qr import matrix
from tests.certificates.builders import FOUNDRY_KEY, NUMBER

PAGES: list[Page] = ["A4", "letter"]
# ISO 216 and ANSI/ASME Y14.1, in millimetres.
SIZES = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}


def _places(sheet: Sheet) -> dict[str, Box]:
    return {
        "mark": sheet.mark,
        "heading": sheet.heading,
        "number": sheet.number,
        "title": sheet.title,
        "facts": sheet.facts,
        "artist's ink": sheet.signatures[0],
        "foundry's ink": sheet.signatures[1],
        "code": sheet.code,
        "reserved": sheet.reserved,
    }


def _apart(one: Box, other: Box) -> bool:
    beside = one.right <= other.left or other.right <= one.left
    return beside or one.bottom <= other.top or other.bottom <= one.top


@pytest.mark.parametrize("page", PAGES)
def test_a_sheet_has_the_size_of_its_standard(page: Page) -> None:
    assert (SHEETS[page].width, SHEETS[page].height) == SIZES[page]


@pytest.mark.parametrize("page", PAGES)
def test_no_place_lies_on_another(page: Page) -> None:
    places = _places(SHEETS[page])
    for (name, one), (other_name, other) in itertools.combinations(places.items(), 2):
        assert _apart(one, other), (name, other_name)


@pytest.mark.parametrize("page", PAGES)
def test_every_place_keeps_the_margins(page: Page) -> None:
    sheet = SHEETS[page]
    inner = sheet.frame
    for name, place in {**_places(sheet), "more": sheet.more}.items():
        assert place.left >= inner.left + 10, name
        assert place.right <= inner.right - 10, name
        assert place.top >= inner.top + 7, name
        assert place.bottom <= inner.bottom - 7, name
    assert sheet.foot_rule < sheet.page_line < inner.bottom - 2


@pytest.mark.parametrize("page", PAGES)
def test_the_photograph_lies_within_the_block_of_the_title(page: Page) -> None:
    sheet = SHEETS[page]
    assert sheet.photograph.right == sheet.title.right
    assert sheet.title.top <= sheet.photograph.top
    assert sheet.photograph.bottom <= sheet.title.bottom


@pytest.mark.parametrize("modules", range(21, 178, 4))
def test_a_code_is_26_mm_at_least_and_its_modules_four_tenths(modules: int) -> None:
    module = code_module(modules)
    assert module * modules >= 26 - 1e-9
    assert module >= 0.4


@pytest.mark.parametrize("page", PAGES)
def test_the_longest_claim_fits_the_place_of_the_code(page: Page) -> None:
    claim = Claim(
        number=NUMBER,
        leaf=bytes(32),
        index=2**53 - 2,
        size=2**53 - 1,
        root=bytes(32),
        origin="o" * 80,
        paper="from_object",
        artist="ж" * 48,
        title="ж" * 48,
        designation="ж" * 24,
        cast="2026-11-24~/2026-12-24~",
        issued="2026-11-24",
    )
    address = f"https://{'host.' * 12}example"
    code = matrix(code_text(address, NUMBER, sign_claim(claim, FOUNDRY_KEY)))
    # The quiet zone may stand in the white around the place.
    assert code.size * code_module(code.size) <= SHEETS[page].code.width


@pytest.mark.parametrize("page", PAGES)
def test_the_reserved_place_can_hold_a_second_code(page: Page) -> None:
    assert min(SHEETS[page].reserved[2:]) >= 26 + 8 * 0.4
