"""What a record shows, and what it must never show."""

from __future__ import annotations

from pathlib import Path

import pytest

from certificates.keyfile import read_keys
from editions import pages
from editions.errors import Contradiction, MachineRefused, NotKnown, Unreadable
from editions.pages.downloads import to_json
from editions.pages.since import measures_of
from editions.pages.values import RecordView
from editions.pages.view import record_view, room
from editions.registry import Writing
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import give_number
from editions.registry.acts.pieces import (
    measure_piece,
    register_cast,
    scrap_piece,
    start_piece,
)
from editions.trade.numbers import make_number
from editions.trade.pieces import Piece
from editions.trade.quantities import read_quantity
from tests.helpers.chance import Chance
from tests.pages import builders
from tests.pages.builders import Gallery, Shop, cast, opened
from tests.store.books import tamper

STATES = (
    "stands", "contested", "withdrawn", "replaced", "replacing", "sections", "found", "reservation",
)  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return opened(tmp_path / "registry")


def look(shown: Gallery, state: str) -> RecordView:
    return record_view(shown.shop.registry, shown.numbers[state])


def names(view: RecordView) -> list[str]:
    return [notice.name for notice in view.notices]


@pytest.mark.parametrize("state", STATES)
def test_of_a_sound_book_nothing_contradicts(shown: Gallery, state: str) -> None:
    view = look(shown, state)
    assert view.proof.contradictions == ()
    assert len(view.proof.checks) >= 8


@pytest.mark.parametrize(
    ("state", "word", "ended"),
    [
        ("stands", "stands", None),
        ("withdrawn", "withdrawn", "2026-11-23"),
        ("replaced", "replaced", "2026-11-23"),
        ("reservation", "stands", None),
    ],
)
def test_a_view_tells_how_the_certificate_stands(
    shown: Gallery, state: str, word: str, ended: str | None
) -> None:
    standing = look(shown, state).standing
    assert (standing.word, standing.ended) == (word, ended)
    assert standing.reservation == (state == "reservation")


def test_a_withdrawal_tells_its_word_and_not_its_story(shown: Gallery) -> None:
    assert look(shown, "withdrawn").standing.because == "issued in error"


def test_a_replaced_certificate_does_not_lead_to_the_one_in_its_place(shown: Gallery) -> None:
    plain = to_json(look(shown, "replaced")).decode()
    assert shown.numbers["replacing"] not in plain


def test_a_certificate_in_place_of_another_says_so_without_its_number(shown: Gallery) -> None:
    view = look(shown, "replacing")
    assert names(view) == ["replaces"]
    assert shown.numbers["replaced"] not in to_json(view).decode()


def test_the_view_carries_the_day_of_publishing_by_the_registrys_clock(shown: Gallery) -> None:
    assert look(shown, "stands").published == "2026-11-23"


def test_a_mark_that_differs_and_a_number_borne_twice_are_told_of_both_bronzes(
    shown: Gallery,
) -> None:
    assert names(look(shown, "contested")) == ["mark_differs", "contested"]
    assert look(shown, "contested").notices[1].about == ("3/8",)
    assert names(look(shown, "stands")) == ["contested"]


def _earlier(w: Writing) -> None:
    register_cast(w, "K-0001", run="R-0001", cast="198X")
    record_mark(w, "P-0002", "3/8", place="base")


def test_a_number_on_an_earlier_bronze_that_the_run_gave_to_another_is_contested(
    shop: Shop,
) -> None:
    number = shop.certify(cast(shop))
    shop.write(_earlier)
    assert names(record_view(shop.registry, number)) == ["contested"]
    earlier = shop.certify("P-0002")
    assert names(record_view(shop.registry, earlier)) == ["contested", "from_object"]


def test_a_number_given_to_a_bronze_without_a_mark_is_contested_all_the_same(shop: Shop) -> None:
    def begin_bare(w: Writing) -> None:
        start_piece(w, "R-0001")
        give_number(w, "P-0001", "3/8")
        _earlier(w)

    shop.write(begin_bare)
    earlier = shop.certify("P-0002")
    assert "contested" in names(record_view(shop.registry, earlier))


