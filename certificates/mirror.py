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

import datetime
from collections.abc import Callable, Sequence
from typing import TypeVar

import msgspec
from msgspec.structs import replace

from certificates import checks
from certificates.checks import (
    GROWTH,
    KEYS,
    Check,
    agrees,
    contradicts,
    unchecked,
)
from certificates.claim import Claim
from certificates.joining import joined
from certificates.keyfile import read_keys
from certificates.standings import standing_word
from certificates.verify import Verdict
from editions.errors import BronzebookError, Contradiction, FileUnusable, NotKnown
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.keys import fingerprint, key_id
from editions.ledger.moments import from_moment
from editions.ledger.notes import VerifierKey
from editions.ledger.status import StatusNote, open_status
from editions.ledger.tiles import TileReader
from editions.ledger.tree import consistency_proof, verify_consistency
from editions.trade.text import shown

_NOTE = "The status note could not be checked"

# A note that says "stands" is worth as much as it is new; a quarter is our own choice.
MOST_DAYS = 92

Fetch = Callable[[str], bytes]
Value = TypeVar("Value")


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
        NotKnown: If there is no key.
    """
    note = text_of(fetch("checkpoint"))
    return Mirror(checkpoint=by_first(keys, lambda key: open_checkpoint(note, key)), fetch=fetch)


def read_status(note: bytes, keys: Sequence[VerifierKey]) -> StatusNote:
    """A status note, verified by one of these keys.

    Raises:
        Unreadable: If it is none.
        Contradiction: If none of the keys signed it.
    """
    text = text_of(note)
    return by_first(keys, lambda key: open_status(text, key))


def with_mirror(
    verdict: Verdict,
    fetch: Fetch,
    keys: Sequence[VerifierKey],
    now: datetime.datetime | None = None,
) -> Verdict:
    """The verdict on a paper once a mirror was asked about its keys, the book and the standing.

    Args:
        verdict: As the paper alone gave it.
        fetch: Gets a public file of the mirror by its path.
        keys: Of the book's log: those that were given, or the paper's own.
        now: The moment of asking; a note that is old by then no longer says how it stands today.
    """
    claim = claim_of(verdict)
    held, mirror = joined(verdict, *_site_keys(verdict, claim, fetch)), None
    try:
        require_book(text_of(fetch("checkpoint")).partition("\n")[0], claim, "The site")
        mirror = read_mirror(fetch, keys)
        grown = growth(claim, mirror)
    except BronzebookError as fault:
        grown = _without(GROWTH, "The site's state of the book could not be checked", fault)
    held = joined(held, grown)
    try:
        note = fetch("status")
    except BronzebookError as fault:
        return joined(held, _without(checks.STANDING, "The site gave no status note", fault))
    return with_status(held, note, keys, now, mirror.checkpoint if mirror else None)


def with_status(
    verdict: Verdict,
    note: bytes,
    keys: Sequence[VerifierKey],
    now: datetime.datetime | None = None,
    beside: Checkpoint | None = None,
) -> Verdict:
    """The verdict on a paper once a status note was read: as of the note's date, and no later.

    Args:
        verdict: As the paper alone gave it, or with what another note said already.
        note: The status note.
        keys: Of the book's log: those that were given, or the paper's own.
        now: The moment of asking, to tell an old note; no note is old where it is absent.
        beside: The checkpoint that the site shows beside the note; the note must be as new.
    """
    claim = claim_of(verdict)
    try:
        origin = text_of(note).partition("\norigin ")[2].partition("\n")[0]
        require_book(origin or claim.origin, claim, "The status note")
        status = read_status(note, keys)
    except BronzebookError as fault:
        return joined(verdict, _without(checks.STANDING, _NOTE, fault))
    ended = status.find(claim.leaf)
    known = verdict.standing_as_of or ""
    if known > status.issued or (known == status.issued and ended is None):
        # Of two notes the newer one speaks; an old one must not wash off what ended since.
        return verdict
    word = standing_word(ended.word if ended else "stands", claim.paper)
    word = f"{word} ({ended.on})" if ended else word
    check = _said(status, claim, word, bool(ended), now, beside)
    if check.result == "not checked" and not status.speaks_of(claim.size):
        return joined(verdict, check)
    return replace(joined(verdict, check), standing=word, standing_as_of=status.issued)


def _said(
    status: StatusNote,
    claim: Claim,
    word: str,
    ended: bool,
    now: datetime.datetime | None,
    beside: Checkpoint | None,
) -> Check:
    """What a status note is worth: a word that it ended always, that it stands only while new."""
    state, of = status.checkpoint, f"The status note, of {status.issued},"
    if any(forked(state, other) for other in (state_of(claim), beside) if other is not None):
        return contradicts(checks.STANDING, f"{of} is signed for another state of the same size.")
    if not status.speaks_of(claim.size):
        return unchecked(
            checks.STANDING,
            f"{of} is older than this paper: it speaks of {state.size} entries, the paper of"
            f" {claim.size}.",
        )
    said = f"The status note says: {word}, as of {status.issued}"
    if ended:
        return contradicts(checks.STANDING, f"{said}.")
    if beside is not None and state.size < beside.size:
        return unchecked(
            checks.STANDING,
            f"{said}; but it is an old note: it speaks of {state.size} entries, the site itself of"
            f" {beside.size}. How it stands today it does not say.",
        )
    days = 0 if now is None else _days(status.issued, now)
    if days > MOST_DAYS:
        return unchecked(checks.STANDING, f"{said}. That is {days} days ago: ask for a newer note.")
    return agrees(checks.STANDING, f"{said}.")


def forked(one: Checkpoint, other: Checkpoint) -> bool:
    """Whether two states of one size cannot be of one book."""
    return one.size == other.size and one.root != other.root


def state_of(claim: Claim) -> Checkpoint:
    """The state of the book that a claim names."""
    return Checkpoint(claim.origin, claim.size, claim.root)


def _days(issued: str, now: datetime.datetime) -> int:
    return (int(now.timestamp()) - from_moment(issued)) // 86_400


def _site_keys(verdict: Verdict, claim: Claim, fetch: Fetch) -> tuple[Check, ...]:
    """Whether the site publishes the key that the code names; a site without the file is let be."""
    try:
        published = read_keys(text_of(fetch("keys.txt")))
    except BronzebookError:
        return ()
    named = [one.verifier() for one in published if one.use == "foundry"]
    if any(key_id(key.public).hex() == verdict.key_id for key in named):
        return (agrees(KEYS, "The site publishes the key that the code names."),)
    if all(key.name != claim.origin for key in named):
        return ()
    print_ = " or ".join(fingerprint(key.public) for key in named)
    return (
        contradicts(
            KEYS,
            "The site publishes another key of the foundry than the one that signed this code: of"
            f" fingerprint {print_}. One of the two is not the foundry's.",
        ),
    )


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
    newest = mirror.checkpoint
    if newest.size < claim.size:
        said = (
            f"The site shows {newest.size} entries, an older state than the paper's {claim.size}."
        )
        return unchecked(GROWTH, said)
    try:
        reader = mirror.tiles()
        reader.check()
        proof = consistency_proof(claim.size, newest.size, reader)
    except BronzebookError as fault:
        return unchecked(GROWTH, f"The site's tiles do not serve: {fault.message}")
    try:
        verify_consistency(claim.size, claim.root, newest.size, newest.root, proof)
    except Contradiction as fault:
        return contradicts(GROWTH, f"The book was rewritten since this paper: {fault.message}")
    said = f"Nothing before entry {claim.size} was changed; the site shows {newest.size} entries."
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


def by_first(keys: Sequence[VerifierKey], read: Callable[[VerifierKey], Value]) -> Value:
    """What the first key that vouches for it reads; the fault of the last one otherwise."""
    fault: BronzebookError = NotKnown(
        "No key of the book's log is known here; bring the foundry's public keys: --key FILE."
    )
    for key in keys:
        try:
            return read(key)
        except BronzebookError as found:
            fault = found
    raise fault


def _without(name: str, what: str, fault: BronzebookError) -> Check:
    """A check that came to nothing: a contradiction where a signature does not hold."""
    made = contradicts if isinstance(fault, Contradiction) else unchecked
    return made(name, f"{what}: {fault.message.rstrip('.')}.")


def require_book(origin: str, claim: Claim, what: str) -> None:
    """Refuse what is of another book: it says nothing of this paper, neither for nor against."""
    if origin != claim.origin:
        raise NotKnown(f"{what} is of the book {shown(origin, 80)}, not of {claim.origin}.")


def claim_of(verdict: Verdict) -> Claim:
    """The claim of a paper.

    Raises:
        NotKnown: If none was read.
    """
    if verdict.claim is None:
        raise NotKnown("Only a paper or its code can be checked with a site.", "Bring the PDF.")
    return verdict.claim
