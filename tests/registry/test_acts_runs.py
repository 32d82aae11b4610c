"""What people do with runs."""

from __future__ import annotations

from typing import Any

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.numbers import give_number, promise_number
from editions.registry.acts.parties import give_authority, record_death
from editions.registry.acts.runs import (
    amend_run,
    close_run,
    declare_run,
    newest_run,
    offer_run,
    waxes_left,
)
from editions.registry.counting import count_work
from editions.trade.runs import Elsewhere, Run
from editions.trade.statement import ProofSeries
from tests.registry.builders import (
    a_model,
    a_mold,
    a_party,
    a_piece,
    a_run,
    a_wax,
    a_work,
    an_artist,
    state,
    work_of,
)


def test_a_run_is_declared_by_its_artist_and_of_its_only_model(registry: Registry) -> None:
    model = a_model(registry)
    with registry.writing() as w:
        made = declare_run(w, "k-0001", size=8, proofs=["4 AP roman", "2 HC"], note="by letter")
    declared = state(registry, made.code).declared
    assert (made.code, declared.authorised_by, declared.model) == ("R-0001", "Y-0002", model)
    assert declared.proofs == (
        ProofSeries(series="AP", count=4, numerals="roman"),
        ProofSeries(series="HC", count=2),
    )


def test_everything_declared_is_read_as_people_write_it(registry: Registry) -> None:
    work = work_of(registry, a_model(registry))
    with registry.writing() as w:
        made = declare_run(
            w,
            work,
            size=8,
            numerals="Roman",
            scale="1:2",
            route="lost wax",
            alloy="uns c87300",
            colour="brown over green",
            edition_class="Original",
            paper="letter of 3 May 2025",
            other_runs="none of this model",
            promise="No more will be cast.",
            elsewhere=["III/VIII=another foundry", Elsewhere(designation="I/VIII", where="Lund")],
            publishes=["size", "Proofs", "pieces"],
            needs=["approved in metal", "analysis"],
            locks_on="first-offer",
        )
    declared = state(registry, made.code).declared
    assert (declared.route, declared.alloy, declared.numerals) == (
        "ceramic-shell",
        "C87300",
        "roman",
    )
    assert (declared.edition_class, declared.locks_on) == ("original", "first offer")
    assert declared.publishes == ("size", "proofs", "pieces")
    assert declared.needs == ("approved_in_metal", "analysis")
    assert [one.designation for one in declared.elsewhere] == ["III/VIII", "I/VIII"]


def test_a_model_is_not_guessed_where_there_are_several(registry: Registry) -> None:
    work = a_work(registry)
    clay = a_model(registry, work)
    plaster = a_model(registry, work, "plaster", made_from=clay)
    with registry.writing() as w:
        one = declare_run(w, work, size=8).code
        two = declare_run(w, work, size=8, model=plaster.lower(), scale=None, alloy=None).code
    assert state(registry, one).declared.model is None
    assert state(registry, two).declared.model == plaster


def test_a_foundrys_own_alloy_is_kept_in_its_word_with_a_remark(registry: Registry) -> None:
    work = work_of(registry, a_model(registry))
    with registry.writing() as w:
        made = declare_run(w, work, size=8, alloy="yellow no. 2")
    assert state(registry, made.code).declared.alloy == "yellow no. 2"
    assert "kept but not judged" in made.remarks[0]


@pytest.mark.parametrize(
    "said",
    [
        {"proofs": ["4 XX"]},
        {"route": "injection"},
        {"numerals": "greek"},
        {"edition_class": "limited"},
        {"elsewhere": ["3/8"]},
        {"publishes": ["prices"]},
        {"needs": ["signature"]},
        {"locks_on": "full moon"},
        {"paper": "letter\x00"},
    ],
)
def test_what_cannot_be_read_is_not_declared(registry: Registry, said: dict[str, Any]) -> None:
    work = work_of(registry, a_model(registry))
    with pytest.raises(Unreadable), registry.writing() as w:
        declare_run(w, work, **{"size": 8, **said})
    assert state(registry, "R-0001") is None


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"size": 0}, "no casts"),
        # Code of ethics of art foundries (France, 1993); CPI art. R.122-3.
        ({"edition_class": "original", "size": 9}, "too many for the class original"),
        ({"edition_class": "original", "proofs": ["5 AP"]}, "too many for the class original"),
        ({"edition_class": "unique"}, "A unique cast is one"),
        ({"proofs": ["2 AP", "2 AP"]}, "named twice"),
        ({"elsewhere": ["9/8=Lund"]}, "above the total"),
        ({"authorised_by": "Y-0001"}, "holds no authority"),
    ],
)
def test_a_declaration_against_the_rules_is_refused(
    registry: Registry, said: dict[str, Any], why: str
) -> None:
    work = work_of(registry, a_model(registry))
    with pytest.raises(Refused, match=why), registry.writing() as w:
        declare_run(w, work, **{"size": 8, **said})


