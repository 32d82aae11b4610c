"""What waits, for what, and for whom: read from a subject's state alone.

A subject waits once for each whose turn it is, and only for what can be done now: the next step of
its route, its number, an approval; its certificate and its release when all else is there.

>>> from editions.trade.waxes import Wax
>>> [str(wait) for wait in waits(Wax(code="W-0001", section="head"))]
['W-0001 waits for the word whether it is accepted (foundry)']
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import msgspec

from editions.rules.next_steps import before_the_pour, on_the_bench
from editions.rules.routes import Route, route
from editions.trade.certificates import Certificate, RefusalHeld
from editions.trade.dates import say_when
from editions.trade.heats import Heat
from editions.trade.kinds import State
from editions.trade.molds import Mold, MoldSection
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration, Run
from editions.trade.waxes import Wax

FOUNDRY = "foundry"
LABORATORY = "laboratory"
PATINEUR = "patineur"

# No figure is published for molds of sculpture: 20 to 30 pulls, then review, is from memory (low
# confidence), so it only ever leads to a remark.
PULLS_TO_REVIEW = 20


class Wait(msgspec.Struct, frozen=True):
    """Something that waits: the code, what it waits for, and whose turn it is.

    ``whose`` is a party's code where one person must act, else a word for the shop's own hands.
    """

    code: str
    what: str
    whose: str

    def __str__(self) -> str:
        return f"{self.code} waits for {self.what} ({self.whose})"


def waits(state: State, run: Run | None = None, heats: Sequence[Heat] = ()) -> tuple[Wait, ...]:
    """Return what a subject waits for, once for each whose turn it is, the next thing first.

    Args:
        state: A piece, wax, heat, mold, run or certificate; any other waits for nothing.
        run: The run it belongs to, for a piece, a wax or a heat.
        heats: The heats that a piece was poured from.
    """
    reader = _READERS.get(type(state))
    if reader is None:
        return ()
    turns: dict[str, list[str]] = {}
    for what, whose in reader(state, run, heats):
        turns.setdefault(whose, []).append(what)
    return tuple(Wait(state.code, "; ".join(what), whose) for whose, what in turns.items())


def inspection_due(section: MoldSection) -> bool:
    """Tell whether a mold's section has had many pulls since it was last looked at."""
    since = section.pulls - section.inspected_at_pull
    return section.retired is None and since >= PULLS_TO_REVIEW


_Waiting = Iterator[tuple[str, str]]


def _piece(piece: Piece, run: Run | None, heats: Sequence[Heat]) -> _Waiting:
    if piece.scrapped or piece.released or piece.from_object or run is None:
        return
    by = route(run.declared.route)
    if not piece.poured:
        yield from ((what, FOUNDRY) for what in before_the_pour(piece, by))
        if _lacks_number(piece, run.declared):
            yield "its number", FOUNDRY
        return
    open_work = [*_bench(piece, run.declared, by), *_colouring(piece, run.declared, by)]
    if _lacks_number(piece, run.declared):
        open_work.append(("its number", FOUNDRY))
    yield from open_work
    if not open_work and _analysed(run.declared, heats):
        yield from _papers(piece)


def _bench(piece: Piece, declared: Declaration, by: Route) -> _Waiting:
    step = on_the_bench(piece, by)
    if step:
        yield step, FOUNDRY
    if "approved_in_metal" in declared.needs and not piece.approved("metal"):
        yield f"approval in metal{_once_chased(piece, by)}", declared.authorised_by


def _once_chased(piece: Piece, by: Route) -> str:
    return f", once {by.says('metal_chased')}" if on_the_bench(piece, by) else ""


def _colouring(piece: Piece, declared: Declaration, by: Route) -> _Waiting:
    if "approved_in_metal" in declared.needs and not piece.approved("metal"):
        return
    coloured = piece.colours or any(step.step == "coloured" for step in piece.steps)
    if not coloured and declared.colour.casefold() != "none":
        yield f"its colour{_once_chased(piece, by)}", PATINEUR
    elif "approved_in_colour" in declared.needs and not piece.approved("colour"):
        yield "approval in colour", declared.authorised_by


