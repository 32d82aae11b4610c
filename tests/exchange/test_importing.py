"""Tests of importing: everything with its source, or nothing with every fault."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from editions.errors import FileUnusable, Refused
from editions.exchange import importing
from editions.exchange.importing import Imported, import_csv
from editions.exchange.rows import LARGEST
from editions.ledger.envelope import decode
from editions.registry import Registry
from editions.registry.auditing import audit
from editions.store import queries
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.registry import builders
from tests.registry.builders import state

WORKS = """\
title,artist,artist born,artist died,year,run code,size,proofs,alloy,declared,elsewhere,note
Heron,Ilse Varga,1931,,1984,R-0007,8,4 AP roman; 2 HC,C87300,1985-03,1/8=elsewhere in 1986,binder 1
Hand,Ilse Varga,,,,,,,,,,HELD a note
Torso,Ansgar Thorvik,1874,1939,,,6,,,1920~,,
"""
MOLDS = """\
mold,section,material,title,model,made,pulls,place,note
M-0004,head,plaster,Heron,plaster,1985,14,rack C,HELD mold
M-0004,body,plaster,Heron,plaster,1985,at least 9,rack C,
M-0005,whole,silicone,Hand,,,,,
"""
CASTS = """\
title;run code;tag;cast;alloy;foundry;colour;mark;mark place;height;mass;seen;owner;note
Heron;R-0007;OLD-1;1986;tin bronze;Quai;brown;IV 2/8;base;17 1/8 in;9.2 kg;2026-02-01;HELD owner;x
Torso;;;193X;;;;No. 2/6?;foot;;;;;
"""


@pytest.fixture
def registry(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """A registry just begun, on each kind of database."""
    begun = patterns.copied("begun", stores, tmp_path / "home", builders.a_registry)
    yield begun
    begun.close()


@pytest.fixture
def book(plain_stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """The same on SQLite alone."""
    begun = patterns.copied("begun", plain_stores, tmp_path / "home", builders.a_registry)
    yield begun
    begun.close()


def take(registry: Registry, text: str | bytes, *, rehearse: bool = False) -> Imported:
    """Import a file of this text."""
    path = registry.home.folder / "binder.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return import_csv(registry, path, rehearse=rehearse)


def entries(registry: Registry) -> list[Any]:
    with registry.reading() as r:
        return [decode(one.raw) for one in queries.stored_entries(r.connection)]


def faults(done: Imported) -> list[tuple[int, str]]:
    return [(fault.row, fault.message) for fault in done.faults]


def test_every_layout_comes_in_and_every_entry_tells_its_row(registry: Registry) -> None:
    for text, layout, rows, count in (
        (WORKS, "works and runs", 3, 7),
        (MOLDS, "molds and pulls", 3, 4),
        (CASTS, "earlier casts", 2, 5),
    ):
        before = len(entries(registry))
        done = take(registry, text)
        assert (done.layout, done.rows, done.entries) == (layout, rows, count)
        assert (done.faults, done.written) == ((), True)
        made = entries(registry)[before:]
        digest = hashlib.sha256(text.encode()).hexdigest()
        assert done.digest == digest
        assert {entry.source["digest"] for entry in made} == {digest}
        assert len(made) == count
        assert {entry.at[:10] for entry in made} == {"2026-03-02"}
    assert audit(registry).faults == ()


def test_what_came_in_stands_where_people_look_for_it(book: Registry) -> None:
    for text in (WORKS, MOLDS, CASTS):
        take(book, text)
    with book.reading() as r:
        cast = r.resolve("OLD-1")
    run = state(book, "R-0007")
    assert (run.declared.size, run.since, run.declared.alloy) == (8, "1985-03", "C87300")
    assert [(p.series, p.count) for p in run.declared.proofs] == [("AP", 4), ("HC", 2)]
    assert [(e.designation, e.where) for e in run.declared.elsewhere] == [
        ("1/8", "elsewhere in 1986")
    ]
    assert [(s.name, s.pulls, s.at_least) for s in state(book, "M-0004").sections] == [
        ("head", 14, False),
        ("body", 9, True),
    ]
    piece = state(book, cast)
    assert (piece.from_object, piece.cast_on, piece.alloy) == (True, "1986", "tin bronze")
    assert str(piece.mass) == "9.2 kg"
    assert [str(one.length) for one in piece.stations] == ["17 1/8 in"]
    (mark,) = piece.marks
    assert (mark.line.text, mark.line.place) == ("IV 2/8", "base")


def test_rows_are_told_by_number_in_every_entry(book: Registry) -> None:
    take(book, WORKS)
    take(book, MOLDS)
    take(book, CASTS)
    told = [(e.kind, e.source["row"]) for e in entries(book) if e.source]
    assert told == [
        ("party_entered", 2), ("work_entered", 2), ("run_declared", 2),
        ("work_entered", 3),
        ("party_entered", 4), ("work_entered", 4), ("run_declared", 4),
        ("model_entered", 2), ("mold_made", 2), ("model_entered", 4), ("mold_made", 4),
        ("earlier_cast_registered", 2), ("mark_found", 2), ("piece_measured", 2),
        ("earlier_cast_registered", 3), ("mark_found", 3),
    ]  # fmt: skip


def test_notes_and_owners_are_held(book: Registry) -> None:
    for text in (WORKS, MOLDS, CASTS):
        take(book, text)
    with book.reading() as r:
        raws = [one.raw for one in queries.stored_entries(r.connection)]
        kept = [r.held_values_of(at) for at in range(len(raws))]
    assert not [raw for raw in raws if b"HELD" in raw]
    values = [value for one in kept for value in one.values() if value]
    assert {"HELD a note", "HELD mold", "HELD owner"} <= set(values)


def test_a_rehearsal_says_what_would_be_and_writes_nothing(registry: Registry) -> None:
    before = len(entries(registry))
    done = take(registry, WORKS, rehearse=True)
    assert (done.entries, done.written, done.faults) == (7, False, ())
    assert "R-0007" in done.codes
    assert len(entries(registry)) == before
    assert take(registry, WORKS).written


def test_the_very_same_file_comes_in_once(registry: Registry) -> None:
    take(registry, WORKS)
    before = len(entries(registry))
    with pytest.raises(Refused, match="imported before, on 2026-03-02"):
        take(registry, WORKS)
    with pytest.raises(Refused, match="imported before"):
        take(registry, WORKS, rehearse=True)
    assert len(entries(registry)) == before


def test_every_fault_is_told_with_its_row_and_nothing_is_written(registry: Registry) -> None:
    before = len(entries(registry))
    done = take(
        registry,
        "title,artist,size,declared,artist born,alloy,run code\n"
        "Heron,Ilse Varga,8,1985,1931,C87300,R-0001\n"
        "Hand,Ilse Varga,eight,1985,,C87300,\n"
        ",Ilse Varga,8,1985,,C87300,\n"
        "Foot,Ilse Varga,8,3 May 1985,,C87300,\n"
        "Heron,Ilse Varga,6,1985,,C87300,R-0001\n"
        "Ear,Ilse Varga,5,1985,1932,C87300,\n"
        "Torso,Ansgar Thorvik,3,1920,,C87300,R-0009\n",
    )
    assert [row for row, _ in faults(done)] == [3, 4, 5, 6, 7]
    assert dict(faults(done))[3] == "“eight” in column size is not a whole number."
    assert dict(faults(done))[4] == "The column title is empty."
    assert "3 May 1985" in dict(faults(done))[5]
    assert "R-0001" in dict(faults(done))[6]
    assert "artist born 1931; this row says “1932”" in dict(faults(done))[7]
    assert not done.written
    assert len(entries(registry)) == before


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Heron;9/8 and more;1986-13;;", "1986-13"),
        ("Heron;2/8;;18,5 cm;", "18,5 cm"),
        ("Heron;2/8;;eighteen;", "eighteen"),
        ("Heron;2/8;;-4 mm;", "“-4” is not a number of mm"),
        ("Heron;2/8;;;9 stone", "“stone” is not a unit"),
        ("Heron;2/8;1990/1980;;", "1990/1980"),
        ("Stork;2/8;;;", "No work is called “Stork”"),
        ("Heron;;;;", "The column mark is empty"),
        ("Heron;2/8;2031;;", "2031"),
    ],
)
def test_a_value_that_cannot_be_read_is_told_in_its_own_words(
    book: Registry, row: str, said: str
) -> None:
    take(book, WORKS)
    done = take(book, f"title;mark;cast;height;mass\n{row}\n")
    assert [row for row, _ in faults(done)] == [2]
    assert said in faults(done)[0][1]
    assert not done.written


def test_one_mistake_is_told_once_and_what_leans_on_it_too(book: Registry) -> None:
    done = take(
        book,
        "mold,section,material,title,pulls\n"
        "M-0001,head,plaster,Heron,4\n"
        "M-0001,body,plaster,Heron,four\n"
        "M-0002,,plaster,Hand,\n"
        "M-0002,whole,,Hand,\n"
        ",whole,plaster,Hand,\n",
    )
    assert faults(done) == [
        (2, "No work is called “Heron”."),
        (4, "The column section is empty."),
        (5, "The column material is empty."),
        (6, "The column mold is empty."),
    ]


@pytest.mark.parametrize("column", ["material", "title", "model", "made", "place", "note"])
def test_rows_of_one_mold_must_agree(book: Registry, column: str) -> None:
    take(book, WORKS)
    cells = {"material": "plaster", "title": "Heron", "model": "plaster", "made": "1985"}
    cells |= {"place": "rack C", "note": "old"}
    other = {**cells, column: {"title": "Hand", "made": "1986"}.get(column, "other")}
    lines = [f"mold,section,{','.join(cells)}"]
    lines += [f"M-0001,{s},{','.join(c.values())}" for s, c in (("a", cells), ("b", other))]
    done = take(book, "\n".join(lines))
    assert [row for row, _ in faults(done)] == [2]
    assert f"in column {column}" in faults(done)[0][1]


def test_a_work_is_told_apart_by_its_artist(book: Registry) -> None:
    done = take(
        book,
        "title,artist,size\nUntitled,Ilse Varga,8\nUntitled,Ansgar Thorvik,5\n"
        "Untitled,Ansgar Thorvik,3\n",
    )
    assert done.written
    runs = [state(book, code) for code in ("R-0001", "R-0002", "R-0003")]
    artists = [state(book, state(book, run.declared.work).artist).name for run in runs]
    assert artists == ["Ilse Varga", "Ansgar Thorvik", "Ansgar Thorvik"]
    casts = take(book, "title,mark\nUntitled,2/8\n")
    assert "may be any of K-0001, K-0002" in faults(casts)[0][1]


@pytest.mark.parametrize(
    ("header", "row", "said"),
    [
        ("title,artist", "Heron,Ilse Varga", "declares no run of it"),
        ("title,artist,year,size", "Heron,Ilse Varga,1985,3", "year 1984; this row says “1985”"),
        ("title,artist,work code,size", "Heron,Ilse Varga,K-0009,3", "work code K-0001"),
        ("title,artist,artist died,size", "Heron,Ilse Varga,2001,3", "artist died not said"),
    ],
)
def test_a_row_may_not_say_otherwise_of_what_the_book_holds(
    book: Registry, header: str, row: str, said: str
) -> None:
    take(book, WORKS)
    done = take(book, f"{header}\n{row}\n")
    assert said in faults(done)[0][1]


def test_two_casts_with_one_tag_are_told(registry: Registry) -> None:
    take(registry, WORKS)
    done = take(registry, "title,mark,tag\nHeron,2/8,OLD-1\nHeron,3/8,OLD-1\n")
    assert [row for row, _ in faults(done)] == [3]
    assert not done.written


def test_a_book_that_changed_after_the_rehearsal_is_given_up(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = importing._take_in

    def meanwhile(*given: Any, rehearse: bool) -> Imported:
        if not rehearse:
            builders.a_run(book, code="R-0007")
        return true(*given, rehearse=rehearse)

    monkeypatch.setattr(importing, "_take_in", meanwhile)
    with pytest.raises(Refused, match="Row 2: Ilse Varga is in the book already"):
        take(book, WORKS)
    assert not [entry for entry in entries(book) if entry.source]


def test_what_is_no_file_is_refused(book: Registry, tmp_path: Path) -> None:
    for path, said in (
        (tmp_path, "is not a file"),
        (tmp_path / "none.csv", "No such file"),
        (Path("/dev/zero"), "is not a file"),
        (tmp_path / "nul\0.csv", "its name cannot be read"),
    ):
        with pytest.raises(FileUnusable, match=said):
            import_csv(book, path)
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(FileUnusable, match="larger than 20 MB"):
        import_csv(book, large)
