"""What a page carries so that a reader's own machine can check it: see ``static/check.js``.

Everything is read from the book, whatever is wrong with it: the reader's machine is to judge the
same bytes.  The signed claim is not in the book; it is taken from the foundry's copy of the PDF
where that is the one that was drawn.  Without it, the code on the paper brings its own.
"""

from __future__ import annotations

import base64

from editions.errors import BronzebookError
from editions.ledger.logkeys import key_at
from editions.pages.keeping import Paper
from editions.pages.values import Carried
from editions.registry.proving import Prover
from editions.store.effective import Stored
from editions.trade.book import Book
from editions.trade.certificates import Certificate

_CLAIM = "claim.cose"


def carried(
    prover: Prover, book: Book, certificate: Certificate, stored: Stored | None, copy: Paper
) -> Carried | None:
    """What the page of a certificate carries; None where the book has no entry or proof of it."""
    under = prover.covering(stored)[0]
    if stored is None or under is None:
        return None
    try:
        proof = str(prover.proof_file(stored))
    except BronzebookError:
        return None
    log = book.log_key if prover.key is None else str(key_at(prover.key, under.size))
    return Carried(
        number=certificate.code,
        claim=_text(copy.attached.get(_CLAIM, b"")),
        entry=_text(stored.raw),
        proof=proof,
        foundry=certificate.foundry_key or book.certifying_key,
        log=log,
    )


def _text(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")
