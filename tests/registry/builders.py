"""An invented foundry, carried by acts to any stage; each builder opens a writing of its own.

    run = a_run(registry, size=8, proofs=["4 AP roman"])
    piece = a_piece(registry, run, to="coloured", number="3/8")

What is not named is made: a run brings its artist, work and model, a wax its mold.  Everything
happens on the registry's today.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from editions.registry import Registry, begin
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.heats import open_heat, pour_heat
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.pieces import release_piece, start_piece, take_wax
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.registry.writing import Clock, Random
from editions.trade.kinds import State
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from tests.helpers import chance, clock

FOUNDRY = "Kiln Lane Bronze"
ADDRESS = "https://book.kilnlane.example"
PASSPHRASE = "lost wax, found bronze"
KEY_COST = 2**10

STAGES = (
    "started",
    "waxed",
    "fired",
    "poured",
    "chased",
    "approved in metal",
    "coloured",
    "approved in colour",
    "released",
)


def a_registry(
    where: str | Path,
    home: Path | None = None,
    *,
    now: Clock | None = None,
    random: Random | None = None,
) -> Registry:
    """A registry just begun, with a repeatable clock and chance, and a key of little cost."""
    return begin(
        where,
        home=home,
        foundry=FOUNDRY,
        foundry_place="Harrow",
        address=ADDRESS,
        passphrase=PASSPHRASE,
        clock=now or clock.Clock(),
        random=random or chance.Chance(),
        key_cost=KEY_COST,
    )


def a_party(registry: Registry, role: str = "hand", **said: Any) -> str:
    """A party; public ones are given a name."""
    if role not in ("hand", "collector", "witness"):
        said.setdefault("name", f"Some {role}")
    with registry.writing() as w:
        return enter_party(w, role, **said).code


def an_artist(registry: Registry, name: str = "Ilse Varga", **said: Any) -> str:
    """An artist, living unless said."""
    return a_party(registry, "artist", name=name, **said)


def a_work(
    registry: Registry, artist: str | None = None, title: str = "Heron, standing", **said: Any
) -> str:
    """A work."""
    artist = artist or an_artist(registry)
    with registry.writing() as w:
        return enter_work(w, artist, title, **said).code


def a_model(
    registry: Registry, work: str | None = None, stage: str = "original", **said: Any
) -> str:
    """A model of a work."""
    work = work or a_work(registry)
    with registry.writing() as w:
        return enter_model(w, work, stage, **said).code


def a_run(registry: Registry, work: str | None = None, **declared: Any) -> str:
    """A run of 8 and 4 artist's proofs in Roman numerals, unless said otherwise."""
    work = work or work_of(registry, a_model(registry))
    with registry.writing() as w:
        return declare_run(w, work, **{"size": 8, "proofs": ["4 AP roman"], **declared}).code


def a_mold(registry: Registry, source: str | None = None, *sections: str, **said: Any) -> str:
    """A silicone mold, of one section unless several are named."""
    source = source or a_model(registry)
    with registry.writing() as w:
        return make_mold(w, source, sections, **{"material": "silicone", **said}).code


def a_wax(
    registry: Registry, mold: str | None = None, section: str | None = None, **said: Any
) -> str:
    """A wax in stock."""
    mold = mold or a_mold(registry)
    with registry.writing() as w:
        return pull_wax(w, mold, section, **said).code


def a_piece(
    registry: Registry,
    run: str | None = None,
    *,
    to: str = "started",
    number: str | None = None,
    mold: str | None = None,
    **said: Any,
) -> str:
    """A piece of a run, of one section, carried through the stages up to ``to``."""
    run = run or a_run(registry)
    with registry.writing() as w:
        piece = start_piece(w, run, **said).code
        if number:
            give_number(w, piece, number)
    for stage in STAGES[1 : STAGES.index(to) + 1]:
        _carry(registry, piece, stage, mold)
    return piece


def a_heat(registry: Registry, *shells: str, number: str | None = None) -> str:
    """A heat of silicon bronze, poured where shells are named."""
    with registry.writing() as w:
        code = w.next_code("H")
        heat = open_heat(w, number or f"26-{code[2:]}", alloy="C87300").code
        if shells:
            pour_heat(w, heat, shells)
    return heat


def work_of(registry: Registry, model: str) -> str:
    """The work of a model."""
    with registry.reading() as r:
        return str(getattr(r.state(model), "work", ""))


def state(registry: Registry, code: str) -> Any:
    """What the book holds of a subject now."""
    with registry.reading() as r:
        held: State | None = r.state(code)
    return held


def _carry(registry: Registry, piece: str, stage: str, mold: str | None) -> None:
    """Carry a piece from one stage to the next, as a shop would."""
    run = _run_of(registry, piece)
    by = run.declared.authorised_by
    if stage == "waxed":
        wax = a_wax(registry, mold or _mold_of(registry, run), run=run.code)
        with registry.writing() as w:
            take_wax(w, piece, wax)
    elif stage == "poured":
        a_heat(registry, piece)
    else:
        with registry.writing() as w:
            _work_at(w, piece, stage, by)


def _work_at(w: Any, piece: str, stage: str, by: str) -> None:
    if stage == "fired":
        for step in ("shelled", "dewaxed", "fired"):
            record_step(w, step, [piece])
    elif stage == "chased":
        for step in ("broken out", "cut off", "blasted", "metal chased"):
            record_step(w, step, [piece])
    elif stage == "approved in metal":
        approve_piece(w, piece, "metal", by=by, how="in person")
    elif stage == "coloured":
        apply_colour(w, piece, words="brown over green")
    elif stage == "approved in colour":
        approve_piece(w, piece, "colour", by=by, how="by photograph")
    elif stage == "released":
        release_piece(w, piece)


def _run_of(registry: Registry, piece: str) -> Run:
    with registry.reading() as r:
        return r.get(r.get(piece, Piece).run or "", Run)


def _mold_of(registry: Registry, run: Run) -> str:
    """The mold of the run's model, made where there is none yet."""
    source = run.declared.model or a_model(registry, run.declared.work)
    with registry.reading() as r:
        molds = r.linked("taken from", source)
    return molds[0].code if molds else a_mold(registry, source)
