"""A paper reported lost or stolen: how it answers from then on, and what stays held."""

from __future__ import annotations

import pytest

from certificates import checks
from certificates.issue import replace_lost
from certificates.reporting import report_certificate
from certificates.standing import check_number, check_pdf
from editions.errors import NotKnown, Refused
from editions.registry import Registry
from editions.registry.auditing import audit
from editions.trade.certificates import Missing
from editions.trade.numbers import show_number
from tests.certificates import builders, house
from tests.certificates.house import PASSPHRASE, certify


@pytest.mark.parametrize("because", ["lost", "stolen"])
def test_a_paper_reported_gone_is_proved_and_does_not_stand(
    registry: Registry, because: Missing
) -> None:
    issued = certify(registry)
    report_certificate(
        registry, issued.number, because, reported_by="a widow", reference="register 26/1183"
    )
    verdict = check_pdf(registry, issued.path.read_bytes())
    assert (verdict.status, verdict.proved) == (3, True)
    assert verdict.standing == f"this paper was reported {because} (register 26/1183)"
    assert [check.name for check in verdict.contradicted] == [checks.STANDING]
    assert "widow" not in str(verdict)
    assert audit(registry).faults == ()


def test_it_can_be_replaced_and_then_answers_replaced(book: Registry) -> None:
    issued = certify(book)
    report_certificate(book, issued.number, "lost", reference="a letter of 2 March")
    (heir,) = replace_lost(book, issued.number, passphrase=PASSPHRASE)
    assert check_number(book, issued.number).standing == (
        f"this certificate was replaced by {show_number(heir.number)}"
    )
    assert check_number(book, heir.number).status == 0
    with pytest.raises(Refused, match="was replaced"):
        report_certificate(book, issued.number, "stolen")


def test_a_number_that_was_never_issued_cannot_be_lost(book: Registry) -> None:
    with pytest.raises(NotKnown):
        report_certificate(book, builders.NUMBER, "lost")
    assert house.kinds(book).count("certificate_reported") == 0
