from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered, MarkFound, PieceReleased, StepDone
from editions.trade.certificates import (
    Certificate,
)
from editions.trade.heats import HeatAnalysed
from editions.trade.pieces import Piece
from tests.rules.judging.shop import (
    HEAT,
    NUMBERS,
    RUN,
    WITHDRAWN,
    WORK,
    Shop,
    with_run,
)

ONE, TWO, THREE, FOUR = NUMBERS
WITHIN = {"Cu": "94.5", "Si": "4.0", "Mn": "1.0", "Fe": "0.10", "Zn": "0.10", "Pb": "0.05"}


def test_a_finished_piece_gets_a_certificate(finished: Shop) -> None:
    assert finished.enter(ONE, finished.certificate("P-0001")) == ()
    assert finished.get("P-0001", Piece).certificates == (ONE,)
    assert finished.get(ONE, Certificate).standing == "stands"


@pytest.mark.parametrize("number", ["01234567899", "0123456789", "LOUD", ""])
def test_a_certificate_has_a_number_that_checks(finished: Shop, number: str) -> None:
    facts = finished.certificate("P-0001", number or "U")
    finished.refuses(number or "U", facts, "is not a certificate number", error=Unreadable)


@pytest.mark.parametrize("printed", [TWO, "0123 4567 89A"])
def test_a_certificate_prints_its_own_number(finished: Shop, printed: str) -> None:
    facts = finished.certificate("P-0001")
    other = replace(facts, statement=replace(facts.statement, number=printed))
    finished.refuses(ONE, other, "A certificate has one number|prints")


def test_a_certificate_is_entered_under_its_own_number(finished: Shop) -> None:
    finished.refuses(TWO, finished.certificate("P-0001"), "is entered as 00000000001")


