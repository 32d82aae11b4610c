"""Proving one record from the book: what its page shows, and what a look-up of a number checks.

Nothing in the tables is believed.  The raw bytes of every entry behind the record are hashed again,
placed in the tree again, and led to a checkpoint that the log key signed; what is found is a list
of checks, each of which agrees or contradicts.  Nothing is raised for what is found.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from certificates import checks
from certificates.checks import Check, agrees, contradicts
from editions.errors import BronzebookError
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.envelope import decode
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import leaf_hash, verify_inclusion
from editions.registry.reading import Reading
from editions.store.effective import Stored
from editions.trade.certificates import Certificate
from editions.trade.statement import Statement

RECORD = "the entries of this record"


class Proving(msgspec.Struct, frozen=True, kw_only=True):
    """What proves a record: its checks, and the proof and checkpoint they rest on."""

    checks: tuple[Check, ...]
    proof: ProofFile | None = None
    checkpoint: Checkpoint | None = None

    @property
    def holds(self) -> bool:
        """Whether every check agrees."""
        return all(check.result == "agrees" for check in self.checks)


def prove(reading: Reading, certificate: Certificate, log_key: VerifierKey) -> Proving:
    """Prove a certificate's record by the book's bytes and the key of its log.

    Args:
        reading: One moment of the book.
        certificate: The certificate as its table row has it; not believed.
        log_key: The key that checkpoints must be signed by.
    """
    try:
        proof = reading.proof(certificate.leaf)
        raw = reading.entry(certificate.leaf)
    except (BronzebookError, ValueError) as fault:
        said = fault.message if isinstance(fault, BronzebookError) else str(fault)
        return Proving(checks=(contradicts(checks.ENTRY, f"It cannot be found: {said}"),))
    signed, checkpoint = _signed(proof, log_key)
    made = (
        _entry(raw, certificate),
        _inclusion(raw, proof, checkpoint),
        signed,
        _record(reading, certificate, log_key),
    )
    return Proving(checks=made, proof=proof, checkpoint=checkpoint)


def _signed(proof: ProofFile, log_key: VerifierKey) -> tuple[Check, Checkpoint | None]:
    try:
        checkpoint = open_checkpoint(proof.checkpoint_note, log_key)
    except BronzebookError as fault:
        return contradicts(checks.CHECKPOINT, fault.message), None
    said = f"The checkpoint of {checkpoint.size} entries is signed by the book's key."
    return agrees(checks.CHECKPOINT, said), checkpoint


def _entry(raw: bytes, certificate: Certificate) -> Check:
    if leaf_hash(raw).hex() != certificate.leaf:
        said = "The entry that issues this certificate was changed: it no longer has its hash."
        return contradicts(checks.ENTRY, said)
    try:
        entry = decode(raw)
        statement = msgspec.convert(entry.facts.get("statement"), Statement)
    except (BronzebookError, msgspec.ValidationError):
        return contradicts(checks.ENTRY, "The entry cannot be read as one that issues it.")
    if entry.kind != checks.ISSUED or entry.subject != certificate.code:
        return contradicts(checks.ENTRY, "The entry behind this record issues another certificate.")
    if statement != certificate.statement:
        return contradicts(checks.ENTRY, "What is shown here is not what the entry says.")
    return agrees(checks.ENTRY, f"Recorded {entry.at}; its bytes hash to the leaf that is named.")


def _inclusion(raw: bytes, proof: ProofFile, checkpoint: Checkpoint | None) -> Check:
    if checkpoint is None:
        return contradicts(checks.INCLUSION, "No signed checkpoint leads to this entry.")
    try:
        verify_inclusion(
            leaf_hash(raw), proof.index, checkpoint.size, proof.hashes, checkpoint.root
        )
    except BronzebookError as fault:
        return contradicts(checks.INCLUSION, fault.message)
    said = f"Entry {proof.index} of {checkpoint.size}, recomputed to the root that was signed."
    return agrees(checks.INCLUSION, said)


def _record(reading: Reading, certificate: Certificate, log_key: VerifierKey) -> Check:
    """Whether each entry that touches the piece and the certificate still lies in the book."""
    try:
        entries = list(_behind(reading, certificate))
        newest = open_checkpoint(reading.checkpoint(), log_key)
        for stored in entries:
            proof = reading.proof(stored.leaf.hex(), at_least=newest.size)
            verify_inclusion(
                leaf_hash(stored.raw), stored.position, newest.size, proof.hashes, newest.root
            )
    except BronzebookError as fault:
        return contradicts(RECORD, f"An entry behind this record was changed: {fault.message}")
    said = f"All {len(entries)} lie in the book as its newest checkpoint, of {newest.size}, has it."
    return agrees(RECORD, said)


def _behind(reading: Reading, certificate: Certificate) -> Iterator[Stored]:
    seen: set[int] = set()
    for code in filter(None, (certificate.piece, certificate.code)):
        for stored, _ in reading.history(code):
            if stored.position not in seen:
                seen.add(stored.position)
                yield stored
