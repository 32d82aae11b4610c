from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.trade.casting import (
    EarlierCastRegistered,
    MarkFound,
    PieceMeasured,
    PieceStarted,
)
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.runs import NumberGiven
from editions.trade.statement import Station
from editions.trade.waxes import WaxPulled
from tests.rules.judging.shop import MOLD, OTHER_RUN, RUN, WORK, Shop

HEIGHT = Station(name="height", length=Quantity("436.5", "mm"))


def found(text: str, number: str | None = None) -> MarkFound:
    return MarkFound(text=text, number=number, place="under the base", method="stamped")


def test_a_mark_is_kept_as_found(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    assert shop.enter("P-0001", found("No. 3/8", "3/8")) == ()
    assert shop.enter("P-0001", found("AC/1")) == ()
    assert [m.line.text for m in shop.get("P-0001", Piece).marks] == ["No. 3/8", "AC/1"]


@pytest.mark.parametrize(
    ("number", "says"), [("No. 3/8", "is written 3/8"), ("AC/1", "is not read")]
)
def test_the_reading_of_a_mark_is_canonical(shop: Shop, number: str, says: str) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", found(number, number), says)


def test_a_mark_that_differs_from_the_number_given_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001", "2/8")
    remarks = shop.enter("P-0001", found("3/8", "3/8"))
    assert remarks == ("The metal bears 3/8, the run gave 2/8.",)


def test_a_mark_above_the_total_is_found_all_the_same(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", found("9/8", "9/8")) == ()


def test_a_number_that_two_bronzes_bear_is_contested(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.enter("P-0002", EarlierCastRegistered(work=WORK, run=RUN))
    assert shop.enter("P-0001", found("3/8", "3/8")) == ()
    assert shop.enter("P-0001", found("3/8 again", "3/8")) == ()
    remarks = shop.enter("P-0002", found("No 3/8", "3/8"))
    assert remarks == ("3/8 is contested: P-0001 bears it too.",)


@pytest.mark.parametrize("run", [OTHER_RUN, None])
def test_bronzes_of_other_runs_contest_nothing(shop: Shop, run: str | None) -> None:
    shop.run(OTHER_RUN)
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.enter("P-0002", EarlierCastRegistered(work=WORK, run=run))
    shop.enter("P-0001", found("3/8", "3/8"))
    assert shop.enter("P-0002", found("3/8", "3/8")) == ()


def test_a_mark_is_found_on_a_piece_of_the_book(shop: Shop) -> None:
    shop.refuses("P-0404", found("3/8"), "P-0404 is not in the book", error=NotKnown)


def test_a_piece_is_measured(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = PieceMeasured(stations=(HEIGHT,), mass=Quantity("12.1", "kg"))
    assert shop.enter("P-0001", facts) == ()
    assert shop.enter("P-0001", PieceMeasured(mass=Quantity("12.2", "kg"))) == ()
    piece = shop.get("P-0001", Piece)
    assert (piece.stations, str(piece.mass)) == ((HEIGHT,), "12.2 kg")


def test_a_released_piece_and_an_earlier_cast_are_measured_too(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.release("P-0001")
    shop.enter("P-0002", EarlierCastRegistered(work=WORK))
    for piece in ("P-0001", "P-0002"):
        assert shop.enter(piece, PieceMeasured(stations=(HEIGHT,))) == ()


def test_a_measurement_measures_something(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", PieceMeasured(), "Nothing was measured")


def test_a_station_is_measured_once_an_entry(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = PieceMeasured(stations=(HEIGHT, HEIGHT))
    shop.refuses("P-0001", facts, "station height is named twice")


@pytest.mark.parametrize(
    "facts",
    [
        PieceMeasured(mass=Quantity("3", "mm")),
        PieceMeasured(stations=(Station(name="height", length=Quantity("3", "kg")),)),
    ],
)
def test_a_measurement_has_its_own_unit(shop: Shop, facts: PieceMeasured) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", facts, "which is a", error=Unreadable)


@pytest.mark.parametrize(
    "facts",
    [
        PieceMeasured(mass=Quantity("0", "kg")),
        PieceMeasured(stations=(Station(name="height", length=Quantity("0", "mm")),)),
    ],
)
def test_a_measurement_of_nothing_is_refused(shop: Shop, facts: PieceMeasured) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", facts, "is 0 (kg|mm)")


def test_a_scrapped_piece_is_not_measured(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001")
    shop.refuses("P-0001", PieceMeasured(stations=(HEIGHT,)), "P-0001 was scrapped")


def test_an_earlier_cast_is_registered_with_what_is_known(shop: Shop) -> None:
    facts = EarlierCastRegistered(work=WORK, run=RUN, tag="OLD-7", cast="196X", colour="black")
    assert shop.enter("P-0001", facts) == ()
    piece = shop.get("P-0001", Piece)
    assert (piece.from_object, piece.cast_on, piece.poured) == (True, "196X", False)


def test_an_earlier_cast_may_bear_a_number_of_its_run(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    assert shop.enter(RUN, NumberGiven(piece="P-0001", designation="3/8")) == ()


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (EarlierCastRegistered(work="K-0404"), "a work is wanted"),
        (EarlierCastRegistered(work=WORK, run="R-0404"), "a run is wanted"),
        (EarlierCastRegistered(work=WORK, seen_by="Y-0404"), "a party is wanted"),
    ],
)
def test_an_earlier_cast_is_of_what_the_book_holds(
    shop: Shop, facts: EarlierCastRegistered, says: str
) -> None:
    shop.refuses("P-0001", facts, says, error=NotKnown)


def test_an_earlier_cast_is_of_a_run_of_its_work(shop: Shop) -> None:
    shop.other_work()
    facts = EarlierCastRegistered(work=WORK, run=OTHER_RUN)
    shop.refuses("P-0001", facts, "R-0002 is a run of K-0002, not of K-0001")


def test_an_earlier_cast_was_not_made_tomorrow(shop: Shop) -> None:
    facts = EarlierCastRegistered(work=WORK, cast="2027")
    shop.refuses("P-0001", facts, "2027 has not come yet, but the cast was made")


@pytest.mark.parametrize(
    ("tag", "says", "error"),
    [("P-0002", "reads as a code", Refused), ("t 1", "is not a tag", Unreadable)],
)
def test_an_earlier_cast_has_a_tag_like_any_other(
    shop: Shop, tag: str, says: str, error: type[Refused] | type[Unreadable]
) -> None:
    facts = EarlierCastRegistered(work=WORK, tag=tag)
    shop.refuses("P-0001", facts, says, error=error)


@pytest.mark.parametrize(("mass", "remarks"), [("9.4 kg", 0), ("940 g", 1), ("94 kg", 1)])
def test_a_bronze_that_does_not_fit_its_wax_is_remarked_on(
    shop: Shop, mass: str, remarks: int
) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN))
    wax = WaxPulled(section="whole", mold=MOLD, pull=1, run=RUN, mass=Quantity("1.05", "kg"))
    shop.enter("W-0001", wax)
    shop.take("P-0001", "W-0001")
    shop.shell("P-0001")
    shop.pour("P-0001", run=RUN)
    value, unit = mass.split()
    said = shop.enter("P-0001", PieceMeasured(stations=(HEIGHT,), mass=Quantity(value, unit)))
    assert len(said) == remarks
    assert all("times its wax" in remark for remark in said)


def test_a_bronze_whose_wax_was_not_weighed_is_held_against_its_height_alone(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", PieceMeasured(mass=Quantity("9.4", "kg"))) == ()
    heavy = PieceMeasured(stations=(HEIGHT,), mass=Quantity("9400", "kg"))
    assert "outweighs a solid block of 436.5 mm" in shop.enter("P-0001", heavy)[0]