def test_a_number_names_one_certificate(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    facts = finished.certificate("P-0002", ONE)
    finished.refuses(ONE, facts, "0123456789A is already in the book")


def test_a_certificate_prints_the_day_of_its_issue(finished: Shop) -> None:
    facts = finished.certificate("P-0001", issued="2026-03-01")
    finished.refuses(ONE, facts, "prints 2026-03-01 as its day of issue")


@pytest.mark.parametrize(
    "printed", [{"designation": "4/8"}, {"designation": None}, {"of": "P-0002"}, {"of": None}]
)
def test_a_certificate_prints_what_the_book_holds(
    finished: Shop, printed: dict[str, str | None]
) -> None:
    facts = finished.certificate("P-0001")
    changes = {"piece" if k == "of" else k: v for k, v in printed.items()}
    other = replace(facts, statement=replace(facts.statement, **changes))
    finished.refuses(ONE, other, "it is of P-0001, number 3/8")


def test_a_certificate_prints_the_run_of_its_piece(finished: Shop) -> None:
    finished.run("R-0009")
    facts = finished.certificate("P-0001")
    finished.refuses(ONE, replace(facts, run="R-0009"), "P-0001 is of R-0001, not of R-0009")
    finished.refuses(ONE, replace(facts, run=None), "P-0001 is of R-0001, not of None")
    other = finished.certificate("P-0001")
    line = replace(other, statement=with_run(other.statement, "R-0009"))
    finished.refuses(ONE, line, "prints the run R-0009; it is of R-0001")
    right = replace(other, statement=with_run(other.statement, RUN))
    assert finished.enter(ONE, right) == ()


def test_a_certificate_is_of_a_piece(finished: Shop) -> None:
    facts = replace(finished.certificate("P-0001"), piece=None)
    finished.refuses(ONE, facts, "The certificate is of no piece")


def test_a_certificate_is_of_a_piece_of_the_book(finished: Shop) -> None:
    facts = replace(finished.certificate("P-0001"), piece="P-0404")
    finished.refuses(ONE, facts, "P-0404 is not in the book", error=NotKnown)


def test_a_scrapped_piece_gets_no_certificate(finished: Shop) -> None:
    facts = finished.certificate("P-0001")
    finished.scrap("P-0001")
    finished.refuses(ONE, facts, "P-0001 was scrapped")


def test_a_piece_has_one_certificate_that_stands(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    facts = finished.certificate("P-0001", TWO)
    why = finished.refuses(TWO, facts, "Certificate 0123 4567 89A of P-0001 is issued and not")
    assert "withdraw" in why.remedy
    finished.enter(ONE, WITHDRAWN)
    assert finished.enter(TWO, facts) == ()


def test_a_certificate_replaces_the_one_that_stands(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    facts = finished.certificate("P-0001", TWO, replaces=ONE)
    assert finished.enter(TWO, facts) == ()
    old = finished.get(ONE, Certificate)
    assert (old.standing, old.replaced_by) == ("replaced", TWO)
    again = finished.certificate("P-0001", THREE, replaces=ONE)
    finished.refuses(THREE, again, "was replaced 2 March 2026; it cannot be replaced")


def test_a_withdrawn_certificate_is_not_replaced(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, WITHDRAWN)
    facts = finished.certificate("P-0001", TWO, replaces=ONE)
    finished.refuses(TWO, facts, "was withdrawn 2 March 2026; it cannot be replaced")


def test_a_certificate_replaces_one_of_its_own_piece(finished: Shop) -> None:
    finished.certify("P-0002", ONE)
    facts = finished.certificate("P-0001", TWO, replaces=ONE)
    finished.refuses(TWO, facts, "Certificate 0123 4567 89A is of P-0002, not of P-0001")


def test_a_certificate_replaces_one_of_the_book(finished: Shop) -> None:
    facts = finished.certificate("P-0001", TWO, replaces=THREE)
    finished.refuses(TWO, facts, "ZZZZZZZZZZN is not in the book", error=NotKnown)


def test_a_certificate_is_not_issued_before_the_cast(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    facts = shop.certificate("P-0001", issued="2026-03-04")
    shop.refuses(ONE, facts, "when P-0001 was cast", "2026-03-04")


@pytest.mark.parametrize("paper", ["finished", "raw_metal"])
def test_a_piece_not_poured_gets_no_certificate(shop: Shop, paper: str) -> None:
    shop.ready("P-0001")
    facts = shop.certificate("P-0001", paper=paper)  # type: ignore[arg-type]
    shop.refuses(ONE, facts, "P-0001 cannot be certified; not poured yet")


@pytest.mark.parametrize("paper", ["finished", "raw_metal"])
def test_a_piece_without_its_number_gets_no_certificate(shop: Shop, paper: str) -> None:
    shop.finish("P-0001", None)
    facts = shop.certificate("P-0001", paper=paper)  # type: ignore[arg-type]
    shop.refuses(ONE, facts, "P-0001 has no number of R-0001")


@pytest.mark.parametrize(
    "kind", [{"numerals": "none"}, {"edition_class": "unique", "size": 1, "proofs": ()}]
)
def test_a_piece_of_a_run_without_numbers_gets_one_all_the_same(
    shop: Shop, kind: dict[str, object]
) -> None:
    shop.run("R-0009", **kind)
    shop.finish("P-0001", None, run="R-0009")
    assert shop.enter(ONE, shop.certificate("P-0001")) == ()


def test_a_finished_paper_asks_for_every_approval_and_colour(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    facts = shop.certificate("P-0001")
    shop.refuses(ONE, facts, "P-0001 is not approved in metal")
    shop.approve("P-0001", "metal")
    shop.refuses(ONE, facts, "P-0001 is not coloured")
    shop.enter("P-0001", StepDone(step="coloured", how="not recorded"))
    shop.refuses(ONE, facts, "P-0001 is not approved in colour")
    shop.approve("P-0001", "colour")
    assert shop.enter(ONE, facts) == ()


def test_a_run_without_colour_asks_for_none(shop: Shop) -> None:
    shop.run("R-0009", colour="None", needs=())
    shop.cast("P-0001", "3/8", run="R-0009")
    assert shop.enter(ONE, shop.certificate("P-0001")) == ()


def test_a_paper_in_raw_metal_asks_for_the_approval_in_metal(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    facts = shop.certificate("P-0001", paper="raw_metal")
    shop.refuses(ONE, facts, "P-0001 is not approved in metal")
    shop.approve("P-0001", "metal")
    assert shop.enter(ONE, facts) == ()


def test_what_was_released_in_raw_metal_is_not_certified_as_finished(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.approve("P-0001", "metal")
    shop.enter("P-0001", PieceReleased(state="raw metal"))
    shop.refuses(ONE, shop.certificate("P-0001"), "was released in raw metal")
    assert shop.enter(ONE, shop.certificate("P-0001", paper="raw_metal")) == ()


def test_a_run_that_asks_for_an_analysis_gets_one_first(shop: Shop) -> None:
    shop.run("R-0009", needs=("analysis",), colour="none")
    shop.cast("P-0001", "3/8", run="R-0009")
    facts = shop.certificate("P-0001")
    shop.refuses(ONE, facts, "H-0001, from which P-0001 was poured, is not analysed")
    shop.enter(HEAT, analysed("outside", WITHIN | {"Pb": "0.5"}))
    shop.refuses(ONE, facts, "is outside; its run asks for an analysis")
    shop.enter(HEAT, analysed("within", WITHIN))
    assert shop.enter(ONE, facts) == ()


def analysed(verdict: str, percentages: dict[str, str]) -> HeatAnalysed:
    return HeatAnalysed(
        method="spark OES",
        percentages=percentages,
        verdict=verdict,  # type: ignore[arg-type]
        specification="ASTM B584-14",
        edition="ASTM B584-14",
    )


def test_metal_poured_elsewhere_has_no_analysis(shop: Shop) -> None:
    shop.run("R-0009", needs=("analysis",), colour="none", numerals="none")
    shop.start("P-0001", "R-0009")
    shop.enter("P-0001", StepDone(step="poured", how="not recorded"))
    shop.refuses(ONE, shop.certificate("P-0001"), "was not poured here; no heat is analysed")


def test_a_heat_that_cannot_be_told_is_certified(shop: Shop) -> None:
    shop.run("R-0009", needs=("analysis",), colour="none")
    shop.cast("P-0001", "3/8", run="R-0009")
    shop.enter(HEAT, analysed("indeterminate", {"Cu": "94.5"}))
    assert shop.enter(ONE, shop.certificate("P-0001")) == ()


@pytest.fixture
def earlier(shop: Shop) -> Shop:
    """P-0001, an earlier cast of the run that bears "No. 3/8"."""
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN, cast="1998"))
    return shop


def test_an_earlier_cast_is_certified_from_its_marks(earlier: Shop) -> None:
    facts = earlier.certificate("P-0001", paper="from_object")
    earlier.refuses(ONE, facts, "Nobody has entered the marks of P-0001")
    earlier.enter("P-0001", MarkFound(text="No. 3/8", number="3/8"))
    wrong = replace(facts, statement=replace(facts.statement, designation="3/8"))
    earlier.refuses(ONE, wrong, "prints P-0001, number 3/8")
    as_found = replace(facts, statement=replace(facts.statement, designation="No. 3/8"))
    assert earlier.enter(ONE, as_found) == ()


def test_an_earlier_cast_of_no_run_is_certified_too(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK))
    shop.enter("P-0001", MarkFound(text="I.V."))
    facts = shop.certificate("P-0001", paper="from_object")
    shop.refuses(ONE, replace(facts, run=RUN), "P-0001 is of no run, not of R-0001")
    assert shop.enter(ONE, facts) == ()


@pytest.mark.parametrize("paper", ["finished", "raw_metal"])
def test_an_earlier_cast_is_not_certified_as_cast_here(earlier: Shop, paper: str) -> None:
    facts = earlier.certificate("P-0001", paper=paper)  # type: ignore[arg-type]
    earlier.refuses(ONE, facts, "was registered from the object; its paper says so")


def test_what_was_cast_here_is_not_registered_from_the_object(finished: Shop) -> None:
    facts = finished.certificate("P-0001", paper="from_object")
    finished.refuses(ONE, facts, "P-0001 was cast here")
