"""The place of a certificate in the log, proved; not as whoever holds the key wrote it.

A claim names its entry's position, but the certifying key signs what its holder likes.  The place
is proved where the entry itself is in hand, says what the claim says, and is led by its proof to a
state that the log key signed.  A leaf alone would prove nothing: leaves are public, in the tiles,
and a thief could put that of an old entry under words of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from certificates import checks
from certificates.carried import statement_of
from certificates.checks import Check
from certificates.claim import Claim
from editions.errors import BronzebookError, NotKnown
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.envelope import decode, leaf_of
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.trade.numbers import show_number

Fetch = Callable[[str], bytes]


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    """A proved place: the position of the entry, and the log key that signed the state over it."""

    index: int
    size: int
    log: VerifierKey


def placed_by(
    claim: Claim, entry_bytes: bytes, proof: ProofFile, logs: Sequence[VerifierKey]
) -> Placed | None:
    """The place of a claim's entry, if entry and proof show it under one of these log keys."""
    log = next((key for key in logs if _signed(claim, proof, key)), None)
    if log is None or otherwise(claim, entry_bytes) is not None:
        return None
    if checks.inclusion(claim, proof).result != "agrees":
        return None
    return Placed(index=claim.index, size=claim.size, log=log)


def otherwise(claim: Claim, entry_bytes: bytes) -> Check | None:
    """What shows that an entry is not the one claimed, or says other words; None where it is it.

    Where its leaf is the claimed one it is the entry claimed, whoever shows it.
    """
    try:
        entry = decode(entry_bytes)
    except BronzebookError as fault:
        return checks.contradicts(checks.ENTRY, f"The entry cannot be read: {fault.message}")
    made = (
        checks.entry_behind(claim, leaf_of(entry_bytes), entry, claim.origin),
        checks.paper(claim, statement_of(entry)),
    )
    return next((check for check in made if check.result != "agrees"), None)


def record_page(number: str, site: Fetch) -> bytes:
    """The page of a number's record on a site.

    Raises:
        NotKnown: If the site has none.
        FileUnusable: If the site cannot be reached.
    """
    # A published folder has a file for the page; a server answers by the address alone.
    for path in (f"C/{number}/index.html", f"C/{number}"):
        try:
            return site(path)
        except NotKnown:
            continue
    raise NotKnown(
        f"This site has no record of {show_number(number)}.",
        "Compare the number with the paper, and the site with the address on it.",
    )


def _signed(claim: Claim, proof: ProofFile, key: VerifierKey) -> bool:
    try:
        state = open_checkpoint(proof.checkpoint_note, key)
    except BronzebookError:
        return False
    return (state.origin, state.size, state.root) == (claim.origin, claim.size, claim.root)
