"""Corrections: the earlier entry stays, and the subject is folded again from its first entry on."""

from __future__ import annotations

import typing
from pathlib import Path

import msgspec
import pytest

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Reading, Registry
from editions.registry.acts.colour import write_recipe
from editions.registry.acts.corrections import correct_entry, find_entry, held_now
from editions.registry.acts.fields import read_field
from editions.registry.acts.heats import charge_line, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import inspect_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.pieces import measure_piece, register_cast
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.registry.auditing import audit
from editions.store import connection, queries, schema
from editions.store.replay import Replay, in_batches
from editions.trade.catalogue import KINDS
from editions.trade.kinds import State
from editions.trade.quantities import Quantity
from editions.trade.stations import read_station
from tests.registry.builders import a_heat, a_mold, a_piece, a_run, a_wax, a_work, state
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


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ("H-0001#1", "number"),
        ("H-0001#1", "alloy"),
        ("P-0001#1", "tag"),
        ("P-0001#1", "run"),
        ("P-0001#2", "text"),
        ("P-0001#2", "number"),
        ("P-0001#3", "designation"),
        ("R-0001#1", "declared"),
        ("BOOK#1", "log_key"),
        ("BOOK#1", "certifying_key"),
        ("W-0001#1", "pull"),
        ("C-0001#1", "layers"),
        ("K-0001#1", "artist"),
    ],
)
def test_numbers_tags_keys_and_what_a_subject_is_are_never_corrected(
    book: Registry, entry: str, field: str
) -> None:
    run = a_run(book)
    piece = a_piece(book, run, tag="T-0101")
    a_wax(book), a_heat(book, number="24-117")
    with book.writing() as w:
        record_mark(w, piece, "3/8")
        give_number(w, piece, "3/8")
        write_recipe(w, "Heron brown", words="brown")
    with pytest.raises(Refused, match="cannot be corrected"), book.writing() as w:
        correct_entry(w, entry, {field: "other"}, reason="wrong")


def test_no_kind_lets_a_number_a_tag_or_a_key_be_corrected() -> None:
    never = {"number", "tag", "designation", "piece", "run", "log_key", "certifying_key", "wax"}
    assert {name for kind in KINDS.values() for name in kind.correctable} & never == set()


@pytest.mark.parametrize(
    ("changes", "error", "says"),
    [
        ({}, Refused, "already"),
        ({"title": "Heron, standing"}, Refused, "already"),
        ({"titel": "Heron"}, Refused, "no field"),
        ({"title": ""}, Unreadable, "cannot be left empty"),
        ({"title": "x" * 121}, Unreadable, "work entered"),
        ({"title": "a\u202eb"}, Unreadable, "reading direction"),
        ({"title": 7}, Unreadable, "work entered"),
        ({"year": "last year"}, Unreadable, "not a date"),
        ({"other_titles": ["", "b"]}, Unreadable, "work entered"),
        ({"note": "\x07"}, Unreadable, "control"),
        ({"note": 7}, Unreadable, "note"),
    ],
)
def test_a_correction_that_cannot_be_read_changes_nothing(
    book: Registry, changes: dict[str, object], error: type[BronzebookError], says: str
) -> None:
    work = a_work(book)
    with pytest.raises(error, match=says), book.writing() as w:
        correct_entry(w, f"{work}#1", changes, reason="wrong")
    assert state(book, work).corrections == 0


@pytest.mark.parametrize(
    ("entry", "error", "says"),
    [
        ("K-0001#9", NotKnown, "has 1 entries"),
        ("K-0001#0", Unreadable, "names no entry"),
        ("K-0009#1", NotKnown, "K-0009"),
        ("K-0001", Unreadable, "names no entry"),
        ("abc", Unreadable, "names no entry"),
        ("0" * 8, NotKnown, "No entry has a leaf"),
        ("0" * 64, NotKnown, "No entry has a leaf"),
        ("0" * 65, Unreadable, "names no entry"),
        ("#1", Unreadable, "names no entry"),
    ],
)
def test_an_entry_that_is_not_there_is_not_corrected(
    book: Registry, entry: str, error: type[BronzebookError], says: str
) -> None:
    a_work(book)
    with pytest.raises(error, match=says), book.writing() as w:
        correct_entry(w, entry, {"title": "Heron"}, reason="wrong")


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


