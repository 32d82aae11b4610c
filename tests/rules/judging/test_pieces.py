from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Refused, Unreadable
from editions.trade.casting import (
    ApprovalGiven,
    ColourApplied,
    DefectFound,
    EarlierCastRegistered,
    Ending,
    PieceReleased,
    PieceScrapped,
    PieceStarted,
    SectionScrapped,
    SectionTaken,
    StepDone,
)
from editions.trade.colour import RecipeWritten
from editions.trade.kinds import Facts
from editions.trade.parties import ArtistDied
from editions.trade.pieces import Piece
from editions.trade.runs import NumberGiven
from editions.trade.waxes import Wax, WaxJudged, WaxNumbered, WaxPulled
from tests.rules.judging.shop import (
    ARTIST,
    BROKEN,
    ESTATE,
    HAND,
    HEAT,
    NUMBERS,
    OTHER_MOLD,
    OTHER_RUN,
    RUN,
    WITNESS,
    WORK,
    Shop,
)

APPROVED = ApprovalGiven(of="metal", party=ARTIST, how="in person")
BROWN = ColourApplied(words="brown over green")


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


def test_a_wax_becomes_a_section(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    assert shop.take("P-0001", "W-0001") == ()
    section = shop.get("P-0001", Piece).sections[0]
    assert (section.wax, section.mold, section.pull) == ("W-0001", "M-0001", 1)
    assert shop.get("W-0001", Wax).fate == "in a piece"


def test_a_section_has_one_wax(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.pull("W-0002")
    shop.take("P-0001", "W-0001")
    shop.refuses("P-0001", shop.taking("W-0002"), "P-0001 is made from W-0001 already")


def test_a_section_of_metal_takes_no_wax(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="poured", how="not recorded"))
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001"), "P-0001 is made from metal already")


def test_a_wax_goes_to_a_section_of_the_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001", "tail"), "no section tail", error=NotKnown)


def test_a_wax_goes_to_one_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.start("P-0002")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    shop.refuses("P-0002", shop.taking("W-0001"), "W-0001 is in P-0001")


def test_a_rejected_wax_goes_to_no_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=False))
    shop.refuses("P-0001", shop.taking("W-0001"), "W-0001 is rejected")


def test_a_wax_is_not_taken_before_it_is_pulled(shop: Shop) -> None:
    shop.start("P-0001", on="2026-02-01")
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001"), "when W-0001 was pulled", "2026-03-01")


@pytest.mark.parametrize("told", [{"pull": 2}, {"mold": None}, {"number": "3/8"}, {"pull": None}])
def test_a_section_takes_mold_pull_and_number_from_its_wax(
    shop: Shop, told: dict[str, object]
) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    facts = replace(shop.taking("W-0001"), **told)
    shop.refuses("P-0001", facts, "W-0001 is pull 1 of M-0001, number None")


def test_a_wax_of_another_run_is_not_taken(shop: Shop) -> None:
    shop.run("R-0009")
    shop.start("P-0001")
    shop.pull("W-0001", run="R-0009")
    shop.refuses("P-0001", shop.taking("W-0001"), "W-0001 is allotted to R-0009, not to R-0001")


def test_a_wax_of_no_run_is_taken_where_the_work_is_the_same(shop: Shop) -> None:
    shop.other_work()
    shop.start("P-0001")
    shop.start("P-0002", OTHER_RUN)
    shop.pull("W-0001", run=None)
    shop.refuses("P-0002", shop.taking("W-0001"), "M-0001, which is of another work")
    assert shop.take("P-0001", "W-0001") == ()
    shop.pull("W-0002", run=None, mold=OTHER_MOLD)
    assert shop.take("P-0002", "W-0002") == ()


def test_a_direct_wax_is_taken(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("W-0001", WaxPulled(section="whole"))
    assert shop.take("P-0001", "W-0001") == ()


def test_a_wax_taken_as_another_section_is_remarked_on(shop: Shop) -> None:
    shop.start("P-0001", sections=("torso",))
    shop.pull("W-0001")
    assert shop.take("P-0001", "W-0001", "torso") == ("W-0001 is a wax of whole, taken as torso.",)


def numbered_wax(shop: Shop, number: str = "3/8") -> SectionTaken:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation=number))
    return shop.taking("W-0001")


