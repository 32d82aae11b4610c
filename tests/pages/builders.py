"""A small casting book for pages: every state of a certificate, and something held in every entry.

The foundry, artists, works and people are invented.  Each held field that an act takes is given a
text beginning with ``HELD``, so that a page in which one shows is found at once.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PIL import Image, ImageDraw

from certificates.issue import issue, replace_lost, reserve, withdraw
from editions.registry import Writing, begin
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour, write_recipe
from editions.registry.acts.heats import analyse_heat, open_heat, pour_heat
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import make_mold
from editions.registry.acts.numbers import give_number, promise_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.pieces import (
    measure_piece,
    note_defect,
    register_cast,
    release_piece,
    scrap_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import judge_wax, pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.store.photographs import keep, prepare
from editions.trade.colour import Layer
from editions.trade.pieces import Piece
from editions.trade.quantities import read_quantity
from editions.trade.stations import read_station
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock

PASSPHRASE = "a crucible of words"
HELD = "HELD"
COST = 2**10
TITLE = "Heron, settling"
SECTIONS = ("body", "left wing", "right wing")


def picture(ground: tuple[int, int, int] = (216, 209, 198)) -> bytes:
    """A figure on a base before a ground, as a JPEG."""
    drawn = Image.new("RGB", (400, 500), ground)
    pencil = ImageDraw.Draw(drawn)
    pencil.ellipse((150, 70, 240, 165), fill=(84, 60, 36))
    pencil.polygon([(165, 150), (228, 150), (290, 410), (110, 410)], fill=(96, 70, 42))
    pencil.rectangle((95, 410, 305, 450), fill=(40, 36, 32))
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=85)
    return out.getvalue()


class Shop:
    """A registry with an artist, an estate's executor, a work and its mold, and a clock to wind."""

    def __init__(
        self, folder: Path, where: str | None = None, random: Chance | None = None
    ) -> None:
        self.clock = Clock()
        self.registry = begin(
            where or folder,
            home=folder,
            foundry="Harrow Lane Bronze",
            foundry_place="Ostrel",
            address="https://book.harrow-lane.example",
            passphrase=PASSPHRASE,
            clock=self.clock,
            random=random or Chance("pages"),
            key_cost=COST,
        )
        self.clock.wind(days=266)

    def write(self, act: Callable[[Writing], object]) -> None:
        """One writing of the foundry's."""
        with self.registry.writing() as writing:
            act(writing)

    def photograph(self, code: str, data: bytes | None = None) -> str:
        """File a photograph with a subject; its public digest."""
        taken = keep(self.registry.home.photographs, prepare(data or picture()))
        self.write(
            lambda w: file_photograph(
                w, code, taken.derivative_digest, taken.original_digest, caption="three-quarter"
            )
        )
        return taken.derivative_digest

    def certify(self, piece: str, **said: object) -> str:
        """Issue a certificate of a piece; its number."""
        return issue(self.registry, [piece], passphrase=PASSPHRASE, **said)[0].number  # type: ignore[arg-type]


def opened(
    folder: Path,
    where: str | None = None,
    *,
    title: str = TITLE,
    artist: str = "Ilse Varga",
    random: Chance | None = None,
) -> Shop:
    """A shop with everything declared and nothing cast."""
    shop = Shop(folder, where, random)
    shop.write(lambda w: _declare(w, title, artist))
    return shop


def _declare(w: Writing, title: str, artist: str) -> None:
    enter_party(w, ["artist"], name=artist, born="1931", contact=f"{HELD} artist's address")
    enter_party(w, ["hand"], private_name=f"{HELD} Maria the chaser", contact=f"{HELD} 555")
    enter_party(w, ["witness"], private_name=f"{HELD} witness")
    enter_work(w, "Y-0002", title, year="1984", note=f"{HELD} a note on the work")
    enter_model(w, "K-0001", "plaster", note=f"{HELD} model")
    make_mold(
        w,
        "D-0001",
        ["whole"],
        material="silicone rubber, plaster jacket",
        on="2026-03-02",
        note=f"{HELD} mold note",
    )
    declare_run(
        w,
        "K-0001",
        size=8,
        proofs=["4 AP roman"],
        alloy="C87300",
        edition_class="original",
        promise="No more than eight and four proofs will be cast, in this or any other size.",
        other_runs="There is no other run of this work.",
        on="2026-03-02",
        note=f"{HELD} run note",
    )
    recipe = Layer(solution=f"{HELD} ferric nitrate", strength=f"{HELD} strong", method="brush")
    write_recipe(w, "Harrow brown", words="warm brown", layers=[recipe])


