"""The checks of a certificate, one function each, in words that can be quoted.

Every check gives one :class:`Check`: it agrees, it contradicts, or it was not made, and it says
why.  Nothing here reads a file, a clock or a store; a check never raises for what it finds.

>>> number_on_code("0123456789A", "0123456789A").result
'agrees'
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import msgspec

from certificates.claim import Claim, SignedClaim, claim_of
from certificates.keyfile import PublicKeyEntry, Use
from certificates.standings import noun
from editions.errors import BronzebookError
from editions.ledger.keys import fingerprint, key_id
from editions.ledger.notes import VerifierKey
from editions.trade.numbers import show_number
from editions.trade.text import shown

if TYPE_CHECKING:
    from certificates.redrawing import Redrawn
    from editions.ledger.checkpoint import Checkpoint
    from editions.ledger.envelope import Entry
    from editions.ledger.prooffile import ProofFile
    from editions.trade.statement import Statement

Result = Literal["agrees", "contradicts", "not checked"]

SIGNATURE = "signature of the foundry"
KEY = "whose key it is"
ENTRY = "the entry behind this paper"
INCLUSION = "inclusion in the book"
CHECKPOINT = "the book's own signature"
PAPER = "what the paper says"
PAGE = "the page as drawn"
CODE = "the number in the code"
STANDING = "how it stands today"
GROWTH = "the book since this paper"
KEYS = "the keys of the site"
RECORD = "its record on the site"
KEY_THEN = "the foundry's key then"
LOG_THEN = "the book's key then"

ISSUED = "certificate_issued"

_COMPARED = ("number", "paper", "artist", "title", "designation", "cast", "issued")


class Check(msgspec.Struct, frozen=True, kw_only=True):
    """One check: what was looked at, how it came out, and a sentence that says so."""

    name: str
    result: Result
    says: str


class Trusted(msgspec.Struct, frozen=True, kw_only=True):
    """The keys a certificate is checked with, and whether a person gave them."""

    keys: tuple[PublicKeyEntry, ...]
    given: bool

    def of(self, use: Use) -> tuple[VerifierKey, ...]:
        """The keys for one use."""
        return tuple(entry.verifier() for entry in self.keys if entry.use == use)

    def knows(self, origin: str) -> bool:
        """Whether some key is that of this book."""
        return any(entry.verifier().name == origin for entry in self.keys)


def agrees(name: str, says: str) -> Check:
    """A check that came out well."""
    return Check(name=name, result="agrees", says=says)


def contradicts(name: str, says: str) -> Check:
    """A check that found a contradiction."""
    return Check(name=name, result="contradicts", says=says)


def unchecked(name: str, says: str) -> Check:
    """A check that was not made."""
    return Check(name=name, result="not checked", says=says)


def signature(signed: SignedClaim, trusted: Trusted) -> Check:
    """Whether the claim is signed by a foundry key that is trusted here."""
    named = [key.public for key in trusted.of("foundry") if key_id(key.public) == signed.kid]
    if not named:
        return _other_key(signed.claim, signed.kid, trusted)
    try:
        signed.check(named[0])
    except BronzebookError:
        return contradicts(
            SIGNATURE,
            "The signature does not hold: the code's words were altered after they were signed, "
            "or were never signed with this key.",
        )
    return agrees(
        SIGNATURE,
        f"The code is signed with the key whose fingerprint is {_print(named[0])}.",
    )


def _other_key(claim: Claim, kid: bytes, trusted: Trusted) -> Check:
    named = f"The code names a key whose fingerprint begins {_grouped(kid)}"
    if not trusted.keys:
        return unchecked(
            SIGNATURE, f"{named}; no key was given. Bring one with --key FILE, or ask a registry."
        )
    if trusted.given and not trusted.knows(claim.origin):
        given = " and ".join(sorted({entry.verifier().name for entry in trusted.keys}))
        return unchecked(
            SIGNATURE,
            f"{named}, of the book {shown(claim.origin, 80)}; the keys given are those of"
            f" {shown(given, 200)}, another book.",
        )
    if not trusted.of("foundry"):
        return unchecked(SIGNATURE, f"{named}; the file given holds no key of a foundry.")
    return contradicts(
        SIGNATURE,
        f"{named}; that is none of the foundry's keys known here, though it names their book,"
        f" {shown(claim.origin, 80)}: somebody else signed in its name.",
    )


@lru_cache(maxsize=64)
def _print(public: bytes) -> str:
    return fingerprint(public)


def whose_key(trusted: Trusted, *, signed: bool, what: str = "paper") -> Check:
    """Whether the key came from a person, or only with the paper that it is to prove."""
    if trusted.given and signed:
        return agrees(KEY, f"It was checked with a key that was given, not with the {what}'s own.")
    if trusted.given:
        return unchecked(KEY, "No key that was given has signed this code.")
    prints = ", ".join(fingerprint(key.public) for key in trusted.of("foundry"))
    return unchecked(
        KEY,
        f"The key came with the {what}. Compare its fingerprint, {prints}, with an independent "
        "place: the artist, a museum, an earlier certificate.",
    )


def number_on_code(on_code: str, claimed: str) -> Check:
    """Whether the code's address and its claim name one number."""
    if on_code == claimed:
        return agrees(
            CODE, f"Its address and its signed words name one number, {show_number(claimed)}."
        )
    return contradicts(
        CODE,
        f"Its address names {show_number(on_code)}, its signed words {show_number(claimed)}: they"
        " were put together from two codes.",
    )


