"""``bronzebook wax``: pulls and what becomes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import likely, options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import CountType

if TYPE_CHECKING:
    from editions.trade.waxes import Wax


@click.group()
def command() -> None:
    """Pull waxes; judge them; allot them to a run; number them."""


@command.command()
@click.argument("mold", required=False, type=options.CodeType("M"))
@click.argument("section", required=False, type=options.TextType(120))
@click.option("--count", type=CountType(1, 100), help="How many, each alike.  [default: 1]")
@click.option("--direct", metavar="SECTION", help="Made without a mold; what it is of.")
@click.option("--run", type=options.CodeType("R"), help="The run they are for, if known yet.")
@click.option("--mass", type=options.QuantityType("mass"), help="What each weighs: 1.2kg.")
@click.option("--wall", type=options.QuantityType("length"), help="The wall: '3/16 in'.")
@click.option(
    "--code", "codes", type=options.CodesType(None), help="W-0100, or several: W-0100..W-0102."
)
@options.hand_option
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def pull(
    desk: Desk,
    /,
    mold: str | None,
    section: str | None,
    count: int | None,
    codes: list[str] | None,
    direct: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Enter pulls of SECTION of MOLD: pull M-0001 head --count 3 --mass 1.2kg."""
    from editions.registry.acts.waxes import pull_waxes
    from editions.trade.waxes import Wax

    if direct is None:
        mold = likely.code(desk, mold, "M", "From which mold", "MOLD")
        section = _section(desk, mold, section)
    else:
        _refuse_mold(mold)
        section = direct
    with desk.writing() as w:
        made = pull_waxes(w, mold, section, count, codes=codes or (), **said)
        waxes = [w.get(one.code, Wax) for one in made]
    output.entered(desk, as_json, *made, detail=[_pull_words(wax) for wax in waxes])


@command.command()
@options.codes_argument("W", "waxes")
@click.option("--accept", is_flag=True, help="They are good.")
@click.option("--reject", metavar="REASON", type=options.TextType(), help="Why not; held.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def judge(
    desk: Desk, /, waxes: list[str], accept: bool, reject: str | None, as_json: bool, **said: Any
) -> None:
    """Judge WAXES: judge W-0001..W-0003 --accept, judge W-0004 --reject "air in the beak"."""
    from editions.registry.acts.waxes import judge_wax

    accepted = _accepted(desk, accept=accept, reject=reject)
    if not accepted:
        reject = ask(desk, reject, "Why", option="--reject")
    with desk.writing() as w:
        made = [judge_wax(w, wax, accepted=accepted, reason=reject, **said) for wax in waxes]
    output.entered(desk, as_json, *made, detail="accepted" if accepted else "rejected")


@command.command()
@options.codes_argument("W", "waxes")
@click.argument("run", type=options.CodeType("R"))
@options.on_option
@options.json_option
@pass_desk
def allot(desk: Desk, waxes: list[str], run: str, on: str | None, as_json: bool) -> None:
    """Allot WAXES in stock to RUN: allot W-0001..W-0003 R-0001."""
    from editions.registry.acts.waxes import allot_wax

    with desk.writing() as w:
        made = [allot_wax(w, wax, run, on=on) for wax in waxes]
    output.entered(desk, as_json, *made, detail=f"to {run}")


@command.command("mark-number")
@click.argument("wax", type=options.CodeType("W"))
@click.argument("number", nargs=-1, required=True)
@click.option("--run", type=options.CodeType("R"), help="The run.  [default: the wax's own]")
@options.on_option
@options.json_option
@pass_desk
def mark_number(
    desk: Desk, wax: str, number: tuple[str, ...], run: str | None, on: str | None, as_json: bool
) -> None:
    """Enter that NUMBER was cut into WAX: mark-number W-0003 3 of 8."""
    from editions.registry.acts.waxes import number_wax
    from editions.trade.waxes import Wax

    with desk.writing() as w:
        made = number_wax(w, wax, " ".join(number), run=run, on=on)
        marked = w.get(made.code, Wax)
    output.entered(desk, as_json, made, detail=f"{marked.number} of {marked.run}")


def _section(desk: Desk, mold: str, section: str | None) -> str | None:
    """The section as typed; asked for where the mold has several and someone sits there."""
    if section is not None or not desk.interactive:
        return section
    from editions.registry.acts.molds import mold_section
    from editions.trade.molds import Mold

    with desk.reading() as reading:
        whole = reading.get(mold, Mold)
    names = [one.name for one in whole.sections]
    if len(names) == 1:
        return names[0]
    question = f"Which section of {', '.join(names)}"
    return ask(desk, None, question, likely=names[0], read=lambda text: mold_section(whole, text))


def _refuse_mold(mold: str | None) -> None:
    from editions.errors import Unreadable

    if mold is not None:
        raise Unreadable(f"{mold} is named, and --direct means no mold.", "Leave out one of them.")


def _accepted(desk: Desk, *, accept: bool, reject: str | None) -> bool:
    from editions.errors import Unreadable
    from editions.registry.acts.typed import one_of

    if accept and reject is not None:
        raise Unreadable("A wax is accepted or rejected, not both.", "Leave out one of them.")
    if accept or reject is not None:
        return accept
    word = ask(
        desk,
        None,
        "Accepted or rejected",
        likely="accepted",
        read=lambda text: one_of(text, ("accepted", "rejected"), "judgement"),
        option="--accept or --reject",
    )
    return word == "accepted"


def _pull_words(wax: Wax) -> str:
    pull = f"pull {wax.pull} of {wax.mold} {wax.section}" if wax.mold else wax.section
    return "  ".join(filter(None, (pull, str(wax.mass or ""), wax.run)))