def cast(shop: Shop, number: str = "3/8", *, mark: str | None = None, said: str = "") -> str:
    """One piece of the first run, cast, coloured, approved, numbered, measured and marked.

    ``said`` stands wherever a free text may: as colour, and as a mark and its place.
    """
    code = ""

    def make(w: Writing) -> None:
        nonlocal code
        code = _begin(w, "R-0001", "M-0001", ("whole",))
        pour(w, code, f"26-{code[2:]}")
        finish(w, code, number, mark or number, said)

    shop.write(make)
    return code


def _begin(w: Writing, run: str, mold: str, sections: tuple[str, ...]) -> str:
    code = start_piece(w, run, sections=sections, on="2026-03-09", note=f"{HELD} piece note").code
    for name in sections:
        wax = pull_wax(w, mold, name, run=run, on="2026-03-09", note=f"{HELD} wax note").code
        judge_wax(w, wax, accepted=True, reason=f"{HELD} wax reason", on="2026-03-09")
        take_wax(w, code, wax, section=name, on="2026-03-10")
    record_step(w, "wax chased", [code], hand="Y-0003", on="2026-03-10", note=f"{HELD} step")
    record_step(w, "gated", [code], on="2026-03-11")
    for coat in range(1, 8):
        record_step(w, "shelled", [code], coat=coat, on=f"2026-03-{11 + coat}")
    record_step(w, "dewaxed", [code], on="2026-03-20")
    record_step(w, "fired", [code], on="2026-03-23")
    return code


def pour(w: Writing, shells: str, number: str, on: str = "2026-03-23") -> None:
    """A heat of silicon bronze, analysed and poured into these shells."""
    open_heat(w, number, alloy="C87300", crucible="A60", on=on, note=f"{HELD} heat note")
    found = {"Cu": "94.6", "Si": "4.26", "Mn": "1.05", "Zn": "0.02", "Fe": "0.04", "Pb": "0.01"}
    analyse_heat(w, number, found, method="optical emission", on=on)
    pour_heat(w, number, [shells], hand="Y-0003", on=on)


def finish(w: Writing, code: str, number: str, mark: str, said: str = "") -> None:
    """From the shell to the shelf."""
    for step, day in (("broken out", 24), ("cut off", 24), ("blasted", 25), ("welded", 26)):
        record_step(w, step, [code], on=f"2026-03-{day}")
    section = w.get(code, Piece).sections[0].name
    note_defect(w, code, "pinhole", section=section, note=f"{HELD} defect note", on="2026-03-25")
    record_step(w, "metal chased", [code], hand="Y-0003", on="2026-04-02")
    approve_piece(
        w,
        code,
        "metal",
        by="Y-0002",
        how="in person",
        on="2026-04-07",
        note=f"{HELD} approval note",
    )
    apply_colour(
        w,
        code,
        recipe="C-0001",
        words=said or "warm brown, darker in the folds",
        differs=f"{HELD} how it differed",
        on="2026-04-14",
    )
    approve_piece(w, code, "colour", by="Y-0002", how="by telephone", on="2026-04-15")
    give_number(w, code, number, on="2026-04-15")
    record_mark(
        w,
        code,
        f"{mark} IV",
        number=mark,
        place="back of the base",
        method="cold stamped",
        note=f"{HELD} mark note",
        on="2026-04-16",
    )
    record_mark(w, code, "HLB 26", place="underside", method="cast in", on="2026-04-16")
    if said:
        record_mark(w, code, said, place=said, on="2026-04-16")
    measured = ("height=450mm±2mm/with", "height=17 1/8in/without", "wing span=61.5cm")
    measure_piece(
        w,
        code,
        [read_station(each) for each in measured],
        mass=read_quantity("14.2 kg", "mass"),
        on="2026-04-16",
    )


