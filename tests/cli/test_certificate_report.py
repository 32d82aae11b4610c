"""``bronzebook certificate report``: a paper that is gone."""

from __future__ import annotations

import pytest

from certificates.issue import issue
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.trade.certificates import Certificate
from tests.cli.conftest import Call, Shop
from tests.registry.builders import PASSPHRASE, state


@pytest.fixture
def number(registry: Registry, shop: Shop) -> str:
    """The number of a certificate of the numbered piece."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    return issue(registry, [shop.numbered], passphrase=PASSPHRASE)[0].number


def test_a_paper_is_reported_and_shown_as_reported(
    call: Call, registry: Registry, number: str
) -> None:
    done = call("certificate", "report", number.lower(), "--because", "stolen",
                "--reference", "register 26/1183", "--reported-by", "the owner")  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "is reported stolen" in done.stderr
    reported = state(registry, number)
    assert isinstance(reported, Certificate)
    assert (reported.standing, reported.because) == ("stolen", "register 26/1183")
    shown = call("certificate", "show", number).output
    assert "reported stolen" in shown
    assert "reference register 26/1183" in shown
    assert "the owner" not in shown
    checked = call("verify", number)
    assert checked.exit_code == 3
    assert "this paper was reported stolen" in checked.output


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (["--because", "mislaid"], 2),
        ([], 2),
        (["--because", "lost", "--on", "2020-01-01"], 6),
    ],
)
def test_a_report_that_cannot_be_is_refused(
    call: Call, number: str, words: list[str], status: int
) -> None:
    assert call("certificate", "report", number, *words).exit_code == status


def test_a_number_not_in_the_book_is_not_known(call: Call) -> None:
    assert call("certificate", "report", "0123456789A", "--because", "lost").exit_code == 4
