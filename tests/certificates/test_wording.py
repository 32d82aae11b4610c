"""Tests of the words printed on the paper."""

from __future__ import annotations

import msgspec
import pytest

from certificates.wording import (
    AUTHORITY,
    dated,
    facts_of,
    given_number,
    grouped,
    heading,
    issued_by,
    measured,
    notice,
    number_note,
)
from editions.trade.quantities import Quantity
from editions.trade.statement import HeatLine, ProofSeries, RunLine, SectionLine, Statement, Station
from tests.certificates.builders import FROM_OBJECT, MINIMAL, RAW_METAL, RESERVATION, USUAL

RUN_IN_WORDS = "8 numbered and 4 artist’s proofs (AP, Roman numerals)"
PROMISE = "No more than 8 and 4 proofs will be cast, at this or any other scale."


def _said(statement: Statement) -> dict[str, tuple[str, ...]]:
    return {
        fact.label: tuple(line.replace("\u00a0", " ") for line in fact.lines)
        for fact in facts_of(statement)
    }


def test_a_finished_cast_is_said_in_these_words() -> None:
    assert _said(USUAL) == {
        "Edition": (
            f"{RUN_IN_WORDS}; an original edition; scale 1:1; run R-0017.",
            f"“{PROMISE}” — Ilse Varga, artist",
        ),
        "Cast": (
            "Hollow Oak Foundry, Marrowby",
            "Cast: 2026",
            "Route: Lost wax, ceramic shell",
            "Registry code of the piece: P-0412",
        ),
        "Metal": (
            "Alloy: Silicon bronze, UNS C87300",
            "Heat 26-041: C87300; poured 2 October 2026; within the limits of ASTM B584-14",
        ),
        "Colour": ("Transparent brown over a warm ground, green in the hollows; paste wax.",),
        "Measurements": (
            "Height, without base: 450 mm (17.72 in) ± 0.5 mm",
            "Height, with base: 492 mm (19.37 in)",
            "Width at the shoulders, without base: 5 3/16 in (131.8 mm)",
            "Mass: 12.4 kg (27.3 lb)",
        ),
        "Marks in the metal": (
            "“Varga 3/8”, back of the base, left, stamped in the wax",
            "“HOLLOW OAK”, under the base, struck in the metal",
        ),
        "Mold and generation": (
            "M-0007: silicone, two sections, from the artist’s plaster; generation 1",
        ),
        "Approvals": ("Approved in metal, in person, 20 November 2026 — Ilse Varga, artist",),
    }


def test_what_is_not_in_the_book_is_printed_as_not_recorded() -> None:
    said = _said(MINIMAL)
    assert said["Edition"] == ("not recorded",)
    assert said["Cast"][1:] == (
        "Cast: not recorded",
        "Route: not recorded",
        "Registry code of the piece: not recorded",
    )
    assert said["Metal"] == ("Alloy: not recorded", "Heat: not recorded")
    assert said["Measurements"] == ("Lengths: not recorded", "Mass: not recorded")
    for label in ("Colour", "Marks in the metal", "Mold and generation", "Approvals"):
        assert said[label] == ("not recorded",)
    assert "Sections" not in said
    assert "Remarks" not in said


def test_what_nobody_knows_of_an_older_cast_is_printed_as_unknown() -> None:
    said = _said(FROM_OBJECT)
    assert "not recorded" not in str(said)
    assert said["Edition"] == ("unknown",)
    assert "Cast: 1939 or before" in said["Cast"]
    assert "With base: unknown" in said["Measurements"]


def test_a_heat_of_an_older_cast_is_poured_at_a_date_unknown_or_as_written() -> None:
    heat = HeatLine(number="7", alloy="", poured="in the spring", verdict="")
    said = _said(msgspec.structs.replace(FROM_OBJECT, heats=(heat,)))
    assert said["Metal"][1] == "Heat 7: poured in the spring"


def test_raw_metal_says_that_the_foundry_applied_no_colour() -> None:
    assert notice(RAW_METAL) == "Released in raw metal. Colour was not applied by the foundry."
    assert _said(RAW_METAL)["Colour"] == ("None applied by the foundry",)


def test_a_reservation_says_plainly_that_it_is_not_a_certificate() -> None:
    assert "certificate" not in heading(RESERVATION).lower()
    assert notice(RESERVATION) == "This paper is a reservation of a number and not a certificate."


def test_a_reservation_prints_what_is_reserved_and_nothing_of_a_cast() -> None:
    said = _said(RESERVATION)
    assert list(said) == ["What is reserved", "Edition", "Foundry", "Meant to be cast"]
    assert said["What is reserved"] == (
        "The number 5/8 of run R-0017, until the foundry releases it.",
        "No cast is described here, and none need exist yet.",
    )
    assert said["Meant to be cast"] == (f"Route: {USUAL.route}", f"Alloy: {USUAL.alloy}")
    assert "not recorded" not in str(said)
    bare = _said(msgspec.structs.replace(RESERVATION, route=None, alloy=None, run=None))
    assert list(bare) == ["What is reserved", "Edition", "Foundry"]
    assert bare["What is reserved"][0] == "The number 5/8, until the foundry releases it."


