"""One entry of the book, described: what it says, what is held of it, and where it lies."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from editions.cli.showing.block import Block, Shown, of
from editions.cli.showing.facts import field, kind_said, plain, stated
from editions.cli.showing.history import CORRECTED, HELD, correction_row

if TYPE_CHECKING:
    from collections.abc import Iterator

    from editions.ledger.envelope import Entry
    from editions.registry import Reading
    from editions.registry.corrections import Correction
    from editions.registry.strikes import Strike
    from editions.store.effective import Stored

Rows = tuple[tuple[object, ...], ...]


def entry(reading: Reading, stored: Stored, *, held: bool = False) -> Shown:
    """The description of an entry as it was written; what corrects it since stands below.

    Args:
        reading: The book.
        stored: The entry.
        held: Show the held values too; else only that and how each is sealed.
    """
    from editions.ledger.envelope import decode
    from editions.trade.kinds import facts_from

    written, kept = decode(stored.raw), reading.held_values_of(stored.position)
    return Shown(
        f"entry {stored.position}",
        kind_said(facts_from(written.kind, written.facts)),
        (*_about(reading, stored, written), *_place(reading, stored)),
        (
            Block("facts", ("field", "value"), _facts(written)),
            Block("held", ("field", "value", "sealed as"), _sealed(kept, written, held=held)),
            Block(
                "corrected since",
                CORRECTED,
                tuple(
                    correction_row(reading, each, held=held)
                    for each in _of_entry(reading, stored, written)
                ),
            ),
        ),
    )


def entry_value(reading: Reading, stored: Stored, *, held: bool = False) -> dict[str, Any]:
    """An entry as plain values: as written, its place, and what corrects it."""
    import msgspec

    from editions.ledger.envelope import decode

    written = decode(stored.raw)
    place = dict(_place(reading, stored))
    strike = _strike_of(reading, stored, written)
    value: dict[str, Any] = {
        "position": stored.position,
        "leaf": stored.leaf.hex(),
        **msgspec.to_builtins(written),
        "touches": _touched(written),
        "place": {name.replace(" ", "_"): said for name, said in place.items()},
        "corrections": [msgspec.to_builtins(c) for c in _of_entry(reading, stored, written)],
        "struck_by": strike.position if strike else None,
    }
    return {**value, "held_values": reading.held_values_of(stored.position)} if held else value


def _about(reading: Reading, stored: Stored, written: Entry) -> tuple[tuple[str, object], ...]:
    others = ", ".join(code for code in _touched(written) if code != written.subject)
    source = written.source
    older = f"row {source['row']} of the file {source['digest'][:16]}…" if source else ""
    return (
        ("of", of(reading, written.subject)),
        ("also changes", others),
        ("happened", written.on),
        ("recorded", written.at.replace("T", " ").replace("Z", " UTC")),
        ("by", of(reading, written.by)),
        ("taken from", older),
        ("its digest (leaf)", stored.leaf.hex()),
        ("its id", written.id),
        ("struck", _struck(reading, stored, written)),
    )


def _struck(reading: Reading, stored: Stored, written: Entry) -> str:
    """Which entry strikes it, when and by whom; nothing where none does."""
    from editions.trade.dates import say_when

    strike = _strike_of(reading, stored, written)
    if strike is None:
        return ""
    return f"by entry {strike.position}, {say_when(strike.on)}, {of(reading, strike.by)}"


def _strike_of(reading: Reading, stored: Stored, written: Entry) -> Strike | None:
    from editions.registry.strikes import strikes_of

    strikes = strikes_of(reading.stored_of(written.subject))
    return next((one for one in strikes if one.entry == stored.leaf.hex()), None)


def _touched(written: Entry) -> tuple[str, ...]:
    from editions.trade.kinds import facts_from, touched_codes

    return touched_codes(written.subject, facts_from(written.kind, written.facts))


def _place(reading: Reading, stored: Stored) -> tuple[tuple[str, object], ...]:
    """Where the entry lies in the book, whether that is proved, and which paper witnesses it."""
    place = f"number {stored.position} of {reading.size}, counted from 0"
    return (
        ("in the book", place),
        ("proved", _proved(reading, stored)),
        ("witnessed", _witnessed(reading, stored)),
    )


def _proved(reading: Reading, stored: Stored) -> str:
    from editions.errors import BronzebookError

    try:
        proof = reading.proof(stored.leaf.hex())
        state = proof.check(stored.leaf, reading.log_keys())
    except BronzebookError as fault:
        return f"no: {fault.message}"
    return f"it lies in the book as signed (checkpoint) at {state.size} entries"


def _witnessed(reading: Reading, stored: Stored) -> str:
    from editions.trade.certificates import Certificate
    from editions.trade.numbers import show_number

    papers = (one for one in reading.all_of(Certificate) if one.pdf and one.drawn_size)
    covering = [one for one in papers if (one.drawn_size or 0) > stored.position]
    if not covering:
        return "by no paper yet: it lies after the state that the last paper prints"
    first = min(covering, key=lambda one: (one.drawn_size or 0, one.code))
    kind = "reservation" if first.reserves else "certificate"
    return f"by the {kind} {show_number(first.code)} and every paper drawn later"


def _facts(written: Entry) -> Rows:
    """The open facts; one that is a record of its own has a line for each of its parts."""
    from editions.trade.kinds import facts_from, open_part

    facts = open_part(facts_from(written.kind, written.facts))
    return tuple(row for name, value in facts.items() for row in _fact(name, value, written.kind))


def _fact(name: str, value: Any, kind: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict) and value.keys() != {"value", "unit"}:
        parts = ((part, said) for part, said in value.items() if said not in (None, "", [], ()))
        yield from ((f"{field(name)}: {field(part)}", _whole(said)) for part, said in parts)
    else:
        yield field(name, kind), _whole(value)


def _in_order(written: Entry, named: dict[str, str]) -> dict[str, str]:
    """Fields in the order in which their kind declares them; the bytes have them by alphabet."""
    from editions.trade.kinds import KINDS

    return {name: named[name] for name in KINDS[written.kind].__struct_fields__ if name in named}


def _whole(value: Any) -> str:
    """A fact in full: a digest is not cut here, and a record names its parts."""
    if isinstance(value, str):
        return value
    if isinstance(value, dict) and value.keys() != {"value", "unit"}:
        parts = ((name, part) for name, part in value.items() if part not in (None, "", [], ()))
        return "; ".join(f"{field(name)}: {_whole(part)}" for name, part in parts)
    if isinstance(value, (list, tuple)):
        return ", ".join(map(_whole, value))
    return plain(value)


def _sealed(kept: dict[str, Any], written: Entry, *, held: bool) -> Rows:
    """Every held field with its seal; that nothing was said in it shows to nobody."""
    return tuple(
        (field(name), _value(name, kept, held=held), digest)
        for name, digest in _in_order(written, written.held).items()
    )


def _value(name: str, kept: dict[str, Any], *, held: bool) -> str:
    if name not in kept:
        return "erased"
    return stated(kept[name]) if held else HELD


def _of_entry(reading: Reading, stored: Stored, written: Entry) -> list[Correction]:
    from editions.registry.corrections import corrections_of

    leaf = stored.leaf.hex()
    every = corrections_of(reading.stored_of(written.subject))
    return [each for each in every if each.entry == leaf]
