"""Answers on the command line: what was worked out, and with ``--explain`` how and from what.

========================  ===================================================================
``@explain_option``       ``explain: bool``
``tell(...)``             an answer of a few named values, as lines or as one JSON value
``explained(...)``        the formula and the sources alone, after tables of one's own
``json_of(...)``          an answer as plain values, its formula and sources last
========================  ===================================================================

A command whose answer is a table prints its tables and then calls :func:`explained`; for JSON it
prints :func:`json_of` and no more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from editions.cli import output

if TYPE_CHECKING:
    from editions.rules.explaining import Explained

F = TypeVar("F", bound=Callable[..., Any])


def explain_option(function: F) -> F:
    """``--explain``: print the formula and the sources too."""
    return click.option("--explain", is_flag=True, help="Print the formula and its sources too.")(
        function
    )


def tell(
    answer: Explained,
    pairs: Sequence[tuple[str, object]],
    *,
    as_json: bool,
    explain: bool,
) -> None:
    """Print an answer: its named values as lines, or the whole of it as JSON."""
    if as_json:
        output.print_json(json_of(answer))
        return
    output.record(pairs)
    explained(answer, explain)


def explained(answer: Explained, explain: bool) -> None:
    """Print the formula and the sources of an answer, a line each, where they are asked for."""
    if not explain:
        return
    click.echo()
    lines = [("formula", text) for text in answer.formula]
    lines += [("source", text) for text in answer.sources]
    output.record(lines)


def json_of(answer: Explained) -> dict[str, Any]:
    """Return an answer as plain values, decimals as text, formula and sources last."""
    import msgspec

    plain: dict[str, Any] = msgspec.to_builtins(answer)
    last = {name: plain.pop(name) for name in ("formula", "sources")}
    return {**plain, **last}
