"""What a key was worth where it signed, by the book's note of ended keys and no registry.

A certificate is judged by its place in the log.  A place before the one from which the key signs
nothing stands for ever, and a place after proves nothing; but the place has to be proved
(:mod:`certificates.placing`), since whoever holds the key can write any.  Where it is not, that is
said, and a paper under a betrayed key then proves nothing by itself.

A host can keep the note back, or show an old one, and then the key is not checked.  What a note
says has ended has ended, however old the note is; two notes that say it otherwise were signed by a
log that tells people different things.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

import msgspec

from certificates.carried import Carried
from certificates.checks import GROWTH, KEY_THEN, LOG_THEN, Check, agrees, contradicts, unchecked
from certificates.claim import Claim
from certificates.joining import joined, unproved
from certificates.mirror import by_first, forked, require_book, state_of, text_of
from certificates.placing import Fetch, Placed, placed_by
from certificates.signatures import key_then, proof_name, signing_keys
from certificates.standings import noun
from certificates.verify import Verdict
from editions.errors import BronzebookError, Contradiction
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.revocations import KeyEnd, Revocations, open_revocations

PATH = "revocations.txt"

_WHY = {
    "rotated": "another key followed it",
    "expired": "its term was over",
    "lost": "it was lost",
    "succession": "another holder followed",
    "compromised": "it was compromised",
}
_ALONE = {"code": "the code alone", "paper": "this paper alone", "record": "this page alone"}
_ASK = {
    "code": "Ask for its proof: it is in the PDF and on the page of its record.",
    "paper": "The foundry's site or its registry can tell.",
    "record": "The foundry's site or its registry can tell.",
}
_NO_RECORD = "The site shows no record that proves it."


class AtHand(msgspec.Struct, frozen=True, kw_only=True):
    """What there is to judge a paper's keys by.

    Attributes:
        logs: The keys of the book's log that are trusted here.
        site: Fetches the public files of a site, where one was named.
        taken: A note of ended keys that was taken along.
        beside: The site's checkpoint; its note must be as new.
        shown: The issuing entry and its proof: of the paper, or of its record on the site.
        carried: What the paper or the page carries; a code carries nothing.
    """

    logs: tuple[VerifierKey, ...]
    site: Fetch | None = None
    taken: bytes | None = None
    beside: Checkpoint | None = None
    shown: tuple[bytes, ProofFile] | None = None
    carried: Carried | None = None


def with_revocations(verdict: Verdict, claim: Claim, hand: AtHand) -> Verdict:
    """The verdict on a paper once the notes of ended keys were read."""
    notes, faults = _notes(claim, hand)
    against = _against(notes, faults, claim, hand.beside)
    ended = {one for note in notes if (one := note.named(bytes.fromhex(verdict.key_id)))}
    if against is None and len(ended) > 1:
        against = "Two notes of ended keys, both signed by the book, tell two ends of this key."
    if against is not None:
        return joined(verdict, contradicts(KEY_THEN, against))
    end = next(iter(ended), None)
    placed = placed_by(claim, *hand.shown, hand.logs) if hand.shown else None
    log = _log_then(placed, notes, grown=_grown(verdict)) if placed else None
    if log is not None:
        verdict, placed = joined(verdict, log), None
    if end is None:
        made = _not_named(notes, faults, claim, hand)
    else:
        made = _key_then(end, claim, placed, verdict.seen, hand.site)
    verdict = joined(verdict, made, *_signers(verdict, claim, notes, hand.carried))
    return unproved(verdict) if end and end.betrayed and placed is None else verdict


def _key_then(
    end: KeyEnd, claim: Claim, placed: Placed | None, seen: str, site: Fetch | None
) -> Check:
    said = f"The key that signed it signs nothing from entry {end.start} on: {_WHY[end.because]}."
    if claim.index >= end.start:
        own = "" if placed else ", by its own words"
        return contradicts(
            KEY_THEN, f"{said} This {_noun(claim)} is entry {claim.index}{own}: it proves nothing."
        )
    if placed is not None:
        return agrees(
            KEY_THEN,
            f"{said} This {_noun(claim)} is entry {claim.index}, proved by the book's own"
            " signature: it came before, and stands by its place.",
        )
    ask = _NO_RECORD if site and seen == "code" else _ASK[seen]
    return unchecked(
        KEY_THEN,
        f"{said} It says of itself that it is entry {claim.index}, which whoever holds the key"
        f" could write. Whether it came before cannot be shown from {_ALONE[seen]}. {ask}",
    )


def _log_then(placed: Placed, notes: Sequence[Revocations], *, grown: bool) -> Check | None:
    """What takes its worth from the state that proves a place: the end of the log key over it."""
    ended = (one for note in notes if (one := note.find(placed.log.public)) is not None)
    end = next(ended, None)
    if end is None:
        return None
    said = (
        f"The state of the book that it names, of {placed.size} entries, is signed with a log key"
    )
    if placed.size > end.start:
        return contradicts(
            LOG_THEN, f"{said} that signs nothing from entry {end.start} on: {_WHY[end.because]}."
        )
    if end.betrayed and not grown:
        return unchecked(
            LOG_THEN,
            f"{said} that was compromised later: a site or a registry can tell whether the book"
            " holds that state.",
        )
    return None


def _grown(verdict: Verdict) -> bool:
    return any(each.name == GROWTH and each.result == "agrees" for each in verdict.checks)


def _notes(claim: Claim, hand: AtHand) -> tuple[list[Revocations], list[BronzebookError]]:
    """The notes at hand, verified, and what is wrong with those that could not be."""
    notes, faults = list[Revocations](), list[BronzebookError]()
    for name, fetch in _sources(hand):
        try:
            text = text_of(fetch())
            origin = text.partition("\norigin ")[2].partition("\n")[0]
            require_book(origin or claim.origin, claim, name)
            notes.append(by_first(hand.logs, partial(open_revocations, text)))
        except BronzebookError as fault:
            faults.append(fault)
    return notes, faults


def _sources(hand: AtHand) -> Iterator[tuple[str, Callable[[], bytes]]]:
    if hand.site is not None:
        yield "The site's note of ended keys", partial(hand.site, PATH)
    if hand.taken is not None:
        yield "The note of ended keys", lambda: hand.taken or b""


def _against(
    notes: Sequence[Revocations],
    faults: Sequence[BronzebookError],
    claim: Claim,
    beside: Checkpoint | None,
) -> str | None:
    """What in the notes themselves contradicts: a foreign signature, or another state of a size."""
    for fault in faults:
        if isinstance(fault, Contradiction):
            return f"The note of ended keys could not be checked: {fault.message}"
    states = [note.checkpoint for note in notes]
    others = [state_of(claim), *states, *([beside] if beside else ())]
    if any(forked(state, other) for state in states for other in others):
        return "The note of ended keys is signed for another state of the same size."
    return None


def _not_named(
    notes: Sequence[Revocations],
    faults: Sequence[BronzebookError],
    claim: Claim,
    hand: AtHand,
) -> Check:
    """What notes are worth that do not name the key: as much as they are new."""
    if not notes:
        return unchecked(KEY_THEN, _without(faults))
    size = max(note.checkpoint.size for note in notes)
    speaks = f"The note of ended keys speaks of {size} entries"
    if size < claim.size:
        return unchecked(
            KEY_THEN,
            f"{speaks}, the {_noun(claim)} of {claim.size}: it is older, and says nothing of it.",
        )
    if hand.beside is not None and size < hand.beside.size:
        return unchecked(
            KEY_THEN,
            f"{speaks}, the site itself of {hand.beside.size}: it is an old note. Whether the key"
            " has ended since it does not say.",
        )
    later = size - claim.size
    since = f"{later} more than the {_noun(claim)}" if later else f"as the {_noun(claim)} does"
    return agrees(KEY_THEN, f"{speaks}, {since}, and does not name this key: it had not ended.")


def _without(faults: Sequence[BronzebookError]) -> str:
    why = faults[0].message if faults else f"No note of ended keys is at hand: bring {PATH}."
    return f"Whether the key that signed it was revoked since was not checked. {why}"


def _signers(
    verdict: Verdict, claim: Claim, notes: Sequence[Revocations], carried: Carried | None
) -> Iterator[Check]:
    """What became of the keys of those whose proofs a paper carries and that hold.

    Where such a key signed, no paper shows: its proof came to the book after the issuing entry.
    """
    held = {each.name for each in verdict.checks if each.result == "agrees"}
    for name, key in signing_keys(carried.entry) if carried else ():
        ended = (one for note in notes if (one := note.find(key)) is not None)
        end = next(ended, None)
        if end is None or proof_name(name) not in held:
            continue
        said = f"The key of {name} signs nothing from entry {end.start} on: {_WHY[end.because]}."
        if claim.index >= end.start:
            yield contradicts(str(key_then(name)), f"{said} It signed after entry {claim.index}.")
        else:
            yield unchecked(
                str(key_then(name)),
                f"{said} It signed after entry {claim.index}; where, a registry can tell.",
            )


def _noun(claim: Claim) -> str:
    return noun(claim.paper)
