"""Tests of the paper as drawn: looked at as pixels and as text, by independent readers."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import NamedTuple

import msgspec
import pypdfium2
import pytest
import zxingcpp

from certificates.claim import code_text
from certificates.layout import POINTS, SHEETS, Page
from certificates.pdf import draw
from editions.ledger.keys import fingerprint
from editions.trade.numbers import show_number
from tests.certificates.builders import (
    ADDRESS,
    EXTREME,
    FOUNDRY_KEY,
    NUMBER,
    STATEMENTS,
    USUAL,
    paper,
    photograph,
    sealed,
)

PAGES: list[Page] = ["A4", "letter"]
CASES = list(itertools.product(STATEMENTS, PAGES))


class Letter(NamedTuple):
    """A letter's tight box in points from the bottom left, and its place in the text."""

    at: int
    text: str
    left: float
    bottom: float
    right: float
    top: float


def letters(page: pypdfium2.PdfPage) -> Iterator[Letter]:
    """Every visible letter of a page with its box, as PDFium measures it."""
    text = page.get_textpage()
    for at in range(text.count_chars()):
        left, bottom, right, top = text.get_charbox(at)
        shown = text.get_text_range(at, 1)
        if shown.strip() and right > left:
            yield Letter(at, shown, left, bottom, right, top)


def words(data: bytes) -> str:
    """All text of a document, spaces run together."""
    document = pypdfium2.PdfDocument(data)
    pages = [page.get_textpage().get_text_range() for page in document]
    return re.sub(r"\s+", " ", " ".join(pages))


def made(name: str, page: Page = "A4") -> bytes:
    return paper(sealed(STATEMENTS[name]), page)


@pytest.mark.parametrize(("name", "page"), CASES)
def test_the_same_certificate_is_drawn_to_the_same_bytes(name: str, page: Page) -> None:
    certificate = sealed(STATEMENTS[name])
    picture = photograph() if certificate.statement.photograph else None
    assert draw(certificate.statement, certificate.seal, picture, page) == made(name, page)


@pytest.mark.parametrize(("name", "page"), CASES)
def test_no_letter_leaves_the_frame_or_the_margins(name: str, page: Page) -> None:
    sheet = SHEETS[page]
    left, right = (sheet.title.left - 1) * POINTS, (sheet.title.right + 1) * POINTS
    top, bottom = (sheet.height - sheet.mark.top) * POINTS, (sheet.height - 285) * POINTS
    for drawn in pypdfium2.PdfDocument(made(name, page)):
        for letter in letters(drawn):
            assert letter.left >= left, letter
            assert letter.right <= right, letter
            assert letter.top <= top, letter
            assert letter.bottom >= max(bottom, (sheet.height - sheet.frame.bottom + 2) * POINTS)


@pytest.mark.parametrize(("name", "page"), CASES)
def test_no_letter_is_drawn_over_another(name: str, page: Page) -> None:
    for drawn in pypdfium2.PdfDocument(made(name, page)):
        for one, other in _overlapping(sorted(letters(drawn), key=lambda letter: letter.left)):
            # Kerned neighbours of one line lean over each other.
            assert abs(one.at - other.at) == 1, (one, other)


def _overlapping(drawn: list[Letter]) -> Iterator[tuple[Letter, Letter]]:
    """Pairs of letters that share more than a tenth of the smaller one both ways."""
    for at, one in enumerate(drawn):
        for other in drawn[at + 1 :]:
            if other.left >= one.right:
                break
            across = min(one.right, other.right) - other.left
            along = min(one.top, other.top) - max(one.bottom, other.bottom)
            wide = across > 0.1 * min(one.right - one.left, other.right - other.left)
            if wide and along > 0.1 * min(_height(one), _height(other)):
                yield one, other


def _height(letter: Letter) -> float:
    return letter.top - letter.bottom


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("name", [name for name in STATEMENTS if name != "extreme"])
def test_a_usual_certificate_is_one_page(name: str, page: Page) -> None:
    assert len(pypdfium2.PdfDocument(made(name, page))) == 1


@pytest.mark.parametrize("page", PAGES)
def test_the_fullest_certificate_flows_to_further_pages_which_name_it(page: Page) -> None:
    document = pypdfium2.PdfDocument(made("extreme", page))
    assert 2 <= len(document) <= 3
    for at, drawn in enumerate(document, 1):
        text = drawn.get_textpage().get_text_range()
        assert show_number(NUMBER) in text
        assert f"Page {at} of {len(document)}" in text
    said = words(made("extreme", page))
    for section in EXTREME.sections:
        assert section.name in said
    for heat in EXTREME.heats:
        assert f"Heat {heat.number}" in said
    for station in EXTREME.stations:
        assert station.name in said


@pytest.mark.parametrize(("name", "page"), CASES)
def test_the_code_is_read_from_the_paper_at_150_dots_to_the_inch(name: str, page: Page) -> None:
    certificate = sealed(STATEMENTS[name])
    picture = pypdfium2.PdfDocument(made(name, page))[0].render(scale=150 / 72).to_pil()
    found = zxingcpp.read_barcodes(picture)
    assert [code.text for code in found] == [code_text(ADDRESS, NUMBER, certificate.seal.claim)]


