"""``bronzebook piece``: start pieces, give them their waxes, measure, scrap, release, register."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import click

from editions.cli import options, output
from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import DigestType, pieces_argument
from editions.rules.defects import CLASSES, named_of

if TYPE_CHECKING:
    from editions.trade.casting import Purpose
    from editions.trade.pieces import Piece
    from editions.trade.quantities import Quantity
    from editions.trade.statement import Station


_DEFECTS = "\b\nClasses, and the defects known by name:\n" + "\n".join(
    f"  {letter}  {title}" + (f": {', '.join(names)}" if (names := named_of(letter)) else "")
    for letter, title in CLASSES.items()
)


@click.group()
def command() -> None:
    """Start a piece; give it its waxes; measure, scrap, release, register."""


@command.command()
@click.argument("run", type=options.CodeType("R"))
@click.option(
    "--tag", "tags", type=options.CodesType(None), help="T-0101, or several: T-0101..T-0108."
)
@click.option("--sections", help="What it is cast in: head,torso.  [default: as its molds are]")
@click.option("--trial", is_flag=True, help="A trial proof, which counts in no run.")
@options.code_option("P")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def start(
    desk: Desk,
    /,
    run: str,
    tags: list[str] | None,
    sections: str | None,
    trial: bool,
    code: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Start a piece of RUN, or one for each tag."""
    from editions.registry.acts.pieces import start_piece
    from editions.trade.pieces import Piece

    names = _sections(desk, run, sections)
    purpose: Purpose = "trial" if trial else "run"
    each: list[str | None] = [*tags] if tags else [None]
    if len(each) > 1:
        _refuse_one_code(code)
    with desk.writing() as w:
        made = [
            start_piece(w, run, tag=tag, sections=names, purpose=purpose, code=code, **said)
            for tag in each
        ]
        told = [_begun(w.get(one.code, Piece)) for one in made]
    output.entered(desk, as_json, *made, detail=told)


@command.command()
@click.argument("piece", type=options.CodeType("P"))
@click.argument(
    "what", nargs=-1, required=True, metavar="[SECTION] WAX...", type=options.TextType(120)
)
@click.option("--as-another", is_flag=True, help="Meant so, though a wax of another section.")
@options.on_option
@options.json_option
@pass_desk
def take(
    desk: Desk,
    piece: str,
    what: tuple[str, ...],
    as_another: bool,
    on: str | None,
    as_json: bool,
) -> None:
    """Make a WAX a section of PIECE: take T-0101 head W-0012, or take T-0101 W-0012."""
    from editions.registry.acts.pieces import take_wax
    from editions.trade.pieces import Piece

    pairs = _waxes(what)
    with desk.writing() as w:
        made = [
            take_wax(w, piece, wax, section=section, as_another=as_another, on=on)
            for section, wax in pairs
        ]
        sections = w.get(made[0].code, Piece).sections
        taken = {s.wax: s.name for s in sections if len(sections) > 1}
        told = [" ".join(filter(None, (piece, taken.get(wax), wax))) for _, wax in pairs]
    output.entered(desk, as_json, *made, detail=told)


