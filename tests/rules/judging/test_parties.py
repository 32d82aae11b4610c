from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.trade.parties import (
    ArtistDied,
    AuthorityGiven,
    Capacity,
    Party,
    PartyEntered,
    Role,
)
from tests.rules.judging.shop import ARTIST, ESTATE, HAND, MOLD, Shop


@pytest.mark.parametrize("role", ["artist", "estate", "foundation", "foundry", "laboratory"])
def test_a_public_party_has_an_open_name(shop: Shop, role: Role) -> None:
    shop.refuses("Y-0009", PartyEntered(roles=(role,)), f"role is {role} is public")
    assert shop.enter("Y-0009", PartyEntered(roles=(role,), name="Marta Okonjo")) == ()


@pytest.mark.parametrize("role", ["hand", "collector", "witness"])
def test_a_private_party_has_no_open_name(shop: Shop, role: Role) -> None:
    facts = PartyEntered(roles=(role,), name="Marta Okonjo")
    why = shop.refuses("Y-0009", facts, f"role is {role} is not shown")
    assert "held name" in why.remedy


@pytest.mark.parametrize("role", ["mold maker", "patineur"])
@pytest.mark.parametrize("name", ["Marta Okonjo", None])
def test_a_mold_maker_or_patineur_may_be_named_or_not(
    shop: Shop, role: Role, name: str | None
) -> None:
    assert shop.enter("Y-0009", PartyEntered(roles=(role,), name=name)) == ()


def test_an_artist_who_is_a_hand_as_well_is_named(shop: Shop) -> None:
    facts = PartyEntered(roles=("hand", "artist"), name="Marta Okonjo")
    assert shop.enter("Y-0009", facts) == ()


def test_a_party_has_a_part_in_the_work(shop: Shop) -> None:
    shop.refuses("Y-0009", PartyEntered(roles=()), "No role is named")


def test_a_role_is_named_once(shop: Shop) -> None:
    shop.refuses("Y-0009", PartyEntered(roles=("hand", "hand")), "role hand is named twice")


@pytest.mark.parametrize(("born", "died"), [("1950", "1949"), ("1950-05", "1950-04-30")])
def test_nobody_dies_before_birth(shop: Shop, born: str, died: str) -> None:
    facts = PartyEntered(roles=("artist",), name="A. Brandl", born=born, died=died)
    shop.refuses("Y-0009", facts, "A life cannot end")


@pytest.mark.parametrize(("born", "died"), [("1950", "1950"), ("1950~", "1949"), ("../1930", None)])
def test_uncertain_lives_are_taken(shop: Shop, born: str, died: str | None) -> None:
    facts = PartyEntered(roles=("artist",), name="A. Brandl", born=born, died=died)
    assert shop.enter("Y-0009", facts) == ()


def test_nobody_is_born_tomorrow(shop: Shop) -> None:
    facts = PartyEntered(roles=("artist",), name="A. Brandl", born="2027")
    shop.refuses("Y-0009", facts, "2027 has not come yet, but the party was born")


def test_a_birth_that_is_no_date_is_unreadable(shop: Shop) -> None:
    facts = PartyEntered(roles=("artist",), name="A. Brandl", born="long ago")
    shop.refuses("Y-0009", facts, "is not a date", error=Unreadable)


def test_an_artist_dies_once(shop: Shop) -> None:
    assert shop.enter(ARTIST, ArtistDied(), "2026-02") == ()
    assert shop.get(ARTIST, Party).died == "2026-02"
    shop.refuses(ARTIST, ArtistDied(), "entered as having died February 2026", "2026-03")


def test_only_an_artist_dies_in_the_book(shop: Shop) -> None:
    shop.refuses(HAND, ArtistDied(), "Y-0004 is not an artist but hand")


def test_an_artist_does_not_die_before_birth(shop: Shop) -> None:
    shop.refuses(ARTIST, ArtistDied(), "before 1931, when Ilse Varga was born", "1930")


def authority(
    artist: str = ARTIST,
    capacity: Capacity = "representative",
    begins: str = "2025",
    until: str | None = None,
) -> AuthorityGiven:
    return AuthorityGiven(
        artist=artist, capacity=capacity, document="letter of 3 May", begins=begins, until=until
    )


def test_an_authority_is_known_to_its_holder_and_its_artist(shop: Shop) -> None:
    assert shop.enter(ESTATE, authority()) == ()
    assert shop.get(ESTATE, Party).authorities == shop.get(ARTIST, Party).authorities
    assert shop.get(ESTATE, Party).authorities[0].holder == ESTATE


def test_an_authority_is_for_an_artist(shop: Shop) -> None:
    shop.refuses(ESTATE, authority(HAND), "Y-0004 is not an artist")


@pytest.mark.parametrize("artist", ["Y-0404", MOLD])
def test_an_authority_is_for_a_party_of_the_book(shop: Shop, artist: str) -> None:
    shop.refuses(ESTATE, authority(artist), artist, error=NotKnown)


def test_an_artist_needs_no_authority_of_their_own(shop: Shop) -> None:
    shop.refuses(ARTIST, authority(), "needs no authority for their own work")


def test_an_authority_does_not_end_before_it_begins(shop: Shop) -> None:
    shop.refuses(ESTATE, authority(begins="2025", until="2024"), "before it begins 2025")


@pytest.mark.parametrize(("begins", "until"), [("soon", None), ("2025", "never ends")])
def test_a_term_is_made_of_dates(shop: Shop, begins: str, until: str | None) -> None:
    facts = authority(begins=begins, until=until)
    shop.refuses(ESTATE, facts, "is not a date", error=Unreadable)


@pytest.mark.parametrize("capacity", ["executor", "heirs", "estate"])
def test_an_estate_of_the_living_is_remarked_on(shop: Shop, capacity: Capacity) -> None:
    (remark,) = shop.enter(ESTATE, authority(capacity=capacity))
    assert "not recorded as dead" in remark


def test_an_estate_that_begins_before_the_death_is_remarked_on(shop: Shop) -> None:
    shop.enter(ARTIST, ArtistDied(), "2025-05")
    (remark,) = shop.enter(ESTATE, authority(capacity="executor", begins="2024"))
    assert remark == "The capacity is executor from 2024, but Ilse Varga died May 2025."
    assert shop.enter(ESTATE, authority(capacity="executor", begins="2025")) == ()


def test_whoever_may_act_for_the_living_is_not_remarked_on(shop: Shop) -> None:
    for capacity in ("foundation", "representative"):
        assert shop.enter(ESTATE, authority(capacity=capacity)) == ()


def test_an_estate_of_the_dead_is_not_remarked_on(shop: Shop) -> None:
    shop.enter(ARTIST, ArtistDied(), "2025-05")
    assert shop.enter(ESTATE, authority(capacity="estate", until="2035")) == ()
