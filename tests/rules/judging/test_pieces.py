from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import (
    ColourApplied,
    DefectFound,
    EarlierCastRegistered,
    PieceReleased,
    PieceStarted,
    SectionScrapped,
)
from editions.trade.colour import RecipeWritten
from editions.trade.kinds import Facts
from editions.trade.pieces import Piece
from tests.rules.judging.shop import (
    APPROVED,
    BROKEN,
    BROWN,
    RUN,
    WORK,
    Shop,
)


def test_a_piece_is_begun(shop: Shop) -> None:
    facts = PieceStarted(run=RUN, tag="T-0101", sections=("head", "base"))
    assert shop.enter("P-0001", facts) == ()
    assert shop.named("T-0101") == "P-0001"


@pytest.mark.parametrize(
    ("sections", "says"), [((), "No section"), (("a", "a"), "section a is named twice")]
)
def test_a_piece_has_sections_each_once(shop: Shop, sections: tuple[str, ...], says: str) -> None:
    shop.refuses("P-0001", PieceStarted(run=RUN, sections=sections), says)


def test_a_piece_is_not_begun_before_its_run(shop: Shop) -> None:
    shop.refuses("P-0001", PieceStarted(run=RUN), "when R-0001 was declared", "2026-01-04")


@pytest.mark.parametrize("starting", [PieceStarted(run=RUN), EarlierCastRegistered(work=WORK)])
def test_a_tag_hangs_on_one_piece(
    shop: Shop, starting: PieceStarted | EarlierCastRegistered
) -> None:
    shop.enter("P-0001", replace(starting, tag="T-0101"))
    facts = replace(starting, tag="T-0101")
    shop.refuses("P-0002", facts, "The tag T-0101 hangs on P-0001")


@pytest.mark.parametrize("tag", ["P-0002", "M-1", "W-0001"])
def test_a_tag_is_no_code(shop: Shop, tag: str) -> None:
    shop.refuses("P-0001", PieceStarted(run=RUN, tag=tag), "reads as a code of the registry")


@pytest.mark.parametrize(
    ("tag", "says"), [("t-1", "is entered as T-1"), ("two words", "is not a tag")]
)
def test_a_tag_is_kept_as_tags_are(shop: Shop, tag: str, says: str) -> None:
    shop.refuses("P-0001", PieceStarted(run=RUN, tag=tag), says, error=Unreadable)


@pytest.fixture
def approved(shop: Shop) -> Shop:
    """P-0001 cast and approved in metal; recipe C-0001 in one version."""
    shop.cast("P-0001")
    shop.approve("P-0001", "metal")
    shop.enter("C-0001", RecipeWritten(name="river", version=1, words="green over brown"))
    return shop


@pytest.mark.parametrize("facts", [BROWN, ColourApplied(recipe="C-0001", version=1)])
def test_colour_is_laid_on(approved: Shop, facts: ColourApplied) -> None:
    assert approved.enter("P-0001", facts) == ()
    assert len(approved.get("P-0001", Piece).colours) == 1


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (ColourApplied(), "The colour is not said"),
        (ColourApplied(words="brown", version=1), "A version is named, but no recipe"),
        (ColourApplied(recipe="C-0001"), "C-0001 has no version None"),
        (ColourApplied(recipe="C-0001", version=2), "C-0001 has no version 2"),
        (ColourApplied(recipe="C-0001", version=0), "C-0001 has no version 0"),
    ],
)
def test_colour_is_said_in_words_or_by_a_recipe(
    approved: Shop, facts: ColourApplied, says: str
) -> None:
    approved.refuses("P-0001", facts, says)


def test_a_recipe_is_in_the_book(approved: Shop) -> None:
    facts = ColourApplied(recipe="C-0404", version=1)
    approved.refuses("P-0001", facts, "a recipe is wanted", error=NotKnown)


def test_nothing_is_coloured_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.refuses("P-0001", BROWN, "P-0001 cannot be coloured; not poured yet")


def test_colour_is_not_dated_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", BROWN, "when P-0001 was poured", "2026-03-04")


def test_colour_waits_for_the_approval_that_the_run_asks_for(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", BROWN, "P-0001 is not approved in metal")
    (remark,) = shop.enter("P-0001", BROWN, late=True)
    assert "is not approved in metal" in remark


def test_colour_waits_for_nothing_where_the_run_asks_for_nothing(shop: Shop) -> None:
    shop.run("R-0009", needs=())
    shop.cast("P-0001", run="R-0009")
    assert shop.enter("P-0001", BROWN) == ()


def test_a_piece_is_released_once(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    assert shop.enter("P-0001", PieceReleased()) == ()
    shop.refuses("P-0001", PieceReleased(), "P-0001 was released 2 March 2026")


def test_a_piece_is_not_released_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.refuses("P-0001", PieceReleased(), "P-0001 cannot be released; not poured yet")


def test_a_release_is_not_dated_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", PieceReleased(), "when P-0001 was poured", "2026-03-04")


def test_a_finished_piece_is_approved_as_its_run_asks(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", PieceReleased(), "not approved in metal")
    shop.approve("P-0001", "metal")
    shop.refuses("P-0001", PieceReleased(), "not approved in colour")
    shop.enter("P-0001", BROWN)
    shop.approve("P-0001", "colour")
    assert shop.enter("P-0001", PieceReleased()) == ()


def test_raw_metal_asks_for_the_approval_in_metal_alone(shop: Shop) -> None:
    shop.cast("P-0001")
    raw = PieceReleased(state="raw metal")
    shop.refuses("P-0001", raw, "not approved in metal")
    shop.approve("P-0001", "metal")
    assert shop.enter("P-0001", raw) == ()


def test_an_older_release_without_approvals_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001")
    assert len(shop.enter("P-0001", PieceReleased(), late=True)) == 2


@pytest.mark.parametrize(
    "facts",
    [
        BROWN,
        APPROVED,
        PieceReleased(),
        DefectFound(defect_class="B"),
        SectionScrapped(section="whole", ending=BROKEN),
    ],
)
def test_an_earlier_cast_is_not_worked_on(shop: Shop, facts: Facts) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.refuses("P-0001", facts, "P-0001 was registered from the object")
