"""Facts of entries as words: a line of a history, a field before and after a correction."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from editions.trade.kinds import Happened

# What a line of history has room for; the whole is in --json, and in `show entry N`.
LONGEST = 160
NOT_RECORDED = "not recorded"

_DIGEST = re.compile("[0-9a-f]{64}")
# What a word of the proof means to somebody who keeps a casting book.
_PLAIN = {
    "certificate_drawn": {
        "pdf": "file",
        "claim": "signed text in its code",
        "size": "entries in the book then",
    },
    "certificate_issued": {"record": "digest of the record"},
}


def said_of(one: Happened, code: str = "") -> str:
    """The kind in words and its plain facts: "number given: piece P-0003, designation 3/8"."""
    from editions.trade.kinds import open_part, said

    kind = one.facts.kind
    plain = open_part(one.facts).items()
    facts = ", ".join(fact(name, value, kind) for name, value in plain if not _large(value))
    where = f"{one.subject} " if one.subject != code else ""
    return short(f"{where}{said(kind)}" + (f": {facts}" if facts else ""))


def short(words: str) -> str:
    """Words that a line of a table has room for."""
    return words if len(words) <= LONGEST else f"{words[: LONGEST - 1]}…"


def fact(name: str, value: Any, kind: str = "") -> str:
    """A field and its value in words."""
    return f"{field(name, kind)} {plain(value)}"


def field(name: str, kind: str = "") -> str:
    """The name of a field as people say it."""
    return _PLAIN.get(kind, {}).get(name, name.replace("_", " "))


def plain(value: Any) -> str:
    """A value as words; a quantity as it was written, a shell as its piece and section."""
    if isinstance(value, dict):
        if value.keys() == {"value", "unit"}:
            return f"{value['value']} {value['unit']}"
        return " ".join(plain(part) for part in value.values() if part not in (None, "", [], ()))
    if isinstance(value, (list, tuple)):
        return ", ".join(map(plain, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    if _DIGEST.fullmatch(text):
        return f"{text[:8]}…"
    return text.replace("_", " ") if text.islower() else text


def stated(value: Any) -> str:
    """A value before or after a correction; says where nothing was."""
    return NOT_RECORDED if value in (None, "", [], ()) else plain(value)


def _large(value: Any) -> bool:
    """Whether a fact is a record of its own, such as a declaration, which a line cannot hold."""
    return isinstance(value, dict) and value.keys() != {"value", "unit"}
