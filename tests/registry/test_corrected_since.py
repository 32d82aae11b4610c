"""What of a certificate was corrected after it was issued, and what was not."""

from __future__ import annotations

from pathlib import Path

import pytest

from certificates.issue import issue, reserve
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import promise_number
from editions.registry.acts.parties import give_authority
from editions.registry.acts.pieces import measure_piece, register_cast
from editions.registry.corrected_since import CorrectedFact, corrected_facts, corrected_since
from editions.trade.certificates import Certificate
from editions.trade.quantities import read_quantity
from editions.trade.statement import Station
from tests.registry import builders

HEIGHT = Station(name="height", length=read_quantity("450 mm", "length"), base="without")
WIDTH = Station(name="width", length=read_quantity("20 cm", "length"))


@pytest.fixture
def book(tmp_path: Path) -> Registry:
    """A finished piece, measured and marked, on which a certificate can be issued."""
    registry = builders.a_registry(tmp_path / "book")
    artist = builders.an_artist(registry, born="1931")
    run = builders.a_run(registry, builders.a_work(registry, artist), model=None)
    builders.a_model(registry, "K-0001")
    piece = builders.a_piece(registry, run, to="coloured", number="3/8")
    with registry.writing() as w:
        measure_piece(w, piece, [HEIGHT, WIDTH], mass=read_quantity("12.4 kg", "mass"))
        record_mark(w, piece, "Varga 3/8", place="base")
        approve_piece(w, piece, "colour", by=artist, how="in person")
    return registry


def certified(registry: Registry, piece: str = "P-0001") -> str:
    (made,) = issue(registry, [piece], passphrase=builders.PASSPHRASE)
    return made.number


def since(registry: Registry, number: str) -> tuple[CorrectedFact, ...]:
    with registry.reading() as reading:
        return corrected_since(reading, reading.get(number, Certificate))


def leaf(registry: Registry, code: str, kind: str) -> str:
    """The leaf of the last entry of a kind in the history of a subject."""
    with registry.reading() as reading:
        found = [s.leaf.hex() for s, one in reading.history(code) if one.facts.kind == kind]
    return found[-1]


def correct(registry: Registry, code: str, kind: str, **changes: str) -> int:
    """Correct the last entry of that kind; the position of the correction."""
    with registry.writing() as w:
        return correct_entry(w, leaf(registry, code, kind), changes, reason="slip")[-1].position


def test_a_mass_corrected_after_issue_is_told_with_both_values_and_its_entry(
    book: Registry,
) -> None:
    number = certified(book)
    at = correct(book, "P-0001", "piece_measured", mass="12.6 kg")
    (fact,) = since(book, number)
    assert (fact.fact, fact.code, fact.was, fact.now) == ("mass", "P-0001", "12.4 kg", "12.6 kg")
    assert (fact.position, fact.by) == (at, "Y-0001")
    assert fact.entry == leaf(book, "P-0001", "piece_measured")
    assert fact.leaf == leaf(book, "P-0001", "entry_corrected")
    assert fact.says == (
        f"mass of the cast: 12.4 kg; corrected to 12.6 kg, 2 March 2026 (entry {at})"
    )


def test_only_the_lines_that_differ_are_told(book: Registry) -> None:
    number = certified(book)
    correct(book, "P-0001", "piece_measured", stations="height=45.2cm/without; width=20cm")
    correct(book, "P-0001", "mark_found", place="back of the base")
    stations, mark = since(book, number)
    assert (stations.fact, stations.was, stations.now) == (
        "measurements", "height without base: 450 mm", "height without base: 45.2 cm",
    )  # fmt: skip
    assert (mark.was, mark.now) == ("“Varga 3/8”, base", "“Varga 3/8”, back of the base")


def test_title_name_and_life_dates_are_facts_of_the_paper_too(book: Registry) -> None:
    number = certified(book)
    correct(book, "K-0001", "work_entered", title="Heron, asleep")
    correct(book, "Y-0002", "party_entered", name="Ilse Vargas", born="1932")
    told = {(fact.fact, fact.code, fact.was, fact.now) for fact in since(book, number)}
    assert {fact.of for fact in since(book, number)} == {"the work", "the artist"}
    assert told == {
        ("title", "K-0001", "Heron, standing", "Heron, asleep"),
        ("name", "Y-0002", "Ilse Varga", "Ilse Vargas"),
        ("life dates", "Y-0002", "born 1931", "born 1932"),
    }


def test_a_mold_and_who_approved_are_told_by_what_the_paper_prints_of_them(
    book: Registry,
) -> None:
    agent = builders.a_party(book, "artist", name="Nils Brandt", born="1960")
    with book.writing() as w:
        give_authority(w, agent, "Y-0002", capacity="representative", document="letter")
        approve_piece(w, "P-0001", "colour", by=agent, how="in writing")
    number = certified(book)
    correct(book, "M-0001", "mold_made", material="polyurethane", place="rack 3")
    correct(book, agent, "party_entered", name="Nils Brand", born="1961")
    mold, name = since(book, number)
    assert (mold.fact, mold.of, mold.code) == ("material", "mold M-0001", "M-0001")
    assert (mold.was, mold.now) == ("silicone", "polyurethane")
    assert name.of == agent
    # The life dates of somebody who approved are printed nowhere.
    assert (name.fact, name.was, name.now) == ("name", "Nils Brandt", "Nils Brand")


