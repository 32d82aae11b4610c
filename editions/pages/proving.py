"""What a page shows of the proof: the checks of :mod:`editions.registry.proving`, in its order.

A page draws on many subjects; which of them no longer hold is said without naming a code, since a
code of the shop means nothing to the reader.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from certificates.checks import Check, contradicts
from editions.pages.desk import Desk
from editions.registry.proving import RECORD, Prover
from editions.store.effective import Stored
from editions.trade.certificates import Certificate
from editions.trade.saying import Row, marked, said

_CONCERNS = {
    "Y": said("a party"),
    "R": said("the run"),
    "H": said("a heat"),
    "M": said("a mold"),
    "P": said("the cast"),
    "K": said("the work"),
    "D": said("a model"),
}
_OTHERWISE = marked(
    "What this page tells is not what the sealed entries say; it concerns {concerned}."
)


def prover_of(desk: Desk) -> Prover:
    """The prover of a page's moment, with the log keys that the book names, if they can be read.

    Raises:
        Contradiction: If the book does not tell whose it is.
    """
    return Prover(desk.reading, desk.log_keys())


def page_checks(
    prover: Prover,
    desk: Desk,
    certificate: Certificate,
    stored: Stored | None,
    codes: Sequence[str],
) -> Iterator[Check]:
    """Every check of one record; ``codes`` are the subjects that its page draws on."""
    desk.reading.saw(codes)
    under, fault = prover.covering(stored)
    yield prover.entry(certificate, stored)
    yield prover.words(certificate, stored)
    yield prover.signed(certificate, under, fault)
    yield prover.inclusion(stored, under)
    yield prover.growth(under)
    damaged = dict.fromkeys([*prover.damaged(codes), *desk.unreadable])
    if damaged:
        concerned = Row(dict.fromkeys(map(_concern, damaged)))
        yield contradicts(RECORD, said(_OTHERWISE, concerned=concerned))
    else:
        yield prover.record(codes)


def _concern(code: str) -> str:
    if code == "BOOK":
        return said("the book’s own opening")
    return _CONCERNS.get(code[0], code) if code[1:2] == "-" else said("this certificate")
