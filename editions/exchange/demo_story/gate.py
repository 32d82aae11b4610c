"""The Long Gate: a large piece in five sections, over three heats, one section cast again."""

from __future__ import annotations

from editions.exchange.demo_story.shop import (
    CASTER,
    CHASER,
    PATINEUR,
    WAX,
    Shop,
    coats,
    dress,
    shell,
)
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.heats import analyse_heat, charge_line, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number
from editions.registry.acts.pieces import (
    measure_piece,
    note_defect,
    scrap_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.registry.writing import Writing
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

ARTIST, TAG = "Y-0002", "G-01"
SECTIONS = ("left post", "left bar", "crossing", "right bar", "right post")


def cast(shop: Shop) -> None:
    """From the declaration to the finished gate."""
    with shop.on("2022-09-05") as w:
        _declare(w)
    with shop.on("2022-10-03") as w:
        start_piece(w, "R-0003", tag=TAG, sections=SECTIONS, on="2022-09-05")
        for section in SECTIONS:
            _take(w, section, "2022-09-05")
        shell(w, [TAG], coats("2022-09-12"), "2022-10-03")
    with shop.on("2022-10-04") as w:
        _pour(w, "22-051", [f"{TAG}/left post", f"{TAG}/left bar"], "2022-10-04")
        _pour(
            w, "22-052", [f"{TAG}/crossing", f"{TAG}/right bar", f"{TAG}/right post"], "2022-10-04"
        )
    with shop.on("2022-11-21") as w:
        note_defect(w, TAG, "E misrun", section="crossing", hand=CHASER, on="2022-10-10")
        scrap_piece(
            w,
            TAG,
            section="crossing",
            evidence="weighed back into returns with heat 22-052, photographs in binder 8",
            witness="Y-0004",
            on="2022-10-11",
        )
        _take(w, "crossing", "2022-10-12")
        shell(w, [f"{TAG}/crossing"], coats("2022-10-14"), "2022-10-31")
        _pour(w, "22-058", [f"{TAG}/crossing"], "2022-11-01", returns=True)
    with shop.on("2023-02-10") as w:
        _finish(w)
    shop.photograph(TAG, "gate", "black", "the gate in the yard, from the south")
    shop.certify("2023-02-14", TAG)


def _declare(w: Writing) -> None:
    enter_work(w, ARTIST, "The Long Gate", year="2021", code="K-0003")
    enter_model(w, "K-0003", "original", material="plaster", scale="1:4", code="D-0003")
    enter_model(
        w, "K-0003", "enlargement", made_from="D-0003", material="foam", scale="1:1", code="D-0004"
    )
    make_mold(
        w, "D-0004", SECTIONS, material="tin-cure silicone", place="long store", code="M-0003"
    )
    declare_run(
        w,
        "K-0003",
        code="R-0003",
        model="D-0004",
        size=3,
        proofs=["1 AP roman"],
        scale="1:1",
        alloy="C87300",
        colour="black, waxed",
        promise="No more than 3 and one proof will be cast at this size.",
        other_runs="A run at one quarter of the size may follow.",
        needs=["analysis", "approved_in_metal", "approved_in_colour"],
    )


def _take(w: Writing, section: str, day: str) -> None:
    wax = pull_wax(
        w,
        "M-0003",
        section,
        run="R-0003",
        mass=Quantity("4.6", "kg"),
        wall=Quantity("1/4", "in"),
        hand=WAX,
        on=day,
    )
    take_wax(w, TAG, wax.code, on=day)


def _pour(w: Writing, heat: str, shells: list[str], day: str, *, returns: bool = False) -> None:
    charge = [charge_line("ingot", "LOT 904=130 kg")]
    if returns:
        charge.append(charge_line("returns", "22-052=36 kg"))
    open_heat(w, heat, alloy="C87300", charge=charge, crucible="A150 no. 1", on=day)
    pour_heat(
        w,
        heat,
        shells,
        metal=Quantity("1095", "°C"),
        shell=Quantity("700", "°C"),
        hand=CASTER,
        on=day,
    )
    analysis = {"Cu": "94.6", "Si": "4.0", "Mn": "1.1", "Fe": "0.09", "Zn": "0.05", "Pb": "0.02"}
    analyse_heat(w, heat, analysis, method="spark emission", laboratory="Y-0003", on=day)


def _finish(w: Writing) -> None:
    dress(w, [TAG], "2022-11-07", "2023-01-20")
    record_step(w, "welded", [TAG], hand=CHASER, on="2022-12-15")
    give_number(w, TAG, "1/3", on="2023-01-20")
    record_mark(w, TAG, "I. Toresk 1/3", number="1/3", place="right post, foot", method="cut")
    approve_piece(w, TAG, "metal", by=ARTIST, how="in person", on="2023-01-23")
    apply_colour(w, TAG, words="black, waxed warm", hand=PATINEUR, on="2023-02-06")
    approve_piece(w, TAG, "colour", by=ARTIST, how="in writing", on="2023-02-10")
    stations = [
        Station(name="length", length=Quantity("3.42", "m")),
        Station(name="height", length=Quantity("1.36", "m")),
    ]
    measure_piece(w, TAG, stations, mass=Quantity("212", "kg"), hand=CHASER)
