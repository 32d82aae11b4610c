"""What a certificate prints of one subject, as labelled lines that can be set side by side.

A paper is a snapshot of several subjects: the piece, the work, the artist, the molds, the heats.
Each of them gives here the facts of it that a paper prints and nothing else, so that two states of
one subject differ here exactly where two papers would::

    printed(Work(code="K-0001", title="Heron, standing"))  ->  {"title": ("Heron, standing",)}

A fact that is not recorded has no lines.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from editions.trade.heats import Heat
from editions.trade.kinds import State
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.statement import MarkLine, Station
from editions.trade.works import Work

Lines = tuple[str, ...]
Printed = Mapping[str, Lines]

LIFE = "life dates"


def printed(state: State | None) -> Printed:
    """The facts of a subject that a certificate prints: label to lines; none for other subjects."""
    say: Callable[[Any], Printed] | None = _SAID.get(type(state)) if state else None
    return say(state) if say else {}


def differences(before: Printed, after: Printed) -> dict[str, tuple[Lines, Lines]]:
    """Each fact that differs: the lines that only one has, and those that only the other has."""
    labels = dict.fromkeys((*before, *after))
    pairs = {label: (before.get(label, ()), after.get(label, ())) for label in labels}
    return {
        label: (_without(old, new), _without(new, old))
        for label, (old, new) in pairs.items()
        if old != new
    }


def named(state: State, artist: str | None = None) -> str:
    """A subject as a paper's reader knows it: by its part, or as the paper names it."""
    match state:
        case Piece():
            return "the cast"
        case Work():
            return "the work"
        case Mold():
            return f"mold {state.code}"
        case Heat():
            return f"heat {state.number}"
    return "the artist" if state.code == artist else state.code


def _without(lines: Lines, others: Lines) -> Lines:
    return tuple(line for line in lines if line not in others)


def _piece(piece: Piece) -> Printed:
    colour = piece.colours[-1].words if piece.colours else ""
    found = (piece.alloy, piece.foundry) if piece.from_object else (None, "")
    return {
        "number": _one(piece.number),
        "foundry": _one(found[1]),
        "cast": _one(piece.cast_on),
        "alloy": _one(found[0]),
        "colour": _one(colour),
        "measurements": tuple(map(station_said, piece.stations)),
        "mass": _one(str(piece.mass) if piece.mass else ""),
        "marks in the metal": tuple(mark_said(mark.line) for mark in piece.marks),
    }


def _work(work: Work) -> Printed:
    return {"title": _one(work.title)}


def _party(party: Party) -> Printed:
    return {"name": _one(party.shown), LIFE: _one(party.life)}


def _mold(mold: Mold) -> Printed:
    return {"material": _one(mold.material), "generation": (str(mold.generation),)}


def _heat(heat: Heat) -> Printed:
    return {
        "alloy": _one(heat.alloy),
        "pour": _one(heat.poured),
        "analysis": (", ".join(filter(None, (heat.verdict, heat.edition))),),
    }


def station_said(station: Station) -> str:
    """A measured length in a line: ``height without base: 450 mm ± 0.5 mm``."""
    base = f" {station.base} base" if station.base else ""
    spread = f" ± {station.uncertainty}" if station.uncertainty else ""
    return f"{station.name}{base}: {station.length}{spread}"


def mark_said(mark: MarkLine) -> str:
    """A mark in a line: ``“Varga 3/8”, back of the base, stamped``."""
    return ", ".join(filter(None, (f"“{mark.text}”", mark.place, mark.method)))


def _one(text: str | None) -> Lines:
    return (text,) if text else ()


_SAID: dict[type[State], Callable[[Any], Printed]] = {
    Heat: _heat,
    Mold: _mold,
    Party: _party,
    Piece: _piece,
    Work: _work,
}
