"""Parties, works, models and runs, described."""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.cli.showing import certificates as papers
from editions.cli.showing.block import Block, Shown, of
from editions.trade.certificates import Certificate
from editions.trade.molds import Mold
from editions.trade.numbers import show_number
from editions.trade.parties import Party
from editions.trade.runs import Declaration, Run
from editions.trade.works import Model, Work

if TYPE_CHECKING:
    from editions.registry import Reading


_PAPERS = ("number", "paper", "designation", "standing")


def party(state: Party, reading: Reading) -> Shown:
    """A party: its part in the work, its authorities, its works."""
    authorities = tuple(
        (
            of(reading, a.holder),
            of(reading, a.artist),
            a.capacity,
            a.document,
            a.begins,
            a.until or "",
        )
        for a in state.authorities
    )
    works = tuple((w.code, w.index().title) for w in reading.linked("artist", state.code))
    return Shown(
        state.code,
        state.name or "known by code",
        (("part", ", ".join(state.roles)), ("life", state.life), ("place", state.place)),
        (
            Block("authority", ("of", "for", "as", "by", "from", "until"), authorities),
            Block("works", ("code", "title"), works),
        ),
    )


def work(state: Work, reading: Reading) -> Shown:
    """A work: its artist, its models, its runs, its earlier casts."""
    linked = reading.linked("work", state.code)
    models = tuple(
        (m.code, m.stage, m.scale or "", m.made_from or "") for m in linked if isinstance(m, Model)
    )
    runs = tuple(
        (r.code, r.index().title, len(_standing(r)), r.closed or "open")
        for r in linked
        if isinstance(r, Run)
    )
    casts = tuple((p.code, p.index().title, p.since) for p in linked if p.code.startswith("P-"))
    return Shown(
        state.code,
        state.title,
        (
            ("artist", of(reading, state.artist)),
            ("also called", ", ".join(state.other_titles)),
            ("year", state.year),
        ),
        (
            Block("models", ("code", "stage", "scale", "made from"), models),
            Block("runs", ("code", "declared", "numbers given", "closed"), runs),
            Block("earlier casts", ("code", "number or tag", "registered"), casts),
        ),
    )


def model(state: Model, reading: Reading) -> Shown:
    """A model: where it stands in the chain, its measurements, the molds taken from it."""
    stations = tuple(
        (s.name, str(s.length), s.base and f"{s.base} base", str(s.uncertainty or ""))
        for s in state.stations
    )
    molds = tuple(
        (m.code, m.material, "destroyed" if m.destroyed else "in use")
        for m in reading.linked("taken from", state.code)
        if isinstance(m, Mold)
    )
    return Shown(
        state.code,
        state.index().title,
        (
            ("work", of(reading, state.work)),
            ("made from", of(reading, state.made_from)),
            ("material", state.material),
            ("scale", state.scale),
        ),
        (
            Block("measured", ("station", "length", "base", "uncertainty"), stations),
            Block("molds", ("code", "material", "state"), molds),
        ),
    )


def run(state: Run, reading: Reading) -> Shown:
    """A run: what was declared, what locked it, every number and who bears it."""
    locked = f"by {state.locked_by}, {state.locked_on}" if state.locked_by else "not yet"
    closed = f"{state.closed}, {state.closed_how}" if state.closed else "no"
    return Shown(
        state.code,
        state.index().title,
        (
            *_declared(state.declared, reading),
            ("amended", _times(state.amended)),
            ("locked", locked),
            ("closed", closed),
            ("casts poured", state.poured),
        ),
        (
            Block("numbers", ("number", "standing", "piece"), _numbers(state)),
            Block("papers", _PAPERS, _papers(state, reading)),
        ),
    )


def _declared(declared: Declaration, reading: Reading) -> tuple[tuple[str, object], ...]:
    return (
        ("work", of(reading, declared.work)),
        ("model", of(reading, declared.model)),
        ("size", "not declared" if declared.size is None else declared.size),
        ("proofs", ", ".join(f"{p.count} {p.series}, {p.numerals}" for p in declared.proofs)),
        ("numerals", declared.numerals),
        ("class", declared.edition_class),
        ("scale", declared.scale),
        ("route", declared.route),
        ("alloy", declared.alloy),
        ("colour", declared.colour),
        ("authorised by", of(reading, declared.authorised_by)),
        ("by the paper", declared.paper),
        ("other runs", declared.other_runs),
        ("promise", declared.promise),
        ("needs", ", ".join(declared.needs).replace("_", " ")),
        ("publishes", ", ".join(declared.publishes)),
        ("locks on", declared.locks_on),
    )


def _numbers(state: Run) -> tuple[tuple[object, ...], ...]:
    given = [(g.designation, "freed" if g.freed else "given", g.piece) for g in state.given]
    promised = [(p.designation, f"held for {p.held_for}", "") for p in state.promised]
    elsewhere = [(e.designation, f"elsewhere: {e.where}", "") for e in state.declared.elsewhere]
    return (*given, *promised, *elsewhere)


def _papers(state: Run, reading: Reading) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (show_number(c.code), papers.NAMES[c.statement.paper], c.statement.designation, c.standing)
        for c in reading.linked("run", state.code)
        if isinstance(c, Certificate)
    )


def _standing(state: Run) -> list[str]:
    return [g.designation for g in state.given if not g.freed]


def _times(count: int) -> str:
    return {0: "", 1: "once", 2: "twice"}.get(count, f"{count} times")