def test_a_fact_added_by_a_correction_was_not_recorded_on_the_paper(book: Registry) -> None:
    number = certified(book)
    correct(book, "Y-0002", "party_entered", died="2009")
    (fact,) = since(book, number)
    assert (fact.was, fact.now) == ("born 1931", "1931–2009")
    with book.writing() as w:
        cast = register_cast(w, "K-0001", foundry="Fonderie du Quai").code
        record_mark(w, cast, "No. 2")
    old = certified(book, cast)
    correct(book, cast, "earlier_cast_registered", alloy="tin bronze", cast="1939")
    assert {(f.fact, f.was, f.now) for f in since(book, old)} == {
        ("alloy", "not recorded", "tin bronze"),
        ("cast", "not recorded", "1939"),
    }


def test_each_correction_is_told_in_the_order_of_the_book(book: Registry) -> None:
    number = certified(book)
    correct(book, "P-0001", "piece_measured", mass="12.6 kg")
    correct(book, "K-0001", "work_entered", title="Heron, asleep")
    correct(book, "P-0001", "piece_measured", mass="12.5 kg")
    told = [(fact.was, fact.now) for fact in since(book, number)]
    assert told == [
        ("12.4 kg", "12.6 kg"), ("Heron, standing", "Heron, asleep"), ("12.6 kg", "12.5 kg"),
    ]  # fmt: skip


def test_what_was_corrected_before_issue_is_on_the_paper_already(book: Registry) -> None:
    correct(book, "P-0001", "piece_measured", mass="12.6 kg")
    first = certified(book)
    assert since(book, first) == ()
    correct(book, "P-0001", "piece_measured", mass="12.5 kg")
    assert [(fact.was, fact.now) for fact in since(book, first)] == [("12.6 kg", "12.5 kg")]


@pytest.mark.parametrize(
    ("code", "kind", "changes"),
    [
        ("K-0001", "work_entered", {"year": "1988"}),
        ("K-0001", "work_entered", {"note": "said on the telephone"}),
        ("Y-0002", "party_entered", {"place": "Bergen"}),
        ("M-0001", "mold_made", {"place": "rack 3"}),
        ("W-0001", "wax_pulled", {"mass": "2.1 kg"}),
        ("P-0001", "colour_applied", {"differs": "warmer"}),
    ],
)
def test_a_correction_of_what_no_paper_prints_is_not_told(
    book: Registry, code: str, kind: str, changes: dict[str, str]
) -> None:
    number = certified(book)
    correct(book, code, kind, **changes)
    assert since(book, number) == ()


def test_a_correction_of_what_had_been_superseded_on_the_paper_is_not_told(book: Registry) -> None:
    with book.writing() as w:
        apply_colour(w, "P-0001", words="black")
    number = certified(book)
    with book.reading() as reading:
        kinds = [(s.leaf.hex(), one.facts.kind) for s, one in reading.history("P-0001")]
    first = next(each for each, kind in kinds if kind == "colour_applied")
    with book.writing() as w:
        correct_entry(w, first, {"words": "brown over blue"}, reason="slip")
    assert since(book, number) == ()
    correct(book, "P-0001", "colour_applied", words="black, waxed")
    assert [(fact.was, fact.now) for fact in since(book, number)] == [("black", "black, waxed")]


def test_what_happened_after_issue_is_no_correction(book: Registry) -> None:
    number = certified(book)
    with book.writing() as w:
        measure_piece(w, "P-0001", [], mass=read_quantity("13 kg", "mass"))
    assert since(book, number) == ()
    correct(book, "P-0001", "piece_measured", mass="13.1 kg")
    assert since(book, number) == ()


def test_another_piece_of_the_run_is_not_touched(book: Registry) -> None:
    other = builders.a_piece(book, "R-0001", to="approved in colour", number="4/8")
    one, two = certified(book), certified(book, other)
    correct(book, other, "colour_applied", words="black")
    assert since(book, one) == ()
    assert [fact.code for fact in since(book, two)] == [other]


def test_a_reservation_prints_work_and_artist(book: Registry) -> None:
    with book.writing() as w:
        promise_number(w, "R-0001", "5/8")
    (made,) = reserve(book, "R-0001", "5/8", passphrase=builders.PASSPHRASE)
    correct(book, "P-0001", "piece_measured", mass="12.6 kg")
    correct(book, "K-0001", "work_entered", title="Heron, asleep")
    assert [fact.fact for fact in since(book, made.number)] == ["title"]


def test_no_entries_no_corrections() -> None:
    assert corrected_facts({}, 0) == ()
    assert corrected_facts({"P-0001": []}, 5) == ()
