"""Corrected facts on a page: the lines of a paper, said in the page's language and units."""

from __future__ import annotations

import pytest

from editions.pages import words
from editions.pages.render import render_record
from editions.pages.tongues import Tongue, english, tongues
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.trade.saying import said
from editions.trade.stations import read_station
from tests.pages.test_render import Page

THIN, HARD = "\u202f", "\u00a0"


@pytest.fixture(scope="module")
def french() -> Tongue:
    (found,) = (one for one in tongues() if one.code == "fr")
    return found


def plain(text: str) -> str:
    return text.replace(THIN, " ").replace(HARD, " ")


# 1 in = 25.4 mm, 1 lb = 0.45359237 kg (international yard and pound agreement, 1959).
TOLD = [
    ("mass", "14.2 kg", "14.2 kg (31.3 lb)", "14,2 kg (31,3 lb)"),
    ("measurements", "height with base: 450 mm ± 2 mm",
     "height with base: 450 mm (17.72 in) ± 2 mm (0.08 in)",
     "hauteur avec socle : 450 mm (17,72 po) ± 2 mm (0,08 po)"),
    ("measurements", "height without base: 17 1/8 in; wing: span: 61.5 cm",
     "height without base: 17 1/8 in (435.0 mm), wing: span: 61.5 cm (615.0 mm, 24.21 in)",
     "hauteur sans socle : 17 1/8 po (435,0 mm), wing: span : 61,5 cm (615,0 mm, 24,21 po)"),
    ("cast", "2026-03-24", "24 March 2026", "24 mars 2026"),
    ("pour", "2026-03", "March 2026", "mars 2026"),
    ("generation", "0", "generation 0", "génération 0"),
    ("analysis", "within, ASTM B584-14",
     "composition consistent with the limits of ASTM B584-14",
     "composition compatible avec les limites de ASTM B584-14"),
    ("analysis", "outside", "composition outside the limits of its alloy",
     "composition non compatible avec les limites de son alliage"),
    ("analysis", "not analysed", "composition not analysed", "composition non analysée"),
    ("life dates", "1931–2014", "1931–2014", "1931–2014"),
    ("material", "silicone", "silicone", "silicone"),
]  # fmt: skip


@pytest.mark.parametrize(("fact", "lines", "in_english", "in_french"), TOLD)
def test_a_fact_of_a_paper_is_said_as_the_page_says_such_things(
    french: Tongue, fact: str, lines: str, in_english: str, in_french: str
) -> None:
    assert plain(words.retold(english(), lines, fact)) == in_english
    assert plain(words.retold(french, lines, fact)) == in_french


@pytest.mark.parametrize(
    ("fact", "lines"),
    [
        ("mass", "heavy"),
        ("mass", "450 mm"),
        ("measurements", "as tall as a man"),
        ("measurements", "height: 450 mm; about as wide"),
        ("measurements", "height: 2 kg"),
        ("measurements", "height: 450 mm ± 2 kg"),
        ("analysis", "promising, ASTM B584-14"),
        ("cast", "in the spring"),
        ("title", "generation 0: within"),
        ("colour", "height: 450 mm"),
    ],
)
def test_what_is_of_another_form_stands_as_it_is(french: Tongue, fact: str, lines: str) -> None:
    assert words.retold(french, lines, fact) == lines


def test_that_nothing_was_recorded_is_said_whatever_the_fact(french: Tongue) -> None:
    assert words.retold(french, said("not recorded"), "measurements") == "non consigné"


def test_a_corrected_measurement_is_told_in_the_language_of_the_page(
    book: Registry, number: str, french: Tongue
) -> None:
    with book.reading() as reading:
        history = [one for _, one in reading.history("P-0001")]
    (at,) = (n for n, one in enumerate(history, 1) if type(one.facts).__name__ == "PieceMeasured")
    with book.writing() as w:
        correct_entry(w, f"P-0001#{at}", {"stations": [read_station("height=455mm/with")]})
    text = plain(Page(render_record(book, number, tongue=french)).text)
    assert "hauteur avec socle : 450 mm (17,72 po) ± 2 mm (0,08 po)" in text
    assert "corrigé en hauteur avec socle : 455 mm (17,91 po)" in text
    assert "with base" not in text


def test_a_specification_without_an_edition_is_said_in_the_language_of_the_page(
    french: Tongue,
) -> None:
    from editions.pages.making_words import specification

    assert specification(french, "ASTM B584, edition not stated") == (
        "ASTM B584, édition non précisée"
    )
    assert specification(french, "ASTM B584-14") == "ASTM B584-14"
