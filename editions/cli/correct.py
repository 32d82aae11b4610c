"""``bronzebook correct``: fields of an earlier entry stated again; both stay in the book."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import PairType
from editions.trade.spelling import as_spelled


@click.command()
@click.argument("entry", type=options.TextType(120))
@click.argument("changes", nargs=-1, required=True, type=PairType("mass=31.5kg"))
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    entry: str,
    changes: tuple[tuple[str, str], ...],
    reason: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Correct fields of ENTRY: correct 'P-0003#4' mass=31.5kg --reason "read wrong".

    ENTRY is the first eight digits or more of a leaf, or a line of a history: P-0003#4 is the
    fourth line that `bronzebook show P-0003` prints.  A list is stated again as a whole, with
    semicolons: stations="height=450mm/with; span=20cm", charge="ingot LOT 881=60kg".  A piece's
    sections are said anew while nothing is made of them: sections="head; torso".  A defect is
    stated as it is noted: defect="C cold shut", section=torso.  Numbers, tags and keys are never
    corrected.
    """
    from editions.registry.acts.corrections import correct_entry

    fields = {
        as_spelled(name.replace("-", "_").replace(" ", "_")): value for name, value in changes
    }
    reason = ask(desk, reason, "Why", option="--reason")
    with desk.writing() as w:
        made = correct_entry(w, entry, fields, reason=reason, on=on)
    output.entered(desk, as_json, *made, detail=f"{entry} {', '.join(fields)}")
