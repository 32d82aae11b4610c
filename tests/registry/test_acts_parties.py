"""What people do with parties."""

from __future__ import annotations

from typing import Any

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.parties import enter_party, give_authority, record_death
from editions.trade.parties import Party
from tests.registry.builders import a_party, an_artist, state


def _held(registry: Registry, position: int) -> dict[str, object]:
    with registry.writing(rehearse=True) as w:
        return w.held_values_of(position)


def test_an_artist_is_entered_under_the_next_code_with_life_dates(registry: Registry) -> None:
    with registry.writing() as w:
        made = enter_party(w, "Artist", name="  Ilse Varga ", born="1931", place="Lund")
    party = state(registry, made.code)
    assert (made.code, party.name, party.life) == ("Y-0002", "Ilse Varga", "born 1931")
    assert (party.roles, party.place) == (("artist",), "Lund")


def test_a_party_may_have_several_roles_and_a_code_of_choice(registry: Registry) -> None:
    with registry.writing() as w:
        made = enter_party(w, ["mold-maker", "patineur"], name="Otto Reyle", code="y-otto")
    assert made.code == "Y-OTTO"
    assert state(registry, "Y-OTTO").roles == ("mold maker", "patineur")


@pytest.mark.parametrize("role", ["hand", "collector", "witness"])
def test_the_name_of_someone_private_is_held(registry: Registry, role: str) -> None:
    with registry.writing() as w:
        made = enter_party(w, role, name="Tomas Brandl", contact="barn 3")
    assert state(registry, made.code).name is None
    held = _held(registry, made.position)
    assert held == {"private_name": "Tomas Brandl", "contact": "barn 3"}


def test_a_private_name_goes_before_a_name(registry: Registry) -> None:
    with registry.writing() as w:
        made = enter_party(w, "hand", name="Tom", private_name="Tomas Brandl")
    assert _held(registry, made.position)["private_name"] == "Tomas Brandl"


def test_an_unknown_role_is_answered_with_the_roles(registry: Registry) -> None:
    with (
        pytest.raises(Unreadable, match="“sculptor” is not a role") as fault,
        registry.writing() as w,
    ):
        enter_party(w, "sculptor", name="Ilse Varga")
    assert "artist, estate, foundation" in fault.value.remedy


@pytest.mark.parametrize("said", [{}, {"name": ""}])
def test_an_artist_without_a_name_is_refused(registry: Registry, said: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="public"), registry.writing() as w:
        enter_party(w, "artist", **said)
    assert state(registry, "Y-0002") is None


@pytest.mark.parametrize(
    "said", [{"name": "Il\x07se"}, {"name": "x" * 121}, {"name": " \t "}, {"born": "31"}]
)
def test_what_cannot_be_read_is_not_entered(registry: Registry, said: dict[str, Any]) -> None:
    with pytest.raises(Unreadable), registry.writing() as w:
        enter_party(w, "artist", **{"name": "Ilse Varga", **said})
    assert state(registry, "Y-0002") is None


def test_a_death_is_recorded_once(registry: Registry) -> None:
    artist = an_artist(registry, born="1931")
    with registry.writing() as w:
        record_death(w, artist.lower(), source="letter of the heirs", on="2025-11~")
    assert state(registry, artist).life == "1931–about 2025"
    with pytest.raises(Refused, match="entered as having died"), registry.writing() as w:
        record_death(w, artist)


def test_only_an_artist_is_recorded_as_dead(registry: Registry) -> None:
    foundation = a_party(registry, "foundation")
    with pytest.raises(Refused, match="not an artist"), registry.writing() as w:
        record_death(w, foundation)


def test_an_authority_begins_on_the_day_unless_said(registry: Registry) -> None:
    artist, estate = an_artist(registry, died="2020"), a_party(registry, "estate")
    with registry.writing() as w:
        give_authority(
            w, estate, artist, capacity="heirs", document="certificate of inheritance", on="2024-05"
        )
        give_authority(
            w, estate, artist, capacity="Estate", document="will", begins="2020", until="2030"
        )
    held: Party = state(registry, estate)
    terms = [(a.capacity, a.artist, a.begins, a.until) for a in held.authorities]
    assert terms == [("heirs", artist, "2024-05", None), ("estate", artist, "2020", "2030")]


def test_an_authority_names_a_capacity_a_document_and_parties_that_exist(
    registry: Registry,
) -> None:
    artist, estate = an_artist(registry, died="2020"), a_party(registry, "estate")
    with pytest.raises(Unreadable, match="capacity"), registry.writing() as w:
        give_authority(w, estate, artist, capacity="friend", document="letter")
    with pytest.raises(Unreadable, match="document is empty"), registry.writing() as w:
        give_authority(w, estate, artist, capacity="heirs", document=" ")
    with pytest.raises(NotKnown, match="Y-0009"), registry.writing() as w:
        give_authority(w, "Y-0009", artist, capacity="heirs", document="letter")
    with pytest.raises(NotKnown, match="not a party"), registry.writing() as w:
        give_authority(w, estate, "K-0001", capacity="heirs", document="letter")
    assert state(registry, estate).authorities == ()


def test_an_artist_entered_again_is_remarked_on(registry: Registry) -> None:
    with registry.writing() as w:
        first = enter_party(w, "artist", name="Lene Sørby", born="1948")
        again = enter_party(w, "artist", name="lene sørby")
        other = enter_party(w, "artist", name="Lene Sørby", born="1981")
    assert first.remarks == ()
    (said,) = again.remarks
    assert said.startswith(f"{first.code} is an artist Lene Sørby already;")
    assert [first.code in one for one in other.remarks] == [False]
