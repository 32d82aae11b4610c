"""What people do with metal before it is charged: state alloys of their own, take lots in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Literal

from editions.errors import Unreadable
from editions.registry.acts.typed import fresh, word
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.alloys.analysis import read_element
from editions.rules.alloys.own import own_alloy
from editions.trade.metal import (
    AlloyRestated,
    AlloyStated,
    LimitLine,
    Lot,
    LotReceived,
    Stated,
)
from editions.trade.quantities import Quantity
from editions.trade.text import clean, shown

_LIMIT = re.compile(
    r"(?P<element>[A-Za-z]{1,2})(?P<includes>(?:\+[A-Za-z]{1,2})*)="
    r"(?P<low>[0-9]{0,3}(?:\.[0-9]{1,6})?)\.\.(?P<high>[0-9]{0,3}(?:\.[0-9]{1,6})?)"
)

_FIGURE = re.compile(r"[0-9]{0,3}(?:\.[0-9]{1,6})?(?<=[0-9])")


def state_alloy(
    w: Writing,
    name: str,
    stated: Stated,
    *,
    title: str = "",
    code: str | None = None,
    on: str | None = None,
) -> Entered:
    """State an alloy of the foundry's own, or other limits for one that is there.

    Args:
        w: The writing.
        name: Of a new one; the name or code of one that is restated.
        stated: Its limits; see :func:`limits_stated`.
        title: In a few words.
        code: Of a new alloy; the next free one when absent.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If the alloy is published, or nothing could keep the limits.
    """
    if (old := own_alloy(name, w)) is not None:
        return w.enter(AlloyRestated(stated=stated), old.code, on=on)
    new = AlloyStated(name=word(name, "alloy's name"), title=clean(title), stated=stated)
    return w.enter(new, fresh(w, "A", code), on=on)


def limits_stated(
    limits: Iterable[LimitLine],
    *,
    total: str | None = None,
    copper_plus_nickel: bool = False,
    density: str | None = None,
    source: str = "",
) -> Stated:
    """Return limits as an alloy is stated by.

    Args:
        limits: One an element; see :func:`read_limit`.
        total: The least that the limited elements make together, per cent.
        copper_plus_nickel: Whether nickel helps copper to its minimum.
        density: In g/cm3.
        source: Where the limits are from.

    Raises:
        Unreadable: If the sum or the density is no plain figure.
    """
    return Stated(
        limits=tuple(limits),
        total=_figure(total, "sum"),
        copper_plus_nickel=copper_plus_nickel,
        density=_figure(density, "density"),
        source=clean(source),
    )


def receive_lot(
    w: Writing,
    name: str,
    percentages: Mapping[str, str],
    *,
    source: Literal["ingot", "addition"] = "ingot",
    mass: Quantity | None = None,
    certificate: str | None = None,
    code: str | None = None,
    on: str | None = None,
) -> Entered:
    """Take a lot in, with the analysis of its certificate.

    Args:
        w: The writing.
        name: What the lot is called: its number on the certificate.
        percentages: Element to per cent by weight as reported.
        source: Ingot, or an addition such as silicon.
        mass: What came in, as weighed.
        certificate: SHA-256 of the certificate, in hex.
        code: The lot's code; the next free one when absent.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If a lot of that name is there, or the certificate names no element.
    """
    facts = LotReceived(
        name=word(name, "lot's name"),
        source=source,
        mass=mass,
        percentages=dict(percentages),
        certificate=certificate,
    )
    return w.enter(facts, fresh(w, "L", code), on=on)


def lot_named(reading: Reading, name: str) -> Lot | None:
    """The lot of that name or code, or None."""
    plain = name.strip().upper()
    state = reading.state(reading.named(f"lot {plain}") or plain)
    return state if isinstance(state, Lot) else None


def read_limit(text: str) -> LimitLine:
    """Read a limit: ``Si=3.5..4.5``, ``Pb=..0.09``, ``Cu=94..``, ``Ni+Co=..1.0``.

    Raises:
        Unreadable: If it is not of that form.
    """
    found = _LIMIT.fullmatch("".join(text.split()))
    if not found or not (found["low"] or found["high"]):
        raise Unreadable(
            f"{shown(text)} is not a limit.",
            "Write Si=3.5..4.5, Pb=..0.09, Cu=94.. or, counting cobalt as nickel, Ni+Co=..1.0.",
        )
    return LimitLine(
        element=read_element(found["element"]),
        low=_end(found["low"]),
        high=_end(found["high"]),
        includes=tuple(read_element(x) for x in found["includes"].split("+") if x),
    )


def limit_text(line: LimitLine) -> str:
    """A limit as it is written; :func:`read_limit` reads it back."""
    elements = "+".join((line.element, *line.includes))
    return f"{elements}={line.low or ''}..{line.high or ''}"


def _end(text: str) -> str | None:
    return _pointed(text) if text else None


def _figure(text: str | None, what: str) -> str | None:
    if text is None:
        return None
    if not _FIGURE.fullmatch(text.strip()):
        raise Unreadable(f"{shown(text)} is no {what}.", "Write a plain figure, such as 99.5.")
    return _pointed(text.strip())


def _pointed(text: str) -> str:
    return f"0{text}" if text.startswith(".") else text