def test_a_dead_artists_run_is_authorised_by_who_holds_the_authority(registry: Registry) -> None:
    artist, estate = an_artist(registry), a_party(registry, "estate", name="Varga estate")
    work = a_work(registry, artist)
    with registry.writing() as w:
        record_death(w, artist, on="2024-06-01")
        give_authority(w, estate, artist, capacity="heirs", document="will", begins="2024-06-02")
    with pytest.raises(Refused, match="An estate or another"), registry.writing() as w:
        declare_run(w, work, size=8)
    with registry.writing() as w:
        made = declare_run(w, work, size=8, authorised_by=estate)
    assert state(registry, made.code).declared.authorised_by == estate


def test_what_is_not_in_the_book_is_not_declared(registry: Registry) -> None:
    work = work_of(registry, a_model(registry))
    for missing in ({"model": "D-0009"}, {"authorised_by": "Y-0009"}):
        with pytest.raises(NotKnown), registry.writing() as w:
            declare_run(w, work, size=8, **missing)  # type: ignore[arg-type]
    with pytest.raises(NotKnown, match="No work K-0009"), registry.writing() as w:
        declare_run(w, "K-0009", size=8)


def test_an_amendment_changes_only_what_it_says(registry: Registry) -> None:
    run = a_run(registry, colour="black")
    before = state(registry, run).declared
    with registry.writing() as w:
        amend_run(w, run, size=6, proofs=[], reason="the artist telephoned")
    after = state(registry, run).declared
    assert (after.size, after.proofs) == (6, ())
    assert (after.colour, after.authorised_by) == (before.colour, before.authorised_by)


def test_a_run_is_locked_by_the_event_it_declares(registry: Registry) -> None:
    by_offer = a_run(registry, locks_on="first offer")
    with registry.writing() as w:
        offer_run(w, by_offer, where="a gallery in Lund")
    with pytest.raises(Refused, match="locked by its first offer on 2 March 2026"):
        _amend(registry, by_offer)
    by_cast = a_run(registry, "K-0001")
    a_piece(registry, by_cast, to="poured")
    with pytest.raises(Refused, match="locked by its first cast"):
        _amend(registry, by_cast)


def _amend(registry: Registry, run: str) -> None:
    with registry.writing() as w:
        amend_run(w, run, size=9)


def test_a_run_does_not_shrink_below_what_is_promised(registry: Registry) -> None:
    run = a_run(registry)
    with registry.writing() as w:
        promise_number(w, run, "8/8")
    with pytest.raises(Refused, match="8/8 is promised"), registry.writing() as w:
        amend_run(w, run, size=7)


def test_closing_accounts_for_every_wax(registry: Registry) -> None:
    run, keeper = a_run(registry), a_party(registry)
    mold = a_mold(registry, "D-0001")
    waxes = [a_wax(registry, mold, run=run) for _ in range(3)]
    with registry.reading() as r:
        assert [wax.code for wax in waxes_left(r, run)] == waxes
    with pytest.raises(Refused, match="does not name: W-0003"), registry.writing() as w:
        close_run(w, run, by_declaration=True, destroyed=waxes[:2])
    with registry.writing() as w:
        close_run(
            w,
            run,
            by_declaration=True,
            destroyed=waxes[:2],
            kept=[waxes[2].lower()],
            accounted_by=keeper,
            statement="Nothing more will be cast.",
        )
    assert [state(registry, wax).fate for wax in waxes] == ["destroyed", "destroyed", "kept"]
    held: Run = state(registry, run)
    assert (held.closed, held.closed_how) == ("2026-03-02", "by declaration")
    with pytest.raises(Refused, match="was closed"), registry.writing() as w:
        close_run(w, run, by_declaration=True)


def test_a_run_is_complete_once_every_number_is_given(registry: Registry) -> None:
    run = a_run(registry, size=2, proofs=[])
    a_piece(registry, run, to="poured", number="1/2")
    second = a_piece(registry, run, to="poured")
    with pytest.raises(Refused, match="has not given 2/2"), registry.writing() as w:
        close_run(w, run)
    with registry.writing() as w:
        give_number(w, second, "2")
        close_run(w, run)
    assert state(registry, run).closed_how == "complete"


def test_the_newest_run_tells_what_the_next_will_look_like(registry: Registry) -> None:
    with registry.reading() as r:
        assert newest_run(r) is None
    one, other = a_run(registry), a_run(registry, size=5)
    with registry.reading() as r:
        newest, of_work, of_none = newest_run(r), newest_run(r, "K-0001"), newest_run(r, "K-0009")
    assert newest is not None
    assert of_work is not None
    assert (newest.code, of_work.code, of_none) == (other, one, None)


def test_a_run_declared_in_error_is_counted_nowhere(registry: Registry) -> None:
    run = a_run(registry)
    work = state(registry, run).declared.work
    with registry.writing() as w:
        before = count_work(w, work).can_exist
        slip = declare_run(w, work, size=8).code
        assert count_work(w, work).can_exist != before
        close_run(w, slip, in_error=True)
        found = count_work(w, work)
    assert (found.can_exist, [one.code for one in found.runs]) == (before, [run])


def test_a_run_is_not_closed_in_two_ways(registry: Registry) -> None:
    run = a_run(registry)
    with pytest.raises(Unreadable, match="not both"), registry.writing() as w:
        close_run(w, run, by_declaration=True, in_error=True)
    assert state(registry, run).closed is None
