"""Facts of entries as words: a line of a history, a field before and after a correction."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from editions.trade.kinds import Facts, Happened

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
# "step done: welded" needs no word for the step.
_BY_ITSELF = ("step_done", "step")
# What befalls a paper, be it a certificate or a reservation.
_KINDS = {
    "certificate_drawn": "paper drawn",
    "certificate_withdrawn": "paper withdrawn",
    "certificate_reported": "paper reported gone",
}
# What a line of history leaves to the entry itself.
_LEFT_OUT = {"certificate_issued": ("number", "record", "foundry_key")}


def said_of(one: Happened, code: str = "") -> str:
    """The kind in words and its plain facts: "number given: piece P-0003, designation 3/8"."""
    from editions.trade.kinds import open_part

    kind, left_out = one.facts.kind, _LEFT_OUT.get(one.facts.kind, ())
    plain = {k: v for k, v in open_part(one.facts).items() if k not in left_out}
    facts = [fact(name, value, kind) for name, value in plain.items() if not _large(value)]
    where = f"{one.subject} " if one.subject != code else ""
    return short(f"{where}{kind_said(one.facts)}{': ' if facts else ''}{', '.join(facts)}")


def kind_said(facts: Facts) -> str:
    """A kind of entry in words; a paper that reserves a number is not called a certificate."""
    from editions.trade.certificates import CertificateIssued
    from editions.trade.kinds import said

    if isinstance(facts, CertificateIssued):
        number = f", {facts.statement.designation}" if facts.statement.designation else ""
        reserves = facts.statement.paper == "reservation"
        return f"{'reservation' if reserves else 'certificate'} issued{number}"
    return _KINDS.get(facts.kind, said(facts.kind))


def short(words: str) -> str:
    """Words that a line of a table has room for."""
    return words if len(words) <= LONGEST else f"{words[: LONGEST - 1]}…"


def fact(name: str, value: Any, kind: str = "") -> str:
    """A field and its value in words."""
    said = plain(value)
    return said if (kind, name) == _BY_ITSELF else f"{field(name, kind)} {said}"


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
