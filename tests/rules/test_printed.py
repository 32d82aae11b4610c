"""What a certificate prints of one subject, and how two states of it differ."""

from __future__ import annotations

from msgspec.structs import replace

from editions.rules.printed import differences, named, printed
from editions.trade.heats import Heat
from editions.trade.kinds import State
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.parts import Colour, Mark
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.statement import MarkLine, Station
from editions.trade.waxes import Wax
from editions.trade.works import Work

HEIGHT = Station(name="height", length=Quantity("450", "mm"), base="without")
SPREAD = Station(name="width", length=Quantity("20", "cm"), uncertainty=Quantity("0.5", "mm"))
CAST = Piece(
    code="P-0001",
    number="3/8",
    stations=(HEIGHT, SPREAD),
    mass=Quantity("12.4", "kg"),
    colours=(Colour(recipe=None, version=None, words="brown", on="2026"),),
    marks=(Mark(line=MarkLine(text="Varga 3/8", place="base"), number="3/8", on="2026"),),
)
HEAT = Heat(code="H-0001", number="26-001", alloy="C87300", poured="2026-03-02", verdict="within")


def test_a_cast_prints_its_lines() -> None:
    said = {label: lines for label, lines in printed(CAST).items() if lines}
    assert said == {
        "number": ("3/8",),
        "colour": ("brown",),
        "measurements": ("height without base: 450 mm", "width: 20 cm ± 0.5 mm"),
        "mass": ("12.4 kg",),
        "marks in the metal": ("“Varga 3/8”, base",),
    }


def test_alloy_and_foundry_are_the_casts_own_only_where_it_was_registered_from_the_object() -> None:
    made = replace(CAST, alloy="tin bronze", foundry="Fonderie du Quai")
    assert printed(made)["alloy"] == printed(made)["foundry"] == ()
    found = printed(replace(made, from_object=True))
    assert (found["alloy"], found["foundry"]) == (("tin bronze",), ("Fonderie du Quai",))


def test_a_heat_prints_alloy_pour_and_analysis() -> None:
    assert printed(HEAT) == {
        "alloy": ("C87300",), "pour": ("2026-03-02",), "analysis": ("within",),
    }  # fmt: skip
    judged = replace(HEAT, edition="B584-14")
    assert printed(judged)["analysis"] == ("within, B584-14",)


def test_of_what_no_paper_draws_on_nothing_is_printed() -> None:
    assert printed(None) == {}
    assert printed(Wax(code="W-0001", mold="M-0001", section="body", pull=1)) == {}
    assert printed(State(code="K-0001")) == {}


def test_a_subject_is_named_as_a_papers_reader_knows_it() -> None:
    assert named(CAST) == "the cast"
    assert named(Work(code="K-0001")) == "the work"
    assert named(Mold(code="M-0001")) == "mold M-0001"
    assert named(HEAT) == "heat 26-001"
    artist = Party(code="Y-0002")
    assert (named(artist, "Y-0002"), named(artist, "Y-0003"), named(artist)) == (
        "the artist", "Y-0002", "Y-0002",
    )  # fmt: skip


def test_two_equal_states_differ_in_nothing() -> None:
    assert differences(printed(CAST), printed(CAST)) == {}
    assert differences({}, {}) == {}


def test_only_the_lines_that_differ_are_given_each_way() -> None:
    taller = replace(CAST, stations=(replace(HEIGHT, length=Quantity("45.2", "cm")), SPREAD))
    assert differences(printed(CAST), printed(taller)) == {
        "measurements": (("height without base: 450 mm",), ("height without base: 45.2 cm",))
    }
    bare = replace(CAST, mass=None)
    assert differences(printed(CAST), printed(bare)) == {"mass": (("12.4 kg",), ())}
    assert differences(printed(bare), printed(CAST)) == {"mass": ((), ("12.4 kg",))}
