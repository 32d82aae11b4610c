"""What people do with runs: declare, amend, offer, close."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypedDict, Unpack, get_args

from msgspec.structs import replace

from editions.errors import Unreadable
from editions.registry.acts.phrases import read_elsewhere, read_proofs
from editions.registry.acts.typed import (
    ChoiceT,
    confided,
    found,
    fresh,
    one_of,
    party,
    run_of,
    word,
)
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.alloys import alloy_names
from editions.rules.routes import route as read_route
from editions.trade.runs import (
    Declaration,
    EditionClass,
    Elsewhere,
    Leftover,
    LockEvent,
    Need,
    Numerals,
    Published,
    Run,
    RunAmended,
    RunClosed,
    RunDeclared,
    RunOffered,
    SignersWanted,
)
from editions.trade.statement import ProofSeries
from editions.trade.text import clean
from editions.trade.waxes import Wax
from editions.trade.works import Model, Work

NUMERALS: tuple[Numerals, ...] = get_args(Numerals)
CLASSES: tuple[EditionClass, ...] = get_args(EditionClass)
PUBLISHED: tuple[Published, ...] = get_args(Published)
NEEDS: tuple[Need, ...] = get_args(Need)
EVENTS: tuple[LockEvent, ...] = get_args(LockEvent)
WANTED: tuple[SignersWanted, ...] = get_args(SignersWanted)


class Declared(TypedDict, total=False):
    """What may be said when a run is declared or amended.

    ``proofs`` and ``elsewhere`` may be values or phrases: ``4 AP roman``, ``3/8=another foundry``.
    What is not said keeps its default on declaring, and stays as it was on amending.  Where only
    ``signers`` are named, all of them have to sign.
    """

    model: str | None
    size: int | None
    numerals: str
    proofs: Iterable[ProofSeries | str]
    scale: str | None
    route: str
    alloy: str | None
    colour: str
    edition_class: str
    authorised_by: str
    paper: str
    paper_digest: str | None
    other_runs: str
    promise: str
    elsewhere: Iterable[Elsewhere | str]
    publishes: Iterable[str]
    needs: Iterable[str]
    locks_on: str
    signers: Iterable[str]
    signers_wanted: str


def declare_run(
    w: Writing,
    work: str,
    *,
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
    **declared: Unpack[Declared],
) -> Entered:
    """Declare a run of a work.

    Args:
        w: The writing.
        work: Code of the work.
        code: The registry's code; the next free one when absent.
        on: When it was declared, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.
        **declared: Everything else that is declared.  Authorised by the work's artist, and of its
            only model, where that is not said.

    Raises:
        NotKnown: If the work, the model or a party is not in the book.
        Unreadable: If a route, a series or a number cannot be read.
        Refused: If a rule of the trade forbids the declaration.
    """
    whole = found(w, work, Work)
    begun = Declaration(
        work=whole.code, authorised_by=whole.artist, model=_only_model(w, whole.code)
    )
    facts = RunDeclared(declared=_with(w, begun, declared), note=confided(note))
    return w.enter(facts, fresh(w, "R", code), on=on, row=row)


def amend_run(
    w: Writing,
    run: str,
    *,
    on: str | None = None,
    reason: str | None = None,
    **changes: Unpack[Declared],
) -> Entered:
    """Amend a run's declaration, before the event that locks it.

    Args:
        w: The writing.
        run: Code of the run.
        on: When, EDTF; today when absent.
        reason: Why, held.
        **changes: What is declared anew; all else stays as it was.

    Raises:
        Refused: If the run is locked or closed, or a rule forbids the declaration.
    """
    whole = run_of(w, run)
    facts = RunAmended(declared=_with(w, whole.declared, changes), reason=confided(reason))
    return w.enter(facts, whole.code, on=on)


def offer_run(w: Writing, run: str, *, where: str | None = None, on: str | None = None) -> Entered:
    """Casts of the run were first offered to the public; where is held."""
    return w.enter(RunOffered(where=confided(where)), run_of(w, run).code, on=on)


def close_run(
    w: Writing,
    run: str,
    *,
    by_declaration: bool = False,
    in_error: bool = False,
    destroyed: Sequence[str] = (),
    kept: Sequence[str] = (),
    accounted_by: str | None = None,
    statement: str = "",
    on: str | None = None,
) -> Entered:
    """Close a run: no more pulls, and every wax left is accounted for.

    Args:
        w: The writing.
        run: Code of the run.
        by_declaration: It is closed before every number was given, and no more will be cast.
        in_error: It was declared in error: nothing was made for it, and it is counted nowhere.
        destroyed: Codes of the waxes left that were destroyed.
        kept: Codes of the waxes left that are kept.
        accounted_by: Code of who destroyed or keeps them.
        statement: What is declared at closing, in open words.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If a number is not given, a wax is not accounted for, or something was made of
            what was declared in error.
        Unreadable: If it is closed in two ways at once.
    """
    if by_declaration and in_error:
        raise Unreadable("A run ends by declaration or was an error, not both.", "Say which.")
    who = party(w, accounted_by)
    left = [Leftover(wax=found(w, wax, Wax).code, fate="destroyed", by=who) for wax in destroyed]
    left += [Leftover(wax=found(w, wax, Wax).code, fate="kept", by=who) for wax in kept]
    facts = RunClosed(
        how="declared in error" if in_error else "by declaration" if by_declaration else "complete",
        left=tuple(left),
        statement=clean(statement),
    )
    return w.enter(facts, run_of(w, run).code, on=on)


def waxes_left(reading: Reading, run: str) -> tuple[Wax, ...]:
    """The waxes allotted to a run that are still in stock, by code."""
    states = reading.linked("run", run_of(reading, run).code)
    return tuple(state for state in states if isinstance(state, Wax) and state.fate == "in stock")


def newest_run(reading: Reading, work: str | None = None) -> Run | None:
    """The run declared last, of a work where one is named: what the next one will look like."""
    runs = reading.all_of(Run)
    return next((run for run in reversed(runs) if work in (None, run.declared.work)), None)


def _only_model(reading: Reading, work: str) -> str | None:
    models = [state.code for state in reading.linked("work", work) if isinstance(state, Model)]
    return models[0] if len(models) == 1 else None


def _with(reading: Reading, begun: Declaration, said: Declared) -> Declaration:
    """The declaration with what was said, read against the book."""
    changes: dict[str, object] = {}
    if "signers" in said and "signers_wanted" not in said:
        changes["signers_wanted"] = "all" if said["signers"] else "none"
    for field, value in said.items():
        reader = _READERS.get(field)
        changes[field] = reader(reading, value) if reader else value
    return replace(begun, **changes)


def _alloy(_: Reading, text: str | None) -> str | None:
    """A designation whose limits are held in its own spelling, or the foundry's own word."""
    if text is None:
        return None
    plain = "".join(text.upper().split()).removeprefix("UNS")
    return plain if plain in alloy_names() else word(text, "alloy")


