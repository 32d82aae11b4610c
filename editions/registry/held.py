"""Held facts on request: erased for good, or opened to one person.

:func:`erase_held` enters the erasing, destroys salt and value in the same commit, and then has the
database's files cleared of what was there.  :func:`open_held` makes an opening, which anyone can
check against the book with :func:`certificates.opening.check_opening`::

    erase_held(registry, "P-0003#4", "to", authority="Y-0007", because="request")
    Path("note.json").write_bytes(open_held(registry, "P-0003#4", "note").opening.to_bytes())
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from editions.errors import NotKnown
from editions.ledger.canonical import parse
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.envelope import decode
from editions.ledger.logkeys import LogKey, key_at
from editions.ledger.notes import take_apart
from editions.ledger.opening import Opening
from editions.registry.acts.corrections import find_entry
from editions.registry.acts.held import erase_field, restatements
from editions.registry.opening import Registry
from editions.registry.reading import Reading
from editions.registry.writing import Entered
from editions.store import queries
from editions.store.backups import backups_in
from editions.store.clearing import clear
from editions.store.effective import Stored
from editions.trade.kinds import KINDS, said

__all__ = ["ErasedHeld", "OpenedHeld", "clear_erased", "erase_held", "open_held"]


class ErasedHeld(msgspec.Struct, frozen=True, kw_only=True):
    """An erasing as entered, and the copies of the registry in which the text still lies."""

    entered: Entered
    backups: tuple[Path, ...]


class OpenedHeld(msgspec.Struct, frozen=True, kw_only=True):
    """An opening, and the leaves of the corrections that say something else since."""

    opening: Opening
    restated: tuple[str, ...]


def erase_held(  # noqa: PLR0913 - each is something that an erasing must say
    registry: Registry,
    entry: str,
    field: str,
    *,
    authority: str,
    because: str,
    reason: str | None = None,
    no_duty: bool = False,
    on: str | None = None,
    by: str | None = None,
) -> ErasedHeld:
    """Erase one held field of one entry, from the book's tables and from their files.

    Args:
        registry: The registry.
        entry: The entry's leaf, or its place in a history: ``P-0003#4``.
        field: The held field; what corrections restated of it goes too.
        authority: The code of the party who may ask for it, or an office in a few words; open.
        because: ``request``, ``court order``, ``error`` or ``duty ended``; open.
        reason: The story, held.
        no_duty: A duty to keep it does not apply; the reason says why.
        on: When it was decided, EDTF; today when absent.
        by: The party who records; the foundry when absent.

    Raises:
        NotKnown: If there is no such entry.
        Refused: If the field is not held, is erased already, or must be kept.
        RegistryUnusable: If it is erased, but the files are not cleared yet since others read.
    """
    with registry.writing(by=by) as writing:
        entered = erase_field(
            writing,
            entry,
            field,
            authority=authority,
            because=because,
            reason=reason,
            no_duty=no_duty,
            on=on,
        )
    return ErasedHeld(entered=entered, backups=clear_erased(registry))


def clear_erased(registry: Registry) -> tuple[Path, ...]:
    """Clear the database's files of what was erased; return the copies that still hold it.

    Raises:
        RegistryUnusable: If others read an older moment; it can be run again.
        MachineRefused: If there is no room for it.
    """
    clear(registry.engine)
    return backups_in(registry.home.backups)


def open_held(registry: Registry, entry: str, field: str) -> OpenedHeld:
    """Open one held field of one entry to whoever is given the file; nothing is entered.

    Args:
        registry: The registry.
        entry: The entry's leaf, or its place in a history: ``P-0003#4``.
        field: The held field; in a correction, ``held_value``.

    Raises:
        NotKnown: If there is no such entry or field, or it was erased.
    """
    key = registry.log_verifier()
    field = field.strip().lower().replace("-", "_").replace(" ", "_")
    with registry.reading() as reading:
        stored, _ = find_entry(reading, entry)
        opening = _opening(reading, stored, field, key)
        return OpenedHeld(opening=opening, restated=tuple(restatements(reading, stored, field)))


def _opening(reading: Reading, stored: Stored, field: str, key: LogKey) -> Opening:
    kind = KINDS[decode(stored.raw).kind]
    if field not in kind.held:
        fields = ", ".join(kind.held) or "none"
        raise NotKnown(f"{said(kind.kind)} has no held field {field}.", f"It has: {fields}.")
    if reading.erased(stored.leaf.hex(), field):
        raise NotKnown(
            f"{field} of this {said(kind.kind)} was erased; nothing opens it now.",
            "Its digest stays, and proves nothing of it.",
        )
    kept = queries.held_values(reading.connection, stored.position)
    if field not in kept:
        raise NotKnown(f"The held value of {field} is missing.", "Run: bronzebook audit.")
    salt, value = kept[field]
    leaf = stored.leaf.hex()
    proof = reading.proof(leaf)
    return Opening(
        entry=stored.raw,
        field=field,
        value=parse(value),
        salt=salt,
        proof=proof,
        log=key_at(key, Checkpoint.parse(take_apart(proof.checkpoint_note)[0]).size),
    )
