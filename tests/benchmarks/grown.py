"""A registry grown to many certificates, for measuring: runs of eight, cast, marked, certified.

Everything is entered by the product's own acts and certified by ``certificates.issue``; every
certificate has its entries, its signed claim, its credential and its proof.  Two things make it
fast: much is entered in one writing, and of each paper only what it carries is made, on an empty
sheet (drawing the words takes ten times as long, and no page reads them).  The names are invented;
the same size gives the same registry.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
from PIL import Image, ImageDraw

from certificates import pdf
from certificates.attach import attach
from certificates.claim import Seal
from certificates.issue import issue
from editions.registry import Registry, Writing, begin
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.heats import analyse_heat, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.pieces import measure_piece, start_piece, take_wax
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import judge_wax, pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.store.photographs import keep, prepare
from editions.trade.quantities import read_quantity
from editions.trade.runs import Run
from editions.trade.statement import Statement
from editions.trade.stations import read_station
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock

PASSPHRASE = "a crucible of words"
EIGHT = 8
RUNS_OF_AN_ARTIST = 10
PHOTOGRAPHS = 16
AT_ONCE = 160
FOUND = {"Cu": "94.6", "Si": "4.26", "Mn": "1.05", "Zn": "0.02", "Fe": "0.04", "Pb": "0.01"}


def begun(folder: Path) -> Registry:
    """A registry with nothing in it yet."""
    clock = Clock()
    registry = begin(
        folder,
        home=folder,
        foundry="Harrow Lane Bronze",
        foundry_place="Ostrel",
        address="https://book.harrow-lane.example",
        passphrase=PASSPHRASE,
        clock=clock,
        random=Chance("grown"),
        key_cost=2**10,
    )
    clock.wind(days=266)
    return registry


def grow(registry: Registry, pieces_wanted: int, *, left: int = 0) -> None:
    """Add runs of eight until there are so many pieces more; says on stderr how far it is.

    All are certified but the ``left`` last.
    """
    pictures = [_photograph(registry, shade) for shade in range(PHOTOGRAPHS)]
    artist, pieces = "", list[str]()
    for at in range(0, pieces_wanted, EIGHT):
        with registry.writing() as w:
            if at % (EIGHT * RUNS_OF_AN_ARTIST) == 0:
                artist = enter_party(w, ["artist"], name=f"Ilse Varga of {at}", born="1931").code
            run, mold = declared(w, artist, at)
            pieces += cast(w, run, mold, range(1, min(EIGHT, pieces_wanted - at) + 1), pictures)
        if len(pieces) >= AT_ONCE and at + EIGHT < pieces_wanted:
            certify(registry, pieces)
            pieces = []
            print(f"{at + EIGHT} of {pieces_wanted}", end="\r", file=sys.stderr)
    certify(registry, pieces[: len(pieces) - left])


def certify(registry: Registry, pieces: list[str]) -> tuple[str, ...]:
    """Issue and draw certificates of these pieces; their numbers."""
    drawing: Any = pdf
    whole = drawing.draw
    drawing.draw = empty_sheet
    try:
        return tuple(one.number for one in issue(registry, pieces, passphrase=PASSPHRASE))
    finally:
        drawing.draw = whole


def empty_sheet(statement: Statement, seal: Seal, photograph: bytes | None, page: str) -> bytes:
    """A paper without its words: an empty sheet that carries what a paper carries."""
    return attach(_empty(), pdf._files(seal), pdf._description(statement, seal.address, ""))


@cache
def _empty() -> bytes:
    out = io.BytesIO()
    with pikepdf.new() as document:
        document.add_blank_page()
        document.save(out, deterministic_id=True)
    return out.getvalue()


def declared(w: Writing, artist: str, at: int) -> tuple[Run, str]:
    """A work with its model, a mold, and a run of eight; the run, and the mold's code."""
    work = enter_work(w, artist, f"Heron, settling {at}", year="1984").code
    model = enter_model(w, work, "plaster").code
    mold = make_mold(w, model, ["whole"], material="silicone rubber", on="2026-03-02").code
    run = declare_run(
        w,
        work,
        size=EIGHT,
        proofs=["4 AP roman"],
        alloy="C87300",
        edition_class="original",
        promise="No more than eight and four proofs will be cast, in this or any other size.",
        on="2026-03-02",
    ).code
    return w.get(run, Run), mold


def cast(
    w: Writing, run: Run, mold: str, numbers: Iterable[int], pictures: Sequence[str]
) -> list[str]:
    """Pieces of a run from their waxes to their photographs, all of one heat; their codes."""
    given = {_shell(w, run.code, mold): f"{number}/{EIGHT}" for number in numbers}
    codes, heat = list(given), f"26-{next(iter(given))[2:]}"
    open_heat(w, heat, alloy="C87300", crucible="A60", on="2026-03-23")
    analyse_heat(w, heat, FOUND, method="optical emission", on="2026-03-23")
    pour_heat(w, heat, codes, on="2026-03-23")
    for step, day in (("broken out", 24), ("cut off", 24), ("blasted", 25), ("metal chased", 26)):
        record_step(w, step, codes, on=f"2026-03-{day}")
    for code, number in given.items():
        _finish(w, code, run.declared.authorised_by, number)
        file_photograph(w, code, pictures[int(code[2:]) % len(pictures)], caption="three-quarter")
    return codes


def _shell(w: Writing, run: str, mold: str) -> str:
    code = start_piece(w, run, sections=("whole",), on="2026-03-09").code
    wax = pull_wax(w, mold, "whole", run=run, on="2026-03-09").code
    judge_wax(w, wax, accepted=True, on="2026-03-09")
    take_wax(w, code, wax, section="whole", on="2026-03-10")
    for step, day in (("wax chased", 10), ("gated", 11), ("shelled", 12), ("dewaxed", 20)):
        record_step(w, step, [code], on=f"2026-03-{day}")
    record_step(w, "fired", [code], on="2026-03-23")
    return code


def _finish(w: Writing, code: str, artist: str, number: str) -> None:
    day = "2026-04-16"
    approve_piece(w, code, "metal", by=artist, how="in person", on="2026-04-07")
    apply_colour(w, code, words="warm brown, darker in the folds", on="2026-04-14")
    approve_piece(w, code, "colour", by=artist, how="by telephone", on="2026-04-15")
    give_number(w, code, number, on="2026-04-15")
    record_mark(w, code, number, number=number, place="base", method="cold stamped", on=day)
    record_mark(w, code, "HLB 26", place="underside", method="cast in", on=day)
    lengths = [read_station("height=450mm±2mm/with"), read_station("wing span=61.5cm")]
    measure_piece(w, code, lengths, mass=read_quantity("14.2 kg", "mass"), on=day)


def _photograph(registry: Registry, shade: int) -> str:
    drawn = Image.new("RGB", (400, 500), (216, 209, 180 + shade))
    ImageDraw.Draw(drawn).polygon([(165, 150), (228, 150), (290, 410), (110, 410)], (96, 70, 42))
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=85)
    return keep(registry.home.photographs, prepare(out.getvalue())).derivative_digest
