"""What people do with heats: charge one, enter its analysis, pour shells from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal

import msgspec

from editions.errors import Refused, Unreadable
from editions.registry.acts.metal import lot_named
from editions.registry.acts.typed import (
    confided,
    fresh,
    heat_of,
    label,
    party,
    piece_and_section,
    word,
)
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.alloys.analysis import read_percentages
from editions.rules.alloys.judge import Finding, Judgement
from editions.rules.alloys.judge import judge as judge_analysis
from editions.rules.alloys.own import alloy_held
from editions.rules.charge.losses import read_loss, write_loss
from editions.trade.codes import read_tag
from editions.trade.heats import ChargeLine, HeatAnalysed, HeatCharged, HeatPoured, Shell
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity, read_quantity
from editions.trade.text import clean

Source = Literal["ingot", "returns", "addition"]


def open_heat(
    w: Writing,
    number: str,
    *,
    alloy: str,
    charge: Iterable[ChargeLine] = (),
    losses: Iterable[str] = (),
    crucible: str = "",
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Open a heat under the foundry's own number, with what was charged.

    Args:
        w: The writing.
        number: The foundry's number of the heat, such as ``24-117``.
        alloy: A designation whose limits are held (``C87300``, an own alloy), or the foundry's
            own word.
        charge: Ingot lots, returns and additions; returns name an earlier heat by its number.
        losses: What melting is reckoned to take, ``Zn=3..5``.
        crucible: Which crucible, in words.
        code: The registry's code; the next free one when absent.
        on: When, EDTF; today when absent.
        note: A held note.

    Raises:
        NotKnown: If returns name a heat that is not in the book.
    """
    facts = HeatCharged(
        number=read_tag(number),
        alloy=_alloy(w, alloy),
        charge=tuple(charged(w, line) for line in charge),
        losses=tuple(write_loss(read_loss(text)) for text in losses),
        crucible=clean(crucible),
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "H", code), on=on)


def analyse_heat(
    w: Writing,
    heat: str,
    percentages: Mapping[str, str],
    *,
    method: str,
    laboratory: str | None = None,
    edition: str | None = None,
    report: str | None = None,
    melt: Quantity | None = None,
    on: str | None = None,
) -> Entered:
    """Enter an analysis, judged by the limits of the alloy that the heat was opened for.

    The verdict, every finding, and the specification with its edition go into the entry.  An alloy
    whose limits are not held here leaves the verdict indeterminate.

    Args:
        w: The writing.
        heat: The heat's number or code.
        percentages: Element to per cent by weight as reported: ``{"Cu": "94.44", "Pb": "<0.005"}``.
        method: How it was found, such as ``spark OES``.
        laboratory: A party's code, or the laboratory's name.
        edition: The edition of the limits; the newest when absent.
        report: SHA-256 of the laboratory's report, in hex.
        melt: What the melt weighed, where it was.
        on: The date of the analysis, EDTF; today when absent.

    Raises:
        Unreadable: A symbol, a figure or an edition that cannot be read.
    """
    poured, figures = heat_of(w, heat), _figures(percentages)
    judged = _judged(w, poured.alloy, figures, edition)
    facts = HeatAnalysed(
        method=word(method, "method"),
        laboratory=_laboratory(w, laboratory),
        percentages=figures,
        **_verdict(judged),
        report=report,
        melt=melt,
    )
    return w.enter(facts, poured.code, on=on)


def pour_heat(
    w: Writing,
    heat: str,
    shells: Iterable[str],
    *,
    metal: Quantity | None = None,
    shell: Quantity | None = None,
    hand: str | None = None,
    on: str | None = None,
) -> Entered:
    """Pour shells from a heat, in the order given.

    Args:
        w: The writing.
        heat: The heat's number or code.
        shells: Pieces by tag or code, with a section where only one is poured:
            ``T-0102/torso``.  A piece alone means every section of it not yet poured.
        metal: Temperature of the metal.
        shell: Temperature of the shells.
        hand: Code of whoever poured.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If a piece has nothing left to pour, or a rule forbids the pour.
    """
    facts = HeatPoured(
        shells=tuple(one for text in shells for one in _shells(w, text)),
        metal=metal,
        shell=shell,
        hand=party(w, hand),
    )
    return w.enter(facts, heat_of(w, heat).code, on=on)


