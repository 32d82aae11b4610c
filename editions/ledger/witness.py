"""What a witness does: it follows one book, knowing only the last checkpoint it saw.

A witness holds the key of a log, its own key, and what it saw last.  Shown a newer checkpoint, it
takes tiles and finds that the book either *advanced*, by appending only, or is *unchanged*; then it
cosigns and remembers.  Everything else is refused, with one of these reasons:

==================  ============================================================================
``unreadable``      what was shown is no signed checkpoint
``another book``    it is, or says it is, of another origin
``another key``     the key of the log did not sign it, or a signature does not hold
``shrunken``        it has fewer entries than were seen before
``fork``            of the same size with another root, or not grown from what was seen
``tiles``           tiles are missing, or are not of the checkpoint; nothing is shown of the book
==================  ============================================================================

Tiles are checked against the root of the checkpoint first, so a ``fork`` is the book's own and both
signed checkpoints are the evidence of it: keep both.  On first sight a witness has nothing to
compare, and only finds that the tiles make the root.

A witness remembers a text, in which the keys are pinned and the note bears its own cosignature::

    bronzebook-witness-1
    log book.example+1a2b3c4d+AX…
    witness witness.example+5e6f7a8b+BX…

    book.example
    …
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.cosign import Cosigned, CosignerKey, cosign, open_cosigned
from editions.ledger.keys import PrivateKey
from editions.ledger.logkeys import LogKey
from editions.ledger.notes import LIMIT, VerifierKey, put_together, take_apart
from editions.ledger.tiles import Fetch, TileReader
from editions.ledger.tree import consistency_proof, verify_consistency

Reason = Literal["unreadable", "another book", "another key", "shrunken", "fork", "tiles"]

FIRST = "bronzebook-witness-1"
_LOG, _WITNESS = "log ", "witness "


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a witness found of a checkpoint: a sentence, and why it is refused where it is."""

    outcome: Literal["advanced", "unchanged", "refused"]
    says: str
    note: str
    checkpoint: Checkpoint | None = None
    reason: Reason | None = None


@dataclass(frozen=True, slots=True)
class Memory:
    """What a witness keeps: whom it follows, who it is, and the last note it cosigned.

    Raises:
        Unreadable: The note is no checkpoint, or too long.
        Contradiction: Not both keys signed it, or it is of another book.
    """

    log: VerifierKey
    witness: CosignerKey
    note: str

    def __post_init__(self) -> None:
        open_checkpoint(self.note, self.log)
        self.last()

    def last(self) -> Cosigned:
        """Return the checkpoint seen last, and when."""
        return open_cosigned(self.note, self.witness)

    def __str__(self) -> str:
        return f"{FIRST}\n{_LOG}{self.log}\n{_WITNESS}{self.witness}\n\n{self.note}"

    @classmethod
    def parse(cls, text: str) -> Memory:
        """Read a memory and verify it; the inverse of ``str``.

        Raises:
            Unreadable: Not such a text.
            KeyUnusable: A key in it is none.
            Contradiction: Not both keys signed the note, or it is of another book.
        """
        if len(text) > 2 * LIMIT:
            raise Unreadable(f"The memory of a witness has at most {2 * LIMIT} characters.")
        head, parted, note = text.partition("\n\n")
        lines = head.split("\n")
        if not parted or len(lines) != 3 or lines[0] != FIRST:
            raise Unreadable("This is not the memory of a witness: its first lines are not there.")
        if not lines[1].startswith(_LOG) or not lines[2].startswith(_WITNESS):
            raise Unreadable("The memory of a witness names the keys of the log and its own.")
        log = VerifierKey.parse(lines[1].removeprefix(_LOG))
        return cls(log, CosignerKey.parse(lines[2].removeprefix(_WITNESS)), note)


def follow(last: Checkpoint | None, note: str, log: LogKey, fetch: Fetch) -> Verdict:
    """Judge a checkpoint by what was seen last; raises nothing but what ``fetch`` itself fails by.

    Args:
        last: The checkpoint seen last, or None on first sight.
        note: The note that the registry shows now.
        log: The key of the log that is followed.
        fetch: Returns a tile's bytes by its path; raises ``NotKnown`` where there is none.
    """
    found = _opened(note, log)
    if isinstance(found, Verdict):
        return found
    if last is None:
        return _on_first_sight(found, note, fetch)
    if last.origin != found.origin:
        return _refused(
            note, "another book", f"What was seen last is of {last.origin}, not of {found.origin}."
        )
    if found.size <= last.size:
        return _not_larger(last, found, note)
    return _larger(last, found, note, fetch)


