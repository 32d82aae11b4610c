"""Where a bronze has been: what is held openly, and gaps shown as gaps."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from certificates.issue import withdraw
from certificates.reporting import report_certificate
from editions.pages.render import record_page
from editions.pages.tongues import english
from editions.pages.values import Stay
from editions.pages.view import record_view
from editions.registry.acts.marks import record_mark
from editions.registry.acts.pieces import release_piece, scrap_piece
from tests.pages.builders import HELD, Gallery, Shop, cast, opened, release


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return opened(tmp_path / "registry")


def line(shop: Shop, number: str) -> list[tuple[str, str | None]]:
    return [(stay.event, stay.on) for stay in record_view(shop.registry, number).stays]


def test_a_bronze_that_left_is_followed_by_a_gap_and_nobodys_name(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    release(shop, piece)
    assert line(shop, number) == [
        ("cast", "2026-03-23"), ("released", "2026-11-23"), ("gap", None),
    ]  # fmt: skip
    page = record_page(record_view(shop.registry, number), english()).decode()
    assert "to whom is not public" in page
    assert HELD not in page


def test_a_bronze_never_released_is_with_the_foundry(shop: Shop) -> None:
    number = shop.certify(cast(shop))
    assert line(shop, number) == [("cast", "2026-03-23"), ("in_foundry", None)]


def test_what_was_told_later_stands_between_gaps(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    shop.write(lambda w: release_piece(w, piece, on="2026-05-01"))
    shop.write(lambda w: record_mark(w, piece, "IV", place="base", on="2026-09-09"))
    report_certificate(shop.registry, number, "stolen", reported_by=f"{HELD} the owner")
    assert line(shop, number) == [
        ("cast", "2026-03-23"),
        ("released", "2026-05-01"),
        ("gap", None),
        ("mark_found", "2026-09-09"),
        ("stolen", "2026-11-23"),
        ("gap", None),
    ]


def test_a_cast_registered_from_the_object_has_a_gap_before_it_was_seen(shown: Gallery) -> None:
    assert line(shown.shop, shown.numbers["found"])[:3] == [
        ("cast_before", "197X"), ("gap", None), ("examined", "2026-11-23"),
    ]  # fmt: skip


def test_a_destroyed_cast_ends_its_line(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    withdraw(shop.registry, number, "cast destroyed")
    shop.write(lambda w: scrap_piece(w, piece, evidence="photograph", witness="Y-0004"))
    assert line(shop, number)[-1] == ("scrapped", "2026-11-23")


def test_a_reservation_has_been_nowhere(shown: Gallery) -> None:
    view = record_view(shown.shop.registry, shown.numbers["reservation"])
    assert view.stays == ()
    assert b'id="whereabouts"' not in record_page(view, english())


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ("not_recorded", "date not recorded"),
        ("released_raw", "in raw metal; to whom is not public"),
        ("lost", "reported lost"),
        ("gap", "A gap shows nothing, for or against."),
        ("scrapped", "Recorded as destroyed"),
    ],
)
def test_each_stay_is_told(shown: Gallery, event: str, said: str) -> None:
    view = record_view(shown.shop.registry, shown.numbers["stands"])
    stay = Stay(event=event)  # type: ignore[arg-type]
    page = record_page(replace(view, stays=(stay,)), english()).decode()
    assert said in page or event == "not_recorded"