def test_a_posthumous_cast_is_called_so_beside_its_number_and_its_date() -> None:
    late = msgspec.structs.replace(USUAL, posthumous=True)
    assert number_note(late) == "posthumous cast"
    assert _said(late)["Cast"][1] == "Cast: 2026; posthumous, after the artist’s death"
    found = msgspec.structs.replace(FROM_OBJECT, designation_note="as found", posthumous=True)
    assert number_note(found) == "as found; posthumous cast"
    assert number_note(USUAL) == ""
    assert "posthumous" not in str(_said(USUAL))


def test_an_older_cast_says_that_it_was_registered_from_the_object() -> None:
    assert notice(FROM_OBJECT).startswith("Registered from the object")


def test_the_head_says_who_issues_the_paper() -> None:
    assert issued_by(USUAL) == "Hollow Oak Foundry, Marrowby"
    assert issued_by(MINIMAL) == "Hollow Oak Foundry"
    elsewhere = msgspec.structs.replace(FROM_OBJECT, issuer="Quill Yard Foundry")
    assert issued_by(elsewhere) == "issued by Quill Yard Foundry"


def test_a_finished_cast_needs_no_notice() -> None:
    assert notice(USUAL) == ""


def test_the_paper_never_says_authentic() -> None:
    for statement in (USUAL, MINIMAL, RAW_METAL, RESERVATION, FROM_OBJECT):
        words = f"{heading(statement)} {notice(statement)} {_said(statement)} {AUTHORITY}"
        assert "authentic" not in words.lower()


@pytest.mark.parametrize(
    ("statement", "printed"),
    [
        (USUAL, "3/8"),
        (MINIMAL, "Number in the edition: not recorded"),
        (
            msgspec.structs.replace(MINIMAL, paper="from_object"),
            "Number in the edition: unknown",
        ),
        (
            msgspec.structs.replace(
                MINIMAL, run=RunLine(code="R-0001", size=1, edition_class="unique")
            ),
            "Unique cast",
        ),
    ],
)
def test_the_number_is_printed_or_said_to_be_missing(statement: Statement, printed: str) -> None:
    assert given_number(statement) == printed


@pytest.mark.parametrize(
    ("series", "printed"),
    [
        (ProofSeries(series="EA", count=1), "1 épreuve d’artiste (EA, Arabic numerals)"),
        (ProofSeries(series="HC", count=2), "2 hors commerce (HC, Arabic numerals)"),
        (ProofSeries(series="XX", count=2), "2 XX (Arabic numerals)"),
    ],
)
def test_a_series_outside_the_numbers_is_said_in_words(series: ProofSeries, printed: str) -> None:
    run = RunLine(code="R-0001", size=None, proofs=(series,))
    assert _said(msgspec.structs.replace(MINIMAL, run=run))["Edition"] == (
        f"Size not recorded and {printed}; run R-0001.",
    )


@pytest.mark.parametrize(
    ("typed", "printed"),
    # By the inch of 25.4 mm and the pound of 0.45359237 kg (international agreement, 1959).
    [
        (Quantity("450", "mm"), "450 mm (17.72 in)"),
        (Quantity("3/16", "in"), "3/16 in (4.8 mm)"),
        (Quantity("45", "cm"), "45 cm (450.0 mm, 17.72 in)"),
        (Quantity("6", "ft"), "6 ft (1828.8 mm, 72.00 in)"),
        (Quantity("12.4", "kg"), "12.4 kg (27.3 lb)"),
        (Quantity("100", "lb"), "100 lb (45.36 kg)"),
        (Quantity("500", "g"), "500 g (0.50 kg, 1.1 lb)"),
    ],
)
def test_a_quantity_is_printed_as_typed_and_in_the_other_unit(
    typed: Quantity, printed: str
) -> None:
    assert measured(typed).replace("\u00a0", " ") == printed
    assert " " not in measured(typed).split(" (")[0]


def test_a_work_without_a_base_is_not_asked_for_one() -> None:
    station = Station(name="Height", length=Quantity("450", "mm"))
    said = _said(msgspec.structs.replace(MINIMAL, stations=(station,)))
    assert said["Measurements"] == ("Height: 450 mm (17.72 in)", "Mass: not recorded")


def test_a_section_says_mold_pull_and_heat_or_that_they_are_not_recorded() -> None:
    sections = (
        SectionLine(name="Left arm", mold="M-0001", pull=3, heat="26-041"),
        SectionLine(name="Head"),
    )
    assert _said(msgspec.structs.replace(MINIMAL, sections=sections))["Sections"] == (
        "Left arm: mold M-0001, pull 3, heat 26-041",
        "Head: mold not recorded, pull not recorded, heat not recorded",
    )


@pytest.mark.parametrize(
    ("when", "said"),
    [("2026-11-24", "24 November 2026"), ("about then", "about then"), (None, "unknown")],
)
def test_a_date_is_said_in_english(when: str | None, said: str) -> None:
    assert dated(when, "unknown") == said


def test_a_digest_is_grouped_for_the_eye() -> None:
    assert grouped("00ff" * 16) == (" ".join(["00FF"] * 8), " ".join(["00FF"] * 8))
