"""A figure cast in two sections, head and torso, carried to any stage by the acts themselves."""

from __future__ import annotations

from typing import NamedTuple

from editions.registry import Registry
from editions.registry.acts.heats import open_heat, pour_heat
from editions.registry.acts.pieces import start_piece, take_wax
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from tests.registry.builders import a_model, a_mold, a_party, state, work_of

SECTIONS = ("head", "torso")


class Figure(NamedTuple):
    """A run of a figure: who and what it takes to cast it."""

    artist: str
    work: str
    model: str
    mold: str
    run: str
    hand: str
    witness: str


def a_figure(registry: Registry) -> Figure:
    """A run of 8 of a figure whose one mold has two sections."""
    model = a_model(registry)
    work = work_of(registry, model)
    mold = a_mold(registry, model, *SECTIONS)
    hand, witness = a_party(registry, "hand"), a_party(registry, "witness")
    with registry.writing() as w:
        run = declare_run(w, work, model=model, size=8).code
    return Figure(state(registry, work).artist, work, model, mold, run, hand, witness)


def a_cast(registry: Registry, figure: Figure, tag: str, *, to: str = "fired") -> str:
    """A piece of the figure: started, waxed or fired."""
    with registry.writing() as w:
        piece = start_piece(w, figure.run, tag=tag, sections=SECTIONS).code
        if to != "started":
            for section in SECTIONS:
                take_wax(w, piece, pull_wax(w, figure.mold, section, run=figure.run).code)
        for step in ("shelled", "dewaxed", "fired") if to in ("fired", "poured") else ():
            record_step(w, step, [piece])
        if to == "poured":
            pour_heat(w, open_heat(w, f"26-{tag}", alloy="C87300").code, [piece])
    return piece
