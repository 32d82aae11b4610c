from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered, MarkFound, PieceReleased, StepDone
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateIssued,
    CertificateReported,
    CertificateWithdrawn,
)
from editions.trade.heats import HeatAnalysed
from editions.trade.kinds import Facts
from editions.trade.numbers import show_number
from editions.trade.pieces import Piece
from editions.trade.runs import NumberPromised, PromiseEnded
from editions.trade.statement import RunLine, Statement
from tests.rules.judging.memory_desk import DAY
from tests.rules.judging.shop import HEAT, NUMBERS, RUN, WORK, Shop

ONE, TWO, THREE, FOUR = NUMBERS
DRAWN = CertificateDrawn(pdf="a" * 64, page="A4", claim="b" * 64, size=40_000)
WITHDRAWN = CertificateWithdrawn(because="issued in error")
LOST, STOLEN = CertificateReported(because="lost"), CertificateReported(because="stolen")
WITHIN = {"Cu": "94.5", "Si": "4.0", "Mn": "1.0", "Fe": "0.10", "Zn": "0.10", "Pb": "0.05"}


@pytest.fixture
def finished(shop: Shop) -> Shop:
    """P-0001, 3/8, finished and approved; P-0002, 4/8, too."""
    shop.finish("P-0001", "3/8")
    shop.finish("P-0002", "4/8")
    return shop


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
    line = replace(other, statement=_with_run(other.statement, "R-0009"))
    finished.refuses(ONE, line, "prints the run R-0009; it is of R-0001")
    right = replace(other, statement=_with_run(other.statement, RUN))
    assert finished.enter(ONE, right) == ()


def _with_run(statement: Statement, code: str) -> Statement:
    return replace(statement, run=RunLine(code=code, size=8))


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
    why = finished.refuses(TWO, facts, "Certificate 0123 4567 89A of P-0001 stands")
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


def reserving(
    shop: Shop, designation: str | None = "3/8", number: str = ONE, **own: object
) -> CertificateIssued:
    facts = shop.certificate(None, number, "reservation", designation=designation)
    return replace(facts, **({"run": RUN} | own))


def test_a_promised_number_is_reserved_on_paper(shop: Shop) -> None:
    facts = reserving(shop)
    shop.refuses(ONE, facts, "3/8 of R-0001 is neither promised nor given")
    shop.enter(RUN, NumberPromised(designation="3/8"))
    assert shop.enter(ONE, facts) == ()


