"""Wren, Listening: a run of two whose certificates the artist signs herself."""

from __future__ import annotations

from editions.exchange.demo_story.shop import CASTER, CHASER, PATINEUR, WAX
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.heats import open_heat, pour_heat
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.pieces import start_piece, take_wax
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.registry.writing import Writing

SIGNING_ARTIST = "Y-0002"
WRENS = ("T-0201", "T-0202")


def wrens(w: Writing) -> None:
    """The work, its run, and both casts, carried as far as the approval of their colour."""
    work = enter_work(w, SIGNING_ARTIST, "Wren, Listening", year="2025").code
    model = enter_model(w, work, "original", material="wax").code
    mold = make_mold(w, model, ["whole"], material="platinum-cure silicone").code
    run = declare_run(
        w,
        work,
        size=2,
        alloy="C87300",
        colour="brown",
        edition_class="original",
        promise="No more than 2 will be cast.",
        signers=[SIGNING_ARTIST],
    ).code
    for tag in WRENS:
        start_piece(w, run, tag=tag)
        take_wax(w, tag, pull_wax(w, mold, run=run, hand=WAX).code)
    for step in ("shelled", "dewaxed", "fired"):
        record_step(w, step, list(WRENS), hand=CASTER)
    open_heat(w, "26-090", alloy="C87300")
    pour_heat(w, "26-090", list(WRENS), hand=CASTER)
    for step in ("broken out", "cut off", "blasted", "metal chased"):
        record_step(w, step, list(WRENS), hand=CHASER)
    for at, tag in enumerate(WRENS, 1):
        give_number(w, tag, f"{at}/2")
        approve_piece(w, tag, "metal", by=SIGNING_ARTIST, how="in person")
        apply_colour(w, tag, words="brown, waxed", hand=PATINEUR)
        approve_piece(w, tag, "colour", by=SIGNING_ARTIST, how="in person")


def signed_sheet() -> bytes:
    """The scan of a sheet signed in ink: an invented one, of one stroke."""
    import io

    from PIL import Image, ImageDraw

    sheet = Image.new("L", (420, 297), 250)
    ImageDraw.Draw(sheet).line([(60, 210), (110, 180), (150, 215), (240, 185)], fill=40, width=3)
    out = io.BytesIO()
    sheet.save(out, "PNG")
    return out.getvalue()
