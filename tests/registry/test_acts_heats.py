"""What people do with heats."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.heats import (
    analyse_heat,
    charge_line,
    charge_text,
    open_heat,
    pour_heat,
)
from editions.registry.acts.pieces import scrap_piece, start_piece, take_wax
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.trade.heats import ChargeLine
from editions.trade.quantities import Quantity, read_quantity
from tests.registry.builders import a_heat, a_party, a_piece, state
from tests.registry.figures import a_cast, a_figure

# 60 kg of ingot, 40 kg of returns and 0.5 kg of silicon melted together, computed with the usual
# element losses; the alloy's limits are those of ASTM B584-14 and CDA 2006.
MELT = {"Cu": "94.44", "Si": "4.26", "Mn": ".99", "Fe": ".11", "Zn": ".07", "Pb": ".02"}


def test_a_heat_is_opened_with_its_charge_and_returns_know_their_heat(registry: Registry) -> None:
    earlier = a_heat(registry, a_piece(registry, to="fired"), number="24-101")
    lines = [
        charge_line("ingot", "LOT 881=60kg"),
        charge_line("returns", "24-101=40kg"),
        charge_line("addition", "silicon=0.5kg"),
    ]
    with registry.writing() as w:
        made = open_heat(w, "24-117", alloy="uns c87300", charge=lines, crucible="A 60", note="dry")
    heat = state(registry, made.code)
    assert (heat.number, heat.alloy, heat.crucible) == ("24-117", "C87300", "A 60")
    assert [line.source for line in heat.charge] == ["ingot", "returns", "addition"]
    assert heat.charge[1].heat == earlier
    assert heat.charge[0].mass == Quantity("60", "kg")


def test_an_alloy_without_limits_here_keeps_the_foundrys_word(book: Registry) -> None:
    with book.writing() as w:
        made = open_heat(w, "24-118", alloy="  yellow  brass ")
    assert state(book, made.code).alloy == "yellow  brass"


@pytest.mark.parametrize(
    ("number", "said", "error", "says"),
    [
        ("24 118", {}, Unreadable, "not a tag"),
        ("24-118", {"alloy": " "}, Unreadable, "alloy is empty"),
        ("24-118", {"charge": [charge_line("returns", "23-009=4kg")]}, NotKnown, "23-009"),
        ("24-118", {"code": "P-0001"}, Unreadable, "code of a heat"),
        ("24-118", {"note": "a\u202eb"}, Unreadable, "reading direction"),
    ],
)
def test_a_heat_that_cannot_be_read_is_not_opened(
    book: Registry, number: str, said: dict[str, object], error: type[Exception], says: str
) -> None:
    with pytest.raises(error, match=says), book.writing() as w:
        open_heat(w, number, **{"alloy": "C87300", **said})  # type: ignore[arg-type]
    assert state(book, "H-0001") is None


def test_a_heat_number_is_given_once(registry: Registry) -> None:
    a_heat(registry, number="24-117")
    with pytest.raises(Refused, match="has the heat number 24-117"), registry.writing() as w:
        open_heat(w, "24-117", alloy="C87300")


@pytest.mark.parametrize("text", ["=60kg", "", "LOT=", "LOT=60", "LOT=6mm"])
def test_a_charge_line_needs_a_name_and_a_mass_where_one_is_begun(text: str) -> None:
    with pytest.raises(Unreadable):
        charge_line("ingot", text)


@given(
    st.sampled_from(["ingot", "addition"]),
    st.text("abcLOT 881=.-", min_size=1, max_size=30).filter(str.strip),
    st.integers(1, 9999),
)
def test_a_charge_line_written_is_read_back_the_same(source: str, name: str, kg: int) -> None:
    line = ChargeLine(source=source, name=name.strip(), mass=Quantity(str(kg), "kg"))  # type: ignore[arg-type]
    assert charge_line(line.source, charge_text(line)) == line


def test_a_charge_line_without_a_mass_is_its_name() -> None:
    assert charge_text(charge_line("ingot", " LOT 881 ")) == "LOT 881"


def test_the_verdict_on_a_melt_within_limits_is_entered_with_every_finding(
    registry: Registry,
) -> None:
    heat, laboratory = a_heat(registry, number="24-117"), a_party(registry, "laboratory")
    with registry.writing() as w:
        analyse_heat(w, "24-117", MELT, method="spark OES", laboratory=laboratory.lower())
    analysed = state(registry, heat)
    assert (analysed.verdict, analysed.edition) == ("within", "ASTM B584-14")
    assert analysed.laboratory == laboratory
    assert analysed.percentages["Mn"] == "0.99"
    assert "Si 4.26 (3.5 to 4.5): within; counts as 4.3" in analysed.findings
    assert analysed.findings[-1].startswith("sum 99.89 (at least 99.5)")


def test_lead_of_fifteen_hundredths_is_within_one_edition_and_outside_the_next(
    book: Registry,
) -> None:
    # Pb at most 0.20 in the CDA table of 2006, at most 0.09 in ASTM B584-14.
    heat = a_heat(book)
    with book.writing() as w:
        analyse_heat(w, heat, {**MELT, "Pb": "0.15"}, method="OES", edition="2006")
    assert (state(book, heat).verdict, state(book, heat).edition) == ("within", "CDA 2006")
    with book.writing() as w:
        analyse_heat(w, heat, {**MELT, "Pb": "0.15"}, method="OES", report="ab" * 32)
    assert state(book, heat).verdict == "outside"


def test_an_element_not_reported_leaves_the_verdict_open(book: Registry) -> None:
    heat = a_heat(book)
    with book.writing() as w:
        analyse_heat(w, heat, {"cu": "94.44 %", "SI": "4.26"}, method="OES", laboratory="Assay Co")
    assert state(book, heat).verdict == "indeterminate"
    assert state(book, heat).percentages == {"Cu": "94.44", "Si": "4.26"}
    assert state(book, heat).laboratory == "Assay Co"


def test_what_the_laboratory_cannot_find_is_kept_as_it_wrote_it(book: Registry) -> None:
    heat = a_heat(book)
    with book.writing() as w:
        analyse_heat(w, heat, {**MELT, "Pb": "< .005"}, method="OES")
    assert state(book, heat).percentages["Pb"] == "<0.005"
    assert state(book, heat).verdict == "within"


def test_an_alloy_without_limits_leaves_the_verdict_open(book: Registry) -> None:
    with book.writing() as w:
        heat = open_heat(w, "24-118", alloy="yellow brass").code
        made = analyse_heat(w, heat, {"Cu": "70"}, method="OES")
    assert state(book, heat).verdict == "indeterminate"
    assert state(book, heat).findings == ("yellow brass: no limits are held here for this alloy",)
    assert made.remarks == ("No limits are held here for yellow brass.",)


@pytest.mark.parametrize(
    ("percentages", "said", "says"),
    [
        ({}, {}, "names no element"),
        ({"Xx": "3"}, {}, "not an element"),
        ({"Cu": "94", "cu ": "4"}, {}, "given twice"),
        ({"Cu": "94,4"}, {}, "not a percentage"),
        ({"Cu": "<"}, {}, "not a percentage"),
        ({"Cu": "94.4", "Si": "40"}, {}, "adds to"),
        ({"Cu": "94.4"}, {"edition": "1999"}, "no edition"),
        ({"Cu": "94.4"}, {"method": ""}, "method is empty"),
        ({"Cu": "94.4"}, {"laboratory": " "}, "laboratory is empty"),
    ],
)
def test_an_analysis_that_cannot_be_read_is_not_entered(
    book: Registry, percentages: dict[str, str], said: dict[str, Any], says: str
) -> None:
    heat = a_heat(book)
    with pytest.raises(Unreadable, match=says), book.writing() as w:
        analyse_heat(w, heat, percentages, **{"method": "OES", **said})
    assert state(book, heat).verdict == "not analysed"


def test_an_analysis_of_an_unknown_heat_or_by_an_unknown_laboratory_is_not_entered(
    book: Registry,
) -> None:
    a_heat(book, number="24-117")
    with pytest.raises(NotKnown, match="24-171"), book.writing() as w:
        analyse_heat(w, "24-171", MELT, method="OES")
    with pytest.raises(NotKnown, match="No party Y-0099"), book.writing() as w:
        analyse_heat(w, "24-117", MELT, method="OES", laboratory="Y-0099")


def test_shells_are_poured_in_order_by_tag_and_section(registry: Registry) -> None:
    figure = a_figure(registry)
    first, second = a_cast(registry, figure, "T-0101"), a_cast(registry, figure, "T-0102")
    heat = a_heat(registry, number="24-117")
    with registry.writing() as w:
        pour_heat(
            w,
            "24-117",
            ["t-0102/Torso", "T-0101"],
            metal=read_quantity("2000F", "temperature"),
            shell=read_quantity("1300F", "temperature"),
            hand=figure.hand,
        )
    poured = state(registry, heat)
    assert [(shell.piece, shell.section, shell.run) for shell in poured.shells] == [
        (second, "torso", figure.run),
        (first, "head", figure.run),
        (first, "torso", figure.run),
    ]
    assert poured.metal == Quantity("2000", "°F")
    assert state(registry, first).poured
    assert not state(registry, second).poured
    assert state(registry, figure.run).locked_by == "first cast"


def test_a_piece_alone_means_the_sections_not_poured_yet(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101")
    with registry.writing() as w:
        first = open_heat(w, "24-117", alloy="C87300").code
        second = open_heat(w, "24-118", alloy="C87300").code
        pour_heat(w, first, ["T-0101/torso"])
        pour_heat(w, second, ["T-0101"])
    assert {s.name: s.heat for s in state(registry, piece).sections} == {
        "head": second,
        "torso": first,
    }
    with pytest.raises(Refused, match="no section left to pour"), registry.writing() as w:
        pour_heat(w, second, ["T-0101"])


def test_a_scrapped_section_is_recast_from_another_wax_and_heat(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="poured")
    with registry.writing() as w:
        scrap_piece(w, piece, section="head", evidence="cut in four", witness=figure.witness)
        take_wax(w, piece, pull_wax(w, figure.mold, "head", run=figure.run).code)
        for step in ("shelled", "dewaxed", "fired"):
            record_step(w, step, [f"{piece}/head"])
        again = open_heat(w, "24-200", alloy="C87300").code
        pour_heat(w, again, [piece])
    cast = state(registry, piece)
    assert cast.section("head").heat == again
    assert cast.section("torso").heat != again
    assert [attempt.ending.witness for attempt in cast.section("head").scrapped] == [figure.witness]


def test_a_trial_cast_counts_for_no_run_and_locks_nothing(registry: Registry) -> None:
    figure = a_figure(registry)
    with registry.writing() as w:
        piece = start_piece(w, figure.run, tag="T-0900", sections=["head"], purpose="trial").code
        take_wax(w, piece, pull_wax(w, figure.mold, "head", run=figure.run).code)
        for step in ("shelled", "dewaxed", "fired"):
            record_step(w, step, [piece])
        heat = open_heat(w, "24-117", alloy="C87300").code
        pour_heat(w, heat, ["T-0900"])
    assert state(registry, heat).shells[0].run is None
    assert state(registry, figure.run).locked_by is None


@pytest.mark.parametrize(
    ("shell", "error", "says"),
    [
        ("T-0199", NotKnown, "T-0199"),
        ("T-0101/wing", NotKnown, "T-0101 has no section “wing”"),
        ("T-0199/head", NotKnown, "T-0199/head"),
        ("M-0001", NotKnown, "not a piece"),
        ("T-0101", Refused, "fired"),
    ],
)
def test_a_shell_that_is_not_there_or_not_ready_is_not_poured(
    book: Registry, shell: str, error: type[Exception], says: str
) -> None:
    figure = a_figure(book)
    a_cast(book, figure, "T-0101", to="waxed")
    heat = a_heat(book)
    with pytest.raises(error, match=says), book.writing() as w:
        pour_heat(w, heat, [shell])
    assert state(book, heat).poured is None


def test_nothing_is_poured_where_no_shell_is_named(book: Registry) -> None:
    heat = a_heat(book)
    with pytest.raises(Refused), book.writing() as w:
        pour_heat(w, heat, [])


def test_a_shop_tag_with_a_slash_of_its_own_is_found_whole(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T/head")
    heat = a_heat(book)
    with book.writing() as w:
        pour_heat(
            w,
            heat,
            [
                "T/head",
            ],
        )
    assert [shell.piece for shell in state(book, heat).shells] == [piece, piece]


def test_a_tag_that_looks_like_a_heat_number_is_not_mistaken_for_the_heat(
    book: Registry,
) -> None:
    figure = a_figure(book)
    a_cast(book, figure, "24-117")
    heat = a_heat(book, number="24-117")
    with book.writing() as w:
        pour_heat(w, "24-117", ["24-117"])
    assert len(state(book, heat).shells) == 2


@pytest.mark.parametrize(
    ("typed", "remedy"),
    [("26-0002", "The nearest: 26-0001."), ("gunmetal", "Open it: bronzebook heat open NUMBER.")],
)
def test_a_heat_mistyped_is_answered_with_the_nearest_heat(
    book: Registry, typed: str, remedy: str
) -> None:
    a_heat(book, number="26-0001")
    piece = a_piece(book, tag="26-0003")
    with pytest.raises(NotKnown, match="No heat") as why, book.writing() as w:
        pour_heat(w, typed, [piece])
    assert why.value.remedy == remedy
