"""What a paper is called, and how it stands, in words that can be quoted.

>>> standing_word("withdrawn", "reservation")
'this reservation was withdrawn'
"""

from __future__ import annotations

RESERVATION = "reservation"


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
