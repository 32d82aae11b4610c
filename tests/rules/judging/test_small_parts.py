from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.rules.judging.belonging import every_number
from editions.rules.judging.making import run_of
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration
from tests.rules.judging.memory_desk import MemoryDesk


@pytest.mark.parametrize(
    ("changes", "numbers"),
    [
        ({"size": 3}, ("1/3", "2/3", "3/3")),
        ({"size": 2, "numerals": "roman"}, ("I/II", "II/II")),
        ({"size": 3, "numerals": "letter"}, ("A", "B", "C")),
        ({"size": 1, "edition_class": "unique"}, ("PU",)),
        ({"size": None}, ()),
        ({"size": 3, "numerals": "none"}, ()),
    ],
)
def test_a_declaration_tells_every_number_of_its_run(
    changes: dict[str, object], numbers: tuple[str, ...]
) -> None:
    declared = Declaration(work="K-0001", authorised_by="Y-0002", **changes)  # type: ignore[arg-type]
    assert every_number(declared) == numbers


def test_a_piece_of_no_run_has_none() -> None:
    with pytest.raises(NotKnown, match="P-0001 belongs to no run"):
        run_of(MemoryDesk(), Piece(code="P-0001"))
