"""``bronzebook number``: the numbers of a run, given, promised, freed."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import pieces_argument

_NUMBER = click.argument("number", nargs=-1, required=True)


@click.group()
def command() -> None:
    """Give, promise or free a number of a run."""


@command.command()
@pieces_argument("pieces", nargs=1)
@click.argument("number", nargs=-1)
@click.option("--next", "following", is_flag=True, help="The next free number for each.")
@click.option("--series", metavar="AP", default="", help="The next of that series, with --next.")
@options.on_option
@options.json_option
@pass_desk
def give(
    desk: Desk,
    /,
    pieces: list[str],
    number: tuple[str, ...],
    following: bool,
    series: str,
    on: str | None,
    as_json: bool,
) -> None:
    """Give a piece its NUMBER: give T-0101 3/8, give T-0101 3, give T-0101..T-0104 --next."""
    from editions.registry.acts.numbers import give_next_number, give_number
    from editions.registry.acts.typed import piece_of

    typed = _typed(desk, pieces, " ".join(number), following=following or bool(series))
    with desk.writing() as w:
        if typed is None:
            made = [give_next_number(w, piece, series=series, on=on) for piece in pieces]
        else:
            made = [give_number(w, pieces[0], typed, on=on)]
        details = [f"{piece_of(w, piece).number} to {piece}" for piece in pieces]
    output.entered(desk, as_json, *made, detail=details)


@command.command()
@click.argument("run", type=options.CodeType("R"))
@_NUMBER
@click.option("--for", "held_for", metavar="WHY", default="promise", help="promise, payment, sale.")
@click.option("--to", type=options.TextType(), help="To whom; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def promise(
    desk: Desk,
    run: str,
    number: tuple[str, ...],
    held_for: str,
    to: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Promise a NUMBER of RUN, or hold it for payment: promise R-0001 3 of 8 --for payment."""
    from editions.registry.acts.numbers import number_in, promise_number
    from editions.registry.acts.typed import run_of

    text = " ".join(number)
    with desk.writing() as w:
        made = promise_number(w, run, text, held_for=held_for, to=to, on=on)
        detail = f"{number_in(run_of(w, run), text)}, {held_for}"
    output.entered(desk, as_json, made, detail=detail)


@command.command()
@click.argument("run", type=options.CodeType("R"))
@_NUMBER
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def unpromise(
    desk: Desk, run: str, number: tuple[str, ...], reason: str | None, on: str | None, as_json: bool
) -> None:
    """End the promise of a NUMBER of RUN; a number that no cast bears is free again."""
    from editions.registry.acts.numbers import end_promise, number_in
    from editions.registry.acts.typed import run_of

    text = " ".join(number)
    with desk.writing() as w:
        made = end_promise(w, run, text, reason=reason, on=on)
        whole = run_of(w, run)
        detail = number_in(whole, text)
        bearer = whole.bearer(detail)
    says = f"{bearer} bears it" if bearer else "is free again"
    output.entered(desk, as_json, made, detail=f"{detail}{', ' if bearer else ' '}{says}")


@command.command()
@click.argument("piece", type=options.CodeType("P"))
@click.option("--evidence", type=options.TextType(120), help="Its end.  [default: as scrapped]")
@click.option("--authorised-by", type=options.CodeType("Y"), help="Who agreed, once released.")
@options.on_option
@options.json_option
@pass_desk
def free(
    desk: Desk,
    piece: str,
    evidence: str | None,
    authorised_by: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Return the number of a destroyed PIECE to its run."""
    from editions.registry.acts.numbers import free_number
    from editions.registry.acts.typed import piece_of

    with desk.reading() as reading:
        bearer = piece_of(reading, piece)
    detail = f"{bearer.number or 'no number'} of {bearer.code}"
    confirm(desk, f"Return {detail} to {bearer.run}?")
    with desk.writing() as w:
        made = free_number(w, piece, evidence=evidence, authorised_by=authorised_by, on=on)
    output.entered(desk, as_json, made, detail=detail)


def _typed(desk: Desk, pieces: list[str], number: str, *, following: bool) -> str | None:
    """The number as typed or answered; None for the next free one."""
    from editions.errors import Unreadable

    if number and following:
        raise Unreadable(f"{number} is named, and the next is asked for.", "Leave out one of them.")
    if number and len(pieces) > 1:
        raise Unreadable(f"{len(pieces)} pieces cannot share {number}.", "Give them --next.")
    if number or following:
        return number or None
    if len(pieces) > 1:
        raise Unreadable("Which numbers is not said.", "Give them --next.")
    return ask(desk, None, "Which number", likely=_next(desk, pieces[0]), option="NUMBER")


def _next(desk: Desk, text: str) -> str | None:
    """The number that the piece would likely have: the one cut into its wax, or the next free."""
    from editions.errors import Refused
    from editions.registry.acts.numbers import next_number
    from editions.registry.acts.typed import piece_of, run_of

    if not desk.interactive:
        return None
    with desk.reading() as reading:
        piece = piece_of(reading, text)
        if piece.reserved or piece.run is None:
            return piece.reserved
        try:
            return next_number(reading, run_of(reading, piece.run))
        except Refused:
            return None
