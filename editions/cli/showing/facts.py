"""Facts of entries as words: a line of a history, a field before and after a correction."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from editions.trade.kinds import Facts, Happened

# What a line of history has room for; the whole is in --json, and in `show entry N`.
LONGEST = 160
NOT_RECORDED = "not recorded"
_NOTHING: tuple[object, ...] = (None, "", [], ())

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
    "signature_refused": "signature refused",
    "refusal_told": "signature refused by word",
    "certificate_reported": "paper reported gone",
}
# A yes or no of its kind, in the trade's words.
_WORDS = {
    ("wax_judged", "accepted"): ("accepted", "rejected"),
    ("approval_given", "approved"): ("approved", "refused"),
}
# The bytes have the fields of a record by alphabet; these come in the order in which they are said.
_ORDER = (
    "source", "name", "piece", "section", "run", "solution", "strength", "method", "heat", "lot",
    "mass",
)  # fmt: skip
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
    if isinstance(value, bool) and (kind, name) in _WORDS:
        return _WORDS[kind, name][0 if value else 1]
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
        said = [plain(value[name]) for name in _said_first(value) if value[name] not in _NOTHING]
        return (", " if "solution" in value else " ").join(said)
    if isinstance(value, (list, tuple)):
        return ", ".join(map(plain, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    if _DIGEST.fullmatch(text):
        return f"{text[:8]}…"
    return text.replace("_", " ") if text.islower() else text


def lines_of(name: str, value: Any) -> Iterator[str]:
    """A held field, a line; where it is a list of records, such as layers, a line each."""
    if isinstance(value, list) and all(isinstance(one, dict) for one in value):
        singular = field(name).removesuffix("s")
        yield from (f"{singular} {number}: {plain(one)}" for number, one in enumerate(value, 1))
    else:
        yield fact(name, value)


def _said_first(value: dict[str, Any]) -> list[str]:
    """The names of a record's fields, in the order in which people say them."""
    return sorted(value, key=lambda name: _ORDER.index(name) if name in _ORDER else len(_ORDER))


def stated(value: Any) -> str:
    """A value before or after a correction; says where nothing was."""
    return NOT_RECORDED if value in (None, "", [], ()) else plain(value)


def _large(value: Any) -> bool:
    """Whether a fact is a record of its own, such as a declaration, which a line cannot hold."""
    return isinstance(value, dict) and value.keys() != {"value", "unit"}
