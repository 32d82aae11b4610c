"""Corrections: the earlier entry stays, and the subject is folded again from its first entry on."""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.errors import Refused, Unreadable
from editions.registry import Reading, Registry
from editions.registry.acts.corrections import correct_entry, find_entry, held_now
from editions.registry.acts.heats import open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.pieces import measure_piece
from editions.registry.acts.steps import record_step
from editions.registry.auditing import audit
from editions.store import connection, queries, schema
from editions.store.replay import Replay, in_batches
from editions.trade.kinds import State
from editions.trade.quantities import Quantity
from editions.trade.stations import read_station
from tests.registry.builders import a_piece, a_wax, a_work, state
from tests.registry.figures import a_cast, a_figure


def replayed(registry: Registry, code: str, folder: Path) -> State | None:
    """The state of a subject in a fresh database into which the whole book was replayed."""
    engine = connection.engine_for(folder / "replay.db")
    schema.build(engine)
    with registry.reading() as book, connection.writing(engine) as fresh:
        replay = Replay(fresh, queries.all_corrections(book.connection))
        for batch in in_batches(queries.stored_entries(book.connection)):
            replay.take(batch)
        found = Reading(fresh).state(code)
    engine.dispose()
    return found


def test_a_corrected_measurement_shows_in_the_state_and_in_a_fresh_replay(
    registry: Registry, tmp_path: Path
) -> None:
    piece = a_piece(registry, to="poured")
    with registry.writing() as w:
        wrong = measure_piece(w, piece, [read_station("height=540mm/with")])
        measure_piece(w, piece, [read_station("span=20cm")])
        made = correct_entry(
            w,
            wrong.leaf,
            {"stations": [read_station("height=450mm/with")], "mass": "31.5 kg"},
            reason="digits changed places",
        )
    measured = state(registry, piece)
    assert {s.name: str(s.length) for s in measured.stations} == {
        "height": "450 mm",
        "span": "20 cm",
    }
    assert measured.mass == Quantity("31.5", "kg")
    assert measured.corrections == len(made) == 1
    assert replayed(registry, piece, tmp_path) == measured
    assert audit(registry).faults == ()


def test_a_corrected_title_shows_in_the_state_the_search_and_a_fresh_replay(
    registry: Registry, tmp_path: Path
) -> None:
    work = a_work(registry, title="Heron, standing")
    with registry.writing() as w:
        correct_entry(w, f"{work}#1", {"title": "Heron, asleep", "year": "2019~"}, reason="letter")
    assert (state(registry, work).title, state(registry, work).year) == ("Heron, asleep", "2019~")
    with registry.reading() as reading:
        assert reading.search("asleep") == [(work, "K", "Heron, asleep")]
        assert reading.search("standing") == []
    assert replayed(registry, work, tmp_path) == state(registry, work)
    assert audit(registry).faults == ()


def test_a_corrected_wax_shows_its_mass_while_the_mold_keeps_its_count(
    registry: Registry, tmp_path: Path
) -> None:
    wax = a_wax(registry, mass=Quantity("21", "kg"))
    mold = state(registry, wax).mold
    with registry.writing() as w:
        correct_entry(w, f"{wax.lower()}#1", {"mass": "2.1 kg", "wall": "3/16in"}, reason="typed")
    assert state(registry, wax).mass == Quantity("2.1", "kg")
    assert state(registry, wax).wall == Quantity("3/16", "in")
    assert state(registry, mold).sections[0].pulls == 1
    assert replayed(registry, wax, tmp_path) == state(registry, wax)
    assert audit(registry).faults == ()


def test_the_earlier_entry_stays_as_it_was(registry: Registry) -> None:
    work = a_work(registry, title="Heron, standing")
    with registry.reading() as reading:
        stored, _ = find_entry(reading, f"{work}#1")
    with registry.writing() as w:
        correct_entry(w, f"{work}#1", {"title": "Heron, asleep"}, reason="letter")
    with registry.reading() as reading:
        assert reading.entry(stored.leaf.hex()) == stored.raw
        assert b"standing" in stored.raw
        assert [one.facts.kind for _, one in reading.history(work)] == [
            "work_entered",
            "entry_corrected",
        ]


