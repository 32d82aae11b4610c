"""``bronzebook heat judge``: an analysis against an alloy's limits, and against its charge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from editions.cli import explaining, options, output
from editions.cli.crucible import telling
from editions.cli.crucible.floor import alloy_option, loss_options, losses_of, read_text
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.rules.alloys import Alloy
    from editions.rules.alloys.judge import Judgement
    from editions.rules.charge.learned import Compared
    from editions.rules.charge.melt import Part


class Sample(NamedTuple):
    """One analysis to judge, its alloy where the book names it, and its charge where known."""

    name: str
    figures: dict[str, str]
    alloy: str | None = None
    edition: str | None = None
    parts: tuple[Part, ...] | None = None
    losses: tuple[str, ...] = ()


@click.command("judge")
@click.argument("words", nargs=-1, type=options.TextType(200), metavar="[HEAT|ELEMENT=FIGURE]...")
@alloy_option
@click.option("--file", metavar="FILE.csv", help="Samples of a laboratory, one or many.")
@click.option("--decimal-comma", is_flag=True, help="The file writes 94,60.")
@loss_options
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    words: tuple[str, ...],
    alloy: str | None,
    edition: str | None,
    file: str | None,
    decimal_comma: bool,
    lost: tuple[str, ...],
    published_losses: bool,
    explain: bool,
    as_json: bool,
) -> None:
    """Judge an analysis: Cu=94.44 Si=4.26 Pb<0.005, a HEAT of the book, or a file.

    Within, outside (which limit, by how much), or indeterminate (which element was not reported).
    Of a heat whose charge the book knows, what was expected stands beside what was found.
    """
    told: list[dict[str, Any]] = []
    for sample in _samples(desk, words, file, decimal_comma):
        limits = _limits(desk, sample, alloy, edition)
        judged = _judged(limits, sample, edition)
        beside = _beside(desk, sample, lost, published_losses)
        if as_json:
            told.append(_value(sample, limits, judged, beside))
        else:
            _tell(sample, limits, judged, beside, explain, first=not told)
            told.append({})
        _tell_editions(limits, sample, judged)
    if as_json:
        output.print_json(told)


def _samples(
    desk: Desk, words: Sequence[str], file: str | None, decimal_comma: bool
) -> list[Sample]:
    from editions.errors import Unreadable
    from editions.rules.alloys.reports import read_figures, read_sheet

    if file is not None:
        if words:
            raise Unreadable("A file and figures were given.", "Judge one of them at a time.")
        reports = read_sheet(read_text(file), decimal_comma=decimal_comma)
        return [Sample(one.name, one.figures) for one in reports]
    if len(words) == 1 and not any(sign in words[0] for sign in "=<:"):
        with desk.reading() as reading:
            return [_of_heat(reading, words[0])]
    return [Sample("", read_figures(" ".join(words)))]


def _of_heat(reading: Reading, text: str) -> Sample:
    from editions.cli.crucible.book import parts_of
    from editions.errors import NotKnown
    from editions.registry.acts.typed import heat_of

    heat = heat_of(reading, text)
    if not heat.percentages:
        raise NotKnown(f"Heat {heat.number} was not analysed.", "Enter it: heat analyse.")
    parts = parts_of(reading, heat)
    edition = heat.edition or None
    return Sample(heat.number, heat.percentages, heat.alloy, edition, parts, heat.losses)


def _limits(desk: Desk, sample: Sample, alloy: str | None, edition: str | None) -> Alloy:
    from editions.cli.asking import ask
    from editions.cli.crucible.book import alloy_meant
    from editions.cli.measures import LIKELY_ALLOY

    name = alloy or sample.alloy
    name = ask(desk, name, "Which alloy", likely=LIKELY_ALLOY, option="--alloy")
    return alloy_meant(desk, name, edition or (None if alloy else sample.edition))


def _judged(limits: Alloy, sample: Sample, edition: str | None) -> Judgement:
    from editions.rules.alloys.judge import judge

    if edition is None and sample.edition in {one.name for one in limits.editions}:
        edition = sample.edition
    return judge(limits, sample.figures, edition)


def _beside(
    desk: Desk, sample: Sample, lost: Sequence[str], published: bool
) -> tuple[Compared, ...]:
    from editions.rules.charge.learned import compared
    from editions.rules.charge.melt import expected

    if sample.parts is None:
        return ()
    melt = expected(sample.parts, losses_of(desk, lost or sample.losses, published))
    return compared(melt, sample.figures)


def _value(
    sample: Sample, limits: Alloy, judged: Judgement, beside: Sequence[Compared]
) -> dict[str, Any]:
    import msgspec

    return {
        "sample": sample.name,
        "alloy": limits.name,
        **explaining.json_of(judged),
        "compared": msgspec.to_builtins(tuple(beside)),
    }


def _tell(
    sample: Sample,
    limits: Alloy,
    judged: Judgement,
    beside: Sequence[Compared],
    explain: bool,
    *,
    first: bool,
) -> None:
    if sample.name:
        output.heading(sample.name, ", ".join(filter(None, (limits.name, limits.title))))
    telling.findings(judged, first=first)
    if beside:
        rows = [
            (x.element, x.expected, f"{x.low} to {x.high}", x.analysed, x.difference, x.says)
            for x in beside
        ]
        columns = ("element", "expected", "range", "analysed", "difference", "finding")
        output.block("against the charge", rows, columns)
    click.echo()
    output.record([("alloy", limits.name), ("verdict", telling.verdict(judged))])
    explaining.explained(judged, explain)


def _tell_editions(limits: Alloy, sample: Sample, judged: Judgement) -> None:
    """Say so where another edition of the limits decides otherwise."""
    from editions.rules.alloys.judge import judge

    for edition in limits.editions:
        if edition.name != judged.edition:
            other = judge(limits, sample.figures, edition.name)
            if other.verdict != judged.verdict:
                output.remarked(f"By {edition.name} it is {other.verdict}.")
