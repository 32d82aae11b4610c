"""The day sheet: a plain text file of a day's work, read here as values.

Each line is one command line without the word ``bronzebook``, in the shell's quoting.  Blank lines
are skipped; ``#`` before a word begins a comment.  Above the first command may stand three
headers::

    on: 2026-11-24
    by: Y-0007
    sheet: 5b0f6e1c4f5f4d0c9a7b3c2d1e0f9a8b

    wax pull M-0001 body --mass "4.2 kg" --code W-0100
    step shelled T-0101..T-0112 --coat 3      # the third coat

``on`` and ``by`` are what a line means that says neither.  ``sheet`` is 32 random hex digits: the
batch under which the sheet is sealed, once, however it was edited since; and a line that keeps the
file's digest from being guessed.  A sheet without it is known by its digest alone.
"""

from __future__ import annotations

import hashlib
import re
import shlex
from dataclasses import dataclass, field

from editions.errors import BronzebookError, FileUnusable, Unreadable

LIMIT = 1 << 20
MOST_LINES = 5000

_WORD = re.compile(r"""\s*(?:[^\s"'\\]|\\.|"(?:[^"\\]|\\.)*"|'[^']*')+""")
_HEADER = re.compile(r"\s*(on|by|sheet)\s*:\s*([^#]*?)\s*(?:#.*)?")
_SHEET = re.compile(r"[0-9a-f]{32}")


@dataclass(frozen=True, slots=True)
class Line:
    """A command of the sheet: where it stands, and its words."""

    number: int
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a line: the reason, what to do, and the exit status it calls for."""

    line: int
    message: str
    remedy: str
    status: int


@dataclass(slots=True)
class Sheet:
    """A sheet as read; lines that cannot be read are among its faults."""

    digest: str
    on: str | None = None
    by: str | None = None
    name: str | None = None
    lines: list[Line] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @property
    def batch(self) -> str:
        """The batch that the sheet's entries come in: its own name, else the digest's beginning."""
        return self.name or self.digest[:32]


def fault_of(line: int, error: BronzebookError) -> Fault:
    """A fault from an error met on a line."""
    return Fault(line, error.message, error.remedy, error.exit_status)


def read_sheet(data: bytes, where: str = "the sheet") -> Sheet:
    """Read a sheet; every line that cannot be read is a fault, and the others are read on.

    Raises:
        FileUnusable: If it is not text, or is far too long for a day.
    """
    text = _text(data, where)
    sheet = Sheet(digest=hashlib.sha256(data).hexdigest())
    rows = text.split("\n")
    if len(rows) > MOST_LINES:
        raise FileUnusable(
            f"{where} has {len(rows)} lines; {MOST_LINES} are read.", "Split it into several."
        )
    for number, row in enumerate(rows, 1):
        try:
            _take(sheet, number, row)
        except BronzebookError as error:
            sheet.faults.append(fault_of(number, error))
    return sheet


def template(on: str, by: str | None, name: str, file: str) -> str:
    """The text of a new sheet: headers, and a few lines to begin from as comments."""
    return f"""\
# The day's work. One command a line, as after `bronzebook`; # begins a comment.
# Check it as often as you like, then seal it. Nothing is in the book until then.
#     bronzebook sheet check {shlex.quote(file)}
#     bronzebook sheet seal {shlex.quote(file)}

on: {on}
{f"by: {by}" if by else "# by: Y-0007"}
sheet: {name}

# wax pull M-0001 body --mass "4.2 kg" --wall "3/16 in" --code W-0100
# wax judge W-0100 --accept
# step shelled T-0101..T-0112 --coat 3
# step fired T-0101..T-0112
# approve T-0101 metal --how in-person
"""


def _text(data: bytes, where: str) -> str:
    if len(data) > LIMIT:
        raise FileUnusable(f"{where} is longer than a megabyte.", "A day sheet is plain text.")
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise FileUnusable(f"{where} is not UTF-8 text.", "Save it as plain text, UTF-8.") from None


def _take(sheet: Sheet, number: int, row: str) -> None:
    header = _HEADER.fullmatch(row)
    if header:
        _take_header(sheet, header[1], header[2])
        return
    words = _words(row)
    if words:
        sheet.lines.append(Line(number, words))


def _words(row: str) -> tuple[str, ...]:
    try:
        words = tuple(shlex.split(_without_comment(row)))
    except ValueError:
        raise Unreadable(
            "A quotation mark is not closed.",
            'Put text in double quotes, "the artist\'s wish"; write inches as in, not with a mark.',
        ) from None
    return words[1:] if words[:1] == ("bronzebook",) else words


def _without_comment(row: str) -> str:
    """The row up to its comment; a ``#`` inside a word is part of it, as in P-0003#4."""
    end = 0
    while (word := _WORD.match(row, end)) and not word[0].lstrip().startswith("#"):
        end = word.end()
    return row[:end] if row[end:].lstrip().startswith("#") else row


def _take_header(sheet: Sheet, name: str, value: str) -> None:
    if sheet.lines:
        raise Unreadable(
            f"The header {name}: stands below a command.",
            "Put it above the first one; for one line use an option, such as --on.",
        )
    attribute = "name" if name == "sheet" else name
    if getattr(sheet, attribute) is not None:
        raise Unreadable(f"The header {name}: stands twice.", "Keep one.")
    setattr(sheet, attribute, _READERS[name](value))


def _read_on(value: str) -> str:
    from editions.trade.dates import read_when

    return read_when(value)


def _read_by(value: str) -> str:
    from editions.trade.codes import read_code

    return read_code(value, "Y")


def _read_name(value: str) -> str:
    if not _SHEET.fullmatch(value):
        raise Unreadable(
            "The header sheet: is not 32 hex digits.", "Leave it as `sheet new` wrote it."
        )
    return value


_READERS = {"on": _read_on, "by": _read_by, "sheet": _read_name}
