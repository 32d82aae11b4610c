"""``bronzebook find``: by artist, title, number or mark, for someone with a bronze and no paper."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.errors import NotKnown

_MOST = 200


@click.command()
@click.argument("words", nargs=-1, required=True, type=options.TextType(120))
@options.json_option
@pass_desk
def command(desk: Desk, words: tuple[str, ...], as_json: bool) -> None:
    """Find artists, works, runs and casts by names, titles, numbers and marks.

    Every word must occur; the artist's name counts for the work, and the work for its runs and
    casts: `find varga heron 3/8`.
    """
    from editions.registry.finding import find

    with desk.reading() as reading:
        found = find(reading, words)
    if not found:
        raise NotKnown(
            f"Nothing in this book answers to {' '.join(words)}.",
            "Try fewer words, or parts of them; a name may be spelled otherwise.",
        )
    rows = [(one.code, one.what, one.title, one.of) for one in found]
    output.table(rows[:_MOST], ("code", "what", "title", "of"), as_json=as_json)
    left = len(rows) - _MOST
    if left > 0:
        output.say(f"{left} more answer; give more words.")
