"""What a site or a mirror of it says: its keys, checkpoint, status note and tiles.

Pure over a ``fetch`` from a path to bytes, which raises ``NotKnown`` where nothing lies there.  A
mirror is believed in nothing: its checkpoint and its status note must be signed by the log key of
the paper, or one that was given, and its tiles must join the paper's checkpoint to the mirror's.
What a mirror can do is to keep silent, or to show an old state; therefore every word is "as of".

>>> def fetch(path: str) -> bytes:
...     raise NotKnown(f"Nothing lies at {path}.")
>>> read_mirror(fetch, ())
Traceback (most recent call last):
    ...
editions.errors.NotKnown: Nothing lies at checkpoint.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

import msgspec
from msgspec.structs import replace

from certificates import checks
from certificates.checks import GROWTH, Check, agrees, contradicts, unchecked
from certificates.claim import Claim
from certificates.keyfile import read_keys
from certificates.verify import Verdict
from editions.errors import BronzebookError, Contradiction, FileUnusable, NotKnown
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.notes import VerifierKey
from editions.ledger.status import StatusNote, open_status
from editions.ledger.tiles import TileReader
from editions.ledger.tree import consistency_proof, verify_consistency

Fetch = Callable[[str], bytes]
Value = TypeVar("Value")

_SAYS = {
    "withdrawn": "this certificate was withdrawn",
    "disputed": "this certificate was withdrawn (disputed)",
    "replaced": "this certificate was replaced by another",
    "lost": "this paper was reported lost",
    "stolen": "this paper was reported stolen",
    "lapsed": "this reservation lapsed: its number was released",
}


class Mirror(msgspec.Struct, frozen=True, kw_only=True):
    """A mirror's checkpoint, verified, and what fetches its tiles and its status note."""

    checkpoint: Checkpoint
    fetch: Fetch

    def tiles(self) -> TileReader:
        """The nodes of its tree, checked against the root that was signed."""
        return TileReader(self.fetch, self.checkpoint.size, self.checkpoint.root)


def read_mirror(fetch: Fetch, keys: Sequence[VerifierKey]) -> Mirror:
    """The mirror of a book whose log has one of these keys.

    Raises:
        NotKnown: If it has no checkpoint.
        Contradiction: If none of the keys signed it.
    """
    note = text_of(fetch("checkpoint"))
    return Mirror(checkpoint=_first(keys, lambda key: open_checkpoint(note, key)), fetch=fetch)


def read_status(note: bytes, keys: Sequence[VerifierKey]) -> StatusNote:
    """A status note, verified by one of these keys.

    Raises:
        Unreadable: If it is none.
        Contradiction: If none of the keys signed it.
    """
    text = text_of(note)
    return _first(keys, lambda key: open_status(text, key))


def with_mirror(verdict: Verdict, fetch: Fetch, keys: Sequence[VerifierKey]) -> Verdict:
    """The verdict on a paper once a mirror was asked about the book and the standing."""
    claim = _claim(verdict)
    try:
        mirror = read_mirror(fetch, keys)
        grown = growth(claim, mirror)
    except BronzebookError as fault:
        grown = _without(GROWTH, "The site", fault)
    held = _joined(verdict, grown)
    try:
        note = fetch("status")
    except BronzebookError as fault:
        return _joined(held, _without(checks.STANDING, "The site", fault))
    return with_status(held, note, keys)


def with_status(verdict: Verdict, note: bytes, keys: Sequence[VerifierKey]) -> Verdict:
    """The verdict on a paper once a status note was read: as of the note's date, and no later."""
    claim = _claim(verdict)
    try:
        status = read_status(note, keys)
    except BronzebookError as fault:
        return _joined(verdict, _without(checks.STANDING, "The status note", fault))
    if not status.speaks_of(claim.size):
        said = (
            f"The status note, of {status.issued}, is older than this paper: it speaks of"
            f" {status.checkpoint.size} entries, the paper of {claim.size}."
        )
        return _joined(verdict, unchecked(checks.STANDING, said))
    ended = status.find(claim.leaf)
    word = f"{_SAYS[ended.word]}, {ended.on}" if ended else "this certificate stands"
    said = f"The status note says: {word}, as of {status.issued}."
    check = (contradicts if ended else agrees)(checks.STANDING, said)
    return replace(_joined(verdict, check), standing=word, standing_as_of=status.issued)


