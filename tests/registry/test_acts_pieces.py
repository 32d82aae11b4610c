"""What people do with pieces."""

from __future__ import annotations

import pytest

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.pieces import (
    measure_piece,
    note_defect,
    register_cast,
    release_piece,
    scrap_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.waxes import number_wax, pull_wax
from editions.trade.quantities import Quantity, read_quantity
from editions.trade.stations import read_station
from tests.registry.builders import a_party, a_piece, a_run, a_work, state
from tests.registry.figures import a_cast, a_figure


def test_a_piece_is_started_with_its_tag_and_sections(registry: Registry) -> None:
    figure = a_figure(registry)
    with registry.writing() as w:
        made = start_piece(w, figure.run.lower(), tag="t-0101", sections=["head", " torso "])
    piece = state(registry, made.code)
    assert (piece.tag, piece.run, piece.purpose) == ("T-0101", figure.run, "run")
    assert [section.name for section in piece.sections] == ["head", "torso"]


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ({"tag": "T 0101"}, Unreadable),
        ({"tag": "P-0101"}, Refused),
        ({"sections": ["head", "head"]}, Refused),
        ({"sections": [""]}, Unreadable),
        ({"code": "W-0001"}, Unreadable),
        ({"on": "2027-01-01"}, Refused),
        ({"note": "\x00"}, Unreadable),
    ],
)
def test_a_piece_that_cannot_be_read_is_not_started(
    book: Registry, said: dict[str, object], error: type[Exception]
) -> None:
    run = a_run(book)
    with pytest.raises(error), book.writing() as w:
        start_piece(w, run, **said)  # type: ignore[arg-type]
    assert state(book, "P-0001") is None


def test_a_tag_hangs_on_one_piece(registry: Registry) -> None:
    figure = a_figure(registry)
    a_cast(registry, figure, "T-0101", to="started")
    with pytest.raises(Refused, match="hangs on P-0001"), registry.writing() as w:
        start_piece(w, figure.run, tag="T-0101")


def test_a_wax_goes_to_the_section_it_is_of_with_mold_and_pull(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="started")
    with registry.writing() as w:
        pull_wax(w, figure.mold, "torso", run=figure.run)
        wax = pull_wax(w, figure.mold, "torso", run=figure.run).code
        take_wax(w, "T-0101", wax.lower())
    torso = state(registry, piece).section("torso")
    assert (torso.wax, torso.mold, torso.pull) == (wax, figure.mold, 2)
    assert state(registry, wax).piece == piece


def test_a_number_cut_into_the_wax_comes_along(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="started")
    with registry.writing() as w:
        wax = pull_wax(w, figure.mold, "torso", run=figure.run).code
        number_wax(w, wax, "3/8")
        take_wax(w, piece, wax)
    assert state(registry, piece).reserved == "3/8"


@pytest.mark.parametrize(
    ("wax", "section", "error", "says"),
    [
        ("W-0099", None, NotKnown, "W-0099"),
        ("M-0001", None, NotKnown, "not a wax"),
        ("W-0001", "wing", NotKnown, "no section"),
        ("W-0001", None, Refused, "W-0001"),
    ],
)
def test_a_wax_that_is_not_there_or_is_taken_is_refused(
    book: Registry, wax: str, section: str | None, error: type[Exception], says: str
) -> None:
    figure = a_figure(book)
    a_cast(book, figure, "T-0101", to="waxed")
    piece = a_cast(book, figure, "T-0102", to="started")
    with pytest.raises(error, match=says), book.writing() as w:
        take_wax(w, piece, wax, section=section)


def test_a_section_takes_one_wax(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="waxed")
    with book.writing() as w:
        spare = pull_wax(w, figure.mold, "head", run=figure.run).code
    with pytest.raises(Refused, match="made from W-0001 already"), book.writing() as w:
        take_wax(w, piece, spare)


def test_a_piece_is_measured_and_measured_again(registry: Registry) -> None:
    piece = a_piece(registry, to="poured")
    with registry.writing() as w:
        first = [read_station("height=450mm/with"), read_station("height=440mm/without")]
        measure_piece(w, piece, first, mass=read_quantity("31.5kg", "mass"))
        measure_piece(w, piece, [read_station("height=451mm/with")])
    measured = state(registry, piece)
    assert {(s.base, str(s.length)) for s in measured.stations} == {
        ("with", "451 mm"),
        ("without", "440 mm"),
    }
    assert measured.mass == Quantity("31.5", "kg")


