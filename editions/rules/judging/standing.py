"""Which papers of a piece or a number are in force, and the refusal where one still is."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.common import known
from editions.rules.judging.desk import Desk
from editions.trade.certificates import Certificate
from editions.trade.dates import say_when
from editions.trade.numbers import show_number
from editions.trade.pieces import Piece

# A paper that is gone may still be found: until it is ended it can be replaced or withdrawn.
IN_FORCE = ("stands", "lost", "stolen")


def called(certificate: Certificate) -> str:
    """A paper as messages name it: a reservation is never called a certificate."""
    kind = "Reservation" if certificate.reserves else "Certificate"
    return f"{kind} {show_number(certificate.code)}"


def ended(certificate: Certificate) -> str:
    """How a paper that no longer stands came to its end: "was withdrawn 2 March 2026"."""
    day = f" {say_when(certificate.ended)}" if certificate.ended else ""
    if certificate.standing == "lapsed":
        return f"lapsed{day}"
    return f"was {certificate.standing}{day}"


def reservations(desk: Desk, run: str, designation: str) -> tuple[Certificate, ...]:
    """The papers that reserve a number of a run and are in force."""
    linked = desk.linked("certifies", f"{run} {designation}")
    papers = (one for one in linked if isinstance(one, Certificate) and one.reserves)
    return tuple(one for one in papers if one.standing in IN_FORCE)


def in_force(desk: Desk, piece: Piece) -> tuple[Certificate, ...]:
    """The certificates of a piece that stand, or are gone and were neither replaced nor ended."""
    issued = (known(desk, number, Certificate) for number in piece.certificates)
    return tuple(one for one in issued if one.standing in IN_FORCE)


def standing(desk: Desk, piece: Piece) -> tuple[Certificate, ...]:
    """The certificates of a piece that stand."""
    return tuple(one for one in in_force(desk, piece) if one.standing == "stands")


def none_stands(desk: Desk, piece: Piece, so: str) -> None:
    """Refuse while a certificate of the piece stands.

    Raises:
        Refused: Naming the certificate.
    """
    for one in standing(desk, piece):
        raise Refused(
            f"Certificate {show_number(one.code)} of {piece.code} stands; {so}.",
            f"Withdraw it first: bronzebook certificate withdraw {one.code} --because destroyed.",
        )
