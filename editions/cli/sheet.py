"""``bronzebook sheet``: write a day's work in a file, check it, seal it into the book in one batch.

A sheet is worked through in one writing, line by line, each judged with the lines before it.  A
faulty line is reported and the next one tried, so that one check shows every typo.  What a faulty
line had entered before it failed stays in the rehearsal; with any fault nothing is written.
"""

from __future__ import annotations

import secrets
import sys
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import daysheet, door, options, output
from editions.cli.desk import Desk, SheetLines, pass_desk, require_recorder, today
from editions.cli.written import as_written
from editions.errors import BronzebookError, FileUnusable, Refused, Unreadable
from editions.trade.spelling import as_spelled
from editions.trade.text import meant, shown

if TYPE_CHECKING:
    from editions.registry import Entered, Writing

RECORDING = frozenset(
    {
        "approve", "colour", "correct", "heat", "mark", "model", "mold", "number", "party",
        "piece", "recipe", "run", "step", "strike", "wax", "work",
    }
)  # fmt: skip

Made = list[tuple[int, "Entered"]]


@click.group()
def command() -> None:
    """Write the day's work in a file, check it as often as you like, then seal it.

    Each line is one command, as after `bronzebook`. Nothing is in the book until the sheet is
    sealed; then all of it is, or, if any line is faulty, none.
    """


@command.command()
@click.argument("file", type=click.Path())
@pass_desk
def new(desk: Desk, file: str) -> None:
    """Write a new, empty sheet for today."""
    text = daysheet.template(today().isoformat(), desk.by, secrets.token_hex(16), file)
    with Path(file).open("x", encoding="utf-8") as opened:
        opened.write(text)
    output.say(f"A new sheet: {file}")


@command.command()
@click.argument("file", type=click.Path(allow_dash=True))
@options.json_option
@pass_desk
@click.pass_context
def check(ctx: click.Context, desk: Desk, file: str, as_json: bool) -> None:
    """Try every line; say what is faulty; write nothing."""
    sheet = _read(file)
    made, _ = _work(ctx, desk, sheet, rehearse=True, as_json=as_json)
    _tell(ctx, sheet, made, as_json=as_json)
    output.say(f"{_counted(sheet, made)}: none is faulty. Seal it: bronzebook sheet seal {file}")


@command.command()
@click.argument("file", type=click.Path(allow_dash=True))
@options.json_option
@pass_desk
@click.pass_context
def seal(ctx: click.Context, desk: Desk, file: str, as_json: bool) -> None:
    """Enter the whole sheet in the book, once; or nothing, if any line is faulty."""
    sheet = _read(file)
    made, cautions = _work(ctx, desk, sheet, rehearse=False, as_json=as_json)
    _tell(ctx, sheet, made, as_json=as_json)
    output.say(f"{_counted(sheet, made)}, sealed.")
    output.cautions(*cautions)


def _read(file: str) -> daysheet.Sheet:
    if file == "-":
        data = sys.stdin.buffer.read(daysheet.LIMIT + 1)
    else:
        with Path(file).open("rb") as opened:
            data = opened.read(daysheet.LIMIT + 1)
    sheet = daysheet.read_sheet(data, file)
    if not sheet.lines and not sheet.faults:
        raise FileUnusable(f"{file} holds no line of work.", "Write commands in it, one a line.")
    return sheet


def _work(
    ctx: click.Context, desk: Desk, sheet: daysheet.Sheet, *, rehearse: bool, as_json: bool
) -> tuple[Made, tuple[str, ...]]:
    """Work through a sheet; report its faults and give all of it up if there are any.

    Returns:
        What was entered, and the cautions that its lines ask for.
    """
    by = sheet.by or desk.by
    with desk.registry.writing(by=by, rehearse=rehearse) as writing:
        require_recorder(writing, by)
        _refuse_sealed(writing, sheet)
        writing.batch, writing.source = sheet.batch, sheet.digest
        lines = SheetLines(writing, sheet.on)
        made, faults = _enter_lines(ctx, desk.at_sheet(lines), sheet)
        if faults:
            raise _report(sheet, faults, as_json=as_json)
    return made, tuple(lines.cautions)


