"""Certificates of analysis, typed and from files; 1 ppm is 0.0001 % by definition."""

from __future__ import annotations

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, FileUnusable, Unreadable
from editions.rules.alloys.analysis import ELEMENTS, read_percentages
from editions.rules.alloys.reports import (
    MOST_ROWS,
    Report,
    read_figure,
    read_figures,
    read_sheet,
    write_figures,
    write_sheet,
)


def test_every_symbol_is_one_of_the_periodic_table() -> None:
    known = {element.symbol for element in periodictable.elements}
    assert known >= ELEMENTS


@pytest.mark.parametrize(
    "text",
    [
        "Cu=94.60 Si=4.10 Pb<0.005 Fe=800ppm",
        "cu 94.60, si 4.10, pb < 0.005, fe 800 ppm",
        "Cu: 94.60 %; Si: 4.10 %; Pb: <0.005 %; Fe: 0.0800",
        "  Cu=94.60\tSi=4.10\nPb=<50ppm Fe=800PPM ",
    ],
)
def test_a_certificate_typed_in_a_line_is_read_however_it_is_parted(text: str) -> None:
    read = read_figures(text)
    assert list(read) == ["Cu", "Si", "Pb", "Fe"]
    assert (read["Cu"], read["Si"], read["Fe"]) == ("94.60", "4.10", "0.0800")
    assert read["Pb"] in ("<0.005", "<0.0050")


@pytest.mark.parametrize(
    ("text", "unit", "percent"),
    [
        ("120 ppm", "%", "0.0120"),
        ("120", "ppm", "0.0120"),
        ("<50", "mg/kg", "<0.0050"),
        ("0.5", "ppm", "0.00005"),
        ("25000 ppm", "%", "2.5000"),
        ("0.12 %", "ppm", "0.12"),
        (".99", "wt %", "0.99"),
        ("< .005", "%", "<0.005"),
        ("0", "%", "0"),
    ],
)
def test_a_figure_is_kept_in_per_cent_and_loses_no_place(
    text: str, unit: str, percent: str
) -> None:
    assert read_figure("Pb", text, unit) == percent


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "names no element"),
        (" ;, ", "names no element"),
        ("Cu", "is not an element and its figure"),
        ("94.60", "is not an element and its figure"),
        ("Cu=94,60", "with a decimal comma"),
        ("Cu=94.60 Cu=3", "Cu is given twice"),
        ("Cu=94.60 cu=3", "Cu is given twice"),
        ("Qx=3", "is not an element"),
        ("Copper=94", "is not an element"),
        ("Cu=194", "not a percentage"),
        ("Cu=94 Sn=10", "adds to 104 %"),
        ("Cu=-94", "is not an element and its figure"),
        ("Cu=bal", "is not an element and its figure"),
        ("Pb=trace", "is not an element and its figure"),
        ("Cu=94.60 and more", "is not an element and its figure"),
        ("Cu=9.4.6", "is not a figure"),
        ("Pb=.001ppm", "finer than 0.01 ppm"),
        ("Cu=\u0669\u0664", "is not an element and its figure"),
        ("Cu" * 100_000, "is not an element"),
    ],
)
def test_a_line_that_is_no_analysis_is_refused_in_a_line(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_figures(text)
    assert says in caught.value.message
    assert caught.value.remedy
    assert len(str(caught.value)) < 250


WIDE = "lot;mass;Cu;Si;Pb (ppm);Fe\n881;250 kg;94.60;4.10;<50;\n882;;94.9;3.7;300;.15\n"
TALL = "Lot,element,result,unit\n881,Cu,94.60,%\n881,Pb,<50,ppm\n882,Cu,94.9,\n"


def test_a_file_has_a_sample_a_row() -> None:
    first, second = read_sheet(WIDE)
    assert first == Report(
        name="881",
        figures={"Cu": "94.60", "Si": "4.10", "Pb": "<0.0050"},
        more={"mass": "250 kg"},
    )
    assert second.figures == {"Cu": "94.9", "Si": "3.7", "Pb": "0.0300", "Fe": "0.15"}


def test_a_file_has_an_element_a_row() -> None:
    first, second = read_sheet(TALL)
    assert (first.name, first.figures) == ("881", {"Cu": "94.60", "Pb": "<0.0050"})
    assert second.figures == {"Cu": "94.9"}
    (millionths,) = read_sheet("sample,element,ppm\nx,Pb,120\n")
    assert millionths.figures == {"Pb": "0.0120"}


def test_decimal_commas_are_read_where_they_are_said_to_be_there() -> None:
    text = "lot;Cu;Pb ppm\n881;94,60;<50\n"
    (read,) = read_sheet(text, decimal_comma=True)
    assert read.figures == {"Cu": "94.60", "Pb": "<0.0050"}
    with pytest.raises(Unreadable, match="Row 2: Cu has “94,60”, with a decimal comma") as caught:
        read_sheet(text)
    assert "--decimal-comma" in caught.value.remedy
    with pytest.raises(Unreadable, match="a point among decimal commas"):
        read_sheet("lot;Cu\n881;94.60\n", decimal_comma=True)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "has 0 rows"),
        ("lot,Cu\n", "has 1 rows"),
        ("lot,Cu\n" + "x,94\n" * (MOST_ROWS + 1), f"has {MOST_ROWS + 2} rows"),
        ("Cu,Si\n94,4\n", "No column names the samples"),
        ("lot,Cu,Qx\n1,94,4\n", "“Qx” is not an element"),
        ("lot,Cu,Cu %\n1,94,4\n", "Two columns are called"),
        ("lot,name,Cu\n1,1,94\n", "Two columns are called"),
        ("lot,Cu\n1,94,3\n", "Row 2 has 3 cells, the first 2"),
        ("lot,Cu\n1,94\n1,95\n", "Row 3: “1” stands in an earlier row"),
        ("lot,Cu\n,94\n", "Row 2: no sample is named"),
        ("lot,Cu\n1,bal\n", "Row 2: Cu has “bal”, which is not a figure"),
        ("lot,Cu\n1,-94\n", "Row 2: Cu has “-94”"),
        ("lot,Cu\n1,194\n", "1: Cu has “194”"),
        ("lot,Cu,Sn\n1,94,10\n", "1: The analysis adds to 104 %"),
        ("lot,Cu\n1,\n", "1: The analysis names no element"),
        ("lot,element,unit\n1,Cu,%\n", "Row 2: no column holds the result"),
        ("lot,element,result,unit\n1,Cu,94,g\n", "Row 2: Cu is given in “g”"),
        ("lot,element,result\n1,Qx,94\n", "Row 2: “Qx” is not an element"),
        ("lot,element,result\n1,Cu,94\n1,Cu,94\n", "Row 3: Cu is given twice"),
        ('lot,Cu\n"1,94\n', "The file is not CSV"),
    ],
)
def test_a_file_that_cannot_be_meant_is_refused_with_its_place(text: str, says: str) -> None:
    with pytest.raises((FileUnusable, Unreadable)) as caught:
        read_sheet(text)
    assert says in caught.value.message
    assert caught.value.remedy