def finding_text(finding: Finding) -> str:
    """A finding in a line: ``Si 4.26 (3.5 to 4.5): within``."""
    value = f" {finding.value}" if finding.value else ""
    limit = f" ({finding.limit})" if finding.limit else ""
    return f"{finding.element}{value}{limit}: {finding.says}"


def _alloy(reading: Reading, text: str) -> str:
    held = alloy_held(text, reading)
    return word(text, "alloy") if held is None else held.name


def charge_line(source: Source, text: str) -> ChargeLine:
    """Read a line of the charge: ``LOT 881=60kg``, or the name alone where nothing was weighed.

    Raises:
        Unreadable: If there is no name, or no mass after the sign.
    """
    name, sign, mass = text.rpartition("=") if "=" in text else (text, "", "")
    return ChargeLine(
        source=source,
        name=word(name, f"name of the {source}"),
        mass=read_quantity(mass, "mass") if sign else None,
    )


def charge_text(line: ChargeLine) -> str:
    """A line of the charge as it is written; :func:`charge_line` reads it back."""
    return f"{line.name}={line.mass}" if line.mass else line.name


def charged(reading: Reading, line: ChargeLine) -> ChargeLine:
    """A line of the charge with the code of the heat or the lot that it comes from."""
    line = msgspec.structs.replace(line, name=word(line.name, "charge line's name"))
    if line.source != "returns":
        lot = lot_named(reading, line.lot or line.name)
        return line if lot is None else msgspec.structs.replace(line, name=lot.name, lot=lot.code)
    earlier = heat_of(reading, line.heat or line.name)
    return msgspec.structs.replace(line, name=earlier.number, heat=earlier.code)


def _figures(percentages: Mapping[str, str]) -> dict[str, str]:
    """An analysis as it is kept, by symbol.

    Raises:
        Unreadable: If there is none, or an element is given in two spellings.
    """
    figures = {symbol.strip().capitalize(): _figure(f) for symbol, f in percentages.items()}
    if not figures:
        raise Unreadable("The analysis names no element.", "Give them as Cu=94.44 Si=4.26.")
    if len(figures) != len(percentages):
        raise Unreadable("An element is given twice.", "Give each element once.")
    return figures


def _figure(text: str) -> str:
    """A percentage as it is kept: ``.99`` gets its leading zero, ``< .005`` loses its space."""
    below, figure = ("<", text.strip()[1:]) if text.strip().startswith("<") else ("", text)
    figure = figure.strip().removesuffix("%").strip()
    return f"{below}0{figure}" if figure.startswith(".") else f"{below}{figure}"


def _judged(
    reading: Reading, alloy: str, figures: Mapping[str, str], edition: str | None
) -> Judgement:
    held = alloy_held(alloy, reading, edition)
    if held is not None:
        return judge_analysis(held, figures, edition)
    read_percentages(figures)
    says = "no limits are held here for this alloy"
    unknown = Finding(element=alloy, value="", limit="", says=says, verdict="indeterminate")
    return Judgement(
        verdict="indeterminate",
        findings=(unknown,),
        specification="",
        edition="",
        formula=(),
        sources=(),
    )


def _verdict(judged: Judgement) -> dict[str, Any]:
    """A judgement as an entry keeps it."""
    return {
        "verdict": judged.verdict,
        "specification": judged.specification,
        "edition": judged.edition,
        "findings": tuple(map(finding_text, judged.findings)),
    }


def _laboratory(reading: Reading, text: str | None) -> str | None:
    if text is None:
        return None
    if text.strip().upper().startswith("Y-"):
        return party(reading, text)
    return word(text, "laboratory")


def _shells(reading: Reading, text: str) -> list[Shell]:
    piece, section = piece_and_section(reading, text)
    names = [section] if section else [s.name for s in piece.sections if not piece.has_poured(s)]
    if not names:
        raise Refused(
            f"{label(piece)} has no section left to pour.",
            "Scrap the section that is cast again, or name another piece.",
        )
    return [Shell(piece=piece.code, section=name, run=_counts_for(piece)) for name in names]


def _counts_for(piece: Piece) -> str | None:
    # A trial proof is no cast of its run, and does not lock it.
    return None if piece.purpose == "trial" else piece.run
