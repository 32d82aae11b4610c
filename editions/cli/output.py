"""What commands print: data on stdout, words for people on stderr.

On a terminal tables are aligned and wrapped; piped, they are tab-separated lines under no heading;
with ``--json`` they are one JSON value.  Everything is printed here, so that it looks alike.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any

import click

from editions.cli.desk import Desk

if TYPE_CHECKING:
    from editions.registry import Entered

_GAP = "  "

# A tag or a code at the beginning of a remark: capitals and digits, one at least of each.
_NAME = re.compile(r"(?=[A-Z./-]*[0-9])(?=[0-9./-]*[A-Z])[0-9A-Z][0-9A-Z./-]{2,}(?=[: ])")


def entered(desk: Desk, as_json: bool, *made: Entered, detail: str | Sequence[str] = "") -> None:
    """Tell what was entered, a line an entry; remarks go to stderr.

    Args:
        desk: In a day sheet nothing is told until the whole sheet is in the book.
        as_json: Print a JSON list instead.
        made: What the writing gave back, told after it was committed.
        detail: A few words more, ``3/8 to P-0003``: the same for each line, or one a line.
    """
    if desk.sheet is None:
        tell(made, as_json=as_json, detail=detail)


def tell(made: Sequence[Entered], *, as_json: bool, detail: str | Sequence[str] = "") -> None:
    """Print entries as they stand in the book now, and their remarks."""
    if as_json:
        print_json([_entry_value(one) for one in made])
    else:
        width = max((len(one.code) for one in made), default=0)
        details = [detail] * len(made) if isinstance(detail, str) else detail
        for one, more in zip(made, details, strict=True):
            parts = [one.code.ljust(width), one.kind.replace("_", " "), more, one.on]
            click.echo(_GAP.join(part for part in parts if part))
    for text in gathered((one.code, remark) for one in made for remark in one.remarks):
        remarked(text)


def gathered(remarks: Iterable[tuple[str, str]]) -> list[str]:
    """Remarks as lines; what is said of several alike stands in one line.

    A remark begins with the tag or code that it is about, else it is about the code it came with:
    ``T-0101: coat 2 not recorded.`` of a whole rack becomes ``T-0101, T-0102: coat 2 …``.
    """
    lines: dict[str, list[str]] = {}
    for code, remark in remarks:
        found = _NAME.match(remark)
        name, rest = (found[0], remark[found.end() :]) if found else (code, f": {remark}")
        lines.setdefault(rest, []).append(name)
    return [_of_all(list(dict.fromkeys(names)), rest) for rest, names in lines.items()]


def _of_all(names: list[str], rest: str) -> str:
    alike = "" if len(names) == 1 or rest.startswith(":") else ", each:"
    return f"{', '.join(names)}{alike}{rest}"


def _entry_value(one: Entered) -> dict[str, Any]:
    import msgspec

    value: dict[str, Any] = msgspec.to_builtins(one)
    return value


def remarked(text: str) -> None:
    """Say a remark on stderr."""
    click.echo(f"remark: {text}", err=True)


def say(text: str) -> None:
    """Say something to the person on stderr."""
    click.echo(text, err=True)


def line(text: str) -> None:
    """Print one line of data."""
    click.echo(_flat(text))


def print_json(value: Any) -> None:
    """Print one JSON value, indented, non-ASCII text as it is."""
    import json

    click.echo(json.dumps(value, indent=2, ensure_ascii=False))


def table(
    rows: Sequence[Sequence[object]],
    columns: Sequence[str],
    *,
    as_json: bool = False,
    title: str = "",
) -> None:
    """Print rows under columns: a table on a terminal, tabs when piped, a JSON list of objects.

    Args:
        rows: A cell a column; None prints as nothing, and as null in JSON.
        columns: The headings; in JSON the keys, with spaces as underscores.
        as_json: Print JSON.
        title: Stands above the table on a terminal only.
    """
    if as_json:
        keys = [column.replace(" ", "_") for column in columns]
        print_json([dict(zip(keys, row, strict=True)) for row in rows])
    elif sys.stdout.isatty():
        _drawn(rows, columns, title)
    else:
        for row in rows:
            click.echo("\t".join(_flat(cell) for cell in row))


def block(
    name: str, rows: Sequence[Sequence[object]], columns: Sequence[str], *, first: bool = False
) -> None:
    """Print one of several tables: under its name on a terminal, else the name leads each line."""
    if sys.stdout.isatty():
        if not first:
            click.echo()
        _drawn(rows, columns, name)
    else:
        table([(name, *row) for row in rows], ("", *columns))


def heading(code: str, title: str) -> None:
    """Print what the values below belong to."""
    if sys.stdout.isatty():
        click.echo(f"{click.style(code, bold=True)}  {title}\n")
    else:
        click.echo(f"{code}\t{_flat(title)}")


def _drawn(rows: Sequence[Sequence[object]], columns: Sequence[str], title: str) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    # A column in which nothing stands is only noise to the eye; piped, every column stays.
    held = [n for n in range(len(columns)) if any(_text(row[n]) for row in rows)]
    drawn = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for column in (columns[n] for n in held):
        drawn.add_column(column, overflow="fold", no_wrap=column == "code")
    for row in rows:
        # A cell is text, never markup: a title may hold square brackets.
        drawn.add_row(*(Text(_text(row[n])) for n in held))
    console = Console(highlight=False)
    if title:
        console.print(Text(title, style="bold"))
    console.print(drawn)


def record(
    pairs: Sequence[tuple[str, object]] | Mapping[str, object], *, as_json: bool = False
) -> None:
    """Print named values, a line each, the names aligned; nothing is printed for an empty value."""
    items = list(pairs.items()) if isinstance(pairs, Mapping) else list(pairs)
    if as_json:
        print_json({name.replace(" ", "_"): value for name, value in items})
        return
    shown = [(name, _text(value)) for name, value in items if _text(value)]
    if not sys.stdout.isatty():
        for name, text in shown:
            click.echo(f"{name}\t{_flat(text)}")
        return
    width = max((len(name) for name, _ in shown), default=0)
    for name, text in shown:
        _hanging(name.ljust(width) + _GAP, text)


def _hanging(label: str, text: str) -> None:
    import shutil
    import textwrap

    room = max(shutil.get_terminal_size().columns - len(label), 30)
    for number, line in enumerate(textwrap.wrap(text, room)):
        click.echo((label if number == 0 else " " * len(label)) + line)


def _text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, (list, tuple)):
        return ", ".join(_text(part) for part in cell)
    return str(cell)


def _flat(cell: object) -> str:
    # One record is one line when piped, whatever a note holds.
    return " ".join(_text(cell).split())


def values_of(value: Any) -> dict[str, object]:
    """The fields of a small immutable value, for :func:`record`."""
    import msgspec

    plain: dict[str, object] = msgspec.to_builtins(value, enc_hook=str)
    return plain


def cautions(*topics: str) -> None:
    """Say the usual cautions on stderr, each once in a run; a day sheet's wait for its sealing.

    They stand beside a temperature, a solution or a procedure that is printed, after all else; a
    step that is merely recorded has none, or nobody would read them.
    """
    from editions.rules.cautions import cautions as lines_for

    context = click.get_current_context(silent=True)
    desk = context.find_object(Desk) if context else None
    if desk is not None and desk.sheet is not None:
        desk.sheet.cautions.update(dict.fromkeys(topics))
        return
    said = desk.cautioned if desk else set()
    fresh = [topic for topic in topics if topic not in said]
    said.update(fresh)
    for line in lines_for(*fresh):
        click.echo(f"caution: {line}", err=True)


@contextmanager
def counting(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar for work that tells how many of how many are done."""
    with ExitStack() as open_bars:
        steps: list[Callable[[], None]] = []

        def count(done: int, total: int) -> None:
            if not steps:
                steps.append(open_bars.enter_context(progress(total, label)))
            if done:
                steps[0]()

        yield count


@contextmanager
def progress(total: int, label: str) -> Iterator[Callable[[], None]]:
    """A bar on a terminal's stderr, nothing elsewhere; yields what to call at each step."""
    if total < 2 or not sys.stderr.isatty():
        yield lambda: None
        return
    with click.progressbar(length=total, label=label, file=sys.stderr) as bar:
        yield lambda: bar.update(1)