def test_a_numbered_wax_brings_its_number(shop: Shop) -> None:
    shop.start("P-0001")
    assert shop.enter("P-0001", numbered_wax(shop)) == ()
    assert shop.get("P-0001", Piece).reserved == "3/8"
    assert shop.bearer("R-0001 wax", "3/8") == "P-0001"


def test_a_numbered_wax_does_not_go_to_a_piece_of_another_number(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="4/8"))
    shop.refuses("P-0001", numbered_wax(shop), "3/8 is cut into W-0001; P-0001 has 4/8")


def test_two_numbers_do_not_go_into_one_piece(shop: Shop) -> None:
    shop.start("P-0001", sections=("head", "base"))
    facts = numbered_wax(shop)
    shop.enter("P-0001", replace(facts, section="head"))
    shop.pull("W-0002")
    shop.enter("W-0002", WaxNumbered(run=RUN, designation="4/8"))
    shop.refuses("P-0001", shop.taking("W-0002", "base"), "P-0001 has 3/8")


def test_a_numbered_wax_does_not_go_to_a_trial(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, purpose="trial"))
    shop.refuses("P-0001", numbered_wax(shop), "P-0001 is a trial cast")


def test_a_wax_numbered_as_a_trial_goes_to_a_trial(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, purpose="trial"))
    assert shop.enter("P-0001", numbered_wax(shop, "TP 1")) == ()


def test_a_wax_whose_number_was_given_goes_to_its_bearer_alone(shop: Shop) -> None:
    shop.pull("W-0009")
    shop.start("P-0001")
    shop.start("P-0002")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="3/8"))
    facts = numbered_wax(shop)
    shop.refuses("P-0002", facts, "3/8 was given to P-0001")
    assert shop.enter("P-0001", facts) == ()


@pytest.mark.parametrize(
    ("defect_class", "name"),
    [("B", "pinhole"), ("G", ""), ("C", "Cold shut"), ("D", "orange peel")],
)
def test_a_defect_is_noted(shop: Shop, defect_class: str, name: str) -> None:
    shop.cast("P-0001")
    facts = DefectFound(defect_class=defect_class, name=name, section="whole")
    assert shop.enter("P-0001", facts) == ()


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (DefectFound(defect_class="H"), "H is not a class of defects"),
        (DefectFound(defect_class="b"), "b is not a class of defects"),
        (DefectFound(defect_class="A", name="pinhole"), "pinhole is of class B, not A"),
    ],
)
def test_a_defect_is_of_a_class(shop: Shop, facts: DefectFound, says: str) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", facts, says)


