"""Corrections as people write them, field by field."""

from __future__ import annotations

import typing

import msgspec
import pytest

from editions.errors import BronzebookError, NotKnown, Unreadable
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.fields import read_field
from editions.registry.acts.heats import charge_line, open_heat
from editions.registry.acts.molds import inspect_mold
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.pieces import register_cast
from editions.registry.acts.waxes import pull_wax
from editions.trade.catalogue import KINDS
from editions.trade.quantities import Quantity
from tests.registry.builders import a_heat, a_mold, a_piece, a_work, state


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
    "coat": "3", "hand": "Y-0001", "stations": "height=450mm", "charge": "ingot LOT 881=6kg",
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
