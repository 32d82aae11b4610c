"""The words of how a piece was made, in a page's language; see :mod:`editions.pages.words`.

>>> from editions.pages.tongues import english
>>> generation(english(), 0), generation(english(), 2)
('generation 0', 'generation 2')
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from markupsafe import Markup, escape
from msgspec.structs import replace

from editions.errors import BronzebookError
from editions.pages import dating, spoken
from editions.pages.casting import ApprovalView, HeatView, Part, Stage
from editions.pages.retelling import retold
from editions.pages.tongues import Tongue
from editions.rules.alloys import load_alloy
from editions.trade.dates import certainly_before

_UNSTATED = ", edition not stated"


def span(tongue: Tongue, stage: Stage) -> str:
    """When a stage happened: a day, or from one to another."""
    if stage.how == "not recorded":
        return tongue.gettext("date not recorded")
    first, last = (dating.when(tongue, day) for day in (stage.first, stage.last))
    if stage.first != stage.last and certainly_before(stage.first, stage.last):
        return tongue.gettext("%(first)s to %(last)s", first=first, last=last)
    return first


def stage(tongue: Tongue, stage: Stage) -> Markup:
    """A stage in words: the step, its coats, and the section where it was not the whole."""
    step = spoken.said(tongue, stage.word)
    if stage.coats:
        step = tongue.ngettext(
            "%(step)s, %(count)s coat",
            "%(step)s, %(count)s coats",
            stage.coats,
            step=step,
            count=stage.coats,
        )
    if not stage.sections:
        return escape(step)
    return Markup("{} ({})").format(step, spoken.own(", ".join(stage.sections)))


def how(tongue: Tongue, stage: Stage) -> str:
    """How a step is known, where the foundry did not simply do it."""
    if stage.how == "elsewhere" and stage.whose:
        return tongue.gettext("done elsewhere, declared by %(whose)s", whose=stage.whose)
    if stage.how == "elsewhere":
        return tongue.gettext("done elsewhere")
    if stage.how == "not recorded":
        return tongue.gettext("done, not recorded at the time")
    return ""


def part(tongue: Tongue, part: Part) -> str:
    """Where a section came from: mold, pull, heat and day."""
    told = (
        _mold(tongue, part.mold),
        _pull(tongue, part),
        tongue.gettext("heat %(number)s", number=part.heat)
        if part.heat
        else tongue.gettext("heat not recorded"),
        tongue.gettext("poured %(day)s", day=dating.when(tongue, part.poured))
        if part.poured
        else "",
    )
    return ", ".join(filter(None, told))


def _mold(tongue: Tongue, mold: str | None) -> str:
    if mold:
        return tongue.gettext("mold %(code)s", code=mold)
    return tongue.gettext("mold not recorded")


def _pull(tongue: Tongue, part: Part) -> str:
    if part.pull is None:
        return ""
    if part.pulls:
        return tongue.gettext("pull %(pull)s of %(pulls)s", pull=part.pull, pulls=part.pulls)
    return tongue.gettext("pull %(pull)s", pull=part.pull)


def alloy(tongue: Tongue, name: str) -> str:
    """An alloy by its family and name; one that no data file knows stands as it is."""
    try:
        return f"{spoken.said(tongue, load_alloy(name).title.partition(',')[0])}, {name}"
    except BronzebookError:
        return name


def generation(tongue: Tongue, number: int) -> str:
    """The generation of a bronze from a mold: 0 from a model, more from a bronze."""
    return spoken.told(tongue, retold("generation", str(number)))


def alike(heats: Sequence[HeatView], tabled: Sequence[str]) -> list[tuple[HeatView, list[str]]]:
    """Heats of which the same is told, with their numbers; in the order of the first of each.

    Args:
        heats: The heats that a piece was poured from.
        tabled: The numbers of those whose figures stand in a table: of their findings only those
            are told that the table does not show as within.
    """
    told: dict[HeatView, list[str]] = {}
    for heat in heats:
        shown = heat.number in tabled
        same = replace(
            heat,
            number="",
            percentages=() if shown else heat.percentages,
            findings=tuple(one for one in heat.findings if not (shown and ": within" in one)),
        )
        told.setdefault(same, []).append(heat.number)
    return list(told.items())


def verdict(tongue: Tongue, heat: HeatView) -> str:
    """What the analysis said of a heat, with the specification and its edition."""
    limits = _limits(tongue, heat)
    if heat.verdict == "within":
        return tongue.gettext("composition consistent with %(limits)s", limits=limits)
    if heat.verdict == "outside":
        return tongue.gettext("composition outside %(limits)s", limits=limits)
    if heat.verdict == "indeterminate":
        return tongue.gettext("composition not decided against %(limits)s", limits=limits)
    return tongue.gettext("composition not analysed")


def _limits(tongue: Tongue, heat: HeatView) -> str:
    named = specification(tongue, heat.specification)
    if heat.edition and heat.edition not in heat.specification:
        edition = tongue.gettext("edition %(edition)s", edition=specification(tongue, heat.edition))
        named = ", ".join(filter(None, (named, edition)))
    if named:
        return tongue.gettext("the limits of %(specification)s", specification=named)
    return tongue.gettext("the limits of its alloy")


def specification(tongue: Tongue, name: str) -> str:
    """A specification by its name, or one whose edition nobody stated."""
    bare = name.removesuffix(_UNSTATED)
    if bare == name:
        return name
    return tongue.gettext("%(specification)s, edition not stated", specification=bare)


def approved(tongue: Tongue, said: ApprovalView) -> str:
    """What was approved, or refused."""
    approvals = {
        "metal": (tongue.gettext("Approved in metal"), tongue.gettext("Approval refused in metal")),
        "colour": (
            tongue.gettext("Approved in colour"),
            tongue.gettext("Approval refused in colour"),
        ),
        "release": (
            tongue.gettext("Approved for release"),
            tongue.gettext("Approval refused for release"),
        ),
    }
    return approvals[said.of][not said.approved]


def given(tongue: Tongue, said: ApprovalView) -> str:
    """In which way an approval was given, when, and whether it still counts."""
    told = f"{spoken.said(tongue, said.how)}, {dating.when(tongue, said.on)}"
    if said.lapsed:
        return tongue.gettext("%(given)s; it lapsed when a section was cast again", given=told)
    return told


MADE: dict[str, Callable[..., Any]] = {
    each.__name__: each
    for each in (span, stage, how, part, alloy, generation, verdict, specification, approved, given)
}
