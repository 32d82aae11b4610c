"""What may not meet, and what names mean."""

from __future__ import annotations

from itertools import permutations

import pytest

from editions.errors import Refused, Unreadable
from editions.rules.solutions.substances import mentioned, substance, substances
from editions.rules.solutions.together import clashes, pairs, refuse_clashes

# Foundry facts, section 7, "never together" (from memory, high); chlorine and cyanide: from memory.
NEVER = [
    ("liver of sulfur", "nitric acid", "hydrogen sulfide"),
    ("ammonium sulfide", "vinegar", "hydrogen sulfide"),
    ("liver of sulfur", "ferric nitrate", "hydrogen sulfide"),
    ("silver nitrate", "ammonia", "explode"),
    ("bleach", "ammonia", "chloramine"),
    ("bleach", "sal ammoniac", "chloramine"),
    ("bleach", "muriatic acid", "chlorine gas"),
    ("copper nitrate", "oily rags", "fire"),
    ("ferric nitrate", "paste wax", "fire"),
    ("hypo", "acetic acid", "sulfur dioxide"),
    ("potassium ferricyanide", "sulfuric acid", "cyanide"),
]


@pytest.mark.parametrize(("one", "other", "gives"), NEVER)
def test_what_kills_burns_or_explodes_is_refused_in_any_order(
    one: str, other: str, gives: str
) -> None:
    for names in permutations((one, other, "titanium dioxide")):
        with pytest.raises(Refused) as why:
            refuse_clashes([substance(name) for name in names])
        assert gives in why.value.message
        assert "from memory" in why.value.message
        assert "safety data sheet" in why.value.remedy


def test_a_lesser_clash_is_remarked_on() -> None:
    remarks = refuse_clashes([substance("hypo"), substance("ferric nitrate")])
    assert "sulfur dioxide" in remarks[0]
    assert "rags" in remarks[1]


@pytest.mark.parametrize("salt", ["copper nitrate", "copper nitrate trihydrate", "copper sulfate"])
def test_a_weakly_acid_salt_with_a_sulfide_is_remarked_on(salt: str) -> None:
    # Copper salts hydrolyse in water (from memory, low): weakly acid, unlike those of iron(III).
    remarks = refuse_clashes([substance("liver of sulfur"), substance(salt)])
    assert "some hydrogen sulfide" in remarks[0]
    assert "weakly acid" in remarks[0]


def test_what_a_clash_gives_is_a_sentence() -> None:
    found = clashes([substance("silver nitrate"), substance("ammonia")])
    assert str(found[0]).startswith("silver nitrate with ammonia gives silver compounds that")


def test_the_refused_stand_before_the_remarked() -> None:
    found = clashes([substance(n) for n in ("hypo", "ferric nitrate", "vinegar")])
    assert [clash.then for clash in found] == ["refused", "remarked"]


def test_what_meets_itself_or_salt_is_held_against_nothing() -> None:
    assert clashes([substance("hypo"), substance("hypo"), substance("salt")]) == ()


def test_every_family_of_a_pair_belongs_to_some_substance() -> None:
    families = {family for one in substances() for family in one.families}
    assert {side for pair in pairs() for side in (pair.one, pair.other)} <= families


def test_every_substance_has_a_formula_a_mixture_or_its_hydrates_and_each_name_once() -> None:
    names = [name.casefold() for one in substances() for name in (one.name, *one.also)]
    assert len(names) == len(set(names))
    for one in substances():
        assert bool(one.formula) + bool(one.mixture) + bool(one.which) == 1, one.name
        assert "high" not in one.confidence
        for hydrate in one.which:
            assert substance(hydrate).formula
        if one.formula:
            assert str(one.chemical()) == one.formula


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Ferric  Nitrate", "ferric nitrate nonahydrate"),
        ("AgNO3", "silver nitrate"),
        ("Fe(NO3)3+9H2O", "ferric nitrate nonahydrate"),
        ("liver of sulphur", "liver of sulfur"),
    ],
)
def test_a_name_or_a_formula_is_found(text: str, name: str) -> None:
    assert substance(text).name == name


def test_a_formula_that_is_not_listed_shows_its_families_by_its_ions() -> None:
    assert substance("KNO3").families == ("nitrate",)
    assert substance("KNO3").warns().startswith("KNO3: none held here; see the supplier's")
    with pytest.raises(Refused, match="chloramine"):
        refuse_clashes([substance("Ca(ClO)2"), substance("(NH4)2SO4")])


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("ferric nitrte", "Did you mean ferric nitrate"),
        ("moon dust", "Name it as its label does"),
        ("", "Name it as its label does"),
    ],
)
def test_what_is_not_known_is_answered_with_the_nearest(text: str, remedy: str) -> None:
    with pytest.raises(Unreadable) as why:
        substance(text)
    assert why.value.remedy.startswith(remedy)


def test_words_are_searched_for_the_longest_names() -> None:
    found = mentioned("Copper nitrate trihydrate, then liver of sulphur; no saltpeter")
    assert [one.name for one in found] == ["copper nitrate trihydrate", "liver of sulfur"]
    assert mentioned("heat and patience") == ()