def test_a_mark_on_a_bronze_that_was_destroyed_contests_nothing(shop: Shop) -> None:
    def lost(w: Writing) -> None:
        start_piece(w, "R-0001")
        record_mark(w, "P-0001", "4/8")
        scrap_piece(w, "P-0001", evidence="cut up", witness="Y-0004")

    shop.write(lost)
    number = shop.certify(cast(shop, "4/8"))
    assert names(record_view(shop.registry, number)) == []


def test_a_book_that_does_not_say_whose_it_is_cannot_be_shown(shop: Shop) -> None:
    tamper(shop.registry, "DELETE FROM subjects")
    with pytest.raises(Contradiction), room(shop.registry):
        pass


def test_every_public_name_can_be_had_from_the_room() -> None:
    for name in pages.__all__:
        assert getattr(pages, name).__name__ == name
    with pytest.raises(AttributeError):
        pages.nothing  # noqa: B018 - asking is the test


def test_a_bronze_of_another_run_with_the_same_mark_contests_nothing(shown: Gallery) -> None:
    assert names(look(shown, "sections")) == []


def test_a_reservation_says_what_it_is_and_has_no_making(shown: Gallery) -> None:
    view = look(shown, "reservation")
    assert names(view) == ["reservation"]
    assert view.making is None


def test_a_base_that_nobody_measured_without_is_named(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    view = record_view(shop.registry, number)
    assert [(m.name, m.base) for m in view.measures] == [
        ("height", "with"), ("height", "without"), ("wing span", ""),
    ]  # fmt: skip
    alone = view.statement.stations[:1]
    assert [m.length for m in measures_of(alone)][-1] is None
    assert len(measures_of(view.statement.stations[2:])) == 1


def test_what_the_book_holds_otherwise_since_is_told(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)

    def later(w: Writing) -> None:
        record_mark(w, piece, "I.V.", place="neck")
        measure_piece(w, piece, [], mass=read_quantity("14.9 kg", "mass"))

    shop.write(later)
    view = record_view(shop.registry, number)
    assert [change.what for change in view.changed] == ["marks", "mass"]
    assert view.changed[0].marks[-1].text == "I.V."
    assert names(view) == ["changed"]


def test_a_cast_scrapped_after_its_paper_was_withdrawn_is_told(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    builders.withdrawn(shop, number)
    shop.write(lambda w: scrap_piece(w, piece, evidence="cut up, photographed", witness="Y-0004"))
    view = record_view(shop.registry, number)
    assert names(view)[0] == "scrapped"
    assert view.notices[0].about == ("2026-11-23",)


def test_a_paper_that_is_not_drawn_yet_says_so(shop: Shop) -> None:
    piece = cast(shop)
    folder = shop.registry.home.certificates
    folder.rmdir()
    folder.write_bytes(b"a file where the folder should be")
    with pytest.raises(MachineRefused):
        shop.certify(piece)
    with shop.registry.reading() as reading:
        (number,) = reading.get(piece, Piece).certificates
    view = record_view(shop.registry, number)
    assert names(view) == ["undrawn"]
    assert view.proof.pdf is None
    assert view.proof.contradictions == ()


def test_fingerprints_are_those_of_the_books_keys(shown: Gallery) -> None:
    beside = read_keys(shown.shop.registry.home.public_keys.read_text())
    proof = look(shown, "stands").proof
    assert {"foundry": proof.certifying_key, "log": proof.log_key} == {
        key.use: key.fingerprint() for key in beside
    }


@pytest.mark.parametrize("number", ["00000000000", "7DD6ZS4GDM7", "P-0001", "BOOK", "", "x" * 5000])
def test_what_is_no_number_is_refused(shown: Gallery, number: str) -> None:
    with pytest.raises(Unreadable):
        record_view(shown.shop.registry, number)


def test_a_number_not_in_its_kept_form_is_not_known(shown: Gallery) -> None:
    with pytest.raises(NotKnown):
        record_view(shown.shop.registry, shown.numbers["stands"].lower())


def test_a_number_that_nobody_issued_is_not_known(shown: Gallery) -> None:
    with pytest.raises(NotKnown):
        record_view(shown.shop.registry, make_number(Chance("nobody")))
