"""Printing verdicts: the sentence to be quoted first, then what the paper says, then every check.

What is data goes to stdout, what speaks to the person to stderr, as everywhere; on a terminal both
stand in the order in which they are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from editions.cli import output

if TYPE_CHECKING:
    from certificates.examining import Examined
    from certificates.verify import Verdict

_NAMES = ("artist", "title", "designation", "cast", "issued")


def tell(verdicts: Sequence[Verdict], *, as_json: bool) -> int:
    """Print the verdicts on one object, and give their exit status."""
    if as_json:
        output.print_json([value_of(verdict) for verdict in verdicts])
    else:
        for verdict in verdicts:
            _print(verdict)
    return status_of(verdicts)


def tell_papers(examined: Examined, *, as_json: bool) -> int:
    """Print what several papers show together, then each of them; give the exit status."""
    import msgspec

    if as_json:
        papers = [{"name": name, **value_of(verdict)} for name, verdict in examined.verdicts]
        together = msgspec.to_builtins(examined.comparison)
        output.print_json({"together": together, "papers": papers, "status": examined.status})
        return examined.status
    _print_together(examined)
    for name, verdict in examined.verdicts:
        output.say("")
        _print(verdict, name)
    return examined.status


def status_of(verdicts: Sequence[Verdict]) -> int:
    """One status for several papers of one object: a replaced one is no contradiction."""
    from certificates.examining import worst

    statuses = [verdict.status for verdict in verdicts]
    sound = all(verdict.proved for verdict in verdicts)
    return 0 if sound and 0 in statuses else worst(statuses)


def value_of(verdict: Verdict) -> dict[str, Any]:
    """A verdict as plain values, with its sentence; digests in hex."""
    import msgspec

    from certificates.telling import sentence

    value: dict[str, Any] = msgspec.to_builtins(verdict)
    if verdict.claim is not None:
        value["claim"] |= {"leaf": verdict.claim.leaf.hex(), "root": verdict.claim.root.hex()}
    return {"says": sentence(verdict), **value}


def _print(verdict: Verdict, name: str = "") -> None:
    from certificates.telling import advice, sentence
    from editions.trade.numbers import show_number

    output.heading(show_number(verdict.number), f"{verdict.noun} as checked{name and f': {name}'}")
    output.say(sentence(verdict))
    output.say("")
    output.record(_says(verdict))
    rows = [(check.result, check.name, check.says) for check in verdict.checks]
    output.block("checks", rows, ("result", "what", "reason"))
    output.say("")
    for line in advice(verdict):
        output.say(line)


def _print_together(examined: Examined) -> None:
    """The papers in the order of the states they print, and what they show of one another."""
    found = examined.comparison
    by_name = dict(examined.verdicts)
    first = next((check.says for check in found.contradicted), None)
    output.heading(f"{len(by_name)} papers", "side by side")
    if first is not None:
        output.say(f"Something contradicts. {first}\n")
    rows = [(name, *_state(by_name[name])) for name in found.order]
    output.block("papers", rows, ("paper", "number", "issued", "entries then", "verdict"))
    checks = [(check.result, check.name, check.says) for check in found.checks]
    output.block("together", checks, ("result", "what", "reason"))


def _state(verdict: Verdict) -> tuple[object, ...]:
    from editions.trade.numbers import show_number

    said: Any = verdict.statement or verdict.claim
    size = verdict.claim.size if verdict.claim else None
    issued = said.issued if said else None
    return show_number(verdict.number), issued, size, _in_a_word(verdict)


def _in_a_word(verdict: Verdict) -> str:
    """A verdict in a cell: a paper that was replaced is no forgery."""
    from certificates.checks import STANDING

    ended = [check.name for check in verdict.contradicted] == [STANDING]
    if ended and verdict.proved and verdict.standing_as_of is not None:
        return "does not stand"
    standing = next((each for each in verdict.checks if each.name == STANDING), None)
    if verdict.status == 5 and standing is not None and standing.result == "agrees":
        return "stands, by its own key" if verdict.key_from == "paper" else "stands"
    words = {0: "stands", 3: "contradicts", 4: "not proved", 5: "standing not checked"}
    return words[verdict.status]


def _says(verdict: Verdict) -> tuple[tuple[str, object], ...]:
    """What the paper says of the object: of a code its few words, else all that is printed."""
    said: Any = verdict.statement or verdict.claim
    if said is None:
        return ()
    return (
        ("kind of paper", said.paper.replace("_", " ")),
        *((name, str(getattr(said, name) or "")) for name in _NAMES),
        *_printed(verdict),
        ("standing", verdict.standing),
        ("as of", verdict.standing_as_of),
        ("corrected since", "; ".join(verdict.corrected)),
    )


def _printed(verdict: Verdict) -> tuple[tuple[str, object], ...]:
    """What else the paper prints, a line each, as it stands there."""
    statement = verdict.statement
    if statement is None:
        return ()
    from certificates.wording import facts_of, number_note

    facts = ((fact.label.casefold(), line) for fact in facts_of(statement) for line in fact.lines)
    return (
        ("artist's life", statement.artist_life),
        ("of the number", number_note(statement)),
        *(("cast by" if label == "cast" else label, line) for label, line in facts),
        ("issued by", statement.issuer),
    )
