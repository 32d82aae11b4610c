"""Judges of keys: each once in the book, for a use that fits its party, and vouched for.

A foundry's key, for its certificates or its log, and any further key of a party, must be
countersigned by a key that the book held already; a first key of an artist or an estate stands on
its document.  Whether a countersignature holds is checked where keys are read, before anything is
entered; here it is judged who gave it.
"""

from __future__ import annotations

from editions.errors import NotKnown, Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import kept_when, known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.entitlement import covers
from editions.trade.book import Book
from editions.trade.dates import certainly_before, say_when
from editions.trade.keys import KeyAdmitted, KeyEnded
from editions.trade.kinds import BOOK
from editions.trade.parties import KeyHeld, KeyUse, Party

ARTISTS_SIDE = frozenset({"artist", "estate", "foundation"})


def keys_of(desk: Desk, party: Party) -> tuple[KeyHeld, ...]:
    """Every key of a party; the foundry has the two of entry 0 besides."""
    book = known(desk, BOOK, Book)
    if party.code != book.foundry:
        return party.keys
    log = KeyHeld(key=book.log_key, use="log")
    certifying = KeyHeld(key=book.certifying_key, use="foundry")
    told = {held.key for held in party.keys}
    return (*(held for held in (log, certifying) if held.key not in told), *party.keys)


def signs_on(held: KeyHeld, on: str) -> bool:
    """Whether a key is not ended and within its term on a day."""
    begun = not held.begins or not certainly_before(on, held.begins)
    over = held.until is not None and certainly_before(held.until, on)
    return held.ended is None and begun and not over


def newest_key(desk: Desk, party: Party, use: KeyUse, on: str) -> KeyHeld | None:
    """The key of a party that was admitted last of those that sign on a day."""
    standing = [held for held in keys_of(desk, party) if held.use == use and signs_on(held, on)]
    return standing[-1] if standing else None


@judges(KeyAdmitted)
def _admitted(draft: Draft, facts: KeyAdmitted, desk: Desk) -> tuple[str, ...]:
    party = known(desk, draft.subject, Party)
    _once(facts, desk)
    _fits(draft, facts, party, desk)
    _term(facts)
    others = [held for held in keys_of(desk, party) if held.use == facts.use]
    if facts.countersigned_by is not None:
        _vouched(draft, facts, desk)
    elif others or facts.use == "foundry":
        raise Refused(
            f"{party.shown} had a key before; one that follows it is countersigned.",
            "Have it countersigned by the key before, or, where that is lost or was betrayed, by"
            " another key in the book.",
        )
    elif not facts.document:
        raise Refused(
            f"Nothing is said of how the key is known to be that of {party.shown}.",
            "Say it in a few words, such as how and when the fingerprint was compared.",
        )
    return ()


def _once(facts: KeyAdmitted, desk: Desk) -> None:
    raw, book = facts.key.split("+", 2)[2], known(desk, BOOK, Book)
    first = {book.foundry: (book.log_key, book.certifying_key)}
    holders = [party.code for party in desk.linked("key", raw)]
    holders += [code for code, keys in first.items() for k in keys if k.split("+", 2)[2] == raw]
    if holders:
        raise Refused(
            f"This key is in the book already, of {holders[0]}.", "A key is admitted once."
        )


def _fits(draft: Draft, facts: KeyAdmitted, party: Party, desk: Desk) -> None:
    if facts.use in ("foundry", "log"):
        if party.code != known(desk, BOOK, Book).foundry:
            raise Refused(
                f"{party.shown} is not the foundry of this book.",
                "A key of its own is admitted with --use artist.",
            )
        return
    acts = [one for one in party.authorities if one.holder == party.code]
    if not acts and not ARTISTS_SIDE.intersection(party.roles):
        raise Refused(
            f"{party.shown} is neither an artist nor acts for one.", "Enter the authority first."
        )
    if "artist" not in party.roles and not any(covers(one, draft.on) for one in acts):
        raise Refused(
            f"{party.shown} holds no authority on {say_when(draft.on)}.",
            "Enter the authority and its document first.",
        )


def _term(facts: KeyAdmitted) -> None:
    kept_when(facts.begins, "the key begins")
    if facts.until is None:
        return
    kept_when(facts.until, "the key ends")
    if certainly_before(facts.until, facts.begins):
        raise Refused(
            f"The key would end {say_when(facts.until)}, before it begins"
            f" {say_when(facts.begins)}.",
            "Check both dates.",
        )


def _vouched(draft: Draft, facts: KeyAdmitted, desk: Desk) -> None:
    if facts.countersignature is None:
        raise Refused(
            "Who countersigned is named, but the signature is not there.",
            "Give the countersigned text: --countersigned FILE.",
        )
    held = _held(desk, facts.countersigned_by or "")
    of_log = held is not None and held.use == "log" and facts.use != "log"
    if held is None or of_log or not signs_on(held, draft.on):
        raise Refused(
            "The key that countersigned is none that may: it is not in the book, or ended, or the"
            " log key, which lies open beside the book and vouches only for the next of its kind.",
            "Use a key of the foundry, an artist or an estate that the book holds and that stands.",
        )


def _held(desk: Desk, key: str) -> KeyHeld | None:
    """A key of anybody in the book, by its text."""
    raw = key.split("+", 2)[2] if key.count("+") > 1 else ""
    parties = list(desk.linked("key", raw))
    foundry = desk.state(known(desk, BOOK, Book).foundry)
    for party in (*parties, foundry):
        if isinstance(party, Party):
            for held in keys_of(desk, party):
                if held.key == key:
                    return held
    return None


@judges(KeyEnded)
def _ended(draft: Draft, facts: KeyEnded, desk: Desk) -> tuple[str, ...]:
    party = known(desk, draft.subject, Party)
    held = next((one for one in keys_of(desk, party) if one.key == facts.key), None)
    if held is None:
        raise NotKnown(f"That key is none of {party.shown}.", "See: bronzebook key list.")
    if (held.use == "log") != (facts.use == "log"):
        raise Refused("A log key is ended as that, and no other is.", "See: bronzebook key rotate.")
    if held.use == "log" and not any(one.admits("log") for one in party.keys if one != held):
        raise Refused(
            "The log key ends only when another follows it.", "See: bronzebook key rotate-log."
        )
    if held.ended is not None:
        raise Refused(
            f"That key ended on {say_when(held.ended_on)}: {held.ended}.",
            "See: bronzebook key list.",
        )
    not_before(draft, held.begins or None, "the key began")
    if any(one.use == held.use and one != held and one.ended is None for one in party.keys):
        return ()
    if held.use == "foundry":
        return ("No certifying key is left: admit another before the next certificate.",)
    return ()