@pytest.mark.parametrize(
    ("stations", "mass", "error"),
    [
        ([], None, Unreadable),
        (["height=450mm", "height=451mm"], None, Refused),
        (["height=0mm"], None, Refused),
        ([], "0kg", Refused),
    ],
)
def test_a_measurement_of_nothing_is_refused(
    book: Registry, stations: list[str], mass: str | None, error: type[Exception]
) -> None:
    piece = a_piece(book)
    weighed = read_quantity(mass, "mass") if mass else None
    with pytest.raises(error), book.writing() as w:
        measure_piece(w, piece, map(read_station, stations), mass=weighed)


def test_a_piece_is_scrapped_with_its_proof(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="poured")
    with registry.writing() as w:
        scrap_piece(
            w, piece, evidence="melted in 26-009", digest="cd" * 32, reason="misrun at the foot"
        )
    scrapped = state(registry, piece)
    assert scrapped.scrapped == "2026-03-02"
    assert (scrapped.ending.evidence, scrapped.ending.digest) == ("melted in 26-009", "cd" * 32)
    with pytest.raises(Refused, match="scrapped"), registry.writing() as w:
        scrap_piece(w, piece, evidence="again")


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ({"evidence": " "}, Unreadable),
        ({"evidence": "seen", "witness": "Y-0099"}, NotKnown),
        ({"evidence": "seen", "section": "wing"}, NotKnown),
        ({"evidence": "seen", "digest": "not a digest"}, Unreadable),
    ],
)
def test_a_scrapping_without_proof_is_refused(
    book: Registry, said: dict[str, str], error: type[Exception]
) -> None:
    piece = a_piece(book, to="poured")
    with pytest.raises(error), book.writing() as w:
        scrap_piece(w, piece, **said)
    assert state(book, piece).scrapped is None


def test_a_piece_is_released_and_to_whom_is_held(registry: Registry) -> None:
    piece = a_piece(registry, to="approved in colour")
    with registry.writing() as w:
        made = release_piece(w, piece, to="Madame Orsolya Kis", note="in two crates")
    released = state(registry, piece)
    assert (released.released, released.released_as) == ("2026-03-02", "finished")
    with registry.reading() as reading:
        raw = reading.entry(made.leaf)
    assert b"Orsolya" not in raw
    assert b"crates" not in raw


def test_a_piece_is_released_in_raw_metal_once_the_metal_is_approved(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="poured")
    with pytest.raises(Refused, match="not approved in metal"), book.writing() as w:
        release_piece(w, piece, state="raw metal")
    with book.writing() as w:
        approve_piece(w, piece, "metal", by=figure.artist, how="in person")
        release_piece(w, piece, state="raw metal")
    assert state(book, piece).released_as == "raw metal"
    with pytest.raises(Refused, match="released"), book.writing() as w:
        apply_colour(w, piece, words="brown")


def test_an_earlier_cast_is_registered_from_the_object_with_its_unknowns(
    registry: Registry,
) -> None:
    work = a_work(registry)
    with registry.writing() as w:
        bare = register_cast(w, work).code
        full = register_cast(
            w,
            work.lower(),
            tag="OLD/7",
            cast="1974~",
            alloy="bronze",
            foundry="said to be cast in Szeged",
            seen_by="Y-0001",
            colour="black",
            owner="a lender",
            note="base replaced",
        ).code
    unknown, known = state(registry, bare), state(registry, full)
    assert unknown.from_object
    assert (unknown.cast, unknown.alloy, unknown.run) == (None, None, None)
    assert (known.cast, known.alloy, known.colours[0].words) == ("1974~", "bronze", "black")


@pytest.mark.parametrize(
    "said",
    [
        {"cast": "74"},
        {"cast": "2031"},
        {"run": "R-0099"},
        {"seen_by": "Y-0099"},
        {"tag": "a b"},
        {"owner": "\u2066x"},
        {"alloy": "x" * 121},
    ],
)
def test_an_earlier_cast_that_cannot_be_read_is_not_registered(
    book: Registry, said: dict[str, str]
) -> None:
    work = a_work(book)
    with pytest.raises(BronzebookError), book.writing() as w:
        register_cast(w, work, **said)  # type: ignore[arg-type]
    assert state(book, "P-0001") is None


def test_hands_and_witnesses_must_be_in_the_book(book: Registry) -> None:
    piece, person = a_piece(book), a_party(book)
    with book.writing() as w:
        note_defect(w, piece, "B", hand=person.lower())
    with pytest.raises(NotKnown, match="No party Y-0077"), book.writing() as w:
        note_defect(w, piece, "B", hand="Y-0077")
