"""The proof of a record, made anew from the raw book each time a page is drawn.

Nothing of what the tables say is believed: the issuing entry's bytes are hashed again, the path
from that hash to the checkpoint is walked again, and every entry that the page draws on is hashed,
placed in the tree and folded again.  Each check comes out as a line that can be quoted; a
contradiction is told, never raised.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from certificates.checks import Check, agrees, contradicts, unchecked
from editions.errors import BronzebookError, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.envelope import decode
from editions.ledger.notes import VerifierKey
from editions.ledger.tree import (
    consistency_proof,
    leaf_hash,
    verify_consistency,
    verify_inclusion,
)
from editions.pages.branches import Branches
from editions.pages.desk import DAMAGED, Desk
from editions.store import queries
from editions.store.effective import Stored
from editions.trade.certificates import Certificate
from editions.trade.statement import Statement

ENTRY = "Entry"
PAPER = "Paper"
CHECKPOINT = "Checkpoint"
INCLUSION = "Inclusion"
GROWTH = "Growth"
STORY = "Story"


class Prover:
    """Checks of records in one moment of the book; what two records share is checked once."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.connection = desk.reading.connection
        self.branches = Branches(self.connection)
        self.key = _key(desk.book.log_key)
        self._told: dict[str, bool] = {}
        self._newest: tuple[Checkpoint | None, str] | None = None

    def issuing(self, certificate: Certificate) -> Stored | None:
        """The stored entry with the leaf that the certificate names, as its bytes are now."""
        try:
            return queries.entry_by_leaf(self.connection, bytes.fromhex(certificate.leaf))
        except (BronzebookError, ValueError):
            return None

    def checkpoint(self, at_least: int | None) -> tuple[Checkpoint | None, str]:
        """The first checkpoint of at least so many entries (the newest for None), and any fault."""
        if self.key is None:
            return None, "The book names no log key that can be read."
        try:
            note = queries.checkpoint_note(self.connection, at_least)
            return open_checkpoint(note, self.key), ""
        except BronzebookError as fault:
            return None, fault.message

    def newest(self) -> tuple[Checkpoint | None, str]:
        """The newest checkpoint, opened once."""
        if self._newest is None:
            self._newest = self.checkpoint(None)
        return self._newest

    def checks(
        self, certificate: Certificate, stored: Stored | None, codes: Sequence[str]
    ) -> Iterator[Check]:
        """Every check of one record; ``codes`` are the subjects that its page draws on."""
        under, fault = self.checkpoint(stored.position + 1 if stored else 1)
        yield _entry(stored)
        yield _paper(certificate, stored)
        yield self._signed(certificate, under, fault)
        yield self._included(stored, under)
        yield self._grown(under)
        yield self._story(codes)

    def _signed(self, certificate: Certificate, under: Checkpoint | None, fault: str) -> Check:
        if under is None:
            return contradicts(CHECKPOINT, fault)
        if certificate.drawn_size not in (None, under.size):
            return contradicts(
                CHECKPOINT,
                f"The paper names the checkpoint of {certificate.drawn_size} entries; "
                f"the first that covers its entry has {under.size}.",
            )
        return agrees(
            CHECKPOINT,
            f"The checkpoint of {under.size} entries, under which this was issued, "
            "is signed by the book’s log key.",
        )

    def _included(self, stored: Stored | None, under: Checkpoint | None) -> Check:
        if stored is None or under is None:
            return unchecked(INCLUSION, "Without the entry and its checkpoint there is no path.")
        try:
            self.branches.fetch([stored.position], under.size)
            path = self.branches.path(stored.position, under.size)
            hashed = leaf_hash(stored.raw)
            verify_inclusion(hashed, stored.position, under.size, path, under.root)
        except BronzebookError as fault:
            return contradicts(INCLUSION, fault.message)
        return agrees(
            INCLUSION,
            f"Recomputed: the entry is number {stored.position} of the {under.size} "
            "that the checkpoint’s root stands for.",
        )

    def _grown(self, under: Checkpoint | None) -> Check:
        newest, fault = self.newest()
        if newest is None:
            return contradicts(GROWTH, fault)
        if under is None:
            return unchecked(GROWTH, "Without the checkpoint of issue there is nothing to join.")
        try:
            path = consistency_proof(under.size, newest.size, self.branches.read)
            verify_consistency(under.size, under.root, newest.size, newest.root, path)
        except BronzebookError as fault_:
            return contradicts(GROWTH, fault_.message)
        return agrees(
            GROWTH, "The book has only grown since: its newest checkpoint holds that one unchanged."
        )

    def _story(self, codes: Sequence[str]) -> Check:
        told = dict.fromkeys(code for code in codes if not self._whole(code))
        damaged = list(told | self.desk.unreadable)
        if damaged:
            return contradicts(
                STORY,
                "What this page tells is not what the sealed entries say. "
                f"It concerns: {', '.join(map(_subject, damaged))}.",
            )
        return agrees(
            STORY,
            "Every entry behind this page was hashed again and found in the book, "
            "and what the page tells follows from them.",
        )

    def _whole(self, code: str) -> bool:
        if code not in self._told:
            self._told[code] = self._read_again(code)
        return self._told[code]

    def _read_again(self, code: str) -> bool:
        """Whether the entries of a subject are whole, in the book, and say what we show."""
        newest, _ = self.newest()
        stored = queries.entries_touching(self.connection, code)
        if newest is None or not stored:
            return False
        try:
            self.branches.fetch([one.position for one in stored], newest.size)
            for one in stored:
                path = self.branches.path(one.position, newest.size)
                hashed = leaf_hash(one.raw)
                verify_inclusion(hashed, one.position, newest.size, path, newest.root)
            return self.desk.recalled(code) == self.desk.reading.state(code)
        except DAMAGED:
            return False


def _key(text: str) -> VerifierKey | None:
    try:
        return VerifierKey.parse(text)
    except BronzebookError:
        return None


def _entry(stored: Stored | None) -> Check:
    if stored is None:
        return contradicts(ENTRY, "The book holds no entry with the leaf that this paper names.")
    if leaf_hash(stored.raw) != stored.leaf:
        return contradicts(
            ENTRY,
            "The entry that issued this paper was changed: its bytes do not hash to its leaf.",
        )
    return agrees(ENTRY, "The entry that issued this paper, hashed again, gives its leaf.")


def _paper(certificate: Certificate, stored: Stored | None) -> Check:
    if stored is None:
        return unchecked(PAPER, "Without its entry, what the paper says cannot be compared.")
    try:
        entry = decode(stored.raw)
        issued = msgspec.convert(entry.facts.get("statement"), Statement)
    except (Unreadable, msgspec.ValidationError):
        return contradicts(PAPER, "The entry that issued this paper can no longer be read.")
    if entry.subject != certificate.code or issued != certificate.statement:
        return contradicts(PAPER, "The words on this page are not those of the issuing entry.")
    return agrees(PAPER, "The words of the certificate shown here are those of its entry.")


def _subject(code: str) -> str:
    words = {"Y": "a party", "R": "the run", "H": "a heat", "M": "a mold", "P": "the cast"}
    words |= {"K": "the work", "D": "a model"}
    if code == "BOOK":
        return "the book’s own opening"
    return words.get(code[0], code) if code[1:2] == "-" else "this certificate"
