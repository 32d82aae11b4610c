"""Strikes in the book: the entry stays, its subjects are folded again as if it were not."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry, find_entry, held_now
from editions.registry.acts.held import erase_field
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.pieces import start_piece, take_wax
from editions.registry.acts.runs import declare_run, offer_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.strikes import strike_entry
from editions.registry.acts.waxes import judge_wax, number_wax
from editions.registry.auditing import audit
from editions.store import queries
from tests.registry.builders import a_model, a_mold, a_party, a_piece, a_run, a_wax, state
from tests.registry.figures import a_cast, a_figure

WHY = "written on the wrong line"


def strike(registry: Registry, entry: str) -> None:
    with registry.writing() as w:
        strike_entry(w, entry, reason=WHY)


def test_a_wax_rejected_by_mistake_is_in_stock_again(registry: Registry) -> None:
    wax = a_wax(registry)
    before = state(registry, wax)
    with registry.writing() as w:
        judged = judge_wax(w, wax, accepted=False, reason="air in the beak")
    assert state(registry, wax).fate == "rejected"
    strike(registry, judged.leaf)
    assert state(registry, wax) == before
    assert audit(registry).faults == ()


def test_a_wax_taken_into_the_wrong_piece_goes_into_the_right_one(registry: Registry) -> None:
    figure = a_figure(registry)
    wrong, right = (a_cast(registry, figure, tag, to="started") for tag in ("T-0101", "T-0102"))
    wax = a_wax(registry, figure.mold, "head", run=figure.run)
    with registry.writing() as w:
        number_wax(w, wax, "3/8")
    before = state(registry, wrong)
    with registry.writing() as w:
        taken = take_wax(w, wrong, wax)
        strike_entry(w, taken.leaf, reason=WHY)
        assert w.bearer(f"{figure.run} wax", "3/8") == wax
        take_wax(w, right, wax)
    assert state(registry, wrong) == before
    assert state(registry, wax).piece == right
    assert state(registry, right).reserved == "3/8"
    assert audit(registry).faults == ()


def test_a_number_given_wrongly_is_free_again_for_another_piece(registry: Registry) -> None:
    run = a_run(registry)
    one, two = a_piece(registry, run, tag="T-0101"), a_piece(registry, run, tag="T-0102")
    before = state(registry, run), state(registry, one)
    with registry.writing() as w:
        given = give_number(w, one, "3/8")
    strike(registry, given.leaf)
    assert (state(registry, run), state(registry, one)) == before
    with registry.writing() as w:
        give_number(w, two, "3/8")
    with registry.reading() as r:
        assert r.bearer(run, "3/8") == two
    assert audit(registry).faults == ()


def test_a_step_that_never_happened_is_not_told_of_the_piece(registry: Registry) -> None:
    piece = a_piece(registry, to="waxed")
    before = state(registry, piece)
    with registry.writing() as w:
        (done,) = record_step(w, "shelled", [piece], coat=1)
    strike(registry, done.leaf)
    assert state(registry, piece) == before
    with registry.reading() as r:
        assert "step_done" not in {one.facts.kind for one in r.told(piece)}
        assert done.leaf in {one.leaf.hex() for one in r.stored_of(piece)}
        assert r.entry(done.leaf)
    assert audit(registry).faults == ()


def test_a_mistaken_offer_no_longer_locks_its_run(registry: Registry) -> None:
    run = a_run(registry, locks_on="first offer")
    with registry.writing() as w:
        offered = offer_run(w, run)
    assert state(registry, run).locked_by == "first offer"
    strike(registry, offered.leaf)
    assert state(registry, run).locked_by is None
    assert audit(registry).faults == ()


@pytest.mark.parametrize("kept", ["artist", "mold", "run", "piece"])
def test_what_was_entered_twice_is_gone_and_its_code_is_never_given_again(
    registry: Registry, kept: str
) -> None:
    figure = a_figure(registry)
    with registry.writing() as w:
        twice = {
            "artist": lambda: enter_party(w, "artist", name="Ilse Vargas"),
            "mold": lambda: make_mold(w, figure.model, ("head",), material="silicone"),
            "run": lambda: declare_run(w, figure.work, size=8, model=figure.model),
            "piece": lambda: start_piece(w, figure.run, tag="T-0199", sections=("head",)),
        }[kept]().code
    strike(registry, f"{twice}#1")
    with registry.writing() as w:
        assert w.state(twice) is None
        assert w.spent(twice)
        assert w.named("T-0199") is None
        assert twice not in w.known(twice[0])
        assert w.next_code(twice[0]) > twice
        with pytest.raises(Refused, match="was entered and struck"):
            enter_party(w, "hand", code=twice) if twice[0] == "Y" else {
                "M": lambda: make_mold(w, figure.model, ("x",), material="m", code=twice),
                "R": lambda: declare_run(w, figure.work, size=8, code=twice),
                "P": lambda: start_piece(w, figure.run, sections=("head",), code=twice),
            }[twice[0]]()
        enter_party(w, "hand")
    assert audit(registry).faults == ()


def test_a_correction_of_what_is_struck_goes_with_it(registry: Registry) -> None:
    a_party(registry)
    with registry.writing() as w:
        twice = enter_party(w, "artist", name="Ilse Vargas").code
        correct_entry(w, f"{twice}#1", {"place": "Harrow"}, reason="asked")
    strike(registry, f"{twice}#1")
    assert state(registry, twice) is None
    with registry.writing() as w, pytest.raises(Refused, match="was struck"):
        correct_entry(w, f"{twice}#1", {"place": "Hale"}, reason="asked")
    assert audit(registry).faults == ()


def test_what_is_held_of_a_struck_entry_can_still_be_erased(registry: Registry) -> None:
    with registry.writing() as w:
        twice = enter_party(w, "hand", private_name="Jo Fenwick").code
        strike_entry(w, f"{twice}#1", reason="is in the book as Y-0002")
    with registry.reading() as r:
        stored, _ = find_entry(r, f"{twice}#1")
        assert held_now(r, stored)["private_name"] == "Jo Fenwick"
    with registry.writing() as w:
        erase_field(w, f"{twice}#1", "private_name", authority="the person", because="request")
    with registry.reading() as r:
        assert "private_name" not in queries.held_values(r.connection, stored.position)
    assert audit(registry).faults == ()


def test_an_entry_is_struck_once(book: Registry) -> None:
    wax = a_wax(book)
    with book.writing() as w:
        judged = judge_wax(w, wax, accepted=True)
        struck = strike_entry(w, judged.leaf, reason=WHY)
        with pytest.raises(Refused, match="struck already") as twice:
            strike_entry(w, judged.leaf, reason=WHY)
        assert "anew" in twice.value.remedy
        with pytest.raises(Refused, match="A strike is not struck") as why:
            strike_entry(w, struck.leaf, reason=WHY)
        assert "anew" in why.value.remedy


@pytest.mark.parametrize("reason", ["", "  ", "\n"])
def test_a_strike_says_why(book: Registry, reason: str) -> None:
    wax = a_wax(book)
    with book.writing() as w:
        judge_wax(w, wax, accepted=True)
        with pytest.raises(Unreadable, match="Why the entry is struck is not said"):
            strike_entry(w, f"{wax}#2", reason=reason)


@pytest.mark.parametrize(
    ("entry", "error", "says"),
    [
        ("P-0099#1", NotKnown, "Nothing in this book answers"),
        ("M-0001#9", NotKnown, "has 2 entries"),
        ("entry 999", NotKnown, "has no entry 999"),
        ("heron", Unreadable, "names no entry"),
        ("entry 0", Refused, "An entry .book opened. is not struck"),
        ("W-0001#1", Refused, ".wax pulled. is not struck"),
        ("Y-0001#1", Refused, "something stands on it: book opened"),
        ("D-0001#1", Refused, "mold made .M-0001."),
    ],
)
def test_what_is_not_struck_is_refused(
    book: Registry, entry: str, error: type[Exception], says: str
) -> None:
    a_wax(book, a_mold(book, a_model(book)))
    with book.writing() as w, pytest.raises(error, match=says):
        strike_entry(w, entry, reason=WHY)