def test_a_defect_is_in_a_section_of_the_piece(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = DefectFound(defect_class="B", section="tail")
    shop.refuses("P-0001", facts, "no section tail", error=NotKnown)


def test_a_section_is_scrapped_with_proof(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.scrap("P-0001", "whole") == ()
    (section,) = shop.get("P-0001", Piece).sections
    assert section.wax is None
    assert section.scrapped[0].heat == HEAT


def test_a_section_of_wax_is_scrapped_too(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    assert shop.scrap("P-0001", "whole") == ()


def test_a_section_not_made_is_not_scrapped(shop: Shop) -> None:
    shop.start("P-0001")
    facts = SectionScrapped(section="whole", ending=BROKEN)
    shop.refuses("P-0001", facts, "there is nothing to scrap")


def test_a_section_the_piece_has_not_is_not_scrapped(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = SectionScrapped(section="tail", ending=BROKEN)
    shop.refuses("P-0001", facts, "no section tail", error=NotKnown)


UNPROVEN = (
    (Ending(evidence=" "), "How the destruction is proven", Refused),
    (Ending(evidence="broken up", witness="Y-0404"), "a party is wanted", NotKnown),
)


@pytest.mark.parametrize(("ending", "says", "error"), UNPROVEN)
def test_a_scrapping_is_proven(
    shop: Shop, ending: Ending, says: str, error: type[NotKnown] | type[Refused]
) -> None:
    shop.cast("P-0001")
    for facts in (
        SectionScrapped(section="whole", ending=ending),
        PieceScrapped(ending=ending),
    ):
        shop.refuses("P-0001", facts, says, error=error)


def test_a_scrapping_needs_no_witness(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", PieceScrapped(ending=Ending(evidence="photographs"))) == ()


SCRAPPINGS = (SectionScrapped(section="whole", ending=BROKEN), PieceScrapped(ending=BROKEN))


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_not_scrapped_before_it_was_poured(shop: Shop, facts: Facts) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", facts, "when P-0001 was poured", "2026-03-04")


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_not_scrapped_while_a_certificate_stands(shop: Shop, facts: Facts) -> None:
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", NUMBERS[0])
    why = shop.refuses("P-0001", facts, "Certificate 0123 4567 89A of P-0001 stands")
    assert why.remedy == "Withdraw the certificate first."


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_scrapped_once(shop: Shop, facts: Facts) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001")
    shop.refuses("P-0001", facts, "P-0001 was scrapped 2 March 2026")


def test_a_scrapped_piece_keeps_its_number_until_it_is_freed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    assert shop.scrap("P-0001") == ("3/8 stays with P-0001 until freed.",)
    assert shop.bearer(RUN, "3/8") == "P-0001"


def test_a_released_piece_is_scrapped_after_its_release(shop: Shop) -> None:
    shop.finish("P-0001", None)
    shop.release("P-0001", "2026-03-10")
    shop.refuses("P-0001", SCRAPPINGS[1], "when P-0001 was released", "2026-03-09")
    shop.refuses("P-0001", SCRAPPINGS[0], "P-0001 was released 10 March", "2026-03-11")
    assert shop.scrap("P-0001", on="2026-03-11") == ()


def test_an_earlier_cast_may_be_scrapped(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK))
    assert shop.scrap("P-0001") == ()


def test_what_was_approved_lapses_when_a_section_is_cast_again(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.approve("P-0001", "metal")
    (remark,) = shop.scrap("P-0001", "whole")
    assert "must be approved again" in remark
    assert not shop.get("P-0001", Piece).approved("metal")


def test_the_artist_approves_in_metal(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", APPROVED) == ()
    assert shop.get("P-0001", Piece).approved("metal")
    shop.enter("P-0001", replace(APPROVED, approved=False))
    assert not shop.get("P-0001", Piece).approved("metal")


@pytest.mark.parametrize("what", ["metal", "colour", "release"])
def test_nothing_is_approved_before_the_pour(shop: Shop, what: str) -> None:
    shop.ready("P-0001")
    facts = ApprovalGiven(of=what, party=ARTIST, how="in person")  # type: ignore[arg-type]
    shop.refuses("P-0001", facts, "P-0001 cannot be judged; not poured yet: whole")


def test_an_approval_is_not_dated_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", APPROVED, "when P-0001 was poured", "2026-03-04")


def test_colour_is_approved_where_there_is_some(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = replace(APPROVED, of="colour")
    shop.refuses("P-0001", facts, "P-0001 has no colour to approve")
    shop.enter("P-0001", StepDone(step="coloured", how="elsewhere", declared_by=HAND))
    assert shop.enter("P-0001", facts) == ()


def test_colour_is_not_approved_before_it_was_laid_on(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.approve("P-0001", "metal")
    shop.enter("P-0001", BROWN, "2026-03-10")
    shop.refuses("P-0001", replace(APPROVED, of="colour"), "was coloured", "2026-03-09")


@pytest.mark.parametrize("party", [HAND, WITNESS, ESTATE])
def test_only_who_may_speak_for_the_work_approves(shop: Shop, party: str) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", replace(APPROVED, party=party), "holds no authority")


def test_an_authority_approves_within_its_term(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.authority("2026-03-03")
    facts = replace(APPROVED, party=ESTATE)
    shop.refuses("P-0001", facts, "cannot approve a cast on 2 March 2026")
    assert shop.enter("P-0001", facts, "2026-03-03") == ()


def test_who_authorised_the_run_approves_its_casts(shop: Shop) -> None:
    shop.authority("2025", "2026-01-31")
    shop.run("R-0009", authorised_by=ESTATE)
    shop.cast("P-0001", run="R-0009")
    assert shop.enter("P-0001", replace(APPROVED, party=ESTATE)) == ()


def test_a_dead_artist_approves_nothing(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter(ARTIST, ArtistDied(), "2026-03-01")
    shop.refuses("P-0001", APPROVED, "died 1 March 2026 and cannot approve")


def test_an_approver_is_in_the_book(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = replace(APPROVED, party="Y-0404")
    shop.refuses("P-0001", facts, "a party is wanted", error=NotKnown)


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
    [BROWN, APPROVED, PieceReleased(), DefectFound(defect_class="B"), SCRAPPINGS[0]],
)
def test_an_earlier_cast_is_not_worked_on(shop: Shop, facts: Facts) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.refuses("P-0001", facts, "P-0001 was registered from the object")