@pytest.mark.parametrize("page", PAGES)
def test_the_printed_code_is_26_mm_at_least_and_its_quiet_zone_is_white(page: Page) -> None:
    dots = 10.0  # to the millimetre
    picture = pypdfium2.PdfDocument(made("usual", page))[0].render(scale=dots * 25.4 / 72).to_pil()
    place = zxingcpp.read_barcodes(picture)[0].position
    side = (place.bottom_right.x - place.top_left.x) / dots
    assert side >= 26
    modules = (side - 0.5) / 0.44
    quiet = 4 * max(0.4, side / modules) * dots
    around = (
        place.top_left.x - quiet,
        place.top_left.y - quiet,
        place.bottom_right.x + quiet,
        place.top_left.y - 2,
    )
    grey = picture.convert("L").crop(tuple(map(int, around)))
    assert grey.getextrema()[0] == 255


@pytest.mark.parametrize("name", STATEMENTS)
def test_the_paper_says_what_it_must(name: str) -> None:
    statement = STATEMENTS[name]
    said = words(made(name))
    certificate = sealed(statement)
    assert show_number(NUMBER) in said
    assert fingerprint(FOUNDRY_KEY.public.raw)[:39] in said
    assert fingerprint(FOUNDRY_KEY.public.raw)[40:] in said
    assert f"Entry {certificate.claim.index} of {certificate.claim.size} in the book" in said
    assert certificate.claim.root.hex().upper()[:4] in said
    assert f"HTTPS://RECORD.HOLLOW-OAK.EXAMPLE/C/{NUMBER}" in said
    assert "The address is a convenience; the key is the authority" in said
    assert "the artist, a museum, an earlier certificate" in said
    assert "ARTIST OR ESTATE" in said
    assert "FOR THE FOUNDRY" in said
    assert f"Signed by key: {statement.issuer or statement.foundry}." in said
    assert statement.foundry in said


def test_a_paper_names_artist_title_and_number_of_the_cast() -> None:
    said = words(made("usual"))
    for text in ("Ilse Varga", "Standing Woman", "Lowered Eyes", "3/8", "24 November 2026"):
        assert text in said


def test_what_is_missing_is_said_to_be_missing() -> None:
    assert words(made("minimal")).count("not recorded") >= 8
    assert words(made("from the object")).count("unknown") >= 6


def test_the_notices_are_printed() -> None:
    assert "Colour was not applied by the foundry" in words(made("raw metal"))
    assert "a reservation of a number and not a certificate" in words(made("reservation"))
    assert "Registered from the object" in words(made("from the object"))
    assert "CERTIFICATE OF" not in words(made("reservation"))


def test_a_title_too_long_for_its_place_is_printed_in_full_among_the_facts() -> None:
    said = words(made("extreme"))
    assert "TITLE IN FULL" in said
    assert said.count("the Title that Remembers Everyone in the Yard") >= 8


def test_letters_that_cannot_be_drawn_are_boxes_and_the_paper_says_so() -> None:
    said = words(made("extreme"))
    assert "静" not in said
    assert "A square □ stands for a letter that this paper’s type cannot draw" in said.replace(
        "'", "’"
    )
    assert "□" not in words(made("usual"))


@pytest.mark.parametrize("field", ["artist", "title", "designation", "foundry", "colour", "alloy"])
@pytest.mark.parametrize("text", ["W" * 400, "word " * 380, "ж" * 60 + " end", "محمد " * 20])
def test_no_field_overflows_whatever_it_holds(field: str, text: str) -> None:
    statement = msgspec.structs.replace(USUAL, **{field: text.strip()})
    data = paper(sealed(statement))
    sheet = SHEETS["A4"]
    for drawn in pypdfium2.PdfDocument(data):
        for letter in letters(drawn):
            assert letter.right <= (sheet.title.right + 1) * POINTS
            assert letter.bottom >= (sheet.height - sheet.frame.bottom + 2) * POINTS


def test_a_long_title_beside_a_photograph_keeps_clear_of_it() -> None:
    statement = msgspec.structs.replace(USUAL, title="Wanderer above the evening river " * 6)
    edge = SHEETS["A4"].photograph.left * POINTS
    low = (SHEETS["A4"].height - SHEETS["A4"].photograph.bottom) * POINTS
    high = (SHEETS["A4"].height - SHEETS["A4"].photograph.top) * POINTS
    page = pypdfium2.PdfDocument(paper(sealed(statement)))[0]
    beside = [letter for letter in letters(page) if low < letter.bottom and letter.top < high]
    assert beside
    assert all(letter.right < edge for letter in beside)


@pytest.mark.parametrize("page", PAGES)
def test_the_densest_code_leaves_the_words_beside_it_clear(page: Page) -> None:
    dense = msgspec.structs.replace(USUAL, artist="Ж" * 48, title="Щ" * 48, designation="Ѣ" * 24)
    certificate = sealed(dense).replaced(address=f"https://{'host.' * 12}example")
    drawn = pypdfium2.PdfDocument(paper(certificate, page))[0]
    code = zxingcpp.read_barcodes(drawn.render(scale=150 / 72).to_pil())[0]
    assert code.text == code_text(certificate.seal.address, NUMBER, certificate.seal.claim)
    right = code.position.top_right.x / 150 * 25.4
    low = (SHEETS[page].height - SHEETS[page].code.bottom) * POINTS
    foot = (SHEETS[page].height - SHEETS[page].code.top) * POINTS
    beside = [letter for letter in letters(drawn) if low < letter.bottom < foot - 4]
    assert min(letter.left for letter in beside) / POINTS > right + 4 * 0.4
    edge = SHEETS[page].reserved
    assert not any(
        edge.left < letter.left / POINTS < edge.left + 2 or letter.right / POINTS > edge.right
        for letter in beside
    )
