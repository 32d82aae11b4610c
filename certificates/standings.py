"""What a paper is called, and how it stands, in words that can be quoted.

>>> standing_word("withdrawn", "reservation")
'this reservation was withdrawn'
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.trade.numbers import show_number
from editions.trade.saying import Said, marked, said

if TYPE_CHECKING:
    from editions.trade.certificates import Certificate

RESERVATION = "reservation"
# It stands in each of the clauses below, which are told apart from others by it.
PENDING = "issued and not yet given out"

# Each of a certificate, and of a reservation.
_UNDRAWN = (
    marked("this certificate is issued and not yet given out: it waits for its paper to be drawn"),
    marked("this reservation is issued and not yet given out: it waits for its paper to be drawn"),
)
_ONE = (
    marked(
        "this certificate is issued and not yet given out: it waits for the signature of {name}"
    ),
    marked(
        "this reservation is issued and not yet given out: it waits for the signature of {name}"
    ),
)
_ANY = (
    marked(
        "this certificate is issued and not yet given out: it waits for the signature of one of"
        " {names}"
    ),
    marked(
        "this reservation is issued and not yet given out: it waits for the signature of one of"
        " {names}"
    ),
)
_ALL = (
    marked(
        "this certificate is issued and not yet given out: it waits for the signatures of {names}"
    ),
    marked(
        "this reservation is issued and not yet given out: it waits for the signatures of {names}"
    ),
)


def noun(paper: str | None) -> str:
    """What a paper is: a reservation is no certificate."""
    return RESERVATION if paper == RESERVATION else "certificate"


def standing_word(standing: str, paper: str | None, replaced_by: str | None = None) -> str:
    """How a paper of this kind stands, as a clause; by which number it was replaced, if known."""
    words = {
        "stands": "this {noun} stands",
        "withdrawn": "this {noun} was withdrawn",
        "disputed": "this {noun} was withdrawn (disputed)",
        "replaced": f"this {{noun}} was replaced by {_shown(replaced_by)}",
        "lost": "this paper was reported lost",
        "stolen": "this paper was reported stolen",
        "lapsed": "this {noun} lapsed: the number is no longer kept",
    }
    return words.get(standing, f"this {{noun}} is {standing}").format(noun=noun(paper))


def _shown(number: str | None) -> str:
    return show_number(number) if number else "another"


def pending_word(certificate: Certificate) -> str:
    """How one stands of which no paper was given out yet, and what it waits for, as a clause."""
    return str(pending_said(certificate))


def pending_said(certificate: Certificate) -> Said:
    """The same, as a page can say it in its language."""
    reservation, names = certificate.reserves, ", ".join(certificate.waits_for)
    if not names:
        return said(_UNDRAWN[reservation])
    if len(certificate.waits_for) == 1:
        return said(_ONE[reservation], name=names)
    any_of = certificate.signers_wanted == "any"
    return said((_ANY if any_of else _ALL)[reservation], names=names)


def refused_words(certificate: Certificate) -> tuple[str, ...]:
    """Who will not sign it, and since when: for the foundry's own eyes, on no public page."""
    names = {signer.party: signer.name for signer in certificate.signers}
    return tuple(
        f"refused by {names.get(one.party, one.party)}{one.as_told}, on {one.on}"
        for one in certificate.refused
    )
