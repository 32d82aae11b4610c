"""What was published last: marks are kept once; a memory that cannot be right is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.pages.lately import Drawn, Lately, Made


def made(draws: int) -> Made:
    return Made((3, 1), "0" * 32, "2026-04-16", draws)


def read_again(memory: Lately, folder: Path) -> Lately:
    memory.write(folder, folder / "site")
    return Lately.read(folder, folder / "site")


def test_files_that_draw_on_the_same_share_a_set_in_whatever_order_they_read_it() -> None:
    drawn = Drawn(Lately())
    assert drawn.place(["R-0001", "P-0001"]) == drawn.place(["P-0001", "R-0001"])
    assert drawn.place(["P-0001"]) != drawn.place(["P-0001", "R-0001"])


def test_sets_of_the_last_publishing_keep_their_places_and_those_not_used_are_forgotten() -> None:
    drawn = Drawn(Lately(drawn=[("P-0001",), ("P-0002",)]))
    new = drawn.place(["P-0003"])
    assert drawn.place(["P-0002"]) == 1
    assert drawn.used([made(1), made(new)]) == [(), ("P-0002",), ("P-0003",)]


@pytest.mark.parametrize(
    ("changed", "stale"),
    [
        (set(), [False, False, True]),
        ({"R-0001"}, [True, False, True]),
        ({"*"}, [False, True, True]),
    ],
)
def test_a_set_is_stale_where_one_of_its_marks_changed_or_told_a_fault(
    changed: set[str], stale: list[bool]
) -> None:
    memory = Lately(drawn=[("P-0001", "R-0001"), ("*",), ("!P-0002",)])
    assert memory.stale(changed) == stale


def test_a_memory_is_read_as_it_was_written(tmp_path: Path) -> None:
    memory = Lately(size=7, makers="these", made={"keys.txt": made(0)}, drawn=[("*",)])
    assert read_again(memory, tmp_path) == memory


@pytest.mark.parametrize("place", [-1, 1])
def test_a_memory_that_points_at_a_set_it_does_not_have_is_none(tmp_path: Path, place: int) -> None:
    memory = Lately(size=7, made={"keys.txt": made(place)}, drawn=[("*",)])
    assert read_again(memory, tmp_path) == Lately()