def test_a_correction_is_corrected_by_another_and_the_last_word_counts(book: Registry) -> None:
    work = a_work(book)
    with book.writing() as w:
        correct_entry(w, f"{work}#1", {"title": "Heron, asleep"}, reason="letter")
        correct_entry(w, f"{work}#1", {"title": "Heron, awake"}, reason="second letter")
    assert state(book, work).title == "Heron, awake"
    with pytest.raises(Refused, match="cannot be corrected"), book.writing() as w:
        correct_entry(w, f"{work}#2", {"changes": "x"}, reason="no")


def test_what_happened_since_is_folded_over_the_correction(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="poured")
    with book.writing() as w:
        mark = record_mark(w, piece, "3/8", place="base")
        give_number(w, piece, "3/8")
        correct_entry(w, mark.leaf[:8], {"place": "under the base", "method": "cold cut"})
    cast = state(book, piece)
    assert (cast.marks[0].line.place, cast.marks[0].line.method) == ("under the base", "cold cut")
    assert (cast.number, cast.poured, len(cast.steps)) == ("3/8", True, 5)
    with book.reading() as reading:
        assert reading.bearer(figure.run, "3/8") == piece
        assert reading.resolve("T-0101") == piece


def test_a_pour_is_corrected_for_every_piece_it_touches(book: Registry) -> None:
    figure = a_figure(book)
    one, two = a_cast(book, figure, "T-0101"), a_cast(book, figure, "T-0102")
    with book.writing() as w:
        heat = open_heat(w, "24-117", alloy="C87300").code
        poured = pour_heat(w, heat, [one, two])
        correct_entry(w, poured.leaf, {"metal": "2000F", "hand": figure.hand}, reason="left out")
    assert state(book, heat).metal == Quantity("2000", "°F")
    assert [state(book, code).corrections for code in (heat, one, two, figure.run)] == [1] * 4
    for piece in (one, two):
        assert state(book, piece).steps[-1].hand == figure.hand
    assert state(book, figure.run).poured == 2
    assert audit(book).faults == ()


def test_a_held_field_is_corrected_in_confidence(registry: Registry) -> None:
    with registry.writing() as w:
        party = enter_party(w, "hand", private_name="Jo Fenwick", contact="below the stairs").code
        made = correct_entry(
            w,
            f"{party}#1",
            {"private_name": "Joan Fenwick", "contact": "", "place": "Harrow"},
            reason="asked Joan",
        )
    assert [len(made), state(registry, party).corrections] == [2, 2]
    assert state(registry, party).place == "Harrow"
    with registry.reading() as reading:
        stored, _ = find_entry(reading, f"{party}#1")
        assert held_now(reading, stored) == {"private_name": "Joan Fenwick", "contact": None}
        for one in made:
            raw = reading.entry(one.leaf)
            assert b"Joan" not in raw
            assert b"asked" not in raw
    assert audit(registry).faults == ()


def test_held_values_without_correction_are_those_first_said(book: Registry) -> None:
    piece = a_piece(book, note="second choice")
    with book.reading() as reading:
        stored, _ = find_entry(reading, f"{piece}#1")
        assert held_now(reading, stored) == {"note": "second choice"}
    with book.writing() as w:
        shelled = record_step(w, "gated", [piece])[0]
        correct_entry(w, shelled.leaf, {"hand": "Y-0001"})
    with book.reading() as reading:
        assert held_now(reading, find_entry(reading, shelled.leaf)[0]) == {"note": None}


def test_a_leaf_is_known_by_its_first_digits_in_any_case(registry: Registry) -> None:
    work = a_work(registry)
    with registry.reading() as reading:
        (stored, _) = reading.history(work)[0]
        leaf = stored.leaf.hex()
        for typed in (leaf[:8], leaf[:9].upper(), f" {leaf} "):
            found, one = find_entry(reading, typed)
            assert found.leaf == stored.leaf
            assert one.subject == work
        assert [one.leaf for one in reading.beginning(leaf[:7])] == [stored.leaf]
        # Every leaf of the book begins with no digit at all; three at most are looked up.
        assert len(reading.beginning("")) == 3


def test_a_start_that_several_leaves_share_is_refused(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_work(book)
    with book.reading() as reading:
        # Two leaves that share eight digits would take some 65 000 entries to find.
        both = reading.beginning("")[:2]
        monkeypatch.setattr(reading, "beginning", lambda _: both)
        with pytest.raises(Unreadable, match="Several entries"):
            find_entry(reading, "0" * 8)