def test_lists_are_stated_again_as_a_whole_in_words(book: Registry) -> None:
    earlier = a_heat(book, a_piece(book, to="fired"), number="24-101")
    mold, work = a_mold(book), a_work(book)
    with book.writing() as w:
        heat = open_heat(w, "24-117", alloy="C87300", charge=[charge_line("ingot", "LOT 1")])
        sound = inspect_mold(w, mold, None, [read_criterion("tears=sound")])
        correct_entry(
            w, heat.leaf, {"charge": "ingot LOT 881=60kg; Returns 24-101=40kg;", "crucible": "A 60"}
        )
        correct_entry(w, sound.leaf, {"criteria": "tears=worn/4mm; detail=sound"})
        correct_entry(w, f"{work}#1", {"other_titles": "Häger; Чапля"})
    charge = state(book, heat.code).charge
    assert [(line.source, line.name, line.heat) for line in charge] == [
        ("ingot", "LOT 881", None),
        ("returns", "24-101", earlier),
    ]
    section = state(book, mold).sections[0]
    assert [(c.name, c.grade) for c in section.criteria] == [("tears", "worn"), ("detail", "sound")]
    assert state(book, work).other_titles == ("Häger", "Чапля")


@pytest.mark.parametrize(
    ("entry", "changes", "error"),
    [
        ("H-0001#1", {"charge": "LOT 881=60kg"}, Unreadable),
        ("H-0001#1", {"charge": "returns 23-001=60kg"}, NotKnown),
        ("M-0001#2", {"criteria": "tears"}, Unreadable),
        ("M-0001#2", {"criteria": "tears=torn"}, Unreadable),
        ("W-0001#1", {"mass": "4 mm"}, Unreadable),
        ("W-0001#1", {"hand": "Y-0099"}, NotKnown),
        ("W-0001#1", {"hand": "M-0001"}, NotKnown),
    ],
)
def test_a_list_or_a_value_of_another_sort_is_refused(
    book: Registry, entry: str, changes: dict[str, str], error: type[BronzebookError]
) -> None:
    mold = a_mold(book)
    a_heat(book)
    with book.writing() as w:
        inspect_mold(w, mold, None, [read_criterion("tears=sound")])
        pull_wax(w, mold, None)
    with pytest.raises(error), book.writing() as w:
        correct_entry(w, entry, changes)


def test_a_value_is_taken_away_where_there_need_not_be_one(book: Registry) -> None:
    work, mold = a_work(book, year="2019"), a_mold(book)
    with book.writing() as w:
        wax = pull_wax(w, mold, None, mass=Quantity("2", "kg"), hand="Y-0001").code
        cast = register_cast(w, work, alloy="brass", foundry="Szeged").code
        correct_entry(w, f"{work}#1", {"year": ""})
        correct_entry(w, f"{wax}#1", {"mass": "", "hand": " "})
        correct_entry(w, f"{cast}#1", {"alloy": "", "foundry": ""})
    assert state(book, work).year is None
    assert (state(book, wax).mass, state(book, wax).hand) == (None, None)
    assert (state(book, cast).alloy, state(book, cast).foundry) == (None, "")


def test_a_photographs_caption_is_corrected_wherever_it_was_filed(book: Registry) -> None:
    mold = a_mold(book)
    with book.writing() as w:
        made = file_photograph(w, mold, "ab" * 32, "cd" * 32, caption="frnot")
        correct_entry(w, made.leaf, {"caption": "front"})
    assert state(book, mold).photographs[0].caption == "front"


# What each correctable field may be given as, in words; a new field must be added here.
SAMPLES = {
    "mass": "2 kg", "wall": "3/16 in", "metal": "2000 °F", "shell": "1300 °F",
    "year": "2019", "born": "1931", "died": "2009", "until": "2030", "cast": "1974~",
    "hand": "Y-0001", "stations": "height=450mm", "charge": "ingot LOT 881",
    "criteria": "tears=sound", "other_titles": "Häger",
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "field"),
    [(name, field) for name, kind in KINDS.items() for field in sorted(kind.correctable)],
)
def test_every_correctable_field_reads_words_into_what_it_holds(
    book: Registry, name: str, field: str
) -> None:
    hint = typing.get_type_hints(KINDS[name], include_extras=True)[field]
    with book.reading() as reading:
        value = read_field(reading, KINDS[name], field, SAMPLES.get(field, "some words"))
    assert value not in (None, "", ())
    assert msgspec.convert(msgspec.to_builtins(value), hint) == value