def large(shop: Shop) -> str:
    """A piece in three sections over three heats, one section scrapped and cast again."""
    code = ""

    def make(w: Writing) -> None:
        nonlocal code
        enter_work(w, "Y-0002", "Large heron", year="1991")
        enter_model(w, "K-0002", "enlargement")
        make_mold(w, "D-0002", SECTIONS, material="silicone rubber", on="2026-03-02")
        declare_run(
            w,
            "K-0002",
            size=3,
            alloy="C87300",
            on="2026-03-02",
            publishes=["size", "proofs", "heats", "molds", "pieces"],
        )
        code = _begin(w, "R-0002", "M-0002", SECTIONS)
        pour(w, f"{code}/body", "26-101")
        pour(w, f"{code}/left wing", "26-102", on="2026-03-24")
        pour(w, f"{code}/right wing", "26-103", on="2026-03-24")
        recast(w, code, "left wing")
        finish(w, code, "1/3", "1/3")

    shop.write(make)
    return code


def recast(w: Writing, code: str, section: str) -> None:
    """Scrap a section and pour it again from a new wax."""
    scrap_piece(
        w,
        code,
        evidence="photograph of the cut pieces",
        section=section,
        witness="Y-0004",
        reason=f"{HELD} a cold shut through the wing",
        on="2026-03-24",
    )
    wax = pull_wax(w, "M-0002", section, run="R-0002", on="2026-03-24").code
    judge_wax(w, wax, accepted=True, on="2026-03-24")
    take_wax(w, code, wax, section=section, on="2026-03-24")
    for step in ("shelled", "dewaxed", "fired"):
        record_step(w, step, [f"{code}/{section}"], on="2026-03-24")
    pour(w, f"{code}/{section}", "26-104", on="2026-03-24")


def found(shop: Shop) -> str:
    """An earlier cast, registered from the object: little is known of it."""
    code = ""

    def register(w: Writing) -> None:
        nonlocal code
        code = register_cast(
            w, "K-0001", cast="197X", owner=f"{HELD} the owner", note=f"{HELD} seen in the hall"
        ).code
        record_mark(w, code, "II/IV E.A.", place="left foot", method="chased")

    shop.write(register)
    return code


def reserved(shop: Shop, designation: str = "5/8", run: str = "R-0001") -> str:
    """The number of a paper that reserves a designation, promised to somebody who is held."""
    shop.write(lambda w: promise_number(w, run, designation, held_for="sale", to=f"{HELD} buyer"))
    return reserve(shop.registry, run, designation, passphrase=PASSPHRASE)[0].number


def withdrawn(shop: Shop, number: str) -> None:
    """Withdraw a certificate, with a reason that is held."""
    withdraw(shop.registry, number, "issued in error", reason=f"{HELD} the story")


def replaced(shop: Shop, number: str) -> str:
    """Replace a lost certificate; the new number."""
    return replace_lost(shop.registry, number, passphrase=PASSPHRASE)[0].number


def release(shop: Shop, code: str) -> None:
    """Release a piece, to somebody who is held."""
    shop.write(lambda w: release_piece(w, code, to=f"{HELD} the collector", note=f"{HELD} crate 4"))


class Gallery(NamedTuple):
    """A shop with a certificate in every state, by what is particular to each."""

    shop: Shop
    numbers: dict[str, str]


def gallery(folder: Path) -> Gallery:
    """One certificate of each kind and standing."""
    shop, numbers = opened(folder), {}
    first = cast(shop)
    shop.photograph(first)
    numbers["stands"] = shop.certify(first)
    release(shop, first)
    numbers["contested"] = shop.certify(cast(shop, "4/8", mark="3/8"))
    numbers["withdrawn"] = shop.certify(cast(shop, "1/8"))
    withdrawn(shop, numbers["withdrawn"])
    numbers["replaced"] = shop.certify(cast(shop, "2/8"))
    numbers["replacing"] = replaced(shop, numbers["replaced"])
    numbers["sections"] = shop.certify(large(shop))
    numbers["found"] = shop.certify(found(shop))
    numbers["reservation"] = reserved(shop)
    return Gallery(shop, numbers)