def _proofs(_: Reading, said: Iterable[ProofSeries | str]) -> tuple[ProofSeries, ...]:
    return tuple(read_proofs(one) if isinstance(one, str) else one for one in said)


def _elsewhere(_: Reading, said: Iterable[Elsewhere | str]) -> tuple[Elsewhere, ...]:
    return tuple(read_elsewhere(one) if isinstance(one, str) else one for one in said)


def _choices(choices: tuple[ChoiceT, ...], what: str) -> Callable[[Reading, Iterable[str]], object]:
    return lambda _, said: tuple(one_of(text, choices, what) for text in said)


def _choice(choices: tuple[ChoiceT, ...], what: str) -> Callable[[Reading, str], object]:
    return lambda _, text: one_of(text, choices, what)


def _text(_: Reading, text: str) -> str:
    return clean(text)


_READERS: dict[str, Callable[[Reading, Any], object]] = {
    "model": lambda reading, code: found(reading, code, Model).code if code else None,
    "numerals": _choice(NUMERALS, "style of numbers"),
    "proofs": _proofs,
    "scale": lambda _, text: word(text, "scale") if text else None,
    "route": lambda _, text: read_route(text).name,
    "alloy": _alloy,
    "colour": _text,
    "edition_class": _choice(CLASSES, "class of edition"),
    "authorised_by": party,
    "paper": _text,
    "other_runs": _text,
    "promise": _text,
    "elsewhere": _elsewhere,
    "publishes": _choices(PUBLISHED, "part to publish"),
    "needs": _choices(NEEDS, "need"),
    "locks_on": _choice(EVENTS, "event that locks"),
    "signers": lambda reading, codes: tuple(party(reading, code) for code in codes),
    "signers_wanted": _choice(WANTED, "number of signers"),
}
