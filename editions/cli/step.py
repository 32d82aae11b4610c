"""``bronzebook step``: a step of the route, for one piece or a whole rack at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, get_args

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType, CountType, pieces_argument
from editions.rules.routes import SPOKEN, STEP_TITLES
from editions.trade.casting import How

if TYPE_CHECKING:
    from editions.registry import Entered, Reading

# What has a command of its own, which says more than a step would.
_OWN = frozenset({"poured", "approved_in_metal", "coloured", "approved_in_colour", "released"})


def _also(step: str) -> str:
    """A step as it is typed, with the other words for it."""
    others = [word for word, own in SPOKEN if own == step]
    return ", ".join([step, *others]).replace("_", "-")


_STEPS = ", ".join(step.replace("_", "-") for step in STEP_TITLES if step not in _OWN)
_WORDS = "; ".join(dict.fromkeys(_also(step) for _, step in SPOKEN if step not in _OWN))
_LISTED = f"""Steps: {_STEPS}.

One and the same: {_WORDS}.

The pour, an approval, the colour and the release have commands of their own: heat pour, approve,
colour, piece release. As steps they are only declared, with --how elsewhere or not-recorded."""


class StepType(options.ValueType[str]):
    """A step of any route, in its own words or the route's: ``shelled``, ``invested``."""

    name = "step"

    def read(self, text: str) -> str:
        """The step's name.

        Raises:
            Unreadable: If there is no such step; the likely one is named.
        """
        from editions.rules.routes import read_step

        return read_step(text)

    def complete(self, ctx: click.Context, begun: str) -> list[str]:  # noqa: ARG002
        """The steps that begin so."""
        words = (name.replace("_", "-") for name in STEP_TITLES)
        return [word for word in words if word.startswith(begun.casefold())]


@click.command(epilog=_LISTED)
@click.argument("step", type=StepType())
@pieces_argument()
@click.option("--section", type=options.TextType(120), help="The section, for every piece alike.")
@click.option(
    "--coat", type=CountType(1, 99), help="Of the shell; one forgotten, too.  [default: the next]"
)
@click.option(
    "--how",
    type=ChoiceType(get_args(How), "way"),
    default="done",
    help="Here, by another shop, or unwritten when it was.  [default: done]",
)
@click.option("--declared-by", type=options.CodeType("Y"), help="Who declares it done elsewhere.")
@options.hand_option
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def command(desk: Desk, /, step: str, pieces: list[str], as_json: bool, **said: Any) -> None:
    """Record STEP for PIECES: step shelled T-0101..T-0112, step welded T-0103/torso.

    All of them are recorded, or none.
    """
    from editions.registry.acts.steps import record_step

    with desk.writing() as w:
        made = record_step(w, step, pieces, **said)
        told = [_told(w, one, text) for one, text in zip(made, pieces, strict=True)]
    output.entered(desk, as_json, *made, detail=told)


def _told(reading: Reading, made: Entered, typed: str) -> str:
    """The piece as it was typed, the step in its route's words, and the coat."""
    from editions.rules.routes import route
    from editions.trade.pieces import Piece
    from editions.trade.runs import Run

    piece = reading.get(made.code, Piece)
    done = piece.steps[-1]
    named = route(reading.get(piece.run, Run).declared.route) if piece.run else None
    words = named.says(done.step) if named else done.step
    coat = f" coat {done.coat}" if done.coat else ""
    how = "" if done.how == "done" else f", {done.how}"
    return f"{typed} {words}{coat}{how}"
