"""Tests of the demonstration's story: what it must hold, told by the same acts as the commands."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from PIL import Image

from editions.errors import FileUnusable
from editions.exchange import demo_story
from editions.exchange.demo_story import shop as telling
from editions.registry import Registry, begin
from editions.registry.auditing import audit
from editions.trade.pieces import Piece
from editions.trade.waxes import Wax
from tests.helpers.chance import Chance
from tests.registry.builders import KEY_COST, state


class Told(NamedTuple):
    """A story that was told: its registry, its chapters, and which pieces were to be certified."""

    registry: Registry
    said: list[str]
    certified: list[str]


def plain_picture(*_: object) -> bytes:
    """A picture of nothing; the drawn ones have tests of their own."""
    out = io.BytesIO()
    Image.new("RGB", (40, 50), (90, 70, 50)).save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Told]:
    """The story in a registry on SQLite, told once; for reading only."""
    folder, clock = tmp_path_factory.mktemp("story"), demo_story.StoryClock()
    registry = begin(
        folder,
        foundry=demo_story.FOUNDRY,
        foundry_place=demo_story.TOWN,
        address=demo_story.ADDRESS,
        passphrase="a long enough word",
        clock=clock,
        random=Chance("story"),
        key_cost=KEY_COST,
    )
    story = Told(registry, [], [])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(telling, "draw", plain_picture)
        shop = demo_story.Shop(registry, clock, story.certified.extend)
        demo_story.tell(shop, story.said.append)
    yield story
    registry.close()


def piece(told: Told, tag: str) -> Any:
    with told.registry.reading() as reading:
        return reading.get(reading.resolve(tag), Piece)


def test_the_book_of_the_story_is_sound(told: Told) -> None:
    report = audit(told.registry)
    assert report.faults == ()
    assert report.entries > 300
    assert len(told.said) == 5
    assert all(line.endswith(".") for line in told.said)


def test_a_run_of_eight_with_four_proofs_is_partly_cast(told: Told) -> None:
    run = state(told.registry, "R-0002")
    assert (run.declared.size, [(p.series, p.count) for p in run.declared.proofs]) == (
        8, [("AP", 4)],
    )  # fmt: skip
    given = [piece(told, tag).number for tag in ("T-0101", "T-0102", "T-0103", "T-0104", "T-0105")]
    assert given == ["1/8", "2/8", "AP I/IV", "3/8", "4/8"]
    assert [promise.designation for promise in run.promised] == ["5/8"]
    assert piece(told, "T-0104").released_as == "finished"
    assert not piece(told, "T-0105").poured
    with told.registry.reading() as reading:
        waxes = [w for w in reading.linked("run", "R-0002") if isinstance(w, Wax)]
    assert any(not wax.piece for wax in waxes)


def test_a_large_piece_in_five_sections_over_three_heats_has_one_cast_again(told: Told) -> None:
    gate = piece(told, "G-01")
    assert len(gate.sections) == 5
    scrapped = [section for section in gate.sections if section.scrapped]
    assert [section.name for section in scrapped] == ["crossing"]
    assert len({s.heat for s in gate.sections} | {"scrapped heat of the crossing"}) == 4
    assert gate.number == "1/3"


def test_a_closed_run_has_no_mold_left_and_a_scrapped_piece(told: Told) -> None:
    run, mold = state(told.registry, "R-0001"), state(told.registry, "M-0001")
    assert run.closed
    assert mold.destroyed
    assert piece(told, "S-04").scrapped
    assert piece(told, "S-04").number is None
    assert piece(told, "S-04B").number == "4/5"


def test_an_earlier_cast_is_registered_from_the_object(told: Told) -> None:
    old = piece(told, "OLD-02")
    assert old.from_object
    assert [mark.line.text for mark in old.marks] == ["BQ No. 2/5"]
    assert old.photographs


def test_what_is_to_be_certified_is_named_in_order(told: Told) -> None:
    assert told.certified == [
        "S-03", "S-04B", "S-05", "S-AP", "OLD-02", "T-0101", "T-0102", "T-0103", "G-01",
    ]  # fmt: skip


def test_the_story_never_goes_back_in_time(told: Told) -> None:
    clock = demo_story.StoryClock()

    def nobody(_: Sequence[str]) -> None:
        """Certify nothing."""

    shop = demo_story.Shop(told.registry, clock, nobody)
    shop.certify("2020-01-02")
    shop.certify("2019-05-05")
    assert clock().isoformat() == "2020-01-02T16:30:00+00:00"


def test_a_file_of_the_story_that_is_refused_stops_it(
    told: Told, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "bad.csv").write_text("title,mark\nNobody knows,1/2\n")
    monkeypatch.setattr(telling, "files", lambda _: tmp_path)
    shop = demo_story.Shop(told.registry, demo_story.StoryClock(), lambda _: None)
    with pytest.raises(FileUnusable, match=r"bad\.csv, row 2: No work is called"):
        shop.take_in("bad", "2026-11-01")