def _refuse_sealed(writing: Writing, sheet: daysheet.Sheet) -> None:
    at = writing.batch_entered(sheet.batch)
    if at is not None:
        raise Refused(
            f"This sheet was sealed already, on {at[:10]} at {at[11:16]} UTC.",
            "Put what is new in a new sheet: bronzebook sheet new FILE.",
        )


def _enter_lines(
    ctx: click.Context, desk: Desk, sheet: daysheet.Sheet
) -> tuple[Made, list[daysheet.Fault]]:
    made: Made = []
    faults = list(sheet.faults)
    for line in sheet.lines:
        try:
            made += [(line.number, one) for one in _enter(ctx, desk, line)]
        except BronzebookError as error:
            faults.append(daysheet.fault_of(line.number, error))
        except click.ClickException as error:
            faults.append(daysheet.Fault(line.number, *door.usage(error), error.exit_code))
    return made, sorted(faults, key=lambda fault: fault.line)


def _enter(ctx: click.Context, desk: Desk, line: daysheet.Line) -> list[Entered]:
    """Enter one line in the writing that the sheet shares.

    Raises:
        Unreadable: If it is no recording command, or enters nothing.
    """
    name, *words = line.words
    root = ctx.find_root()
    called = _recording(root, name)
    assert desk.sheet is not None  # noqa: S101 - this desk is at a sheet
    writing = desk.sheet.writing
    before = len(writing.entered)
    writing.line = line.number
    try:
        with called.make_context(name, words, parent=root, obj=desk) as context:
            called.invoke(context)
    except click.exceptions.Exit:
        pass  # asked for help; it has entered nothing, which is said below
    if len(writing.entered) == before:
        raise Unreadable("This line records nothing.", "Run it by itself instead.")
    return writing.entered[before:]


def _recording(root: click.Context, name: str) -> click.Command:
    group = root.command
    assert isinstance(group, click.Group)  # noqa: S101 - the root of the command line
    name = as_spelled(name)
    called = group.get_command(root, name) if name in RECORDING else None
    if called is None:
        takes = f"A sheet takes: {', '.join(sorted(RECORDING))}."
        raise Unreadable(
            f"{shown(name)} is not a command of a day sheet.",
            f"{meant(name, RECORDING)} {takes}".strip(),
        )
    return called


def _report(
    sheet: daysheet.Sheet, faults: list[daysheet.Fault], *, as_json: bool
) -> BronzebookError:
    """Say every fault, and return the refusal with the status of the first."""
    if as_json:
        keys = ("line", "message", "remedy", "status")
        output.print_json([{key: getattr(fault, key) for key in keys} for fault in faults])
    else:
        _say_faults(faults)
    lines = len(sheet.lines) + len(sheet.faults)
    refusal = Refused(
        f"{len({fault.line for fault in faults})} of {lines} lines faulty; nothing was written.",
        "Mend them and check again.",
    )
    refusal.exit_status = faults[0].status
    return refusal


def _say_faults(faults: list[daysheet.Fault]) -> None:
    width = len(f"line {faults[-1].line}: ")
    for fault in faults:
        output.say(f"line {fault.line}: ".rjust(width) + door.line(fault.message))
        if fault.remedy:
            output.say(" " * width + door.line(fault.remedy))


def _tell(ctx: click.Context, sheet: daysheet.Sheet, made: Made, *, as_json: bool) -> None:
    """Print the entries of each line, beside the line as written, what it confides left out."""
    root = ctx.find_root()
    written = {line.number: as_written(root, line.words) for line in sheet.lines}
    rows = [
        (
            number,
            one.code,
            one.kind.replace("_", " "),
            one.on,
            list(one.remarks) if as_json else written[number],
        )
        for number, one in made
    ]
    last = "remarks" if as_json else "as written"
    output.table(rows, ("line", "code", "entry", "on", last), as_json=as_json)
    for number, of_line in groupby(made, lambda pair: pair[0]):
        remarks = [(one.code, remark) for _, one in of_line for remark in one.remarks]
        for text in output.gathered(remarks):
            output.remarked(f"line {number}, {text}")


def _counted(sheet: daysheet.Sheet, made: Made) -> str:
    return f"{_number(len(sheet.lines), 'line')}, {_number(len(made), 'entry', 'entries')}"


def _number(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
