"""Options and values that commands share, completed from the registry's own codes.

========================  ===================================================================
``@on_option``            ``on: str | None``; a day sheet's date, or None for today
``@note_option``          ``note: str | None``; held
``@hand_option``          ``hand: str | None``; the code of a party
``@code_option("P")``     ``code: str | None``; the code of what is entered, if chosen by hand
``@json_option``          ``as_json: bool``
``@codes_argument()``     ``codes: list[str]``; ``T-0101..T-0112 T-0120``, in the order given
``CodeType("M")``         a code of that letter; pieces and heats by shop tag or number too
``QuantityType("mass")``  a :class:`~editions.trade.quantities.Quantity`
``DesignationType()``     a designation in its canonical text
``WhenType()``            an EDTF date; ``today`` and ``yesterday``
``TextType(limit)``       text made safe to keep
========================  ===================================================================

Values are refused by the errors of :mod:`editions.errors`, not by click's own.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click
from click.shell_completion import CompletionItem

from editions.cli.desk import Desk, today
from editions.errors import BronzebookError, Unreadable

if TYPE_CHECKING:
    from editions.trade.quantities import Dimension, Quantity

T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])

_BY_OTHER_NAMES = frozenset("PH")
_LONGEST_NAME = 120


class ValueType(click.ParamType[T], ABC):
    """A value that is read from the text as typed, and perhaps completed from the registry."""

    name = "value"

    @abstractmethod
    def read(self, text: str) -> T:
        """The value; refuses by our own errors."""

    def complete(self, ctx: click.Context, begun: str) -> list[str]:  # noqa: ARG002
        """What the text may go on to; nothing, unless a kind of value knows better."""
        return []

    def convert(
        self,
        value: Any,
        param: click.Parameter | None,
        ctx: click.Context | None,  # noqa: ARG002 - click's signature
    ) -> T:
        """Read what is still text; a fault names the option, of which a line may have many."""
        if not isinstance(value, str):
            read: T = value
            return read
        try:
            return self.read(value)
        except BronzebookError as fault:
            if isinstance(param, click.Option):
                raise type(fault)(f"{param.opts[0]}: {fault.message}", fault.remedy) from fault
            raise

    def shell_complete(
        self,
        ctx: click.Context,
        param: click.Parameter,  # noqa: ARG002 - click's signature
        incomplete: str,
    ) -> list[CompletionItem]:
        """What the shell is offered."""
        return [CompletionItem(text) for text in self.complete(ctx, incomplete)]


class CodeType(ValueType[str]):
    """A registry code of one letter, or of any when none is named.

    Pieces are known in the shop by their tags and heats by their numbers, so those, and a code of
    any letter, are only made safe here and resolved in the book.
    """

    name = "code"

    def __init__(self, letter: str | None = None) -> None:
        self.letter = letter

    def read(self, text: str) -> str:
        """The code in capitals, or the tag as typed.

        Raises:
            Unreadable: If it is not a code of that letter.
        """
        from editions.trade.codes import read_code
        from editions.trade.text import clean

        if self.letter is None or self.letter in _BY_OTHER_NAMES:
            name = clean(text, _LONGEST_NAME)
            if not name:
                raise Unreadable("A code is empty.", "Give a code such as P-0001.")
            return name
        return read_code(text, self.letter)

    def complete(self, ctx: click.Context, begun: str) -> list[str]:
        """Codes and tags of the registry that begin with what is typed."""
        return known_codes(ctx, self.letter, begun)


class CodesType(ValueType[list[str]]):
    """Codes or shop tags, with ranges and commas: ``T-0101..T-0112,T-0120``."""

    name = "codes"

    def __init__(self, letter: str | None = "P") -> None:
        self.letter = letter

    def read(self, text: str) -> list[str]:
        """Every code named, in the order written.

        Raises:
            Unreadable: If the list does not count, names one twice, or too many.
        """
        from editions.trade.codes import expand

        return expand(text)

    def complete(self, ctx: click.Context, begun: str) -> list[str]:
        """Complete the last name of a list: after a comma or the two points of a range."""
        last = begun.replace("..", ",").rpartition(",")[2]
        before = begun[: len(begun) - len(last)]
        return [before + code for code in known_codes(ctx, self.letter, last)]


class QuantityType(ValueType["Quantity"]):
    """A quantity as people write it: ``1.05 kg``, ``3/16 in``, ``1090C``."""

    def __init__(self, dimension: Dimension) -> None:
        self.dimension: Dimension = dimension
        self.name = dimension

    def read(self, text: str) -> Quantity:
        """The quantity.

        Raises:
            Unreadable: If the figure or the unit cannot be read.
        """
        from editions.trade.quantities import read_quantity

        return read_quantity(text, self.dimension)


class DesignationType(ValueType[str]):
    """A designation in any of the usual forms, kept in its canonical one."""

    name = "designation"

    def read(self, text: str) -> str:
        """The canonical text.

        Raises:
            Unreadable: If it is none of the forms.
        """
        from editions.rules.designations import read_designation
        from editions.trade.text import shown

        read = read_designation(text)
        if read is None:
            raise Unreadable(
                f"{shown(text)} is not a designation.",
                "Write it as 3/8, III/VIII, AP I/IV, EA 2/4, HC 1/2 or a letter.",
            )
        return str(read)


class WhenType(ValueType[str]):
    """A date as it is known, EDTF; ``today`` and ``yesterday`` are read too."""

    name = "date"

    def read(self, text: str) -> str:
        """The EDTF text.

        Raises:
            Unreadable: If it is not a date.
        """
        import datetime

        from editions.trade.dates import read_when

        back = {"today": 0, "yesterday": 1}.get(text.strip().lower())
        if back is None:
            return read_when(text)
        return (today() - datetime.timedelta(days=back)).isoformat()


class TextType(ValueType[str]):
    """Text made safe to keep and to print."""

    name = "text"

    def __init__(self, limit: int = 2000) -> None:
        self.limit = limit

    def read(self, text: str) -> str:
        """The text as it is kept.

        Raises:
            Unreadable: If it holds what may not be kept, or is too long.
        """
        from editions.trade.text import clean

        return clean(text, self.limit)


def known_codes(ctx: click.Context, letter: str | None, begun: str) -> list[str]:
    """Codes and tags for completion; none where there is no registry to ask.

    Completion works on an unfinished line, so the global options are taken from the context.
    """
    given = ctx.find_root().params
    desk = Desk(given.get("registry"), given.get("home"))
    try:
        with desk.reading() as reading:
            found = reading.known(letter)
    except (BronzebookError, OSError):
        return []
    finally:
        desk.close()
    start = begun.upper()
    return [code for code in found if code.upper().startswith(start)][:200]


def _on_or_sheet(ctx: click.Context, _: click.Parameter, value: str | None) -> str | None:
    desk = ctx.find_object(Desk)
    return value if value is not None or desk is None else desk.sheet_on


def _joined(_: click.Context, __: click.Parameter, value: tuple[list[str], ...]) -> list[str]:
    codes = [code for part in value for code in part]
    for code in codes:
        if codes.count(code) > 1:
            raise Unreadable(f"{code} is named twice.", "Name each one once.")
    return codes


def on_option(function: F) -> F:
    """``--on``: when it happened."""
    return click.option(
        "--on",
        type=WhenType(),
        callback=_on_or_sheet,
        help="When it happened: 2026-11-24, 2026-11~, yesterday.  [default: today]",
    )(function)


def note_option(function: F) -> F:
    """``--note``: a note that is held."""
    return click.option("--note", type=TextType(), help="A note; held, never published.")(function)


def hand_option(function: F) -> F:
    """``--hand``: whose hand did it."""
    return click.option("--hand", type=CodeType("Y"), help="The party whose hand did it.")(function)


def json_option(function: F) -> F:
    """``--json``: print JSON."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON.")(function)


def code_option(letter: str) -> Callable[[F], F]:
    """``--code``: the code to give, where the next free one will not do."""

    def add(function: F) -> F:
        return click.option(
            "--code", type=NewCodeType(letter), help="The code to give.  [default: the next free]"
        )(function)

    return add


class NewCodeType(ValueType[str]):
    """A code that is to be given; not completed, since it is not in the book yet."""

    name = "code"

    def __init__(self, letter: str) -> None:
        self.letter = letter

    def read(self, text: str) -> str:
        """The code in capitals.

        Raises:
            Unreadable: If it is not a code of that letter.
        """
        from editions.trade.codes import read_code

        return read_code(text, self.letter)


def codes_argument(letter: str | None = "P", name: str = "codes") -> Callable[[F], F]:
    """``CODES…``: one or more codes or tags, ranges and lists, joined into one list."""

    def add(function: F) -> F:
        return click.argument(
            name, nargs=-1, required=True, type=CodesType(letter), callback=_joined
        )(function)

    return add