def test_a_number_given_is_reserved_on_paper(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    assert shop.enter(ONE, reserving(shop)) == ()


def test_a_number_is_reserved_once(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.refuses(
        TWO, reserving(shop, number=TWO), f"Reservation {show_number(ONE)} stands for 3/8 of R-0001"
    )
    again = reserving(shop, number=TWO, replaces=ONE)
    assert shop.enter(TWO, again) == ()
    assert shop.get(ONE, Certificate).standing == "replaced"


def test_a_number_withdrawn_may_be_reserved_again(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(ONE, WITHDRAWN)
    assert shop.enter(TWO, reserving(shop, number=TWO)) == ()


@pytest.mark.parametrize(
    ("designation", "says"),
    [(None, "The reservation names no number"), ("9/8", "above the total"), ("A", "is a letter")],
)
def test_a_reservation_is_of_a_number_of_the_run(
    shop: Shop, designation: str | None, says: str
) -> None:
    shop.refuses(ONE, reserving(shop, designation), says)


def test_a_reservation_is_of_a_run_and_of_no_piece(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    says = "A reservation is of a number of a run, not of a piece"
    facts = reserving(shop)
    shop.refuses(ONE, replace(facts, run=None), says)
    shop.refuses(ONE, replace(facts, piece="P-0001"), says)
    printed = replace(facts, statement=replace(facts.statement, piece="P-0001"))
    shop.refuses(ONE, printed, says)


def test_a_reservation_prints_its_own_run(shop: Shop) -> None:
    facts = reserving(shop)
    other = replace(facts, statement=_with_run(facts.statement, "R-0009"))
    shop.refuses(ONE, other, "prints the run R-0009")


def test_a_reservation_gives_way_to_the_certificate(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.finish("P-0001", "3/8")
    facts = shop.certificate("P-0001", TWO)
    (remark,) = shop.enter(TWO, facts)
    assert remark == f"Reservation {show_number(ONE)} of 3/8 stands still."
    replacing = shop.certificate("P-0001", THREE, replaces=TWO)
    assert len(shop.enter(THREE, replacing)) == 1


def test_a_reservation_lapses_with_the_promise_of_its_number(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(RUN, NumberPromised(designation="4/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(TWO, reserving(shop, "4/8", TWO))
    (remark,) = shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(ONE,)))
    assert remark == f"Reservation {show_number(ONE)} lapses with the promise."
    lapsed = shop.get(ONE, Certificate)
    assert (lapsed.standing, lapsed.ended, lapsed.because) == ("lapsed", DAY, "")
    assert shop.get(TWO, Certificate).standing == "stands"


@pytest.mark.parametrize("entered", [WITHDRAWN, LOST, STOLEN, DRAWN])
def test_nothing_more_happens_to_a_reservation_that_lapsed(shop: Shop, entered: Facts) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(ONE,)))
    shop.refuses(ONE, entered, f"Reservation {show_number(ONE)} lapsed 2 March 2026 and cannot")
    again = reserving(shop, number=TWO, replaces=ONE)
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.refuses(TWO, again, "lapsed 2 March 2026; it cannot be replaced")
    assert shop.enter(TWO, reserving(shop, number=TWO)) == ()


def test_a_lost_reservation_lapses_too_and_a_withdrawn_one_stays_withdrawn(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(ONE, WITHDRAWN)
    shop.enter(TWO, reserving(shop, number=TWO))
    shop.enter(TWO, DRAWN)
    shop.enter(TWO, LOST)
    for wrong in ((), (ONE,), (ONE, TWO)):
        ending = PromiseEnded(designation="3/8", reservations=wrong)
        shop.refuses(RUN, ending, f"reserve 3/8 of R-0001: Reservation {show_number(TWO)}")
    shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(TWO,)))
    assert shop.get(TWO, Certificate).standing == "lapsed"
    assert shop.get(ONE, Certificate).standing == "withdrawn"


def test_a_certificate_never_lapses_with_a_promise(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", ONE)
    wrong = PromiseEnded(designation="3/8", reservations=(ONE,))
    shop.refuses(RUN, wrong, "reserve 3/8 of R-0001: none")
    assert shop.enter(RUN, PromiseEnded(designation="3/8")) == ()
    assert shop.get(ONE, Certificate).standing == "stands"


def test_a_certificate_replaces_the_reservation_of_its_number(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.finish("P-0001", "3/8")
    shop.finish("P-0002", "4/8")
    wrong = shop.certificate("P-0002", TWO, replaces=ONE)
    shop.refuses(TWO, wrong, "is of R-0001, not of P-0002")
    assert shop.enter(TWO, shop.certificate("P-0001", TWO, replaces=ONE)) == ()


def test_a_certificate_is_drawn_once(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    assert finished.enter(ONE, DRAWN) == ()
    finished.refuses(ONE, DRAWN, "is drawn already")


def test_an_empty_file_is_no_certificate(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, replace(DRAWN, size=0), "An empty file")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_a_certificate_that_does_not_stand_is_done_with(finished: Shop, facts: Facts) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, WITHDRAWN)
    finished.refuses(ONE, facts, "Certificate 0123 4567 89A was withdrawn 2 March 2026 and")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_nothing_happens_to_a_certificate_before_its_issue(finished: Shop, facts: Facts) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, facts, "when it was issued", "2026-03-01")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_nothing_happens_to_a_certificate_that_is_not_in_the_book(
    finished: Shop, facts: Facts
) -> None:
    finished.refuses(FOUR, facts, "AAAAAAAAAA2 is not in the book", error=NotKnown)


@pytest.mark.parametrize("facts", [LOST, STOLEN])
def test_a_paper_reported_gone_no_longer_stands(finished: Shop, facts: CertificateReported) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, replace(facts, reference="register 26/1183"), "2026-03-04")
    reported = finished.get(ONE, Certificate)
    assert (reported.standing, reported.because) == (facts.because, "register 26/1183")
    assert reported.ended == "2026-03-04"
    finished.refuses(ONE, facts, f"was reported {facts.because} 4 March 2026 already", "2026-03-05")


def test_a_lost_paper_may_turn_out_stolen_be_replaced_or_withdrawn(finished: Shop) -> None:
    for piece, number in (("P-0001", ONE), ("P-0002", TWO)):
        finished.certify(piece, number)
        finished.enter(number, DRAWN)
        finished.enter(number, LOST)
        finished.enter(number, STOLEN)
    assert finished.enter(THREE, finished.certificate("P-0001", THREE, replaces=ONE)) == ()
    gone = finished.get(ONE, Certificate)
    assert (gone.standing, gone.because, gone.replaced_by) == ("replaced", "", THREE)
    finished.enter(TWO, WITHDRAWN)
    assert finished.get(TWO, Certificate).standing == "withdrawn"
    finished.refuses(ONE, LOST, "was replaced 2 March 2026 and cannot be reported lost")
    finished.refuses(TWO, STOLEN, "was withdrawn 2 March 2026 and cannot be reported stolen")


def test_a_report_is_not_dated_before_an_earlier_one(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, LOST, "2026-03-04")
    finished.refuses(ONE, STOLEN, "when it was reported lost", "2026-03-03")


def test_what_was_never_drawn_cannot_be_lost(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, LOST, "there is no paper to lose")
    finished.refuses(FOUR, LOST, "is not in the book", error=NotKnown)


def test_a_lost_paper_is_not_drawn_again(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, LOST)
    finished.refuses(ONE, DRAWN, "was lost 2 March 2026 and cannot be drawn")