def keys_on(pdf: bytes) -> tuple[VerifierKey, ...]:
    """The log keys that a certificate's PDF carries; they prove only that it agrees with a site.

    Raises:
        FileUnusable: If it carries none.
    """
    from certificates.attach import read_attachments

    carried = read_attachments(pdf).get("keys.txt")
    if carried is None:
        raise FileUnusable("This PDF does not carry keys.txt, as a certificate does.")
    return tuple(key.verifier() for key in read_keys(text_of(carried)) if key.use == "log")


def growth(claim: Claim, mirror: Mirror) -> Check:
    """Whether the mirror's tree has grown from the state that the paper prints."""
    shown = mirror.checkpoint
    if shown.origin != claim.origin:
        return contradicts(
            GROWTH, f"The site is of the book {shown.origin}, not of {claim.origin}."
        )
    if shown.size < claim.size:
        said = f"The site shows {shown.size} entries, an older state than the paper's {claim.size}."
        return unchecked(GROWTH, said)
    try:
        reader = mirror.tiles()
        reader.check()
        proof = consistency_proof(claim.size, shown.size, reader)
    except BronzebookError as fault:
        return unchecked(GROWTH, f"The site's tiles do not serve: {fault.message}")
    try:
        verify_consistency(claim.size, claim.root, shown.size, shown.root, proof)
    except Contradiction as fault:
        return contradicts(GROWTH, f"The book was rewritten since this paper: {fault.message}")
    said = f"Nothing before entry {claim.size} was changed; the site shows {shown.size} entries."
    return agrees(GROWTH, said)


def text_of(data: bytes) -> str:
    """Bytes as text.

    Raises:
        FileUnusable: If they are not text.
    """
    try:
        return data.decode()
    except UnicodeDecodeError:
        raise FileUnusable("What was found is not text.") from None


def _first(keys: Sequence[VerifierKey], read: Callable[[VerifierKey], Value]) -> Value:
    """What the first key that vouches for it reads; the fault of the last one otherwise."""
    fault: BronzebookError = Contradiction("No key of the book's log is known here.")
    for key in keys:
        try:
            return read(key)
        except BronzebookError as found:
            fault = found
    raise fault


def _without(name: str, whose: str, fault: BronzebookError) -> Check:
    """A check that came to nothing: a contradiction where a signature does not hold."""
    made = contradicts if isinstance(fault, Contradiction) else unchecked
    return made(name, f"{whose} does not serve: {fault.message}")


def _claim(verdict: Verdict) -> Claim:
    if verdict.claim is None:
        raise NotKnown("Only a paper or its code can be checked with a site.", "Bring the PDF.")
    return verdict.claim


def _joined(verdict: Verdict, check: Check) -> Verdict:
    """The verdict with one check more, in the place of one of its name; standing comes last."""
    kept = [each for each in verdict.checks if each.name != check.name]
    at = len(kept) if check.name == checks.STANDING else len(kept) - 1
    made = (*kept[:at], check, *kept[at:])
    return replace(
        verdict, checks=made, proved=_proved(verdict, check), status=_status(verdict, made)
    )


def _proved(verdict: Verdict, check: Check) -> bool:
    # How it stands takes nothing from what the paper proves; a rewritten book does.
    return verdict.proved and not (check.name == GROWTH and check.result == "contradicts")


def _status(verdict: Verdict, made: Sequence[Check]) -> int:
    """0 only where the key was brought along: a paper's own key vouches for no standing."""
    if any(check.result == "contradicts" for check in made):
        return 3
    stands = any(each.name == checks.STANDING and each.result == "agrees" for each in made)
    if not verdict.proved:
        return 4
    grown = all(each.result == "agrees" for each in made if each.name == GROWTH)
    return 0 if stands and grown and verdict.key_from == "given" else 5
