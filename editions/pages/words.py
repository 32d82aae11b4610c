"""The words of the pages, in English: what a template cannot say by itself.

Each is a filter of the templates, named as it is used there.

>>> times(1), times(2), times(5)
('once', 'twice', '5 times')
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from markupsafe import Markup, escape

from certificates import wording
from editions.errors import BronzebookError
from editions.pages.casting import ApprovalView, HeatView, Part, Stage
from editions.pages.drawn import DRAWN
from editions.pages.values import Measure
from editions.rules.alloys import load_alloy
from editions.trade.dates import certainly_before
from editions.trade.numbers import show_number
from editions.trade.quantities import Quantity
from editions.trade.statement import MarkLine, ProofSeries

_OF = {"metal": "in metal", "colour": "in colour", "release": "for release"}
_VERDICTS = {
    "within": "consistent with",
    "outside": "outside",
    "indeterminate": "not decided against",
}


def own(text: str) -> Markup:
    """Someone's own words, set apart so that no script of theirs disturbs the line around them."""
    return Markup(f"<bdi>{escape(text)}</bdi>")  # noqa: S704 - escaped


def when(date: str | None, missing: str = "date not recorded") -> str:
    """A date in words; one that is no EDTF stands as it is."""
    return wording.dated(date, missing)


def span(stage: Stage) -> str:
    """When a stage happened: a day, or from one to another."""
    if stage.how == "not recorded":
        return "date not recorded"
    if stage.first != stage.last and certainly_before(stage.first, stage.last):
        return f"{when(stage.first)} to {when(stage.last)}"
    return when(stage.first)


def stage(stage: Stage) -> str:
    """A stage in words: the step, its coats, and the section where it was not the whole."""
    coats = f", {_counted(stage.coats, 'coat', 'coats')}" if stage.coats else ""
    where = f" ({', '.join(stage.sections)})" if stage.sections else ""
    return f"{stage.word}{coats}{where}"


def how(stage: Stage) -> str:
    """How a step is known, where the foundry did not simply do it."""
    if stage.how == "elsewhere":
        return f"done elsewhere, declared by {stage.whose}" if stage.whose else "done elsewhere"
    return "done, not recorded at the time" if stage.how == "not recorded" else ""


def measured(quantity: Quantity) -> str:
    """A quantity as typed, its other units in brackets."""
    return wording.measured(quantity)


def measure(measure: Measure) -> str:
    """A length with its spread; says where nobody measured it."""
    if measure.length is None:
        return "not recorded"
    if measure.uncertainty is None:
        return measured(measure.length)
    spread = str(measure.uncertainty).replace(" ", "\u00a0")
    return f"{measured(measure.length)} ±\u00a0{spread}"


def station(measure: Measure) -> str:
    """What was measured: a station's name, with or without the base."""
    base = f"{measure.base} base" if measure.base else ""
    named = ", ".join(filter(None, (measure.name, base)))
    return named[:1].upper() + named[1:]


def mark(line: MarkLine) -> str:
    """Where a mark stands and how it was made."""
    return ", ".join(filter(None, (line.place, line.method)))


def proofs(series: ProofSeries) -> str:
    """A series outside the numbered run, in words."""
    return wording.proofs_said(series)


def part(part: Part) -> str:
    """Where a section came from: mold, pull, heat and day."""
    pull = f"pull {part.pull}" if part.pull is not None else ""
    of = f" of {part.pulls}" if pull and part.pulls else ""
    mold = f"mold {part.mold}" if part.mold else "mold not recorded"
    heat = f"heat {part.heat}" if part.heat else "heat not recorded"
    poured = f"poured {when(part.poured)}" if part.poured else ""
    return ", ".join(filter(None, (mold, pull + of, heat, poured)))


def alloy(name: str) -> str:
    """An alloy by its family and name; one that no data file knows stands as it is."""
    try:
        return f"{load_alloy(name).title.partition(',')[0]}, {name}"
    except BronzebookError:
        return name


def generation(number: int) -> str:
    """The generation of a bronze from a mold: 0 from a model, more from a bronze."""
    return "first generation" if number == 0 else f"{number} removed from the model"


def verdict(heat: HeatView) -> str:
    """What the analysis said of a heat, with the specification and its edition."""
    if heat.verdict not in _VERDICTS:
        return "composition not analysed"
    edition = f"edition {heat.edition}" if heat.edition not in heat.specification else ""
    by = ", ".join(filter(None, (heat.specification, edition)))
    limits = f"the limits of {by}" if by else "the limits of its alloy"
    return f"composition {_VERDICTS[heat.verdict]} {limits}"


def approved(said: ApprovalView) -> str:
    """What was approved, or refused."""
    return f"{'Approved' if said.approved else 'Approval refused'} {_OF[said.of]}"


def given(said: ApprovalView) -> str:
    """In which way an approval was given, when, and whether it still counts."""
    lapsed = "; it lapsed when a section was cast again" if said.lapsed else ""
    return f"{said.how}, {when(said.on)}{lapsed}"


def groups(digits: str, in_row: int = 4) -> list[str]:
    """Hexadecimal digits in capitals, in rows of groups of four."""
    return list(wording.grouped(digits.replace(" ", ""), in_row))


def times(count: int) -> str:
    """How often, in words."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def listed(words: Sequence[str]) -> str:
    """Words in a row: "marks, mass and colour"."""
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


FILTERS: dict[str, Callable[..., Any]] = {
    each.__name__: each
    for each in (
        own, when, span, stage, how, measured, measure, station, mark, proofs, part,
        generation, verdict, alloy, approved, given, groups, times, listed,
    )
}  # fmt: skip
FILTERS |= DRAWN
FILTERS |= {
    "number": show_number,
    "heading": wording.heading,
    "absent": wording.absent,
    "given_number": wording.given_number,
    "number_note": wording.number_note,
}
