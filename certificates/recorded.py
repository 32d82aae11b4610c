"""A code held against the record that a site publishes of its number.

A code carries its signed words alone, and whoever stole the certifying key can sign any.  The page
of its record carries the issuing entry and the proof of it.  The site is believed in nothing: an
entry whose hash is the claimed leaf is the entry claimed, whoever shows it, and its words are the
book's; another entry counts against the code only where the log key signed the state it lies in.
"""

from __future__ import annotations

from collections.abc import Sequence

from certificates import checks
from certificates.carried import read_page_entry
from certificates.checks import RECORD, Check, agrees, contradicts, unchecked
from certificates.claim import Claim
from certificates.placing import Fetch, otherwise, placed_by, record_page
from editions.errors import BronzebookError
from editions.ledger.checkpoint import open_checkpoint
from editions.ledger.envelope import decode, leaf_of
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import verify_inclusion

Shown = tuple[bytes, ProofFile]


def record_shown(number: str, site: Fetch) -> Shown | BronzebookError:
    """The issuing entry and its proof on the page of a number's record; or why there is none."""
    try:
        return read_page_entry(record_page(number, site))
    except BronzebookError as fault:
        return fault


def record_check(
    claim: Claim, shown: Shown | BronzebookError, logs: Sequence[VerifierKey]
) -> Check:
    """Whether the record of a code's number is of the entry that the code names, in its words."""
    if isinstance(shown, BronzebookError):
        return unchecked(RECORD, shown.message)
    entry, proof = shown
    if placed_by(claim, entry, proof, logs) is not None:
        return agrees(
            RECORD,
            f"The site's record of it is entry {claim.index} of the book, proved by the book's own"
            " signature, and says what the code says.",
        )
    found = otherwise(claim, entry)
    if found is not None and leaf_of(entry) == claim.leaf:
        return contradicts(RECORD, f"The entry that the code names says otherwise. {found.says}")
    if _proved(claim, entry, proof, logs):
        return contradicts(
            RECORD,
            f"The book's own record of this number is another entry, {proof.index}, than the one"
            f" that the code names, {claim.index}.",
        )
    return unchecked(RECORD, "The record that the site shows of it proves nothing.")


def _proved(
    claim: Claim, entry_bytes: bytes, proof: ProofFile, logs: Sequence[VerifierKey]
) -> bool:
    """Whether an entry that issues this very number is in the book by its own proof."""
    for key in logs:
        try:
            state, entry = open_checkpoint(proof.checkpoint_note, key), decode(entry_bytes)
            leaf = leaf_of(entry_bytes)
            verify_inclusion(leaf, proof.index, state.size, proof.hashes, state.root)
        except BronzebookError:
            continue
        return (entry.kind, entry.subject) == (checks.ISSUED, claim.number)
    return False
