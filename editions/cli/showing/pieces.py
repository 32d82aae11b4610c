"""A piece, described: sections with their heats, steps by date, marks, approvals, colour."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from editions.cli.showing.block import Block, Shown, of, yes
from editions.rules.posthumous import posthumous
from editions.trade.parties import Party
from editions.trade.pieces import Piece, PieceSection, Step
from editions.trade.runs import Run
from editions.trade.works import Work

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.trade.casting import Ending


def piece(state: Piece, reading: Reading) -> Shown:
    """Everything open about a piece."""
    return Shown(
        state.code,
        _title(state, reading),
        (*_what(state, reading), *_ends(state, reading)),
        (
            Block(
                "sections",
                ("section", "wax", "mold", "pull", "heat", "poured"),
                tuple(row for section in state.sections for row in _section(section, reading)),
            ),
            Block("steps", ("on", "steps"), _steps(state.steps)),
            Block("defects", ("class", "defect", "section", "on"), _defects(state)),
            Block("approvals", ("of", "word", "by", "how", "on"), _approvals(state, reading)),
            Block("colour", ("in words", "recipe", "version", "on"), _colours(state, reading)),
            Block("marks borne", ("mark", "reads as", "place", "method", "on"), _marks(state)),
            Block("measured", ("station", "length", "base"), _stations(state)),
        ),
    )


def _title(state: Piece, reading: Reading) -> str:
    """The work's title with the number, as people call a cast."""
    work = _work_of(state, reading)
    parts = (work.index().title if work else "", state.number or state.tag or "piece")
    return ", ".join(filter(None, parts))


def _work_of(state: Piece, reading: Reading) -> Work | None:
    run = reading.state(state.run) if state.run else None
    code = state.work or (run.declared.work if isinstance(run, Run) else None)
    work = reading.state(code) if code else None
    return work if isinstance(work, Work) else None


def _posthumous(state: Piece, reading: Reading) -> str:
    """That it was cast after the artist's death, with the date of it."""
    work = _work_of(state, reading)
    artist = reading.state(work.artist) if work else None
    if isinstance(artist, Party) and posthumous(artist.died, state.cast_on):
        return f"cast after the death of {artist.shown}, {artist.died}"
    return ""


def _what(state: Piece, reading: Reading) -> tuple[tuple[str, object], ...]:
    return (
        ("number given", state.number),
        ("tag", state.tag),
        ("run", of(reading, state.run)),
        ("work", of(reading, state.work)),
        ("purpose", state.purpose if state.purpose != "run" else ""),
        ("registered", yes(state.from_object, "from the object, an earlier cast")),
        ("cast", state.cast_on),
        ("posthumous", _posthumous(state, reading)),
        ("foundry", state.foundry),
        ("alloy", state.alloy),
        ("mass", state.mass),
    )


def _ends(state: Piece, reading: Reading) -> tuple[tuple[str, object], ...]:
    released = f"{state.released}, {state.released_as}" if state.released else ""
    scrapped = f"{state.scrapped}: {_ending(state.ending, reading)}" if state.scrapped else ""
    return (
        ("released", released),
        ("scrapped", scrapped),
        ("certificates", ", ".join(state.certificates)),
    )


def _ending(ending: Ending | None, reading: Reading) -> str:
    if ending is None:
        return ""
    witness = f", witness {of(reading, ending.witness)}" if ending.witness else ""
    return f"{ending.evidence}{witness}"


def _section(section: PieceSection, reading: Reading) -> list[tuple[object, ...]]:
    """A section as it stands, and under it each casting of it that was scrapped."""
    pull = "" if section.pull is None else section.pull
    heat = of(reading, section.heat)
    rows: list[tuple[object, ...]] = [
        (section.name, section.wax, section.mold, pull, heat, section.poured)
    ]
    for gone in section.scrapped:
        ending = f"scrapped {gone.on}: {gone.ending.evidence}"
        rows.append((f"  {section.name}", gone.wax, "", "", of(reading, gone.heat), ending))
    return rows


def _steps(steps: tuple[Step, ...]) -> tuple[tuple[object, ...], ...]:
    """A line a date, the steps of that day in the order they were recorded."""
    return tuple((on, ", ".join(map(_step, day))) for on, day in groupby(steps, lambda s: s.on))


def _step(step: Step) -> str:
    words = [step.step.replace("_", " ")]
    if step.coat is not None:
        words.append(f"coat {step.coat}")
    if step.section and step.section != "whole":
        words.append(f"of {step.section}")
    declared = f", declared by {step.declared_by}" if step.declared_by else ""
    aside = [part for part in (step.hand, f"{step.how}{declared}") if part and part != "done"]
    return " ".join(words) + (f" ({', '.join(aside)})" if aside else "")


def _defects(state: Piece) -> tuple[tuple[object, ...], ...]:
    return tuple((d.defect_class, d.name, d.section or "whole", d.on) for d in state.defects)


def _approvals(state: Piece, reading: Reading) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (a.of, "approved" if a.approved else "refused", of(reading, a.party), a.how, a.on)
        for a in state.approvals
    )


def _colours(state: Piece, reading: Reading) -> tuple[tuple[object, ...], ...]:
    return tuple((c.words, of(reading, c.recipe), c.version, c.on) for c in state.colours)


def _marks(state: Piece) -> tuple[tuple[object, ...], ...]:
    return tuple(
        (m.line.text, m.number or "as it stands", m.line.place, m.line.method, m.on)
        for m in state.marks
    )


def _stations(state: Piece) -> tuple[tuple[object, ...], ...]:
    return tuple((s.name, str(s.length), s.base and f"{s.base} base") for s in state.stations)