@command.command()
@click.argument("piece", type=options.CodeType("P"))
@click.argument("stations", nargs=-1, metavar="[STATION=LENGTH]...")
@click.option("--mass", type=options.QuantityType("mass"), help="Its mass: 31.5kg.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def measure(
    desk: Desk,
    piece: str,
    stations: tuple[str, ...],
    mass: Quantity | None,
    hand: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Measure PIECE: height=450mm/with span=17.5in, with or without the base; its mass."""
    from editions.registry.acts.pieces import measure_piece
    from editions.trade.stations import read_station, station_text

    lengths = [text for text in stations if not text.casefold().startswith("mass=")]
    for text in set(stations) - set(lengths):
        mass = options.QuantityType("mass").read(text.partition("=")[2])
    taken: list[Station] = [read_station(text) for text in lengths]
    with desk.writing() as w:
        made = measure_piece(w, piece, taken, mass=mass, hand=hand, on=on)
    told = [station_text(station) for station in taken] + ([str(mass)] if mass else [])
    output.entered(desk, as_json, made, detail=", ".join(told))


@command.command(epilog=_DEFECTS)
@click.argument("piece", type=options.CodeType("P"))
@click.argument("defect", nargs=-1, required=True, type=options.TextType(120))
@click.option("--section", type=options.TextType(120), help="In which section; or T-0101/head.")
@options.hand_option
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def defect(desk: Desk, /, piece: str, defect: tuple[str, ...], as_json: bool, **said: Any) -> None:
    """Note a casting DEFECT of PIECE: a class A to G, a name, or both (B pinhole)."""
    from editions.registry.acts.pieces import note_defect
    from editions.rules.defects import read_defect

    found = read_defect(" ".join(defect))
    said["section"] = _defects_section(desk, piece, said["section"])
    with desk.writing() as w:
        made = note_defect(w, piece, str(found), **said)
    output.entered(desk, as_json, made, detail=f"{piece} {found}")


@command.command()
@click.argument("piece", type=options.CodeType("P"))
@click.option("--section", type=options.TextType(120), help="One section, to be cast again.")
@click.option("--evidence", type=options.TextType(120), help="How its end is proven, in words.")
@click.option("--witness", type=options.CodeType("Y"), help="Who saw it.")
@click.option("--file", "digest", type=DigestType(), help="The proof's file, kept by its digest.")
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def scrap(
    desk: Desk, /, piece: str, section: str | None, evidence: str | None, as_json: bool, **said: Any
) -> None:
    """Scrap PIECE, or one section of it, with the proof of its end."""
    from editions.registry.acts.pieces import scrap_piece

    evidence = ask(desk, evidence, "How is its end proven", option="--evidence")
    what = f"section {section} of {piece}" if section else piece
    confirm(desk, f"Scrap {what}?")
    with desk.writing() as w:
        made = scrap_piece(w, piece, section=section, evidence=evidence, **said)
    output.entered(desk, as_json, made, detail=what)


@command.command()
@pieces_argument()
@click.option("--raw-metal", is_flag=True, help="Released in raw metal, not finished.")
@click.option("--to", type=options.TextType(), help="To whom; held, never published.")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def release(desk: Desk, /, pieces: list[str], raw_metal: bool, as_json: bool, **said: Any) -> None:
    """Release PIECES from the foundry."""
    from editions.registry.acts.pieces import release_piece

    state: Literal["finished", "raw metal"] = "raw metal" if raw_metal else "finished"
    with desk.writing() as w:
        made = [release_piece(w, piece, state=state, **said) for piece in pieces]
    output.entered(desk, as_json, *made, detail=[f"{piece}, {state}" for piece in pieces])


@command.command()
@click.argument("work", type=options.CodeType("K"))
@click.option("--run", type=options.CodeType("R"), help="The run it belongs to, where known.")
@click.option("--tag", type=options.CodeType("P"), help="A shop tag.")
@click.option("--cast", type=options.WhenType(), help="When it was cast: 1974, 1970~, ../1980.")
@click.option("--alloy", type=options.TextType(120), help="Its alloy, where known.")
@click.option("--foundry", type=options.TextType(), default="", help="Who cast it, where known.")
@click.option("--seen-by", type=options.CodeType("Y"), help="Who examined it.")
@click.option("--colour", type=options.TextType(), default="", help="Its colour in words.")
@click.option("--owner", type=options.TextType(), help="Whose it is; held, never published.")
@click.option("--mark", "marks", multiple=True, help="A mark it bears, as found; may repeat.")
@options.code_option("P")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def register(desk: Desk, /, work: str, marks: tuple[str, ...], as_json: bool, **said: Any) -> None:
    """Register an earlier cast of WORK from the object itself; leave out what is not known."""
    from editions.registry.acts.marks import record_mark
    from editions.registry.acts.pieces import register_cast

    with desk.writing() as w:
        cast = register_cast(w, work, **said)
        found = [record_mark(w, cast.code, mark, on=said["on"]) for mark in marks]
    output.entered(desk, as_json, cast, *found, detail=["from the object", *marks])


def _begun(piece: Piece) -> str:
    """The piece's tag, and its sections where it has several."""
    names = [section.name for section in piece.sections]
    parts = f"in {', '.join(names)}" if len(names) > 1 else ""
    return " ".join(filter(None, (piece.tag, parts)))


def _sections(desk: Desk, run: str, typed: str | None) -> list[str]:
    """The sections named; asked for where the run's molds have several."""
    if typed is None and desk.interactive:
        from editions.registry.acts.pieces import WHOLE, likely_sections

        with desk.reading() as reading:
            likely = likely_sections(reading, run)
        if len(likely) > 1:
            question = "Cast in which sections"
            parts = ",".join(name for name in likely if name != WHOLE)
            if WHOLE in likely:
                question = f"Cast {WHOLE}, or in {parts}"
            typed = ask(desk, None, question, likely=parts)
    return [name.strip() for name in (typed or "").split(",") if name.strip()]


def _defects_section(desk: Desk, piece: str, section: str | None) -> str | None:
    """The section a defect is in; asked for where the piece has several and someone sits there."""
    if section is not None or not desk.interactive:
        return section
    from editions.registry.acts.typed import piece_and_section, section_of

    with desk.reading() as reading:
        whole, named = piece_and_section(reading, piece)
    names = [one.name for one in whole.sections]
    if named or len(names) < 2:
        return None
    question = f"In which section of {', '.join(names)}"
    return ask(desk, None, question, read=lambda text: section_of(whole, text))


def _refuse_one_code(code: str | None) -> None:
    if code is not None:
        from editions.errors import Unreadable

        raise Unreadable("One code cannot serve several pieces.", "Leave out --code.")


def _waxes(words: tuple[str, ...]) -> list[tuple[str | None, str]]:
    """Waxes in order, each with the section named before it, if any."""
    from editions.errors import Unreadable

    pairs: list[tuple[str | None, str]] = []
    section: str | None = None
    for word in words:
        if word.upper().startswith("W-"):
            pairs.append((section, word.upper()))
            section = None
        elif section is None:
            section = word
        else:
            raise Unreadable(f"No wax follows the section {section}.", "Write: head W-0012.")
    if section is not None:
        raise Unreadable(f"No wax follows {section}.", "Write: head W-0012, or W-0012 alone.")
    return pairs
