"""Heron, Folding: a run of eight and four proofs, partly cast."""

from __future__ import annotations

from editions.exchange.demo_story.shop import (
    CASTER,
    CHASER,
    PATINEUR,
    WAX,
    Shop,
    Worked,
    coats,
    dress,
    shell,
)
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour, read_layer, write_recipe
from editions.registry.acts.heats import analyse_heat, charge_line, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import inspect_mold, make_mold
from editions.registry.acts.numbers import give_number, promise_number
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.pieces import (
    measure_piece,
    note_defect,
    release_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import judge_wax, pull_wax
from editions.registry.acts.works import enter_model, enter_work, measure_model
from editions.registry.writing import Writing
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

ARTIST = "Y-0002"
FIRST = (Worked("T-0101", "1/8"), Worked("T-0102", "2/8"), Worked("T-0103", "AP I/IV"))
THIRD = Worked("T-0104", "3/8")
ANALYSIS = {
    "Cu": "94.4", "Si": "4.2", "Mn": "1.0", "Fe": "0.11", "Zn": "0.07", "Pb": "0.02",
}  # fmt: skip


def begin(shop: Shop) -> None:
    """The work, its model and mold, and the declaration of the run."""
    with shop.on("2019-04-02") as w:
        enter_work(w, ARTIST, "Heron, Folding", year="2018", code="K-0002")
        enter_model(w, "K-0002", "original", material="wax over clay", code="D-0002")
        stations = [
            Station(name="height", length=Quantity("462", "mm")),
            Station(name="beak to tail", length=Quantity("331", "mm")),
            Station(name="width at wing", length=Quantity("208", "mm")),
        ]
        measure_model(w, "D-0002", stations, method="caliper, at marked points", hand=CHASER)
        make_mold(
            w,
            "D-0002",
            ["whole"],
            material="platinum-cure silicone",
            place="rack A, shelf 1",
            code="M-0002",
        )
        declare_run(
            w,
            "K-0002",
            code="R-0002",
            size=8,
            proofs=["4 AP roman"],
            scale="1:1",
            alloy="C87300",
            colour="green over brown",
            edition_class="original",
            promise="No more than 8 and 4 proofs will be cast, in any metal or colour.",
            other_runs="No other size of this work exists.",
            publishes=["size", "proofs", "pieces", "molds", "heats"],
            paper="declaration of 2 April 2019, binder 6",
        )


def cast(shop: Shop) -> None:
    """The first rack of three, and 3/8 after it."""
    with shop.on("2020-10-22") as w:
        layers = [
            "cupric nitrate; 10 % by weight; brushed; surface about 350 °F",
            "ferric nitrate; 2 % by weight; stippled; surface about 350 °F",
            "paste wax, two thin coats",
        ]
        write_recipe(
            w,
            "folding green",
            words="green over brown, burnished at the wing edges",
            layers=[read_layer(layer) for layer in layers],
            by=PATINEUR,
            code="C-0002",
        )
        mass = Quantity("1.02", "kg")
        reject = pull_wax(w, "M-0002", run="R-0002", hand=WAX, mass=mass, on="2020-10-01")
        why = "air trapped under the wing"
        judge_wax(w, reject.code, accepted=False, reason=why, hand=WAX, on="2020-10-01")
        tags = [_begin_piece(w, one.tag, "2020-10-02") for one in FIRST]
        shell(w, tags, coats("2020-10-05"), "2020-10-22")
    with shop.on("2020-10-23") as w:
        _pour(w, "20-061", tags, "2020-10-23")
    with shop.on("2020-11-20") as w:
        note_defect(w, "T-0102", "B pinhole", hand=CHASER, on="2020-10-28")
        record_step(w, "plugged", ["T-0102"], hand=CHASER, on="2020-11-02")
        _finish(w, FIRST, "2020-11-20")
    shop.photograph("T-0101", "heron", "green", "1/8, three-quarter view from the left")
    shop.certify("2020-11-27", "T-0101", "T-0102", "T-0103")
    with shop.on("2022-06-30") as w:
        tags = [_begin_piece(w, THIRD.tag, "2022-05-30")]
        shell(w, tags, coats("2022-06-01"), "2022-06-20")
        _pour(w, "22-033", tags, "2022-06-21")
        _finish(w, (THIRD,), "2022-06-30")
        names = ("tears", "registration", "detail")
        graded = [read_criterion(f"{name}=sound") for name in names]
        inspect_mold(w, "M-0002", None, graded, hand=WAX)
    shop.photograph("T-0104", "heron", "brown", "3/8, three-quarter view from the left")


def go_on(shop: Shop) -> None:
    """4/8 stands in its shell; 5/8 is promised before its cast; 6/8 is in wax."""
    with shop.on("2026-10-26") as w:
        promise_number(w, "R-0002", "5/8", held_for="sale", to="a museum across the river")
        tag = _begin_piece(w, "T-0105", "2026-10-19")
        record_step(w, "wax_chased", [tag], hand=WAX, on="2026-10-19")
        record_step(w, "gated", [tag], hand=WAX, on="2026-10-19")
        for coat, day in enumerate(coats("2026-10-20", 3), 1):
            record_step(w, "shelled", [tag], coat=coat, hand=CASTER, on=day)
        give_number(w, tag, "4/8")
        pull_wax(w, "M-0002", run="R-0002", hand=WAX, mass=Quantity("1.06", "kg"))


def _begin_piece(w: Writing, tag: str, day: str) -> str:
    start_piece(w, "R-0002", tag=tag, on=day)
    wax = pull_wax(
        w,
        "M-0002",
        run="R-0002",
        mass=Quantity("1.05", "kg"),
        wall=Quantity("3/16", "in"),
        hand=WAX,
        on=day,
    )
    take_wax(w, tag, wax.code, on=day)
    return tag


def _pour(w: Writing, heat: str, tags: list[str], day: str) -> None:
    charge = [charge_line("ingot", "LOT 881=60 kg"), charge_line("addition", "silicon=0.5 kg")]
    open_heat(w, heat, alloy="C87300", charge=charge, crucible="A60 no. 2", on=day)
    pour_heat(
        w,
        heat,
        tags,
        metal=Quantity("2000", "°F"),
        shell=Quantity("1300", "°F"),
        hand=CASTER,
        on=day,
    )
    analyse_heat(w, heat, ANALYSIS, method="spark emission", laboratory="Y-0003", on=day)


def _finish(w: Writing, pieces: tuple[Worked, ...], day: str) -> None:
    tags = [piece.tag for piece in pieces]
    dress(w, tags, day, day)
    for tag, number in pieces:
        give_number(w, tag, number, on=day)
        record_mark(w, tag, f"IT {number}", number=number, place="under the left foot", on=day)
        record_mark(w, tag, "Quillmere", place="base, rear edge", method="stamped", on=day)
        approve_piece(w, tag, "metal", by=ARTIST, how="in person", on=day)
        apply_colour(w, tag, recipe="C-0002", hand=PATINEUR, on=day)
        approve_piece(w, tag, "colour", by=ARTIST, how="by telephone", on=day)
        record_step(w, "mounted", [tag], hand=CHASER, on=day)
        stations = [
            Station(name="height", length=Quantity("451", "mm"), base="without"),
            Station(name="height", length=Quantity("486", "mm"), base="with"),
            Station(name="beak to tail", length=Quantity("323", "mm")),
            Station(name="width at wing", length=Quantity("203", "mm")),
        ]
        measure_piece(w, tag, stations, mass=Quantity("9.6", "kg"), hand=CHASER, on=day)
        release_piece(w, tag, to="a gallery by the quay", on=day)
