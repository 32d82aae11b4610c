"""The status note of a registry: every certificate that no longer stands, signed and dated.

The log key signs it, as it signs checkpoints; the form is that of :mod:`editions.ledger.status`.
It names certificates by their issuing leaf alone, so that it can be published whole::

    note = signed_status(reading.checkpoint(), certificates, registry.log_key(), registry.clock())
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.moments import to_moment
from editions.ledger.notes import VerifierKey
from editions.ledger.status import Ended, StatusNote, Word, sign_status
from editions.trade.certificates import Certificate

DISPUTED = "disputed"


def signed_status(
    checkpoint: str,
    certificates: Iterable[Certificate],
    private: PrivateKey,
    origin: str,
    at: datetime.datetime,
) -> str:
    """The status note of a book under its newest checkpoint.

    Args:
        checkpoint: The note of that checkpoint.
        certificates: Every certificate of the book; those that stand are not named.
        private: The log key.
        origin: The origin of the book.
        at: The moment that the note is dated by.

    Raises:
        Contradiction: If the checkpoint is not signed by the log key.
    """
    state = open_checkpoint(checkpoint, VerifierKey(origin, private.public.raw))
    ended = {bytes.fromhex(one.leaf): one for one in certificates if one.standing != "stands"}
    lines = (Ended(leaf, word_of(one), one.ended or one.issued) for leaf, one in ended.items())
    ordered = tuple(sorted(lines, key=lambda line: line.leaf))
    return sign_status(StatusNote(state, to_moment(int(at.timestamp())), ordered), private)


def word_of(certificate: Certificate) -> Word:
    """The word of a status note for a certificate that no longer stands."""
    if certificate.standing == "stands":
        raise ValueError("A status note does not name what stands.")
    if certificate.standing == "withdrawn" and certificate.because == DISPUTED:
        return "disputed"
    return certificate.standing
