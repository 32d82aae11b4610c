"""The note of ended keys of a registry: what the book says became of each key, signed.

The log key signs it, as it signs checkpoints; the form is that of
:mod:`editions.ledger.revocations`.  It follows from the state of the book alone, without a clock::

    note = signed_revocations(reading, registry.log_key())
"""

from __future__ import annotations

from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.revocations import KeyEnd, Revocations, sign_revocations
from editions.registry.keys import KeyInBook, all_keys
from editions.registry.reading import Reading


def signed_revocations(reading: Reading, private: PrivateKey) -> str:
    """The note of ended keys of a book under its newest checkpoint.

    Args:
        reading: One moment of the book.
        private: The log key.

    Raises:
        Contradiction: If the checkpoint is not signed by the log key.
        NotKnown: If the book has none.
    """
    origin = reading.book.origin
    state = open_checkpoint(reading.checkpoint(), VerifierKey(origin, private.public.raw))
    ended = (end for one in all_keys(reading) if (end := end_of(one)) is not None)
    return sign_revocations(Revocations.of(state, ended), private)


def holders_of_keys(reading: Reading) -> tuple[str, ...]:
    """The codes of the parties whose keys the book holds, each once."""
    return tuple(dict.fromkeys(one.party for one in all_keys(reading)))


def end_of(key: KeyInBook) -> KeyEnd | None:
    """How a key of the book ended; None where it signs today."""
    held = key.held
    if held.ended is None:
        return None
    return KeyEnd(held.use, key.verifier, held.ended, held.from_position)
