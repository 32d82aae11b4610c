"""What people do with keys: admit one to the book, end one.

    text = countersigning(w, "Y-0002", card.key)      # for whoever vouches for a key that follows
    admit_key(w, "Y-0002", card.key, document="compared by telephone, 3 May 2026")
    end_key(w, "Y-0002", card.key, because="lost")

A lost passphrase of the certifying key: make the new key (``bronzebook key rotate --because lost``
writes the text), have the text countersigned with a key of an artist, an estate or a second key of
the foundry that the book holds, and admit the new key with it.

The key of the log is admitted with ``use="log"``; see :mod:`editions.registry.rotating_log`.
"""

from __future__ import annotations

from typing import Literal, get_args

from certificates.countersign import Countersigned, countersign_text, require_for
from editions.errors import NotKnown, Unreadable
from editions.ledger.encodings import to_base64
from editions.ledger.keys import fingerprint, public_text
from editions.registry.acts.typed import found, one_of
from editions.registry.keys import all_keys
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.trade.dates import read_when
from editions.trade.keys import KeyAdmitted, KeyEnded
from editions.trade.parties import Ended, KeyUse, Party
from editions.trade.text import clean

USES: tuple[KeyUse, ...] = get_args(KeyUse)
REASONS: tuple[Ended, ...] = get_args(Ended)


def key_text(reading: Reading, party: str, key: bytes) -> str:
    """A key as the book names it: by the book, and by the party where it is not the foundry."""
    book = reading.book
    name = book.origin if party == book.foundry else f"{book.origin}/{party}"
    return public_text(name, key)


def countersigning(reading: Reading, party: str, key: bytes, use: KeyUse | None = None) -> str:
    """The text by which another key vouches that this one follows as a key of a party.

    ``use`` is ``log`` for the key of the log; else it goes by the party.
    """
    code = found(reading, party, Party).code
    text = key_text(reading, code, key)
    return countersign_text(reading.book.origin, code, use or _use(reading, code), text)


def admit_key(
    w: Writing,
    party: str,
    key: bytes,
    *,
    document: str = "",
    begins: str | None = None,
    until: str | None = None,
    countersigned: Countersigned | None = None,
    use: KeyUse | None = None,
    on: str | None = None,
) -> Entered:
    """Take a key of a party into the book: to certify for the foundry, to sign for any other.

    Args:
        w: The writing.
        party: Code of whose key it is.
        key: The raw public key, 32 bytes.
        document: How it is known to be theirs, in open words.
        begins: From when it signs, EDTF; the date of the entry when absent.
        until: Until when, EDTF; without end when absent.
        countersigned: The word of a key that the book holds already; its signature is checked.
        use: ``log`` for the key of the log; else it goes by the party.
        on: When, EDTF; today when absent.

    Raises:
        Contradiction: If the countersignature is for another key.
        KeyUnusable: If the key is one under which anybody could sign.
        NotKnown: If the party, or the key that countersigned, is not in the book.
        Refused: If a rule of the trade forbids it.
    """
    code = found(w, party, Party).code
    facts = KeyAdmitted(
        key=key_text(w, code, key),
        use=use or _use(w, code),
        document=clean(document),
        begins=read_when(begins or on or w.today),
        until=read_when(until) if until else None,
        countersigned_by=_vouching(w, countersigned, countersigning(w, code, key, use)),
        countersignature=_signature(countersigned),
    )
    return w.enter(facts, code, on=on)


def end_key(
    w: Writing,
    party: str,
    key: str | bytes,
    *,
    because: str,
    from_position: int | None = None,
    use: Literal["foundry", "log"] = "foundry",
    on: str | None = None,
) -> Entered:
    """End a key of a party: from a position in the log on, it signs nothing.

    Args:
        w: The writing.
        party: Code of whose key it is.
        key: The raw public key, or the beginning of its fingerprint.
        because: ``rotated``, ``expired``, ``compromised``, ``lost`` or ``succession``.
        from_position: The first position that it does not sign; from now on when absent, 0 wholly.
        use: ``log`` for the key of the log.
        on: When, EDTF; today when absent.

    Raises:
        NotKnown: If the party has no such key.
        Unreadable: If the position is not in the book yet, or the reason is none.
        Refused: If the key ended already, or is a log key that none follows.
    """
    code = found(w, party, Party).code
    size = w.size
    start = size if from_position is None else from_position
    if not 0 <= start <= size:
        raise Unreadable(
            f"The book holds {size} entries; {start} is no place in it.",
            f"Name a place from 0 to {size}.",
        )
    facts = KeyEnded(
        key=_named(w, code, key),
        because=one_of(because, REASONS, "reason"),
        from_position=start,
        use=use,
    )
    return w.enter(facts, code, on=on)


def _use(reading: Reading, party: str) -> KeyUse:
    return "foundry" if party == reading.book.foundry else "artist"


def _named(reading: Reading, party: str, key: str | bytes) -> str:
    """The text of a key of a party that its bytes, or the beginning of its fingerprint, name."""
    if isinstance(key, bytes):
        return key_text(reading, party, key)
    wanted = "".join(key.split()).upper()
    keys = [one for one in all_keys(reading) if one.party == party and one.held.use != "log"]
    prints = {one.held.key: fingerprint(one.verifier.public).replace(" ", "") for one in keys}
    fits = [text for text, digits in prints.items() if wanted and digits.startswith(wanted)]
    if len(fits) != 1:
        raise NotKnown(
            f"{len(fits)} keys of {party} have a fingerprint that begins so.",
            "See: bronzebook key list.",
        )
    return fits[0]


def _vouching(reading: Reading, countersigned: Countersigned | None, text: str) -> str | None:
    """The text of the key that countersigned, which the book must hold."""
    if countersigned is None:
        return None
    require_for(countersigned, text)
    for one in all_keys(reading):
        if one.verifier.public == countersigned.by:
            return one.held.key
    raise NotKnown(
        f"The key that countersigned is not in the book: {fingerprint(countersigned.by)}.",
        "Only a key that the book holds already may vouch for another.",
    )


def _signature(countersigned: Countersigned | None) -> str | None:

    return None if countersigned is None else to_base64(countersigned.signature)
