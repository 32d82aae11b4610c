from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.works import Model, ModelEntered, ModelMeasured, WorkEntered
from tests.rules.judging.shop import ARTIST, HAND, MODEL, OTHER_WORK, WORK, Shop

HEIGHT = Station(name="height", length=Quantity("450", "mm"))


def test_a_work_is_an_artists(shop: Shop) -> None:
    shop.refuses("K-0009", WorkEntered(artist=HAND, title="Heron"), "is not an artist")


def test_an_artist_of_a_work_is_in_the_book(shop: Shop) -> None:
    facts = WorkEntered(artist="Y-0404", title="Heron")
    shop.refuses("K-0009", facts, "a party is wanted", error=NotKnown)


def test_a_work_is_not_of_next_year(shop: Shop) -> None:
    facts = WorkEntered(artist=ARTIST, title="Heron", year="2027")
    shop.refuses("K-0009", facts, "has not come yet")


def test_a_work_may_be_of_about_a_year(shop: Shop) -> None:
    assert shop.enter("K-0009", WorkEntered(artist=ARTIST, title="Hare", year="1968~")) == ()


def test_a_model_is_of_a_work(shop: Shop) -> None:
    facts = ModelEntered(work="K-0404", stage="original")
    shop.refuses("D-0009", facts, "a work is wanted", error=NotKnown)


def test_a_plaster_follows_from_the_original(shop: Shop) -> None:
    facts = ModelEntered(work=WORK, stage="plaster", made_from=MODEL)
    assert shop.enter("D-0009", facts) == ()
    assert shop.get("D-0009", Model).made_from == MODEL


def test_a_plaster_from_nothing_is_remarked_on(shop: Shop) -> None:
    (remark,) = shop.enter("D-0009", ModelEntered(work=WORK, stage="plaster"))
    assert remark == "What this plaster was made from is not named."


def test_an_original_is_made_from_no_model(shop: Shop) -> None:
    facts = ModelEntered(work=WORK, stage="original", made_from=MODEL)
    shop.refuses("D-0009", facts, "An original is not made from another model")


def test_a_chain_belongs_to_one_work(shop: Shop) -> None:
    shop.other_work()
    facts = ModelEntered(work=OTHER_WORK, stage="scan", made_from=MODEL)
    shop.refuses("D-0009", facts, "D-0001 is a model of K-0001, not of K-0002")


@pytest.mark.parametrize("source", ["D-0009", "D-0404"])
def test_a_chain_never_closes_on_itself(shop: Shop, source: str) -> None:
    facts = ModelEntered(work=WORK, stage="scan", made_from=source)
    shop.refuses("D-0009", facts, "a model is wanted", error=NotKnown)


def test_a_model_is_measured_at_stations(shop: Shop) -> None:
    facts = ModelMeasured(stations=(HEIGHT,))
    assert shop.enter(MODEL, facts) == ()
    assert shop.get(MODEL, Model).stations == (HEIGHT,)


def test_a_measurement_of_a_model_names_a_station(shop: Shop) -> None:
    shop.refuses(MODEL, ModelMeasured(stations=()), "No station is named")


def test_a_station_is_measured_once_an_entry(shop: Shop) -> None:
    shop.refuses(MODEL, ModelMeasured(stations=(HEIGHT, HEIGHT)), "station height is named twice")


def test_a_station_with_and_without_the_base_is_two(shop: Shop) -> None:
    with_base = Station(name="height", length=Quantity("500", "mm"), base="with")
    assert shop.enter(MODEL, ModelMeasured(stations=(HEIGHT, with_base))) == ()


def test_a_length_of_nothing_is_refused(shop: Shop) -> None:
    flat = Station(name="height", length=Quantity("0", "mm"))
    shop.refuses(MODEL, ModelMeasured(stations=(flat,)), "station height is 0 mm")


@pytest.mark.parametrize(
    "station",
    [
        Station(name="height", length=Quantity("3", "kg")),
        Station(name="height", length=Quantity("450", "mm"), uncertainty=Quantity("1", "g")),
    ],
)
def test_a_station_is_a_length(shop: Shop, station: Station) -> None:
    shop.refuses(MODEL, ModelMeasured(stations=(station,)), "height", error=Unreadable)


def test_an_uncertainty_may_be_given(shop: Shop) -> None:
    sure = Station(name="height", length=Quantity("450", "mm"), uncertainty=Quantity("0.15", "mm"))
    assert shop.enter(MODEL, ModelMeasured(stations=(sure,))) == ()
