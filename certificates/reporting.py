"""Reporting a certificate lost or stolen: the paper is gone, the cast and its number are not.

From then on its number answers "lost" or "stolen" wherever it is asked for, the status note says
so, and whoever holds the paper is told by ``verify``.  It can be replaced, and withdrawn.
"""

from __future__ import annotations

from certificates.standings import pending_word
from editions.errors import Refused
from editions.registry import Registry
from editions.rules.judging.standing import called
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


def piece_replaceable(certificate: Certificate) -> str:
    """The piece of a certificate that can be replaced.

    Raises:
        Refused: If it is a reservation, or no paper of it was given out that could be lost.
    """
    if certificate.piece is None:
        raise Refused(
            f"{called(certificate)} is not replaced; it stands for a number, not for a cast.",
            "Withdraw it, and reserve the number anew.",
        )
    if certificate.given_out:
        return certificate.piece
    waits = certificate.pending
    finish = "have it signed: bronzebook waiting" if waits else "draw it: bronzebook certify"
    raise Refused(
        f"{called(certificate)} has no paper that could be lost: {pending_word(certificate)}.",
        f"To finish it, {finish}; if it is wrong: bronzebook certificate withdraw"
        f" {certificate.code} --because error, then certify the piece anew.",
    )
