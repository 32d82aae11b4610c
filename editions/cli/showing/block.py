"""The parts of a description, and how a subject is named in one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from editions.registry import Reading

Pairs = tuple[tuple[str, object], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A small table under a name."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[object, ...], ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A subject as described: its code, a title, named values, and tables."""

    code: str
    title: str
    pairs: Pairs
    blocks: tuple[Block, ...] = ()


def of(reading: Reading, code: str | None) -> str:
    """A code with its title: ``Y-0002 Ilse Varga``; nothing for None."""
    if code is None:
        return ""
    state = reading.state(code)
    title = state.index().title if state else ""
    return f"{code} {title}" if title and title != code else code


def yes(value: object, word: str) -> str:
    """The word where the value holds."""
    return word if value else ""
