"""``bronzebook party``: enter artists, estates, foundries, hands; record authority and death."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from editions.cli import likely, options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import DigestType


@click.group()
def command() -> None:
    """Enter artists, estates, foundries, hands; record authority and death."""


@command.command()
@click.argument("roles", nargs=-1, metavar="ROLE...", type=options.TextType(40))
@click.option("--name", type=options.TextType(120), help="The name; held for a hand or collector.")
@click.option("--private-name", type=options.TextType(), help="A name that is held.")
@click.option("--contact", type=options.TextType(), help="How to reach it; held.")
@click.option("--born", type=options.WhenType(), help="When: 1931, 1931-05-03.")
@click.option("--died", type=options.WhenType(), help="When, if dead.")
@click.option("--place", type=options.TextType(), default="", help="Where it is.")
@options.code_option("Y")
@options.on_option
@options.json_option
@pass_desk
def add(
    desk: Desk, /, roles: tuple[str, ...], name: str | None, as_json: bool, **said: Any
) -> None:
    """Enter someone by their part in the work: add artist --name "Ilse Varga" --born 1931.

    ROLE is artist, estate, foundation, foundry, mold-maker, patineur, hand, laboratory, collector
    or witness; several may be named.
    """
    from editions.registry.acts.parties import enter_party
    from editions.trade.parties import Party

    parts = _roles(roles) if roles else _asked_roles(desk)
    if name is None and said["private_name"] is None:
        name = ask(desk, None, "By which name", option="--name")
    with desk.writing() as w:
        made = enter_party(w, parts, name=name, **said)
        party = w.get(made.code, Party)
    detail = ", ".join(filter(None, (" and ".join(party.roles), party.name)))
    output.entered(desk, as_json, made, detail=detail)


@command.command()
@click.argument("artist", required=False, type=options.CodeType("Y"))
@click.option("--source", type=options.TextType(), default="", help="How it is known.")
@options.on_option
@options.json_option
@pass_desk
def died(desk: Desk, artist: str | None, source: str, on: str | None, as_json: bool) -> None:
    """Record that ARTIST died, on the date given with --on."""
    from editions.registry.acts.parties import record_death

    artist = likely.code(desk, artist, "Y", "Which artist", "ARTIST", role="artist")
    # Today would be a silent guess here, and a wrong one decides who may authorise a run.
    when = ask(desk, on, "When did the artist die", read=_when, option="--on")
    with desk.writing() as w:
        made = record_death(w, artist, source=source, on=when)
    output.entered(desk, as_json, made)


@command.command()
@click.argument("holder", type=options.CodeType("Y"))
@click.option("--for", "artist", type=options.CodeType("Y"), help="The artist.")
@click.option("--as", "capacity", metavar="CAPACITY", help="Executor, heirs, estate, foundation …")
@click.option("--document", type=options.TextType(120), help="The paper that says so.")
@click.option("--file", "document_digest", type=DigestType(), help="Its file, kept by its digest.")
@click.option("--from", "begins", type=options.WhenType(), help="From when.  [default: --on]")
@click.option("--until", type=options.WhenType(), help="Until when.  [default: without end]")
@options.on_option
@options.json_option
@pass_desk
def authority(
    desk: Desk,
    /,
    holder: str,
    artist: str | None,
    capacity: str | None,
    document: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Enter that HOLDER may act for an artist, by which paper, from when to when."""
    from editions.registry.acts.parties import CAPACITIES, give_authority
    from editions.registry.acts.typed import one_of

    artist = likely.code(desk, artist, "Y", "For which artist", "--for", role="artist")
    capacity = ask(
        desk,
        capacity,
        "In which capacity",
        read=lambda text: one_of(text, CAPACITIES, "capacity"),
        option="--as",
    )
    document = ask(desk, document, "By which document", option="--document")
    with desk.writing() as w:
        made = give_authority(w, holder, artist, capacity=capacity, document=document, **said)
    output.entered(desk, as_json, made, detail=f"{capacity} for {artist}")


def _asked_roles(desk: Desk) -> tuple[str, ...]:
    read = lambda text: _roles(likely.parts(text))  # noqa: E731
    return ask(desk, None, "Which role", "artist", read, option="ROLE")


def _roles(words: Sequence[str]) -> tuple[str, ...]:
    """The roles, before anything else is asked; a name among them is told where it goes."""
    from editions.errors import Unreadable
    from editions.registry.acts.parties import ROLES
    from editions.registry.acts.typed import one_of

    try:
        return tuple(one_of(word, ROLES, "role") for word in words)
    except Unreadable as fault:
        raise Unreadable(fault.message, f"{fault.remedy} A name goes with --name.") from None


def _when(text: str) -> str:
    return options.WhenType().convert(text, None, None)
