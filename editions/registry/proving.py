"""The proof of a record, made anew from the raw book: what a page shows, what a look-up checks.

Nothing of what the tables say is believed.  The issuing entry's bytes are hashed again, the path
from that hash to the checkpoint is walked again, and every entry behind the record is hashed,
placed in the tree and folded again.  What is found comes out as checks that can be quoted; a
contradiction is told, never raised::

    prover = Prover(reading, log_key)
    prover.entry(certificate, prover.issuing(certificate)).result  ->  "agrees"
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from contextlib import suppress
from functools import lru_cache

import msgspec

from certificates import checks
from certificates.checks import Check, agrees, contradicts, unchecked
from editions.errors import BronzebookError, NotKnown
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.envelope import decode
from editions.ledger.logkeys import LogKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import consistency_proof, leaf_hash, verify_consistency, verify_inclusion
from editions.registry.branches import Branches
from editions.registry.reading import DAMAGED, Reading
from editions.store import queries
from editions.store.effective import Stored
from editions.store.growth import checkpoint_sizes
from editions.trade.certificates import Certificate
from editions.trade.kinds import State, fold
from editions.trade.saying import Row, marked, recognised, said
from editions.trade.statement import Statement

RECORD = "the entries of this record"

_NO_ENTRY = marked("The book holds no entry with the hash that this paper names.")
_CHANGED = marked("The entry that issued this paper was changed: it no longer has its hash.")
_UNREADABLE = marked("The entry cannot be read as one that issues a paper.")
_OTHER_STATE = marked(
    "The paper prints the state of {printed} entries; the first that covers its entry has {size}."
)
_SIGNED = marked("The state of the book then, {size} entries, is signed by the book's own key.")
_INCLUDED = marked("Entry {entry} of {size}, recomputed to the root that was signed.")
_GROWN = marked("Nothing before entry {entry} was changed; the book now holds {size}.")
_WHOLE = marked("All of them lie in the book as it is today, of {size} entries.")
# Faults that the ledger finds, which a page tells.
_FAULTS = (
    marked("The book has no checkpoint that covers this entry."),
    marked("The note is signed by none of the keys it is checked with."),
    marked("The signature of {name} does not hold."),
    marked("Entry {entry} lies under no signed checkpoint."),
    marked("The proof of inclusion does not lead to the root of the checkpoint."),
    marked("The proof of consistency does not join the two checkpoints."),
    marked("No proof leads from a tree of {old} to one of {new}."),
    marked("Of {wanted} nodes of the tree, {found} were found."),
)
_OTHERWISE = marked("What is told is not what the sealed entries say: {codes}.")


class Proving(msgspec.Struct, frozen=True, kw_only=True):
    """What proves a record: its checks."""

    checks: tuple[Check, ...]

    @property
    def holds(self) -> bool:
        """Whether every check agrees."""
        return all(check.result == "agrees" for check in self.checks)


def prove(reading: Reading, certificate: Certificate, log_key: LogKey) -> Proving:
    """Prove a certificate's record by the book's bytes and the key of its log.

    Args:
        reading: One moment of the book.
        certificate: The certificate as its table row has it; not believed.
        log_key: The key that checkpoints must be signed by.
    """
    prover = Prover(reading, log_key)
    stored = prover.issuing(certificate)
    under, fault = prover.covering(stored)
    codes = tuple(filter(None, (certificate.piece, certificate.code)))
    made = (
        prover.entry(certificate, stored),
        prover.words(certificate, stored),
        prover.inclusion(stored, under),
        prover.signed(certificate, under, fault),
        prover.record(codes),
    )
    return Proving(checks=tuple(map(_bare, made)))


def _bare(check: Check) -> Check:
    """A check in bare English, for verdicts, which are kept as data."""
    return msgspec.structs.replace(check, says=str(check.says))


def recalled(reading: Reading, code: str) -> State | None:
    """The state of a subject folded again from its entries, whatever the tables say."""
    state: State | None = None
    for _, happened in reading.history(code):
        state = fold(state, code, happened)
    return state


# An issuing entry is judged and compared: it is read once.
_decoded = lru_cache(maxsize=4)(decode)


class Prover:
    """Checks of records in one moment of the book; what two records share is checked once.

    Args:
        reading: The moment.
        key: The key that checkpoints must be signed by; None where there is none to be read.
    """

    def __init__(self, reading: Reading, key: LogKey | None) -> None:
        self.reading = reading
        self.key = key
        self.branches = Branches(reading.connection)
        self.hashed = False
        """Whether every entry was hashed again, and all of them make the newest root."""
        self._whole: dict[str, bool] = {}
        self._opened: dict[int | None, tuple[Checkpoint | None, str]] = {}
        self._grown: dict[Checkpoint, str] = {}
        self._notes: dict[Checkpoint, str] = {}
        self._sizes: list[int] = []

    def issuing(self, certificate: Certificate) -> Stored | None:
        """The stored entry with the leaf that the certificate names, as its bytes are now."""
        return self._stored(certificate.leaf)

    def _stored(self, leaf: str) -> Stored | None:
        try:
            return self.reading.by_leaf(leaf)
        except (BronzebookError, ValueError):
            return None

    def checkpoint(self, at_least: int | None) -> tuple[Checkpoint | None, str]:
        """The first checkpoint of at least so many entries (the newest for None), and any fault."""
        if at_least is not None:
            place = bisect_left(self._sizes, at_least)
            at_least = self._sizes[place] if place < len(self._sizes) else at_least
        if at_least not in self._opened:
            self._opened[at_least] = self._open(at_least)
        return self._opened[at_least]

    def _open(self, at_least: int | None) -> tuple[Checkpoint | None, str]:
        if self.key is None:
            return None, said("The book names no log key that can be read.")
        try:
            note = queries.checkpoint_note(self.reading.connection, at_least)
            opened = open_checkpoint(note, self.key)
        except BronzebookError as fault:
            return None, recognised(fault.message, _FAULTS)
        self._notes[opened] = note
        return opened, ""

    def fetch(self, leaves: Iterable[str]) -> None:
        """Read at once what the proofs of many issuing entries will need."""
        if not self._sizes:
            self._sizes = checkpoint_sizes(self.reading.connection)
        wanted: dict[int, list[int]] = {}
        for stored in map(self._stored, leaves):
            under, _ = self.covering(stored)
            if stored and under:
                wanted.setdefault(under.size, []).append(stored.position)
        for size, positions in wanted.items():
            # What is missing is told by the proof that needs it.
            with suppress(BronzebookError):
                self.branches.fetch(positions, size)

    def proof_file(self, stored: Stored) -> ProofFile:
        """The proof of an issuing entry, to the first checkpoint that covers it.

        Raises:
            NotKnown: If no checkpoint that holds covers it.
            Contradiction: If nodes are missing.
        """
        under, fault = self.covering(stored)
        if under is None:
            raise NotKnown(fault, "Run an audit.")
        hashes = self.branches.path(stored.position, under.size)
        return ProofFile(
            index=stored.position, hashes=tuple(hashes), checkpoint_note=self._notes[under]
        )

    def covering(self, stored: Stored | None) -> tuple[Checkpoint | None, str]:
        """The first checkpoint that covers an entry, under which a paper is issued."""
        return self.checkpoint(stored.position + 1 if stored else 1)

    def newest(self) -> tuple[Checkpoint | None, str]:
        """The newest checkpoint, opened once."""
        return self.checkpoint(None)

    def entry(self, certificate: Certificate, stored: Stored | None) -> Check:
        """Whether the entry that the paper names is there, whole, and issues this certificate."""
        if stored is None:
            return contradicts(checks.ENTRY, said(_NO_ENTRY))
        if leaf_hash(stored.raw) != stored.leaf:
            return contradicts(checks.ENTRY, said(_CHANGED))
        try:
            entry = _decoded(stored.raw)
        except BronzebookError:
            return contradicts(checks.ENTRY, said(_UNREADABLE))
        if entry.kind != checks.ISSUED or entry.subject != certificate.code:
            says = said("The entry behind this record issues another certificate.")
            return contradicts(checks.ENTRY, says)
        says = said("Recorded {time}; its bytes have the hash that the paper names.", time=entry.at)
        return agrees(checks.ENTRY, says)

    def words(self, certificate: Certificate, stored: Stored | None) -> Check:
        """Whether what is shown of the paper is what its entry says."""
        if stored is None:
            says = said("Without its entry, what the paper says cannot be compared.")
            return unchecked(checks.PAPER, says)
        try:
            entry = _decoded(stored.raw)
            issued = msgspec.convert(entry.facts.get("statement"), Statement)
        except (BronzebookError, msgspec.ValidationError):
            says = said("The entry that issued this paper can no longer be read.")
            return contradicts(checks.PAPER, says)
        if issued != certificate.statement:
            return contradicts(checks.PAPER, said("What is shown here is not what the entry says."))
        return agrees(checks.PAPER, said("What is shown here of the paper is what its entry says."))

    def signed(self, certificate: Certificate, under: Checkpoint | None, fault: str) -> Check:
        """Whether the log key signed the checkpoint that the paper was issued under."""
        if under is None:
            return contradicts(checks.CHECKPOINT, fault)
        if certificate.drawn_size not in (None, under.size):
            sizes = {"printed": certificate.drawn_size, "size": under.size}
            return contradicts(checks.CHECKPOINT, said(_OTHER_STATE, **sizes))
        return agrees(checks.CHECKPOINT, said(_SIGNED, size=under.size))

    def inclusion(self, stored: Stored | None, under: Checkpoint | None) -> Check:
        """Whether the entry lies in the tree of that checkpoint."""
        if stored is None or under is None:
            says = said("Without the entry and a signed state of the book there is no path.")
            return unchecked(checks.INCLUSION, says)
        try:
            self._placed([stored], under)
        except BronzebookError as fault:
            return contradicts(checks.INCLUSION, recognised(fault.message, _FAULTS))
        place = {"entry": stored.position, "size": under.size}
        return agrees(checks.INCLUSION, said(_INCLUDED, **place))

    def growth(self, under: Checkpoint | None) -> Check:
        """Whether the newest checkpoint holds that one unchanged."""
        newest, fault = self.newest()
        if newest is None:
            return contradicts(checks.GROWTH, fault)
        if under is None:
            says = said("Without the state it was issued under there is nothing to join.")
            return unchecked(checks.GROWTH, says)
        if under not in self._grown:
            self._grown[under] = self._not_grown(under, newest)
        if self._grown[under]:
            return contradicts(checks.GROWTH, self._grown[under])
        sizes = {"entry": under.size, "size": newest.size}
        return agrees(checks.GROWTH, said(_GROWN, **sizes))

    def _not_grown(self, old: Checkpoint, new: Checkpoint) -> str:
        """Why one state of the book has not grown from another; empty where it has."""
        try:
            self.require_grown(old, new)
        except BronzebookError as fault:
            return recognised(fault.message, _FAULTS)
        return ""

    def require_grown(self, old: Checkpoint, new: Checkpoint) -> None:
        """Check that one state of the book has grown from another.

        Raises:
            Contradiction: It has not, or the tree is damaged.
        """
        path = consistency_proof(old.size, new.size, self.branches.read)
        verify_consistency(old.size, old.root, new.size, new.root, path)

    def record(self, codes: Iterable[str]) -> Check:
        """Whether the entries of these subjects are whole, in the book, and say what we show."""
        damaged = self.damaged(codes)
        if damaged:
            return contradicts(RECORD, said(_OTHERWISE, codes=Row(damaged)))
        newest = self.newest()[0]
        return agrees(RECORD, said(_WHOLE, size=newest.size if newest else 0))

    def damaged(self, codes: Iterable[str]) -> list[str]:
        """The subjects among these whose entries are not whole, or whose table row differs."""
        return [code for code in dict.fromkeys(codes) if not self._is_whole(code)]

    def _is_whole(self, code: str) -> bool:
        if code not in self._whole:
            self._whole[code] = self._read_again(code)
        return self._whole[code]

    def _read_again(self, code: str) -> bool:
        newest, _ = self.newest()
        stored = self.reading.stored_of(code)
        if newest is None or not stored:
            return False
        try:
            if not self.hashed:
                self._placed(stored, newest)
            return recalled(self.reading, code) == self.reading.state(code)
        except DAMAGED:
            return False

    def _placed(self, stored: list[Stored], under: Checkpoint) -> None:
        """Check that each entry, hashed again, lies in the tree of a checkpoint."""
        self.branches.fetch([one.position for one in stored], under.size)
        for one in stored:
            path = self.branches.path(one.position, under.size)
            verify_inclusion(leaf_hash(one.raw), one.position, under.size, path, under.root)
