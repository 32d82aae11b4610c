"""A witness at another house: whom it trusts at first, what it keeps, how it refuses.

:mod:`editions.ledger.witness` judges what a site shows by what was seen last; here is what a
person at the witness's desk meets.  Only the memory is believed.  Without one there is a *first
sight*: the log's key comes from a file of the foundry's keys, or is the one that the site shows,
and then somebody must have compared its fingerprint with an independent place.

A refusal for a ``fork`` or a ``shrunken`` tree leaves two notes as evidence, both signed by the
log: the one that was remembered and the one that was shown.

>>> from certificates.holder import Holder
>>> line_name(Holder(name="Museum at Ostrel, archive", key=bytes(range(32))))
'Museum-at-Ostrel,-archive'
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from hashlib import sha256

from certificates.handover import followed, shown_at
from certificates.holder import Holder
from certificates.keyfile import PublicKeyEntry, read_keys
from editions.errors import BronzebookError, Contradiction, FileUnusable, KeyUnusable
from editions.ledger.cosign import CosignerKey
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.ledger.tiles import Fetch
from editions.ledger.witness import Memory, Verdict, follow

_EVIDENCE = frozenset({"fork", "shrunken"})
_OF_THE_HOST = frozenset({"unreadable", "tiles"})
_PRINT = re.compile(r"[0-9A-F]{64}")

_KEEP = (
    "Nothing was signed. Keep both notes, tell the foundry and whoever holds its certificates, and"
    " do not rely on this book before it is explained."
)
_LATER = "Nothing was signed. Try again later, or at another mirror."
_COMPARE = "Nothing was signed. Compare the key's fingerprint with an independent place."


def line_name(holder: Holder) -> str:
    """The name on a witness's lines: the holder's, with hyphens where a key's name has no room."""
    return re.sub(r"[\s+]+", "-", holder.name)


def keys_shown(fetch: Fetch) -> tuple[PublicKeyEntry, ...]:
    """The keys that a site shows; nothing vouches for them.

    Raises:
        NotKnown: If it shows none.
        KeyUnusable: If they cannot be read.
    """
    try:
        return read_keys(fetch("keys.txt").decode())
    except UnicodeDecodeError:
        raise FileUnusable("The site's keys.txt is not text.") from None


def log_keys(keys: Sequence[PublicKeyEntry]) -> tuple[VerifierKey, ...]:
    """The keys of the log among these, the newest first.

    Raises:
        KeyUnusable: If there is none.
    """
    found = tuple(key.verifier() for key in keys if key.use == "log")
    if not found:
        raise KeyUnusable("No key of a book's log is among these keys.", "Ask for keys.txt.")
    return found


def with_fingerprint(keys: Sequence[VerifierKey], typed: str) -> VerifierKey:
    """The key whose fingerprint somebody compared and typed: 64 digits, spaces as they like.

    Raises:
        KeyUnusable: If it is no fingerprint, or that of none of the keys.
    """
    wanted = "".join(typed.split()).upper()
    if not _PRINT.fullmatch(wanted):
        raise KeyUnusable("A fingerprint has 64 hex digits, in 16 groups.", "Give it whole.")
    for key in keys:
        if fingerprint(key.public).replace(" ", "") == wanted:
            return key
    raise KeyUnusable(
        f"The site shows another log key: {fingerprint(keys[0].public)}.",
        "Do not go on before the foundry has explained it.",
    )


def look(
    fetch: Fetch, log: VerifierKey, memory: Memory | None, vouching: Iterable[bytes] = ()
) -> tuple[Verdict, VerifierKey]:
    """What a site shows, judged by what was seen last, and the log key that signed it.

    Where the log key is another one, it is followed by what the old one countersigned.

    Args:
        fetch: Gets a public file of the site by its path.
        log: The log key that is known.
        memory: What was seen last.
        vouching: Raw certifying keys of the foundry, which may vouch for a log key too.

    Raises:
        BronzebookError: The site shows no checkpoint, or cannot be reached.
    """
    # A byte that is no text spoils the note, which is then refused as any other.
    note = fetch("checkpoint").decode(errors="replace")
    last = memory.last().checkpoint if memory else None
    verdict = follow(last, note, log, fetch)
    if verdict.reason != "another key":
        return verdict, log
    for later in followed(log, shown_at(fetch), vouching)[1:]:
        other = follow(last, note, later, fetch)
        if other.reason != "another key":
            return other, later
    return verdict, log


def evidence(verdict: Verdict, memory: Memory | None) -> dict[str, str]:
    """The two notes of a refusal that contradict one another, by a name that is theirs alone."""
    if memory is None or verdict.reason not in _EVIDENCE:
        return {}
    notes = {"seen": memory.note, "shown": verdict.note}
    return {
        f"{word}-{sha256(note.encode()).hexdigest()[:12]}": note for word, note in notes.items()
    }


def refusal(verdict: Verdict) -> BronzebookError:
    """The error that a refusal ends with: the host's failing is no contradiction of the book."""
    if verdict.reason in _OF_THE_HOST:
        return FileUnusable(verdict.says, _LATER)
    return Contradiction(verdict.says, _KEEP if verdict.reason in _EVIDENCE else _COMPARE)


def require_same(memory: Memory, holder: Holder) -> None:
    """Check that the key that is to sign is the memory's own.

    Raises:
        KeyUnusable: If it is another witness's.
    """
    if CosignerKey(line_name(holder), holder.key) != memory.witness:
        raise KeyUnusable(
            f"This memory is that of {memory.witness.name}, the key that of {line_name(holder)}.",
            "A witness keeps one memory for each book and signs it with one key.",
        )
