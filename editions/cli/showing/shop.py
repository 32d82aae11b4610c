"""Molds, waxes, heats and recipes, described."""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.cli import output
from editions.cli.showing.block import Block, Shown, of
from editions.trade.colour import Recipe
from editions.trade.heats import Heat
from editions.trade.molds import Mold, MoldSection
from editions.trade.waxes import Wax

if TYPE_CHECKING:
    from editions.registry import Reading


def mold(state: Mold, reading: Reading) -> Shown:
    """A mold: its sections with their pulls and condition, where it is, how it ended."""
    destroyed = f"{state.destroyed}, witness {of(reading, state.witness)}"
    return Shown(
        state.code,
        f"mold in {state.material}",
        (
            ("taken from", of(reading, state.taken_from)),
            ("generation", state.generation),
            ("maker", of(reading, state.maker)),
            ("owner", of(reading, state.owner)),
            ("place", state.place),
            ("away since", state.out),
            ("destroyed", destroyed if state.destroyed else ""),
        ),
        (
            Block(
                "sections",
                ("section", "pulls", "condition", "inspected", "repairs", "retired"),
                tuple(_section(section) for section in state.sections),
            ),
        ),
    )


def _section(section: MoldSection) -> tuple[object, ...]:
    grades = ", ".join(f"{c.name} {c.grade}" for c in section.criteria if c.grade != "sound")
    condition = f"{section.condition}: {grades}" if grades else section.condition
    inspected = f"{section.inspected}, at pull {section.inspected_at_pull}"
    return (
        section.name,
        section.count,
        condition,
        inspected if section.inspected else "",
        section.repaired or "",
        section.retired,
    )


def wax(state: Wax, reading: Reading) -> Shown:
    """A wax: which pull of which mold, what it weighed, what became of it."""
    judged = {None: "not judged", True: "accepted", False: "rejected"}[state.accepted]
    return Shown(
        state.code,
        f"wax of {state.section}",
        (
            ("mold", of(reading, state.mold)),
            ("pull", state.pull),
            ("run", of(reading, state.run)),
            ("mass", state.mass),
            ("wall", state.wall),
            ("hand", of(reading, state.hand)),
            ("judged", judged),
            ("fate", state.fate),
            ("number cut in", state.number),
            ("piece", of(reading, state.piece)),
        ),
    )


def heat(state: Heat, reading: Reading) -> Shown:
    """A heat: its charge, its analysis with the verdict, the shells poured from it in order."""
    if state.metal or state.shell:
        output.cautions("molten metal")
    return Shown(
        state.code,
        f"heat {state.number}",
        (
            ("alloy", state.alloy),
            ("losses reckoned with", state.losses),
            ("crucible", state.crucible),
            ("melt weighed", state.melt),
            ("poured", state.poured or "not yet"),
            ("metal at", state.metal),
            ("shells at", state.shell),
            ("analysis", " by ".join(filter(None, (state.method, state.laboratory)))),
            ("verdict", _verdict(state)),
            ("findings", "; ".join(state.findings)),
        ),
        (
            Block("charge", ("from", "what", "heat", "mass"), _charge(state, reading)),
            Block("analysed", ("element", "per cent"), tuple(state.percentages.items())),
            Block("shells", ("order", "piece", "section"), _shells(state, reading)),
        ),
    )


def _verdict(state: Heat) -> str:
    by = ", ".join(dict.fromkeys(filter(None, (state.specification, state.edition))))
    return f"{state.verdict} ({by})" if by else state.verdict


def _charge(state: Heat, reading: Reading) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (line.source, line.name, of(reading, line.heat), line.mass) for line in state.charge
    )


def _shells(state: Heat, reading: Reading) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (order, of(reading, shell.piece), shell.section)
        for order, shell in enumerate(state.shells, 1)
    )


def recipe(state: Recipe, reading: Reading) -> Shown:  # noqa: ARG001 - as every description
    """A recipe: its versions in words; the layers are held."""
    versions = tuple((v.version, v.words, v.on) for v in state.versions)
    return Shown(
        state.code,
        state.name,
        (("latest version", state.latest),),
        (Block("versions", ("version", "colour in words", "written"), versions),),
    )