def entry_behind(claim: Claim, leaf: bytes, entry: Entry, book: str) -> Check:
    """Whether the entry attached is the one claimed, and issues this certificate.

    Args:
        claim: The signed claim, which the code carries too.
        leaf: The hash of the entry attached.
        entry: The entry attached.
        book: The book whose checkpoint is attached.
    """
    if leaf != claim.leaf:
        return contradicts(ENTRY, _another_entry(claim, entry, book))
    if entry.kind != ISSUED:
        return contradicts(ENTRY, "The entry that the code names does not issue a certificate.")
    if entry.subject != claim.number or entry.facts.get("number") != claim.number:
        return contradicts(ENTRY, "The entry that the code names issues another certificate.")
    return agrees(
        ENTRY,
        f"Entry {claim.index} of the book {claim.origin}, recorded {entry.at}, "
        f"issues {noun(claim.paper)} {show_number(claim.number)}; it is attached whole.",
    )


def _another_entry(claim: Claim, entry: Entry, book: str) -> str:
    """Why the entry attached is not the one claimed, as far as it can be told."""
    if book != claim.origin:
        return (
            f"The signed code is of another book, {shown(claim.origin, 80)}; the entry and the"
            f" proof on this paper are of {shown(book, 80)}."
        )
    if entry.kind == ISSUED and entry.subject != claim.number:
        return (
            f"The signed code is that of another certificate, {show_number(claim.number)}; the"
            f" entry on this paper issues {shown(entry.subject, 20)}."
        )
    return "The attached entry is not the one that the code names: one of them was changed."


def inclusion(claim: Claim, proof: ProofFile) -> Check:
    """Whether the proof leads from the claimed leaf to the claimed root at the claimed place."""
    from editions.ledger.tree import verify_inclusion

    if proof.index != claim.index:
        return contradicts(
            INCLUSION, f"The proof is for entry {proof.index}, the code names {claim.index}."
        )
    try:
        verify_inclusion(claim.leaf, claim.index, claim.size, proof.hashes, claim.root)
    except BronzebookError as fault:
        return contradicts(INCLUSION, fault.message)
    return agrees(
        INCLUSION,
        f"The entry lies in the book as the code says: entry {claim.index} of {claim.size}, "
        "under the root printed on the paper.",
    )


