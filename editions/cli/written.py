"""A line of a day sheet as it is shown again, without what it confides.

The value of an option whose help says that it is held shows as ``…``, and so do the values of a
correction, of which only the entry knows whether they are held::

    party add hand --private-name … --contact …
    correct P-0003#2 note=…
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click

from editions.trade.spelling import as_spelled

CONFIDED = "…"


def as_written(root: click.Context, words: Sequence[str]) -> str:
    """The words of a line, what is held left out."""
    command, taken = root.command, 0
    while isinstance(command, click.Group) and taken < len(words):
        found = command.get_command(root, as_spelled(words[taken]))
        if found is None:
            break
        command, taken = found, taken + 1
    shown = _shown(words[taken:], _held_options(command), changes=words[0] == "correct")
    return " ".join([*words[:taken], *shown])


def _held_options(command: click.Command) -> set[str]:
    options = (one for one in command.params if isinstance(one, click.Option))
    return {name for one in options if "held" in (one.help or "") for name in one.opts}


def _shown(words: Sequence[str], held: set[str], *, changes: bool) -> Iterator[str]:
    confided = False
    for word in words:
        name, equals, _ = word.partition("=")
        is_held = as_spelled(name) in held or (changes and not name.startswith("-"))
        if confided:
            yield CONFIDED
        elif is_held and equals:
            yield f"{name}={CONFIDED}"
        else:
            yield word
        confided = is_held and not equals and name.startswith("-") and not confided
