"""Reporting a certificate lost or stolen: the paper is gone, the cast and its number are not.

From then on its number answers "lost" or "stolen" wherever it is asked for, the status note says
so, and whoever holds the paper is told by ``verify``.  It can be replaced, and withdrawn.
"""

from __future__ import annotations

from editions.registry import Registry
from editions.trade.certificates import Certificate, CertificateReported, Missing


def report_certificate(
    registry: Registry,
    number: str,
    because: Missing,
    *,
    reported_by: str | None = None,
    reference: str | None = None,
    on: str | None = None,
    by: str | None = None,
) -> None:
    """Enter that a certificate's paper is lost or was stolen.

    Args:
        registry: The registry.
        number: The certificate's number, in its kept form.
        because: Lost or stolen.
        reported_by: Who says so; held.
        reference: Where it was reported too, such as a police reference; open, and published.
        on: When, EDTF; today when absent.
        by: The party who records.

    Raises:
        NotKnown: If the book holds no such certificate.
        Refused: If it no longer stands, is not drawn, or is reported so already.
    """
    facts = CertificateReported(because=because, reported_by=reported_by, reference=reference)
    with registry.writing(by) as writing:
        writing.get(number, Certificate)
        writing.enter(facts, number, on=on)
