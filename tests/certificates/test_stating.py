"""Tests of what a certificate will say: what the book holds open, all of it, and nothing held."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pikepdf
import pypdfium2
import pytest
from sqlalchemy import select

from certificates.attach import read_attachments
from certificates.stating import state_piece, state_reservation
from certificates.wording import facts_of
from editions.errors import NotKnown
from editions.ledger.canonical import parse
from editions.pages import render_record
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.pieces import register_cast
from editions.registry.acts.runs import declare_run
from editions.store.tables import held
from editions.trade.numbers import make_number
from editions.trade.statement import (
    Assertion,
    HeatLine,
    MarkLine,
    MoldLine,
    ProofSeries,
    SectionLine,
    Statement,
)
from tests.certificates import house
from tests.certificates.house import PIECE, RUN
from tests.helpers.chance import Chance
from tests.pages.builders import HELD, Gallery, gallery
from tests.registry import builders

NUMBER = make_number(Chance("stating"))
TODAY = "2026-03-02"


def stated(registry: Registry, code: str = PIECE, paper: str = "finished") -> Statement:
    with registry.reading() as r:
        return state_piece(r, code, number=NUMBER, issued=TODAY, paper=paper)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Gallery]:
    """A certificate of every kind and standing, with something held in every entry."""
    made = gallery(tmp_path_factory.mktemp("gallery") / "registry")
    yield made
    made.shop.registry.close()


def statements(made: Gallery) -> dict[str, Statement]:
    return {
        name: builders.state(made.shop.registry, number).statement
        for name, number in made.numbers.items()
    }


def test_a_finished_piece_is_stated_as_the_book_holds_it(registry: Registry) -> None:
    said = stated(registry)
    assert (said.number, said.issued, said.paper) == (NUMBER, TODAY, "finished")
    assert (said.artist, said.title) == ("Ilse Varga", "Heron, standing")
    assert (said.piece, said.designation, said.designation_note) == (PIECE, "3/8", "")
    assert (said.foundry, said.foundry_place, said.issuer) == (builders.FOUNDRY, "Harrow", "")
    assert (said.cast, said.route, said.alloy) == (TODAY, "lost wax, ceramic shell", "C87300")
    assert said.heats == (
        HeatLine(number="26-0001", alloy="C87300", poured=TODAY, verdict="not analysed"),
    )
    assert said.sections == (SectionLine(name="whole", mold="M-0001", pull=1, heat="26-0001"),)
    assert said.molds == (
        MoldLine(code="M-0001", material="silicone", taken_from="original model", generation=0),
    )
    assert said.marks == (MarkLine(text="Varga 3/8", place="back of the base", method="stamped"),)
    assert said.colour == "brown over green"
    assert said.approvals == (
        Assertion(text="approved in metal in person, 2 March 2026", by="Ilse Varga"),
        Assertion(text="approved in colour by photograph, 2 March 2026", by="Ilse Varga"),
    )
    with registry.reading() as r:
        (photograph,) = builders.state(registry, PIECE).photographs
        assert r.resolve(PIECE) == said.piece
    assert said.photograph == photograph.digest


def test_what_the_book_does_not_hold_is_not_stated(book: Registry) -> None:
    said = stated(book)
    assert (said.mass, said.stations, said.remarks, said.artist_life) == (None, (), (), "")
    bare = stated(book, house.finished(book, "4/8", to="approved in metal"), "raw_metal")
    assert (bare.colour, bare.photograph, bare.marks) == (None, None, ())


def test_a_run_is_stated_as_far_as_its_artist_publishes_it(book: Registry) -> None:
    run = stated(book).run
    assert run is not None
    assert (run.code, run.size, run.edition_class) == (RUN, 8, "multiple")
    assert run.proofs == (ProofSeries(series="AP", count=4, numerals="roman"),)
    assert run.says == ()
    with book.writing() as w:
        quiet = declare_run(
            w, "K-0001", size=5, proofs=["2 HC"], publishes=["pieces"],
            promise="No more will be cast.", other_runs="There is a run of 8.",
        ).code  # fmt: skip
    said = stated(book, builders.a_piece(book, quiet, number="1/5")).run
    assert said is not None
    assert (said.size, said.proofs) == (None, ())
    assert said.says == (
        Assertion(text="No more will be cast.", by="Ilse Varga"),
        Assertion(text="There is a run of 8.", by="Ilse Varga"),
    )


def test_an_approval_that_was_refused_is_not_stated(book: Registry) -> None:
    piece = house.finished(book, "4/8", to="coloured")
    with book.writing() as w:
        approve_piece(w, piece, "colour", by="Y-0002", how="in person", approved=False)
    assert [line.text for line in stated(book, piece).approvals] == [
        "approved in metal in person, 2 March 2026"
    ]


def test_an_approval_given_twice_is_stated_once_as_last_said(book: Registry) -> None:
    with book.writing() as w:
        approve_piece(w, PIECE, "colour", by="Y-0002", how="in writing")
    assert [line.text for line in stated(book).approvals] == [
        "approved in metal in person, 2 March 2026",
        "approved in colour in writing, 2 March 2026",
    ]


def test_an_approval_taken_back_later_is_not_stated(book: Registry) -> None:
    with book.writing() as w:
        approve_piece(w, PIECE, "metal", by="Y-0002", how="in writing", approved=False)
    assert [line.text for line in stated(book).approvals] == [
        "approved in colour by photograph, 2 March 2026"
    ]


@pytest.mark.parametrize(
    ("died", "late"), [("2026-02", True), ("2009", True), ("2026", False), ("2025~", False)]
)
def test_a_cast_certainly_later_than_the_artists_death_is_posthumous(
    book: Registry, died: str, late: bool
) -> None:
    assert not stated(book).posthumous
    with book.writing() as w:
        correct_entry(w, "Y-0002#1", {"died": died}, reason="letter of the estate")
    assert stated(book).posthumous is late


def test_a_mark_that_differs_from_the_number_given_is_remarked(book: Registry) -> None:
    house.mark(book, PIECE, "Varga 2/8", number="2/8")
    assert stated(book).remarks == ("The metal bears Varga 2/8; the number given is 3/8.",)


def test_a_cast_known_from_the_object_states_what_is_found_and_who_says_it(
    book: Registry,
) -> None:
    with book.writing() as w:
        bare = register_cast(w, "K-0001", cast="../1939", alloy="tin bronze").code
        marked = register_cast(w, "K-0001", run=RUN, foundry="Fonderie du Quai").code
        record_mark(w, marked, "CIRE PERDUE", place="base")
        record_mark(w, marked, "No. 2/6", place="foot")
    said = stated(book, bare, "from_object")
    assert (said.designation, said.cast, said.foundry) == (None, "../1939", "unknown")
    assert (said.alloy, said.route, said.heats) == ("tin bronze", None, ())
    assert (said.foundry_place, said.issuer) == ("", f"{builders.FOUNDRY}, Harrow")
    said = stated(book, marked, "from_object")
    assert (said.designation, said.designation_note) == ("No. 2/6", "as found on the metal")
    assert said.foundry == "Fonderie du Quai"


def test_a_reservation_states_the_number_and_no_cast(book: Registry) -> None:
    with book.reading() as r:
        said = state_reservation(r, RUN, "5/8", number=NUMBER, issued=TODAY)
    assert (said.paper, said.designation, said.piece) == ("reservation", "5/8", None)
    assert (said.cast, said.sections, said.marks, said.approvals) == (None, (), (), ())
    assert said.run is not None
    assert said.run.size == 8


def test_what_is_not_in_the_book_cannot_be_stated(book: Registry) -> None:
    with pytest.raises(NotKnown, match="P-0099"):
        stated(book, "P-0099")
    with pytest.raises(NotKnown, match="R-0099"), book.reading() as r:
        state_reservation(r, "R-0099", "5/8", number=NUMBER, issued=TODAY)


def test_a_section_cast_again_is_remarked_and_its_last_metal_stated(shown: Gallery) -> None:
    said = statements(shown)["sections"]
    assert said.remarks == ("Section left wing was cast 2 times; the last stands.",)
    assert {line.name: line.heat for line in said.sections} == {
        "body": "26-101", "left wing": "26-104", "right wing": "26-103",
    }  # fmt: skip
    assert [heat.number for heat in said.heats] == ["26-101", "26-104", "26-103"]


def test_every_statement_can_be_worded_for_the_paper(shown: Gallery) -> None:
    for name, said in statements(shown).items():
        lines = [line for fact in facts_of(said) for line in fact.lines]
        assert lines, name
        assert msgspec.convert(msgspec.to_builtins(said), Statement) == said


def planted(registry: Registry) -> list[str]:
    """Every text that is held, as its own table keeps it."""
    with registry.reading() as r:
        rows = r.connection.execute(select(held.c.field, held.c.value)).all()
    texts = [text for _, value in rows for text in texts_in(parse(value))]
    return sorted({text for text in texts if HELD in text})


def texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts_in(one)


def all_bytes(pdf: bytes) -> bytes:
    """A PDF as it lies, every stream of it unpacked, its text as read, and its attached files."""
    opened = pypdfium2.PdfDocument(pdf)
    words = [page.get_textpage().get_text_range().encode() for page in opened]
    opened.close()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        streams = [one for one in document.objects if isinstance(one, pikepdf.Stream)]
        plain = [one.read_bytes() for one in streams if one.get("/Subtype") != "/Image"]
    return b"\n".join([pdf, *words, *plain, *read_attachments(pdf).values()])


def test_the_search_for_held_texts_finds_what_is_open(shown: Gallery, tmp_path: Path) -> None:
    number = shown.numbers["stands"]
    pdf = (shown.shop.registry.home.certificates / f"{number}.pdf").read_bytes()
    assert b"Ilse Varga" in all_bytes(pdf)
    assert b"back of the base" in all_bytes(pdf)
    assert b"back of the base" in render_record(shown.shop.registry, number)


def test_held_facts_are_in_no_statement_paper_claim_or_page(shown: Gallery) -> None:
    registry = shown.shop.registry
    assert len(planted(registry)) >= 20
    for name, number in shown.numbers.items():
        pdf = (registry.home.certificates / f"{number}.pdf").read_bytes()
        page = render_record(registry, number)
        statement = msgspec.json.encode(statements(shown)[name])
        for data in (all_bytes(pdf), page, statement):
            assert HELD.encode() not in data, name
            assert not [t for t in planted(registry) if t.encode() in data], name
