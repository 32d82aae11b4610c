"""What people do with works and models."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.works import enter_model, enter_work, measure_model
from editions.trade.stations import read_station, station_text
from tests.registry.builders import a_model, a_party, a_work, an_artist, state


def test_a_work_is_entered_with_its_titles_and_year(registry: Registry) -> None:
    artist = an_artist(registry)
    with registry.writing() as w:
        made = enter_work(
            w, artist, "Heron, standing", other_titles=["Häger", "Чапля"], year="2019~"
        )
    work = state(registry, made.code)
    assert (made.code, work.title, work.year, work.artist) == (
        "K-0001",
        "Heron, standing",
        "2019~",
        artist,
    )
    assert work.other_titles == ("Häger", "Чапля")


def test_a_work_needs_an_artist_who_is_one(registry: Registry) -> None:
    with pytest.raises(NotKnown, match="No party Y-0042"), registry.writing() as w:
        enter_work(w, "Y-0042", "Heron")
    with pytest.raises(Refused, match="not an artist"), registry.writing() as w:
        enter_work(w, "Y-0001", "Heron")


@pytest.mark.parametrize("said", [{"title": ""}, {"year": "20-19"}, {"other_titles": [""]}])
def test_a_work_with_an_unreadable_part_is_not_entered(
    registry: Registry, said: dict[str, object]
) -> None:
    artist = an_artist(registry)
    with pytest.raises(Unreadable), registry.writing() as w:
        enter_work(w, artist, **{"title": "Heron", **said})  # type: ignore[arg-type]
    assert state(registry, "K-0001") is None


def test_models_form_a_chain_with_scale(registry: Registry) -> None:
    work, maker = a_work(registry), a_party(registry, "mold maker")
    with registry.writing() as w:
        original = enter_model(w, work, "original", material="clay").code
        large = enter_model(
            w, work, "Enlargement", made_from=original, scale="2:1", maker=maker, note="foam core"
        ).code
    model = state(registry, large)
    assert (model.stage, model.made_from, model.scale) == ("enlargement", original, "2:1")


def test_a_chain_stays_within_one_work(registry: Registry) -> None:
    one, other = a_model(registry), a_work(registry, title="Heron, flying")
    with pytest.raises(Refused, match="not of"), registry.writing() as w:
        enter_model(w, other, "plaster", made_from=one)


def test_an_unknown_stage_is_answered_with_the_stages(registry: Registry) -> None:
    work = a_work(registry)
    with pytest.raises(Unreadable, match="“maquette” is not") as fault, registry.writing() as w:
        enter_model(w, work, "maquette")
    assert "master-bronze" in fault.value.remedy


def test_a_model_is_measured_at_named_stations(registry: Registry) -> None:
    model = a_model(registry)
    stations = [read_station("height=450mm±1mm"), read_station('beak to tail=17 3/4"')]
    with registry.writing() as w:
        measure_model(w, model, stations, method="callipers", hand="Y-0001")
    written = [station_text(station) for station in state(registry, model).stations]
    assert written == ["height=450 mm ± 1 mm", "beak to tail=17 3/4 in"]


def test_measuring_nothing_is_refused(registry: Registry) -> None:
    model = a_model(registry)
    with pytest.raises(Unreadable, match="Nothing was measured"), registry.writing() as w:
        measure_model(w, model, [])