def checkpoint(claim: Claim, proof: ProofFile, trusted: Trusted, carried: Trusted) -> Check:
    """Whether the book's own key signed the checkpoint that the claim names."""
    known, own = (
        [key for key in which.of("log") if key.name == claim.origin] for which in (trusted, carried)
    )
    if not known and not own:
        return contradicts(CHECKPOINT, "The paper carries no key of the book that it names.")
    signed, by_own = _signed_by(known or own, proof), _signed_by(own, proof)
    state = signed or by_own
    if state is None:
        return contradicts(
            CHECKPOINT,
            "The state of the book that the paper prints is not signed by the book's key.",
        )
    if (state.size, state.root) != (claim.size, claim.root):
        return contradicts(
            CHECKPOINT,
            f"The state that the book signed, of {state.size} entries, is not that which the code"
            " names.",
        )
    if signed is None:
        return unchecked(
            CHECKPOINT,
            "The state of the book that the paper prints is signed with another key of the book"
            " than the one given. It may have changed its key: a site or a registry can tell.",
        )
    whose = "a key that was given" if known and trusted.given else "the key that the paper carries"
    return agrees(
        CHECKPOINT,
        f"The state of the book, {state.size} entries, is signed by the book with {whose}.",
    )


def _signed_by(keys: Iterable[VerifierKey], proof: ProofFile) -> Checkpoint | None:
    """The checkpoint of a proof, by the first of these keys that signed it."""
    return next(filter(None, (_opened(proof.checkpoint_note, key) for key in keys)), None)


def _opened(note: str, key: VerifierKey) -> Checkpoint | None:
    from editions.ledger.checkpoint import open_checkpoint

    try:
        return open_checkpoint(note, key)
    except BronzebookError:
        return None


def paper(claim: Claim, statement: Statement | None) -> Check:
    """Whether the statement in the entry says what the claim says, cut as a claim cuts it."""
    if statement is None:
        return contradicts(PAPER, "The entry holds no statement that can be read.")
    expected = claim_of(
        statement,
        leaf=claim.leaf,
        index=claim.index,
        size=claim.size,
        root=claim.root,
        origin=claim.origin,
    )
    differing = [name for name in _COMPARED if getattr(expected, name) != getattr(claim, name)]
    if not differing:
        return agrees(
            PAPER,
            "Number, kind of paper, artist, title, designation and dates in the entry are those "
            "of the signed code.",
        )
    return contradicts(PAPER, "; ".join(_difference(name, claim, expected) for name in differing))


def page(redrawn: Redrawn) -> Check:
    """Whether the entry, drawn again, gives the same page."""
    if redrawn == "same":
        return agrees(PAGE, "Drawn again from its entry, the paper is the same to the last byte.")
    if redrawn == "saved anew":
        return agrees(
            PAGE,
            "Another program saved this file anew, or changed what it carries; but its page is, to"
            " the last stroke, what is drawn from the entry.",
        )
    if redrawn == "changed":
        return contradicts(
            PAGE,
            "What is seen on the page is not what was drawn from the entry: it was changed since."
            " Go by the words given here, not by those on the page.",
        )
    return unchecked(
        PAGE,
        "Other versions drew this page, or what it was drawn with is missing. Compare the words on"
        " the page with those given here.",
    )


def standing() -> Check:
    """The check that no paper can make of itself."""
    return unchecked(
        STANDING,
        "A paper cannot tell whether it was withdrawn or replaced since; ask the registry.",
    )


def only_claim() -> Check:
    """What a code does not carry."""
    return unchecked(
        INCLUSION,
        "A code carries its signed words alone; the proof is in the PDF and on the record's page.",
    )


def _difference(name: str, claim: Claim, expected: Claim) -> str:
    said, entered = (getattr(each, name) or "nothing" for each in (claim, expected))
    return f"The code gives {shown(said, 60)} as {name}, the entry {shown(entered, 60)}"


def _grouped(kid: bytes) -> str:
    digits = kid.hex().upper()
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))
