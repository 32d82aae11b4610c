"""What every worked-out answer shares."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction

import pytest

from editions.cli import explaining
from editions.rules.explaining import Explained, rounded


class Factor(Explained, frozen=True, kw_only=True):
    factor: Decimal


FACTOR = Factor(
    factor=Decimal("8.990"),
    formula=("factor = bronze / wax", "= 8.359 / 0.93"),
    sources=("common practice, no source",),
)


# Python's own half-even rounding of exact values, checked by hand.
@pytest.mark.parametrize(
    ("number", "places", "text"),
    [
        (Fraction(25, 10), 0, "2"),
        (Fraction(35, 10), 0, "4"),
        (Fraction(1, 3), 4, "0.3333"),
        (Fraction(1, 1), 3, "1.000"),
        (Decimal("-0.125"), 2, "-0.12"),
        (Fraction(-1, 3), 1, "-0.3"),
    ],
)
def test_a_figure_is_rounded_half_to_even_and_keeps_its_zeros(
    number: Fraction, places: int, text: str
) -> None:
    assert str(rounded(number, places)) == text


def test_json_carries_decimals_as_text_and_the_formula_last() -> None:
    plain = explaining.json_of(FACTOR)
    assert list(plain) == ["factor", "formula", "sources"]
    assert plain["factor"] == "8.990"


def test_an_answer_is_told_in_lines_and_explained_when_asked(
    capsys: pytest.CaptureFixture[str],
) -> None:
    explaining.tell(FACTOR, [("factor", FACTOR.factor)], as_json=False, explain=False)
    assert capsys.readouterr().out == "factor\t8.990\n"
    explaining.tell(FACTOR, [("factor", FACTOR.factor)], as_json=False, explain=True)
    assert capsys.readouterr().out == (
        "factor\t8.990\n\nformula\tfactor = bronze / wax\nformula\t= 8.359 / 0.93\n"
        "source\tcommon practice, no source\n"
    )


def test_an_answer_in_json_is_one_value(capsys: pytest.CaptureFixture[str]) -> None:
    explaining.tell(FACTOR, [], as_json=True, explain=True)
    assert json.loads(capsys.readouterr().out)["formula"] == list(FACTOR.formula)
