"""Checking the opening of a held field: a file alone, or with the book's key brought along.

An opening proves that these words were sealed in that entry of that book when it was recorded.  It
cannot prove that they were true, nor that no later correction says otherwise; with no key given it
proves only that it agrees with itself.  The statuses are those of :mod:`certificates.verify`: 3, 4
and 5, never 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from certificates.checks import Check, agrees, contradicts, unchecked
from certificates.keyfile import PublicKeyEntry
from editions.errors import BronzebookError, FileUnusable
from editions.ledger.envelope import decode
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.ledger.opening import Opening

SEAL = "what the entry sealed"
PLACE = "inclusion in the book"
KEY = "whose key it is"
SINCE = "what was said since"


class OpeningVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """What an opening says of which entry, its checks, and whether they prove it."""

    kind: str
    subject: str
    on: str
    recorded: str
    field: str
    value: Any
    book: str
    checks: tuple[Check, ...]
    proved: bool
    key_from: Literal["given", "file"]
    status: int


def check_opening(data: bytes, keys: Sequence[PublicKeyEntry] = ()) -> OpeningVerdict:
    """Check the file of an opening with the keys given, or with its own where none is.

    Raises:
        FileUnusable: If it is not the file of an opening.
    """
    opening = _read(data)
    given = [entry.verifier() for entry in keys if entry.use == "log"]
    made = (
        _seal(opening),
        *_place(opening, given if keys else None),
        unchecked(SINCE, "An opening cannot tell whether it was corrected since; ask the foundry."),
    )
    return _verdict(opening, made, given=bool(keys))


def _read(data: bytes) -> Opening:
    try:
        return Opening.from_bytes(data)
    except BronzebookError as fault:
        raise FileUnusable(
            f"This file is not an opening: {fault.message}", "Ask for it again."
        ) from fault


def _seal(opening: Opening) -> Check:
    try:
        opening.sealed()
    except BronzebookError as fault:
        return contradicts(SEAL, str(fault))
    said = f"Salt, field and value hash to the digest that the entry carries as {opening.field}."
    return agrees(SEAL, said)


def _place(opening: Opening, given: list[VerifierKey] | None) -> tuple[Check, Check]:
    """Whether the entry lies in the book, and by whose word."""
    if given is None:
        return _included(opening, opening.log), _own_key(opening)
    same = [key for key in given if key.name == opening.log.name]
    if not same:
        said = f"No key was given for the book {opening.log.name}."
        return unchecked(PLACE, said), unchecked(KEY, said)
    if opening.log not in same:
        said = "The key in the file is not the one given for this book."
        return contradicts(PLACE, said), contradicts(KEY, said)
    print_ = fingerprint(opening.log.public)
    return (
        _included(opening, opening.log),
        agrees(KEY, f"It was checked with a key that was given, of fingerprint {print_}."),
    )


def _own_key(opening: Opening) -> Check:
    return unchecked(
        KEY,
        f"The key came with the file. Compare its fingerprint, {fingerprint(opening.log.public)},"
        " with an independent place, or bring the foundry's keys: --key FILE.",
    )


def _included(opening: Opening, key: VerifierKey) -> Check:
    try:
        checkpoint = opening.placed(key)
    except BronzebookError as fault:
        return contradicts(PLACE, str(fault))
    return agrees(
        PLACE,
        f"Entry {opening.proof.index} of {checkpoint.size} of the book {checkpoint.origin},"
        " under a checkpoint that the book's key signed.",
    )


def _verdict(opening: Opening, made: tuple[Check, ...], *, given: bool) -> OpeningVerdict:
    entry = decode(opening.entry)
    results = {check.name: check.result for check in made}
    contradicted = "contradicts" in results.values()
    proved = results[SEAL] == results[PLACE] == "agrees" and not contradicted
    return OpeningVerdict(
        kind=entry.kind,
        subject=entry.subject,
        on=entry.on,
        recorded=entry.at,
        field=opening.field,
        value=opening.value,
        book=opening.log.name,
        checks=made,
        proved=proved,
        key_from="given" if given else "file",
        status=3 if contradicted else 5 if proved else 4,
    )
