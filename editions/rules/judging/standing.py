"""Which certificates of a piece stand, and the refusal where one still does."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.common import known
from editions.rules.judging.desk import Desk
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number
from editions.trade.pieces import Piece


def standing(desk: Desk, piece: Piece) -> tuple[Certificate, ...]:
    """The certificates of a piece that stand."""
    issued = (known(desk, number, Certificate) for number in piece.certificates)
    return tuple(one for one in issued if one.standing == "stands")


def none_stands(desk: Desk, piece: Piece, so: str) -> None:
    """Refuse while a certificate of the piece stands.

    Raises:
        Refused: Naming the certificate.
    """
    for one in standing(desk, piece):
        raise Refused(
            f"Certificate {show_number(one.code)} of {piece.code} stands; {so}.",
            "Withdraw the certificate first.",
        )
