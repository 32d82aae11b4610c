"""Every turn of phrase that a page has, drawn once, from a view changed in one place."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from certificates.issue import reserve
from certificates.reporting import report_certificate
from editions.pages.render import record_page, render_record
from editions.pages.since import changes, unexplained
from editions.pages.tongues import english
from editions.pages.values import Assertion, Changed, Correction, Measure, Notice, RecordView
from editions.pages.view import record_view, room
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.numbers import end_promise, promise_number
from editions.trade.certificates import Certificate, Missing
from editions.trade.parts import Colour
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.statement import MarkLine, Station
from tests.pages.builders import HELD, PASSPHRASE, Gallery
from tests.pages.test_render import Page


def look(shown: Gallery, state: str = "sections") -> RecordView:
    return record_view(shown.shop.registry, shown.numbers[state])


def told(view: RecordView) -> str:
    return Page(record_page(view, english())).text.replace("\u00a0", " ")


RUN: list[tuple[dict[str, Any], str]] = [
    ({"published": ()}, "the artist does not publish the size"),
    ({"size": None}, "size not declared"),
    ({"size": None, "edition_class": "unique"}, "a unique cast"),
    ({"edition_class": "original"}, "an original edition"),
    ({"scale": "1:2"}, "Scale 1:2"),
    ({"exist": 2}, "Exists, as this book knows 2 of 3, counted on 23 November 2026"),
    ({"elsewhere": ("2/3", "3/3")}, "Numbers allotted outside this book 2/3, 3/3"),
    ({"amended": 2, "locked_on": None}, "amended twice"),
    ({"amended": 2, "locked_on": "2026-03"}, "amended twice before it was fixed"),
    ({"closed": "2026-05-01", "closed_how": "complete"}, "Closed 1 May 2026, complete"),
    ({"authorised_by": "Estate of A", "capacity": "heirs"}, "is the word of Estate of A, heirs."),
    ({"says": (Assertion(text="Three.", by="A", capacity="heirs"),)}, "Three. A, heirs"),
]


@pytest.mark.parametrize(("change", "said"), RUN)
def test_the_run_is_told(shown: Gallery, change: dict[str, Any], said: str) -> None:
    view = look(shown)
    assert view.run is not None
    text = told(replace(view, run=replace(view.run, **change)))
    assert said in spaced(text, "Scale", "Closed", "Exists, as this book knows",
                          "Numbers allotted outside this book")  # fmt: skip


def spaced(text: str, *labels: str) -> str:
    """The text with a space after each label, which on the page is another element."""
    for label in labels:
        text = text.replace(label, f" {label} ")
    return " ".join(text.split())


def test_a_run_that_is_not_recorded_is_told(shown: Gallery) -> None:
    assert "The run is not recorded." in told(replace(look(shown), run=None))
    assert "The run this cast belongs to is unknown." in told(look(shown, "found"))


MAKING: list[tuple[dict[str, Any], str]] = [
    ({"stages": ()}, "No step is recorded."),
    ({"parts": ()}, "not recorded"),
    ({"approvals": ()}, "none recorded"),
    ({"colours": ()}, "Approvals"),
]


@pytest.mark.parametrize(("change", "said"), MAKING)
def test_the_making_is_told(shown: Gallery, change: dict[str, Any], said: str) -> None:
    view = look(shown)
    assert view.making is not None
    assert said in told(replace(view, making=replace(view.making, **change)))


def test_a_mold_that_was_destroyed_is_told(shown: Gallery) -> None:
    view = look(shown)
    assert view.making is not None
    molds = (replace(view.making.molds[0], destroyed="2026-07"),)
    assert "destroyed July 2026" in told(replace(view, making=replace(view.making, molds=molds)))


def test_figures_of_an_alloy_without_limits_stand_in_a_row(shown: Gallery) -> None:
    view = look(shown)
    assert view.making is not None
    text = told(replace(view, making=replace(view.making, analyses=())))
    assert "Cu 94.6 %, Fe 0.04 %" in text


def test_a_making_that_cannot_be_read_is_told(shown: Gallery) -> None:
    assert "The record of the casting cannot be read." in told(replace(look(shown), making=None))


NOTICES = [
    (Notice(name="scrapped", about=("2026-08-01",)), "The cast was scrapped on 1 August 2026"),
    (Notice(name="contested", about=("3/8", "A")), "bears or was given 3/8 and A."),
    (
        Notice(name="mark_differs", about=("3/8 X", "4/8")),
        "The metal bears 3/8 X; the number given",
    ),
    (Notice(name="raw_metal"), "Colour was not applied by the foundry."),
    (Notice(name="from_object"), "What is not known is printed as unknown."),
    (Notice(name="reservation"), "It does not say that a cast exists."),
    (Notice(name="replaces"), "issued in place of an earlier one"),
    (Notice(name="undrawn"), "its paper is not drawn yet"),
    (Notice(name="corrected", about=("mass", "title")), "printed: mass and title. See both values"),
    (Notice(name="changed", about=("marks", "mass")), "The book holds marks and mass otherwise"),
]


@pytest.mark.parametrize(("notice", "said"), NOTICES)
def test_each_notice_is_told(shown: Gallery, notice: Notice, said: str) -> None:
    assert said in told(replace(look(shown), notices=(notice,)))


KG = Quantity("14.9", "kg")
MM = Quantity("451", "mm")
CHANGED = [
    (Changed(what="marks", marks=(MarkLine(text="IV", place="neck"),)), "IV neck"),
    (Changed(what="marks"), "none recorded"),
    (
        Changed(what="measurements", measures=(Measure(name="width", base="", length=MM),)),
        "451 mm (17.76 in)",
    ),
    (Changed(what="measurements"), "none recorded"),
    (Changed(what="mass", mass=KG), "14.9 kg (32.8 lb)"),
    (Changed(what="mass"), "not recorded"),
    (Changed(what="colour", words="green"), "green"),
    (Changed(what="colour"), "not recorded"),
    (Changed(what="number", words="5/8"), "5/8"),
    (Changed(what="number"), "none: it was freed"),
    (Changed(what="cast", words="2026-04"), "April 2026"),
    (Changed(what="cast"), "not recorded"),
]


@pytest.mark.parametrize(("changed", "said"), CHANGED)
def test_each_change_is_told(shown: Gallery, changed: Changed, said: str) -> None:
    text = told(replace(look(shown), changed=(changed,)))
    part = text.partition("The book now holds:")[2].partition("The run")[0]
    assert said in spaced(part.replace("IV", "IV "))


def test_a_correction_is_told_with_both_values_and_its_entry(shown: Gallery) -> None:
    one = Correction(
        fact="mass", of="the cast", was="12.4 kg", now="12.6 kg", on="2026-05-01", entry=57
    )
    view = replace(look(shown), corrected=(one,))
    text = told(view)
    assert "Mass of the cast" in text
    assert (
        "12.4 kg (27.3 lb) on the paper; corrected to 12.6 kg (27.8 lb) 1 May 2026, entry 57"
        in text
    )
    assert "The book now holds:" not in text
    both = told(replace(view, changed=(Changed(what="mass", mass=KG),)))
    assert "The book now holds Mass" in spaced(both, "Mass", "The book now holds")


def test_what_a_correction_tells_already_is_not_told_again() -> None:
    mass = Changed(what="mass", mass=KG)
    marks = Changed(what="marks", marks=(MarkLine(text="IV"),))
    one = Correction(fact="mass", of="the cast", was="12 kg", now="14.9 kg", on="2026", entry=1)
    assert unexplained((mass, marks), (one,)) == (marks,)
    assert unexplained((mass, marks), (replace(one, now="13 kg"),)) == (mass, marks)
    green = Changed(what="colour", words="green")
    told = replace(one, fact="colour", now="green")
    assert unexplained((green,), (one,)) == (green,)
    assert unexplained((green,), (told,)) == ()
    # What is gone from the book, such as a mass taken back, is told whatever was corrected.
    gone = (Changed(what="mass"), Changed(what="colour"))
    assert unexplained(gone, (replace(one, now=""), replace(told, now=""))) == gone


def test_a_record_tells_what_was_corrected_since(book: Registry, number: str) -> None:
    assert record_view(book, number).corrected == ()
    with book.writing() as w:
        correct_entry(w, "K-0001#1", {"title": "Heron <asleep>"}, reason=f"{HELD} letter")
    view = record_view(book, number)
    assert [(one.fact, one.now) for one in view.corrected] == [("title", "Heron <asleep>")]
    assert [notice.name for notice in view.notices][-1] == "corrected"
    page = render_record(book, number).decode()
    assert "Corrected since the paper was printed" in page
    assert "corrected to <bdi>Heron &lt;asleep&gt;</bdi>" in page
    assert HELD not in page


def test_what_differs_between_paper_and_book_is_found(shown: Gallery) -> None:
    with room(shown.shop.registry) as here:
        certificate = here.desk.get(shown.numbers["sections"], Certificate)
        assert certificate is not None
        piece = here.desk.get(certificate.piece, Piece)
    assert piece is not None
    other: dict[str, dict[str, Any]] = {
        "marks": {"marks": ()},
        "measurements": {"stations": (Station(name="height", length=MM),)},
        "mass": {"mass": KG},
        "colour": {"colours": (Colour(recipe=None, version=None, words="green", on="2026"),)},
        "number": {"number": None},
        "cast": {"sections": (), "steps": ()},
    }
    assert list(changes(certificate.statement, piece)) == []
    for what, change in other.items():
        found = changes(certificate.statement, replace(piece, **change))
        assert [each.what for each in found] == [what]


STATEMENT: list[tuple[dict[str, Any], str]] = [
    ({"paper": "raw_metal", "colour": None}, "none applied by the foundry"),
    ({"stations": ()}, "Lengths not recorded"),
    ({"alloy": None, "cast": None}, "Alloy not recorded, cast date not recorded"),
    ({"designation": None}, "Number in the edition: not recorded"),
    ({"foundry_place": ""}, "Harrow Lane Bronze"),
    ({"artist_life": ""}, "Ilse Varga"),
    ({"piece": None}, "Silicon bronze, C87300"),
]


@pytest.mark.parametrize(("change", "said"), STATEMENT)
def test_the_words_of_the_paper_are_told(shown: Gallery, change: dict[str, Any], said: str) -> None:
    view = look(shown)
    changed = replace(view.statement, **change)
    measures = () if "stations" in change else view.measures
    assert said in spaced(told(replace(view, statement=changed, measures=measures)), "Lengths")


def test_a_reservation_of_no_alloy_in_particular_is_of_bronze(shown: Gallery) -> None:
    view = look(shown, "reservation")
    bare = replace(view, statement=replace(view.statement, alloy=None))
    assert "Bronze; cast not recorded here" in told(bare)


def test_a_reservation_that_was_withdrawn_says_so(shown: Gallery) -> None:
    view = look(shown, "reservation")
    ended = replace(view.standing, word="withdrawn", ended="2026-09", because="disputed")
    assert "Reservation withdrawn: disputed" in told(replace(view, standing=ended))


def test_a_reservation_whose_number_was_released_says_so(book: Registry) -> None:
    with book.writing() as w:
        promise_number(w, "R-0001", "5/8")
    (paper,) = reserve(book, "R-0001", "5/8", passphrase=PASSPHRASE)
    with book.writing() as w:
        end_promise(w, "R-0001", "5/8")
    text = told(record_view(book, paper.number))
    assert "Lapsed; this number is no longer reserved" in text
    assert "this paper reserves it no more" in text
    assert 'class="banner lapsed"' in render_record(book, paper.number).decode()


def test_a_proof_of_which_nothing_can_be_read_is_told(shown: Gallery) -> None:
    view = look(shown)
    bare = replace(
        view.proof, index=None, size=None, root=None, pdf=None, certifying_key="", log_key=""
    )
    text = told(replace(view, proof=bare))
    assert text.count("cannot be read") == 3
    assert "not found" in text
    assert "SHA-256 of the PDF" not in text


@pytest.mark.parametrize(("count", "said"), [(1, "one check fails"), (2, "2 checks fail")])
@pytest.mark.parametrize(("state", "standing"), [("stands", "standing"), ("replaced", "replaced")])
def test_a_contradiction_stands_before_the_standing(
    shown: Gallery, count: int, said: str, state: str, standing: str
) -> None:
    view = look(shown, state)
    broken = tuple(replace(check, result="contradicts") for check in view.proof.checks[:count])
    text = told(replace(view, proof=replace(view.proof, checks=broken)))
    assert f"Do not rely on it: {said}." in text
    assert f"The registry calls this certificate {standing}, as published on" in text
    assert "This certificate stands" not in text


@pytest.mark.parametrize("word", ["lost", "stolen"])
def test_a_paper_reported_gone_is_told_at_first_glance(
    book: Registry, number: str, word: Missing
) -> None:
    report_certificate(book, number, word, reported_by=f"{HELD} owner", reference="register <7>")
    page = render_record(book, number).decode()
    assert f'class="banner {word}"' in page
    assert f"Reported {word}; do not rely on this paper" in page
    assert "reference <bdi>register &lt;7&gt;</bdi>" in page
    assert "As published on" in page
    assert HELD not in page