def _lacks_number(piece: Piece, declared: Declaration) -> bool:
    numbered = declared.numerals != "none" and declared.edition_class != "unique"
    return piece.number is None and piece.purpose == "run" and numbered


def _analysed(declared: Declaration, heats: Sequence[Heat]) -> bool:
    # The heat says so itself, in one line for all that was poured from it.
    return "analysis" not in declared.needs or all(h.verdict != "not analysed" for h in heats)


def _papers(piece: Piece) -> _Waiting:
    if not piece.certificates:
        yield "its certificate", FOUNDRY
    yield "its release", FOUNDRY


def _wax(wax: Wax, run: Run | None, _: Sequence[Heat]) -> _Waiting:
    if wax.fate != "in stock":
        return
    if wax.accepted is None:
        yield "the word whether it is accepted", FOUNDRY
    elif wax.run is None:
        yield "a run", FOUNDRY
    elif run is not None and run.closed:
        yield "its fate, the run being closed", FOUNDRY
    else:
        yield "a piece", FOUNDRY


def _heat(heat: Heat, run: Run | None, _: Sequence[Heat]) -> _Waiting:
    if heat.poured is None:
        yield "its pour", FOUNDRY
    wanted = run is not None and "analysis" in run.declared.needs
    if wanted and heat.verdict == "not analysed":
        yield "its analysis", LABORATORY


def _mold(mold: Mold, _: Run | None, __: Sequence[Heat]) -> _Waiting:
    if mold.destroyed:
        return
    if mold.out:
        yield "its return", mold.owner or FOUNDRY
    for section in mold.sections:
        if inspection_due(section):
            since = section.pulls - section.inspected_at_pull
            yield f"an inspection of {section.name}, {since} pulls after the last", FOUNDRY
        elif section.condition == "failing" and section.retired is None:
            yield f"repair or retirement of {section.name}", FOUNDRY


def _run(run: Run, _: Run | None, __: Sequence[Heat]) -> _Waiting:
    for promise in run.promised:
        if run.bearer(promise.designation) is None:
            yield f"the cast of {promise.designation} ({promise.held_for})", FOUNDRY
    if run.closed is None and _all_given(run):
        yield "its closing", run.declared.authorised_by


def _all_given(run: Run) -> bool:
    borne = {given.designation for given in run.given if not given.freed}
    elsewhere = {other.designation for other in run.declared.elsewhere}
    numbers = {number for number in borne | elsewhere if _of_the_run(number)}
    return run.declared.size is not None and len(numbers) >= run.declared.size


def _of_the_run(number: str) -> bool:
    """Tell whether a canonical designation is of the numbered run: only series have a space."""
    return " " not in number


def _certificate(certificate: Certificate, _: Run | None, __: Sequence[Heat]) -> _Waiting:
    if certificate.undrawn:
        yield "its drawing", FOUNDRY
    elif certificate.standing == "stands" and certificate.pending:
        for refusal in certificate.refused:
            yield f"its withdrawal: {_refused_by(certificate, refusal)}", FOUNDRY
        answered = {proof.party for proof in certificate.proofs}
        answered |= {refusal.party for refusal in certificate.refused}
        for signer in certificate.signers:
            if signer.party not in answered:
                yield "a signature", signer.party


def _refused_by(certificate: Certificate, refusal: RefusalHeld) -> str:
    signer = certificate.signer(refusal.party)
    name = signer.name if signer else refusal.party
    return f"refused by {name}{refusal.as_told}, {say_when(refusal.on)}"


_READERS: dict[type[State], Callable[[Any, Run | None, Sequence[Heat]], _Waiting]] = {
    Piece: _piece,
    Wax: _wax,
    Heat: _heat,
    Mold: _mold,
    Run: _run,
    Certificate: _certificate,
}
