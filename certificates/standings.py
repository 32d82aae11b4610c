"""What a paper is called, and how it stands, in words that can be quoted.

>>> standing_word("withdrawn", "reservation")
'this reservation was withdrawn'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from editions.trade.certificates import Certificate

RESERVATION = "reservation"
PENDING = "issued and not yet given out"


def noun(paper: str | None) -> str:
    """What a paper is: a reservation is no certificate."""
    return RESERVATION if paper == RESERVATION else "certificate"


def standing_word(standing: str, paper: str | None) -> str:
    """How a paper of this kind stands, as a clause."""
    words = {
        "stands": "this {noun} stands",
        "withdrawn": "this {noun} was withdrawn",
        "disputed": "this {noun} was withdrawn (disputed)",
        "replaced": "this {noun} was replaced by another",
        "lost": "this paper was reported lost",
        "stolen": "this paper was reported stolen",
        "lapsed": "this {noun} lapsed: the number is no longer kept",
    }
    return words.get(standing, f"this {{noun}} is {standing}").format(noun=noun(paper))


def pending_word(certificate: Certificate) -> str:
    """How one stands of which no paper was given out yet, and what it waits for, as a clause."""
    said = f"this {noun(certificate.statement.paper)} is {PENDING}"
    names = certificate.waits_for
    if not names:
        return f"{said}: it waits for its paper to be drawn"
    several = len(names) > 1
    some = "one of " if several and certificate.signers_wanted == "any" else ""
    what = "signatures" if several and not some else "signature"
    return f"{said}: it waits for the {what} of {some}{', '.join(names)}"
