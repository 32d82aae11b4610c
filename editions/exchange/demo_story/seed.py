"""Seed, Standing: an old run comes in, is finished, scrapped once, papered, and closed."""

from __future__ import annotations

from editions.exchange.demo_story import people
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
from editions.registry.acts.colour import apply_colour, read_layer, write_recipe
from editions.registry.acts.heats import analyse_heat, charge_line, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import destroy_mold, inspect_mold
from editions.registry.acts.numbers import free_number, give_number
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.pieces import (
    measure_piece,
    note_defect,
    release_piece,
    scrap_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import amend_run, close_run
from editions.registry.acts.waxes import pull_wax
from editions.registry.writing import Writing
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

ESTATE = "Y-0010"
ANALYSIS = {
    "Cu": "84.7", "Sn": "5.1", "Pb": "4.9", "Zn": "4.8", "Ni": "0.3", "Fe": "0.09", "Sb": "0.06",
    "P": "0.02", "S": "0.03", "Al": "0.002", "Si": "0.002",
}  # fmt: skip


def come_in(shop: Shop) -> None:
    """The binder of the older run is taken in, and the estate confirms what it declares."""
    shop.take_in("works_and_runs", "2019-03-05")
    people.speak_for_quessel(shop)
    shop.take_in("molds_and_pulls", "2019-03-07")
    with shop.on("2019-03-08") as w:
        amend_run(
            w,
            "R-0001",
            authorised_by=ESTATE,
            promise="No more than 5 and one proof will ever be cast; the mold will be destroyed.",
            other_runs="No other size or run of this work exists.",
            reason="the artist died in 2014; the estate finishes the run he declared",
        )
        for section in ("body", "base"):
            graded = [read_criterion("tears=worn"), read_criterion("detail=sound")]
            inspect_mold(w, "M-0001", section, graded, hand=WAX)


def cast(shop: Shop) -> None:
    """Four casts are begun; one is scrapped before release, and its number given again."""
    with shop.on("2019-12-02") as w:
        _recipe(w)
        for tag in ("S-03", "S-04", "S-05", "S-AP"):
            _wax(w, tag, "2019-11-04")
        tags = ["S-03", "S-04", "S-05", "S-AP"]
        shell(w, tags, coats("2019-11-11"), "2019-12-02")
    with shop.on("2019-12-03") as w:
        _pour(w, "19-088", tags, "2019-12-03")
    with shop.on("2020-01-17") as w:
        give_number(w, "S-04", "4/5", on="2019-12-06")
        note_defect(w, "S-04", "C cold shut", section="body", hand=CHASER, on="2019-12-09")
        scrap_piece(
            w,
            "S-04",
            evidence="sawn in four before the witness, photographs in binder 7",
            witness="Y-0004",
            reason="cold shut through the shoulder, not to be welded",
            on="2019-12-10",
        )
        free_number(w, "S-04", on="2019-12-10")
        _finish(w, [("S-03", "3/5"), ("S-05", "5/5"), ("S-AP", "AP I/I")], "2020-01-17")
    with shop.on("2020-03-30") as w:
        _wax(w, "S-04B", "2020-03-02")
        shell(w, ["S-04B"], coats("2020-03-04"), "2020-03-23")
        _pour(w, "20-014", ["S-04B"], "2020-03-24")
        _finish(w, [("S-04B", "4/5")], "2020-03-30")
    shop.certify("2020-04-06", "S-03", "S-04B", "S-05", "S-AP")
    shop.take_in("earlier_casts", "2020-09-08")
    shop.photograph("OLD-02", "seed", "honey", "the cast seen on the bench in September 2020")
    shop.certify("2020-09-15", "OLD-02")


def close(shop: Shop) -> None:
    """The last wax is accounted for, the mold destroyed, the run closed."""
    with shop.on("2023-05-22") as w:
        spare = pull_wax(w, "M-0001", "body", run="R-0001", hand=WAX, on="2020-03-02")
        destroy_mold(
            w,
            "M-0001",
            witness="Y-0004",
            evidence="both jackets broken and the rubber cut through, photographs in binder 9",
        )
        close_run(
            w,
            "R-0001",
            destroyed=[spare.code],
            accounted_by=WAX,
            statement="Five and one proof exist. The mold is destroyed. No more will be cast.",
        )


def _recipe(w: Writing) -> None:
    layers = ["ferric nitrate; 3 % by weight; stippled; warm to the hand's limit", "paste wax"]
    write_recipe(
        w,
        "river brown",
        words="warm brown, two coats of wax",
        layers=[read_layer(layer) for layer in layers],
        by=PATINEUR,
        code="C-0001",
    )


def _wax(w: Writing, tag: str, day: str) -> None:
    """A wax of each section, and the piece they make."""
    start_piece(w, "R-0001", tag=tag, sections=["body", "base"], on=day)
    for section, mass in (("body", "0.86"), ("base", "0.31")):
        wax = pull_wax(
            w,
            "M-0001",
            section,
            run="R-0001",
            mass=Quantity(mass, "kg"),
            wall=Quantity("3/16", "in"),
            hand=WAX,
            on=day,
        )
        take_wax(w, tag, wax.code, on=day)


def _pour(w: Writing, heat: str, tags: list[str], day: str) -> None:
    charge = [charge_line("ingot", "LOT 5521=70 kg"), charge_line("addition", "zinc=0.3 kg")]
    open_heat(w, heat, alloy="C83600", charge=charge, crucible="A60 no. 4", on=day)
    pour_heat(
        w,
        heat,
        tags,
        metal=Quantity("2110", "°F"),
        shell=Quantity("1350", "°F"),
        hand=CASTER,
        on=day,
    )
    analyse_heat(w, heat, ANALYSIS, method="spark emission", laboratory="Y-0003", on=day)


def _finish(w: Writing, numbered: list[tuple[str, str]], day: str) -> None:
    """Dress, number, mark, measure, colour, approve and release casts of the run."""
    tags = [tag for tag, _ in numbered]
    dress(w, tags, day, day)
    for tag, number in numbered:
        give_number(w, tag, number, on=day)
        record_mark(w, tag, number, place="back, above the base", method="stamped", on=day)
        approve_piece(w, tag, "metal", by=ESTATE, how="in person", on=day)
        apply_colour(w, tag, recipe="C-0001", hand=PATINEUR, on=day)
        approve_piece(w, tag, "colour", by=ESTATE, how="by photograph", on=day)
        stations = [
            Station(name="height", length=Quantity("418", "mm"), base="without"),
            Station(name="height", length=Quantity("448", "mm"), base="with"),
            Station(name="width at shoulder", length=Quantity("176", "mm")),
        ]
        measure_piece(w, tag, stations, mass=Quantity("10.4", "kg"), hand=CHASER, on=day)
        release_piece(w, tag, to="the estate's van", on=day)
