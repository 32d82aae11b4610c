"""Designations as people write them; forms from the trade's usage and the French code of ethics."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.designations import (
    HIGHEST,
    LETTERS,
    SERIES,
    Designation,
    Numerals,
    read_designation,
    read_roman,
    roman,
)

PROOFS = sorted(set(SERIES) - {"", "PU"})


def designations() -> st.SearchStrategy[Designation]:
    run = st.builds(
        Designation,
        st.sampled_from(["", *PROOFS]),
        st.integers(1, HIGHEST),
        st.integers(1, HIGHEST),
        st.sampled_from(["arabic", "roman"]),
    )
    alone = st.builds(
        Designation,
        st.sampled_from(PROOFS),
        st.integers(1, 39),
        st.none(),
        st.sampled_from(["arabic", "roman"]),
    )
    letter = st.builds(
        Designation, st.just(""), st.sampled_from(LETTERS), st.none(), st.just("letter")
    )
    unique = st.just(Designation("PU", 1, 1, "arabic"))
    return st.one_of(run, alone, letter, unique)


@given(designations())
def test_a_designation_and_its_text_are_one(made: Designation) -> None:
    assert read_designation(str(made)) == made
    assert read_designation(f" {str(made).lower()} ") == made
    assert msgspec.convert(msgspec.to_builtins(made), Designation) == made


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("3/8", "3/8"),
        ("3 / 8", "3/8"),
        ("3 of 8", "3/8"),
        ("3 OF 8", "3/8"),
        ("3 sur 8", "3/8"),
        ("No. 3/8", "3/8"),
        ("no 3/8", "3/8"),
        ("No.3/8", "3/8"),
        ("Nº 3/8", "3/8"),
        ("N° 3/8", "3/8"),
        ("№ 3/8", "3/8"),
        ("# 3/8", "3/8"),
        ("#3/8", "3/8"),
        ("Ed. 3/8", "3/8"),
        ("3⁄8", "3/8"),
        ("\u00a03/8\n", "3/8"),
        ("1/1", "1/1"),
        ("9/8", "9/8"),
        ("III/VIII", "III/VIII"),
        ("iii of viii", "III/VIII"),
        ("No. III/VIII", "III/VIII"),
        ("C/D", "C/D"),
        ("AP I/IV", "AP I/IV"),
        ("A.P. II/IV", "AP II/IV"),
        ("A. P. II/IV", "AP II/IV"),
        ("A.P.II/IV", "AP II/IV"),
        ("A/P 2/4", "AP 2/4"),
        ("AP2/4", "AP 2/4"),
        ("AP No. 2/4", "AP 2/4"),
        ("2/4 AP", "AP 2/4"),
        ("artist's proof 2/4", "AP 2/4"),
        ("Artist’s Proof II of IV", "AP II/IV"),
        ("artists proof 2/4", "AP 2/4"),
        ("E.A. 2/4", "EA 2/4"),
        ("EA 2/4", "EA 2/4"),
        ("épreuve d'artiste I/IV", "EA I/IV"),
        ("E\u0301preuve d’artiste I/IV", "EA I/IV"),
        ("EPREUVE D'ARTISTE I/IV", "EA I/IV"),
        ("H.C. 1/2", "HC 1/2"),
        ("hors commerce 1/2", "HC 1/2"),
        ("T.P. 1", "TP 1"),
        ("trial proof 1/2", "TP 1/2"),
        ("foundry proof 1", "FP 1"),
        ("AC 1", "AC 1"),
        ("artist's copy 1/2", "AC 1/2"),
        ("AP V", "AP V"),
        ("a", "A"),
        ("T", "T"),
        ("I", "I"),
        ("PU", "PU"),
        ("P.U.", "PU"),
        ("pièce unique", "PU"),
        ("Unique", "PU"),
    ],
)
def test_designations_are_read_as_people_write_them(text: str, canonical: str) -> None:
    assert str(read_designation(text)) == canonical


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "3",
        "III",
        "No. 3",
        "00/1",
        "0/8",
        "03/8",
        "3/08",
        "3/0",
        "AC/1",
        "AP/1",
        "AP",
        "A.P.",
        "artist's proof",
        "III/8",
        "3/VIII",
        "AP I/4",
        "IIII/VIII",
        "VIIII/X",
        "IVI/X",
        "IC/M",
        "EAI/IV",
        "HCC/D",
        "AP A",
        "AP C",
        "AP L",
        "U",
        "Z",
        "é",
        "AA",
        "A/T",
        "A1",
        "3/8/2",
        "3-8",
        "3\\8",
        "3//8",
        "3/8 bis",
        "3/8 and 4/8",
        "-3/8",
        "+3/8",
        "3.0/8",
        "⅜",
        "３/８",
        "٣/٨",
        "ⅢⅠ/Ⅷ",
        "ı/v",
        "K 3/8 K",
        "BAT",
        "XX 1/2",
        "10000/10000",
        "1" * 1_000_000,
        "3/8\x00",
        "3/8\u202e",
        "AP 2/4 EA",
        "about 3/8",
        "3/8?",
        "MMMM/MMMM",
    ],
)
def test_what_is_not_sure_stays_unparsed(text: str) -> None:
    assert read_designation(text) is None


@given(st.text("0123456789IVXLCDMAPEHCT./ 'ofn°ºé", max_size=20))
def test_any_text_is_a_designation_that_reads_again_or_unparsed(text: str) -> None:
    made = read_designation(text)
    assert made is None or read_designation(str(made)) == made


@given(st.text())
def test_no_text_whatever_raises(text: str) -> None:
    made = read_designation(text)
    assert made is None or read_designation(str(made)) == made


def test_a_position_above_its_total_is_read_and_told() -> None:
    assert not Designation("", 9, 8, "arabic").within_total()
    assert Designation("", 8, 8, "arabic").within_total()
    assert Designation("", "A", None, "letter").within_total()
    assert Designation("AP", 7, None, "arabic").within_total()


def test_proofs_stand_outside_the_run_and_unique_pieces_do_not() -> None:
    assert all(Designation(series, 1, 2, "arabic").outside_run for series in PROOFS)
    assert not Designation("", 1, 2, "arabic").outside_run
    assert not Designation("PU", 1, 1, "arabic").outside_run


@pytest.mark.parametrize(
    ("series", "position", "total", "numerals"),
    [
        ("", 3, None, "arabic"),
        ("", 0, 8, "arabic"),
        ("", -1, 8, "arabic"),
        ("", 3, 0, "arabic"),
        ("", 10000, 10000, "arabic"),
        ("", 4000, 4000, "roman"),
        ("", "3", 8, "arabic"),
        ("", "U", None, "letter"),
        ("", "AB", None, "letter"),
        ("", "", None, "letter"),
        ("", 1, None, "letter"),
        ("", "A", 8, "letter"),
        ("AP", "A", None, "letter"),
        ("AP", 40, None, "roman"),
        ("PU", 1, 2, "arabic"),
        ("PU", 1, 1, "roman"),
        ("XX", 1, 2, "arabic"),
    ],
)
def test_no_designation_can_be_made_that_no_text_means(
    series: str, position: int | str, total: int | None, numerals: Numerals
) -> None:
    with pytest.raises(Unreadable, match="No designation has"):
        Designation(series, position, total, numerals)


@given(st.integers(1, HIGHEST))
def test_a_number_and_its_roman_numeral_are_one(number: int) -> None:
    assert read_roman(roman(number)) == number
    assert read_roman(roman(number).lower()) == number


@pytest.mark.parametrize(
    ("number", "numeral"),
    # Common reckoning; 1993 is the year of the French code of ethics of art foundries.
    [(1, "I"), (4, "IV"), (8, "VIII"), (9, "IX"), (12, "XII"), (40, "XL"), (90, "XC"),
     (400, "CD"), (1993, "MCMXCIII"), (3888, "MMMDCCCLXXXVIII"), (3999, "MMMCMXCIX")],
)  # fmt: skip
def test_roman_numerals_are_the_usual_ones(number: int, numeral: str) -> None:
    assert roman(number) == numeral


@pytest.mark.parametrize("number", [0, -1, 4000])
def test_there_is_no_roman_numeral_outside_the_usual_range(number: int) -> None:
    with pytest.raises(Unreadable, match="no Roman numeral"):
        roman(number)


@pytest.mark.parametrize(
    "text",
    ["", "IIII", "VV", "IL", "IC", "XM", "IVI", "IXX", "A", "I I", "ı", "M" * 4, "M" * 10_000],
)
def test_a_numeral_out_of_form_is_none(text: str) -> None:
    assert read_roman(text) is None