def remember(
    verdict: Verdict,
    log: VerifierKey,
    name: str,
    private: PrivateKey,
    time: int,
    before: Memory | None = None,
) -> Memory:
    """Cosign what was found to follow, and return what the witness keeps from now on.

    Of other lines on the note only the log's is kept.

    Args:
        verdict: What :func:`follow` found.
        log: The key of the log that is followed.
        name: The name of the witness.
        private: The key of the witness.
        time: Now, in seconds since 1970.
        before: What was kept until now.

    Raises:
        Contradiction: The verdict is a refusal, or the clock stands before the last cosignature.
        KeyUnusable: The name cannot be a witness's.
    """
    if verdict.outcome == "refused":
        raise Contradiction("A witness does not sign what it refused.", verdict.says)
    if before is not None and time < before.last().time:
        raise Contradiction(
            f"The clock stands before the last cosignature, {before.last().seen}.",
            "Set the clock right.",
        )
    text, lines = take_apart(verdict.note)
    bare = put_together(text, [line for line in lines if line.is_of(log)])
    key = CosignerKey(name, private.public.raw)
    return Memory(log, key, cosign(bare, name, private, time))


def _opened(note: str, log: LogKey) -> Checkpoint | Verdict:
    """Return the checkpoint of a note that the log signed, or why it is refused."""
    try:
        said = Checkpoint.parse(take_apart(note)[0]).origin
    except Unreadable as fault:
        return _refused(note, "unreadable", f"This is no signed checkpoint. {fault.message}")
    if said != log.name:
        return _refused(
            note, "another book", f"The checkpoint says it is of {said}, not of {log.name}."
        )
    try:
        return open_checkpoint(note, log)
    except Contradiction as fault:
        return _refused(
            note, "another key", f"The key of {log.name} does not vouch for it. {fault.message}"
        )


def _on_first_sight(found: Checkpoint, note: str, fetch: Fetch) -> Verdict:
    try:
        TileReader(fetch, found.size, found.root).check()
    except BronzebookError as fault:
        return _without_tiles(found, note, fault)
    says = f"{found.origin} has {found.size} entries, seen for the first time."
    return Verdict("advanced", says, note, found)


def _not_larger(last: Checkpoint, found: Checkpoint, note: str) -> Verdict:
    if found.size < last.size:
        says = (
            f"{found.origin} shows {found.size} entries, but {last.size} were seen before: "
            "an old copy, or entries were taken out."
        )
        return _refused(note, "shrunken", says, found)
    if found.root != last.root:
        says = (
            f"{found.origin} shows {found.size} entries as before, under another root: "
            "the book was rewritten. Keep both signed checkpoints; they are the evidence."
        )
        return _refused(note, "fork", says, found)
    return Verdict("unchanged", f"{found.origin} still has {found.size} entries.", note, found)


def _larger(last: Checkpoint, found: Checkpoint, note: str, fetch: Fetch) -> Verdict:
    reader = TileReader(fetch, found.size, found.root)
    try:
        reader.check()
        proof = consistency_proof(last.size, found.size, reader) if last.size else []
    except BronzebookError as fault:
        return _without_tiles(found, note, fault)
    if not _grew(last, found, proof):
        says = (
            f"The {found.size} entries of {found.origin} do not begin with the {last.size} seen "
            "before: the book was rewritten. Keep both signed checkpoints; they are the evidence."
        )
        return _refused(note, "fork", says, found)
    says = f"{found.origin} grew from {last.size} to {found.size} entries, by appending only."
    return Verdict("advanced", says, note, found)


def _grew(last: Checkpoint, found: Checkpoint, proof: Sequence[bytes]) -> bool:
    # Every book begins empty: from size 0 there is nothing to prove.
    if last.size == 0:
        return True
    try:
        verify_consistency(last.size, last.root, found.size, found.root, proof)
    except Contradiction:
        return False
    return True


def _without_tiles(found: Checkpoint, note: str, fault: BronzebookError) -> Verdict:
    says = f"The tiles of {found.origin} do not serve to follow it. {fault}"
    return _refused(note, "tiles", says, found)


def _refused(note: str, reason: Reason, says: str, found: Checkpoint | None = None) -> Verdict:
    return Verdict("refused", says, note, found, reason)
