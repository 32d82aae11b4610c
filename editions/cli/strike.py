"""``bronzebook strike``: what never happened is crossed out and stays legible."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk


@click.command()
@click.argument("entry", type=options.TextType(120))
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def command(desk: Desk, entry: str, reason: str | None, on: str | None, as_json: bool) -> None:
    """Strike ENTRY, which never happened: strike 'P-0003#4' --reason "wrong piece".

    ENTRY is named as for `correct`: P-0003#4 is the fourth line that `bronzebook show P-0003`
    prints. The entry stays in the book and can be read; all that it touched is as if it had not
    been made. Struck are: a wax judged, a wax taken, a number promised or given, a step, an offer,
    and a party, work, model, mold, run or piece entered twice; each while nothing stands on it and
    no certificate was issued on it. What was misread is corrected instead: `bronzebook correct`.
    """
    from editions.cli.showing.facts import said_of
    from editions.registry.acts.corrections import find_entry
    from editions.registry.acts.strikes import strike_entry

    reason = ask(desk, reason, "Why", option="--reason")
    with desk.writing() as w:
        _, struck = find_entry(w, entry)
        made = strike_entry(w, entry, reason=reason, on=on)
    output.entered(desk, as_json, made, detail=said_of(struck, struck.subject))