FIGURE = st.decimals(0, 9, places=4).map(lambda number: f"{number:f}")
ANALYSIS = st.dictionaries(
    st.sampled_from(sorted(ELEMENTS)),
    st.tuples(st.sampled_from(["", "<"]), FIGURE).map("".join),
    min_size=1,
    max_size=10,
)


@given(ANALYSIS)
def test_an_analysis_written_down_is_read_back_the_same(analysis: dict[str, str]) -> None:
    assert read_figures(write_figures(analysis)) == analysis


@given(st.lists(ANALYSIS, min_size=1, max_size=5))
def test_a_file_written_is_read_back_the_same(analyses: list[dict[str, str]]) -> None:
    elements = list(dict.fromkeys(name for one in analyses for name in one))
    reports = tuple(
        Report(
            name=f"lot {number}, new",
            figures={name: one[name] for name in elements if name in one},
            more={"mass": f"{number} kg"} if number else {},
        )
        for number, one in enumerate(analyses)
    )
    assert read_sheet(write_sheet(reports)) == reports


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused_by_us(text: str) -> None:
    try:
        figures = read_figures(text)
    except BronzebookError:
        return
    assert read_percentages(figures)
    assert read_figures(write_figures(figures)) == figures


@given(st.text(alphabet='lotCuSn,;\n\t"0123456789.<- ', max_size=60))
def test_whatever_lies_in_a_file_is_read_or_refused_by_us(text: str) -> None:
    try:
        reports = read_sheet(f"lot,Cu,Sn\n{text}")
    except BronzebookError:
        return
    assert all(report.figures for report in reports)
