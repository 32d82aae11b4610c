"""``bronzebook mold``: from the making of a mold to its end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import likely, options, outlook, output
from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import CountType, DigestType

if TYPE_CHECKING:
    from editions.trade.molds import Criterion

_MOLD = options.CodeType("M")


@click.group()
def command() -> None:
    """Enter molds; send them out and back; inspect, repair, retire, destroy."""


command.add_command(outlook.command)


@command.command()
@click.argument("source", metavar="MODEL|PIECE", required=False, type=options.CodeType())
@click.option("--sections", help="Its sections: head,torso.  [default: whole]")
@click.option("--material", type=options.TextType(120), help="Silicone, plaster, polyurethane.")
@click.option("--generation", type=CountType(0, 20), help="Of a bronze cast from it.")
@click.option("--maker", type=options.CodeType("Y"), help="Who made it.")
@click.option("--owner", type=options.CodeType("Y"), help="Whose it is.")
@click.option("--place", type=options.TextType(), default="", help="Where it lies.")
@click.option("--earlier", multiple=True, metavar="'HEAD 12'", help="Pulls before this book.")
@options.code_option("M")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def add(
    desk: Desk,
    /,
    source: str | None,
    sections: str | None,
    material: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Enter a mold taken from a model, or from a bronze by its tag or code."""
    from editions.registry.acts.molds import make_mold
    from editions.trade.molds import Mold

    source = likely.code(desk, source, "D", "Taken from which model", "MODEL|PIECE")
    material = ask(desk, material, "Of which material", likely="silicone", option="--material")
    with desk.writing() as w:
        made = make_mold(w, source, likely.parts(sections), material=material, **said)
        title = w.get(made.code, Mold).index().title
    output.entered(desk, as_json, made, detail=title)


@command.command()
@click.argument("mold", type=_MOLD)
@click.option("--place", type=options.TextType(), default="", help="Where it goes, in open words.")
@click.option("--to", type=options.TextType(), help="To whom; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def out(desk: Desk, /, mold: str, as_json: bool, **said: Any) -> None:
    """Send MOLD out; from now on its counts are "at least"."""
    from editions.registry.acts.molds import send_mold_out

    with desk.writing() as w:
        made = send_mold_out(w, mold, **said)
    output.entered(desk, as_json, made, detail=said["place"])


@command.command()
@click.argument("mold", type=_MOLD)
@click.option("--place", type=options.TextType(), default="", help="Where it lies now.")
@click.option("--away", multiple=True, metavar="'HEAD 2'", help="Pulls made away, where told.")
@options.on_option
@options.json_option
@pass_desk
def back(desk: Desk, /, mold: str, as_json: bool, **said: Any) -> None:
    """Take MOLD back, with the pulls made away where they were told."""
    from editions.registry.acts.molds import take_mold_back

    with desk.writing() as w:
        made = take_mold_back(w, mold, **said)
    output.entered(desk, as_json, made, detail=said["place"])


@command.command()
@click.argument("mold", type=_MOLD)
@click.argument("section", required=False, type=options.TextType(120))
@click.option("--tears", metavar="GRADE", help="sound, worn or failing; worn/4mm where measured.")
@click.option("--registration", metavar="GRADE", help="How the parts close.")
@click.option("--detail", metavar="GRADE", help="How sharp the surface is.")
@click.option("--tackiness", metavar="GRADE", help="Whether it sticks.")
@options.hand_option
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def inspect(
    desk: Desk,
    /,
    mold: str,
    section: str | None,
    tears: str | None,
    registration: str | None,
    detail: str | None,
    tackiness: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Enter an inspection of SECTION of MOLD: --tears sound --registration worn/2mm."""
    from editions.registry.acts.molds import inspect_mold
    from editions.registry.acts.phrases import criterion_text

    given = {
        "tears": tears, "registration": registration, "detail": detail, "tackiness": tackiness
    }  # fmt: skip
    criteria = _graded(desk, {name: grade for name, grade in given.items() if grade is not None})
    with desk.writing() as w:
        made = inspect_mold(w, mold, section, criteria, **said)
    told = ", ".join(criterion_text(criterion) for criterion in criteria)
    output.entered(desk, as_json, made, detail=told)


@command.command()
@click.argument("mold", type=_MOLD)
@click.argument("section", required=False, type=options.TextType(120))
@click.option("--what", type=options.TextType(120), help="What was done.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def repair(
    desk: Desk, /, mold: str, section: str | None, what: str | None, as_json: bool, **said: Any
) -> None:
    """Enter a repair of SECTION of MOLD."""
    from editions.registry.acts.molds import repair_mold

    what = ask(desk, what, "What was done", option="--what")
    with desk.writing() as w:
        made = repair_mold(w, mold, section, what, **said)
    output.entered(desk, as_json, made, detail=what)


@command.command()
@click.argument("mold", type=_MOLD)
@click.argument("section", required=False, type=options.TextType(120))
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def retire(desk: Desk, /, mold: str, section: str | None, as_json: bool, **said: Any) -> None:
    """Retire SECTION of MOLD, or the whole mold: it gives no more waxes."""
    from editions.registry.acts.molds import retire_mold

    what = f"section {section} of {mold}" if section else f"the whole of {mold}"
    confirm(desk, f"Retire {what}?")
    with desk.writing() as w:
        made = retire_mold(w, mold, section=section, **said)
    output.entered(desk, as_json, made, detail=what)


@command.command()
@click.argument("mold", type=_MOLD)
@click.option("--witness", type=options.CodeType("Y"), help="Who saw it.")
@click.option("--evidence", type=options.TextType(120), help="How it is proven, in words.")
@click.option("--file", "evidence_digest", type=DigestType(), help="Its file, by its digest.")
@options.on_option
@options.json_option
@pass_desk
def destroy(
    desk: Desk, /, mold: str, witness: str | None, evidence: str | None, as_json: bool, **said: Any
) -> None:
    """Enter that MOLD was destroyed, before whom, and how that is proven."""
    from editions.registry.acts.molds import destroy_mold

    witness = likely.code(desk, witness, "Y", "Before which witness", "--witness", role="witness")
    evidence = ask(desk, evidence, "How is it proven", option="--evidence")
    confirm(desk, f"Was {mold} destroyed?")
    with desk.writing() as w:
        made = destroy_mold(w, mold, witness=witness, evidence=evidence, **said)
    output.entered(desk, as_json, made, detail=evidence)


def _graded(desk: Desk, given: dict[str, str]) -> list[Criterion]:
    """The criteria as graded; each is asked for where none was and someone sits there."""
    from editions.registry.acts.phrases import CRITERIA, read_criterion

    if given or not desk.interactive:
        return [read_criterion(f"{name}={grade}") for name, grade in given.items()]

    def asked(name: str) -> Criterion:
        read = lambda text: read_criterion(f"{name}={text}")  # noqa: E731
        return ask(desk, None, name.capitalize(), likely="sound", read=read)

    return [asked(name) for name in CRITERIA]
