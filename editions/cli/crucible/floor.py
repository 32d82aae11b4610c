"""What a charge is made of, gathered from options, a file of the floor, and the book.

An analysis is looked for in ``--analysis``, then in the file, then in the book: there, returns are
known by the number of their heat.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from editions.cli import options
from editions.cli.words import read_bytes

if TYPE_CHECKING:
    from editions.cli.desk import Desk
    from editions.rules.charge.losses import Loss
    from editions.rules.charge.melt import Source
    from editions.rules.charge.stock import Lot
    from editions.trade.quantities import Quantity

F = TypeVar("F", bound=Callable[..., Any])

_LARGEST = 1_000_000


class Named(NamedTuple):
    """One thing named on the command line: its kind, its name, and its mass where said."""

    source: Source
    name: str
    mass: Quantity | None


class Floor(NamedTuple):
    """What was said: the things named, the lots of the file, analyses and prices by name."""

    named: tuple[Named, ...]
    filed: tuple[Lot, ...]
    analyses: dict[str, dict[str, str]]
    prices: dict[str, Decimal]


def floor_options(function: F) -> F:
    """Options that say what lies on the floor, and what is known of it."""
    for add in reversed(
        (
            click.option("--ingot", multiple=True, metavar="LOT[=MASS]", help="An ingot lot."),
            click.option("--returns", multiple=True, metavar="HEAT[=MASS]", help="Returns."),
            click.option("--add", multiple=True, metavar="WHAT[=MASS]", help="An addition."),
            click.option(
                "--analysis",
                "analyses",
                multiple=True,
                metavar="'NAME: Cu=94.6 …'",
                help="Of a lot or an addition, in per cent or ppm.",
            ),
            click.option(
                "--price", "prices", multiple=True, metavar="NAME=PRICE", help="For a kg."
            ),
            click.option(
                "--floor",
                "file",
                metavar="FILE.csv",
                help="Lots with kind, mass, price, and elements.",
            ),
            click.option("--decimal-comma", is_flag=True, help="The file writes 94,60."),
        )
    ):
        function = add(function)
    return function


def loss_options(function: F) -> F:
    """Options that say what melting takes."""
    for add in reversed(
        (
            click.option(
                "--loss",
                "lost",
                multiple=True,
                metavar="ELEMENT=PERCENT",
                help="Zn=4 or Zn=3..5.  [default: the foundry's own heats, or common ranges]",
            ),
            click.option(
                "--published-losses", is_flag=True, help="Leave the foundry's own heats aside."
            ),
        )
    ):
        function = add(function)
    return function


def read_floor_options(
    *,
    ingot: Sequence[str],
    returns: Sequence[str],
    add: Sequence[str],
    analyses: Sequence[str],
    prices: Sequence[str],
    file: str | None,
    decimal_comma: bool,
) -> Floor:
    """What the options say.

    Raises:
        Unreadable: If one of them cannot be read.
        FileUnusable: If the file cannot be used.
    """
    named = [_named("ingot", text) for text in ingot]
    named += [_named("returns", text) for text in returns]
    named += [_named("addition", text) for text in add]
    return Floor(
        tuple(named),
        () if file is None else _filed(file, decimal_comma),
        dict(map(_analysis, analyses)),
        dict(map(_price, prices)),
    )


def lots_of(desk: Desk, floor: Floor) -> list[Lot]:
    """Every lot on the floor, each once; a mass that was named is its stock.

    Raises:
        NotKnown: If nobody says what a lot is made of.
    """
    lots = {lot.name: lot for lot in floor.filed}
    for one in floor.named:
        lots[one.name] = _lot(desk, floor, lots.get(one.name), one)
    return [_priced(lot, floor) for lot in lots.values()]


def known(desk: Desk, floor: Floor, one: Named) -> Lot:
    """A thing named, with its analysis and its stock as the file has them.

    Raises:
        NotKnown: If nobody says what it is made of.
    """
    filed = next((lot for lot in floor.filed if lot.name == one.name), None)
    if filed is not None and one.name not in floor.analyses:
        return filed
    from editions.cli.crucible.book import lot_known

    figures = floor.analyses.get(one.name)
    return lot_known(desk, one.source, one.name, figures)


def losses_of(desk: Desk, lost: Sequence[str], published_alone: bool) -> dict[str, Loss]:
    """What melting takes: as said, else as the foundry's own heats tell, else as published."""
    from editions.cli.crucible.book import learned
    from editions.rules.charge.losses import read_loss, with_own

    own = () if published_alone else learned(desk).usable()
    return with_own([*own, *map(read_loss, lost)])


def shop_unit(*masses: Quantity | None) -> str:
    """The unit that the shop uses: that of the first mass named, else kg."""
    return next((mass.unit for mass in masses if mass is not None), "kg")


def _named(source: Source, text: str) -> Named:
    from editions.registry.acts.heats import charge_line

    line = charge_line(source, text)
    return Named(source, line.name, line.mass)


def _lot(desk: Desk, floor: Floor, filed: Lot | None, one: Named) -> Lot:
    import msgspec

    from editions.rules.charge.stock import kilograms

    found = known(desk, floor, one)
    if one.mass is None:
        return found
    stock = kilograms(one.mass)
    if filed is not None and filed.stock is not None:
        stock = min(stock, filed.stock)
    return msgspec.structs.replace(found, stock=stock)


def _priced(lot: Lot, floor: Floor) -> Lot:
    import msgspec

    price = floor.prices.get(lot.name, lot.price)
    return msgspec.structs.replace(lot, price=price)


def _filed(file: str, decimal_comma: bool) -> tuple[Lot, ...]:
    from editions.rules.charge.stock import read_floor

    return read_floor(read_text(file), decimal_comma=decimal_comma)


def read_text(file: str) -> str:
    """The text of a small file.

    Raises:
        FileUnusable: If it cannot be read, or is not UTF-8.
    """
    from editions.errors import FileUnusable
    from editions.trade.text import shown

    try:
        return read_bytes(Path(file), _LARGEST).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileUnusable(f"{shown(file)} is not UTF-8 text.", "Save it as UTF-8.") from None


def _analysis(text: str) -> tuple[str, dict[str, str]]:
    from editions.errors import Unreadable
    from editions.rules.alloys.reports import read_figures
    from editions.trade.text import clean, shown

    name, sign, figures = text.partition(":")
    if not sign or not name.strip():
        raise Unreadable(f"{shown(text)} names no lot.", "Write it as 'LOT 881: Cu=94.60 Si=4.10'.")
    return clean(name, 120), read_figures(figures)


def _price(text: str) -> tuple[str, Decimal]:
    from editions.errors import Unreadable
    from editions.rules.charge.stock import read_price
    from editions.trade.text import shown

    name, sign, price = text.rpartition("=")
    if not sign or not name.strip():
        raise Unreadable(f"{shown(text)} is not a price.", "Write it as 'LOT 881=9.20'.")
    return name.strip(), read_price(name.strip(), price.strip())


def alloy_option(function: F) -> F:
    """``--alloy`` and ``--edition``."""
    function = click.option(
        "--edition", help="Which edition of the limits.  [default: the newest]"
    )(function)
    return click.option("--alloy", type=options.TextType(120), help="C87300, or one of your own.")(
        function
    )
