"""``bronzebook mold outlook``: can this mold finish this run, and when is a new one to be made?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk, today
from editions.cli.words import CountType

if TYPE_CHECKING:
    from editions.rules.mold_life.age import Age
    from editions.rules.mold_life.outlook import Outlook, SectionBook, SectionOutlook
    from editions.trade.quantities import Quantity

_INDICATORS = ("tears", "registration", "detail", "tackiness")
_READINGS = "PULL:LENGTH …"


@click.command("outlook")
@click.argument("mold", required=False, type=options.CodeType("M"))
@click.option("--run", type=options.CodeType("R"), help="Which run.  [default: the only open one]")
@click.option("--wanted", type=CountType(0, 10_000), help="Sound waxes of each section wanted.")
@click.option("--threshold", "thresholds", multiple=True, help="When it is done: tears=5mm.")
@click.option("--lead", type=CountType(0, 200), default=5, help="Pulls in hand for a new mold.")
@click.option("--pulls", type=CountType(0, 10_000), help="Without MOLD: pulls so far.")
@click.option("--tears", metavar=_READINGS, help='Without MOLD: "0:0 5:0.5 10:1.2", in mm.')
@click.option("--registration", metavar=_READINGS, help="Without MOLD: the gap, likewise.")
@click.option("--detail", metavar=_READINGS, help="Without MOLD: likewise, with a --threshold.")
@click.option("--tackiness", metavar=_READINGS, help="Without MOLD: likewise.")
@click.option("--sound", type=CountType(0, 10_000), default=0, help="Without MOLD: sound waxes.")
@click.option("--rejected", type=CountType(0, 10_000), default=0, help="Without MOLD: rejected.")
@click.option("--cure", help="tin or platinum.  [default: as the mold's material says]")
@click.option("--made", type=options.WhenType(), help="When.  [default: as the book says]")
@click.option("--plot", type=click.Path(dir_okay=False), help="Write the plot as SVG.")
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    mold: str | None,
    plot: str | None,
    explain: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Can MOLD finish the run? Its wear, rejects and age; or of figures, without a registry."""
    found = _of_book(desk, mold, said) if mold else _of_figures(said)
    written = _plots(found, plot) if plot else []
    if as_json:
        output.print_json(explaining.json_of(found))
    else:
        _tell(found)
        explaining.explained(found, explain)
    for path in written:
        output.say(f"Plot written: {path}")


def _of_book(desk: Desk, code: str, said: dict[str, Any]) -> Outlook:
    from editions.registry.outlook import run_for, sections_of
    from editions.trade.molds import Mold

    _refuse_both(said)
    with desk.reading() as reading:
        mold = reading.get(code, Mold)
        run = run_for(reading, mold, said["run"])
        sections = sections_of(reading, mold, run, _thresholds(said))
    age = _age(said, mold.material, mold.since)
    return _looked(sections, age, said, mold=mold.code, run=run.code if run else "")


def _refuse_both(said: dict[str, Any]) -> None:
    """A figure beside a mold of the book would be passed over in silence."""
    from editions.errors import Unreadable

    typed = [name for name in (*_INDICATORS, "pulls", "sound", "rejected") if said[name]]
    if typed:
        raise Unreadable(
            f"--{typed[0]} is given, but the book counts that of a mold.",
            "Leave it out, or leave out the mold.",
        )


def _of_figures(said: dict[str, Any]) -> Outlook:
    from editions.errors import Unreadable
    from editions.rules.mold_life.outlook import Indicator, SectionBook
    from editions.rules.mold_life.readings import read_readings

    read = {name: read_readings(said[name]) for name in _INDICATORS if said[name]}
    pulls = said["pulls"]
    if pulls is None:
        pulls = max((int(pull) for one in read.values() for pull, _ in one.points), default=None)
    if pulls is None or said["run"]:
        raise Unreadable(
            "A mold is not named, and no figures stand in for it.",
            'Name it, or give --pulls 20 --tears "0:0 10:1.2 20:2.3".',
        )
    limits = _thresholds(said)
    indicators = tuple(
        Indicator(name=name, unit=one.unit, readings=one.points, threshold=limits.get(name))
        for name, one in read.items()
    )
    book = SectionBook(
        name="mold",
        pulls=pulls,
        indicators=indicators,
        sound=said["sound"],
        rejected=said["rejected"],
    )
    return _looked((book,), _age(said, "", ""), said)


def _looked(
    sections: tuple[SectionBook, ...], age: Age, said: dict[str, Any], **of: str
) -> Outlook:
    import msgspec

    from editions.rules.mold_life.outlook import outlook

    if said["wanted"] is not None:
        sections = tuple(
            msgspec.structs.replace(section, wanted=said["wanted"]) for section in sections
        )
    return outlook(sections, age, today=today(), lead=said["lead"], **of)


def _age(said: dict[str, Any], material: str, made: str) -> Age:
    from editions.rules.mold_life.age import gate, read_cure

    cure = read_cure(said["cure"]) if said["cure"] else material
    return gate(cure, said["made"] or made, today())


def _thresholds(said: dict[str, Any]) -> dict[str, Quantity]:
    from editions.rules.mold_life.readings import read_threshold

    return dict(read_threshold(text) for text in said["thresholds"])


def _tell(found: Outlook) -> None:
    """Print the answer, then a line a section, then what is to be said besides."""
    answer = "" if found.answer == "not asked" else found.answer
    chance = "" if found.chance is None else f", chance {_percent(found.chance)}"
    output.record(
        [
            ("mold", found.mold),
            ("run", found.run),
            ("can it finish", f"{answer}{chance}" if answer else _NOT_ASKED),
            ("age", found.age.says),
        ]
    )
    output.block("sections", [_row(one) for one in found.sections], _COLUMNS)
    for section in found.sections:
        for remark in section.remarks:
            output.remarked(f"{section.name}: {remark}")
    for remark in found.remarks:
        output.remarked(remark)


_NOT_ASKED = "not asked: name a run with --run, or how many waxes with --wanted"
_COLUMNS = (
    "section", "pulls", "retire at", "by", "left", "fails at most", "rejected", "wanted",
    "takes about", "chance", "plan a new one",
)  # fmt: skip


def _row(one: SectionOutlook) -> tuple[object, ...]:
    plan = ""
    if one.plan_at is not None:
        plan = f"at pull {one.plan_at}" if one.plan_at > one.pulls else "now"
    return (
        one.name,
        f"at least {one.pulls}" if one.at_least else one.pulls,
        one.retire_at,
        one.limited_by,
        one.left,
        None if one.failing_at_most is None else f"{_percent(one.failing_at_most)} a pull",
        f"{one.rejected} of {one.judged}" if one.judged else "",
        one.wanted,
        None if one.pulls_expected is None else f"{one.pulls_expected} pulls",
        None if one.chance is None else _percent(one.chance),
        f"{plan}, about {one.plan_by}" if one.plan_by else plan,
    )


def _percent(share: Any) -> str:
    percent = float(share) * 100
    if 0 < percent < 0.1 or 99.9 < percent < 100:
        return "under 0.1 %" if percent < 1 else "over 99.9 %"
    return f"{percent:.1f} %"


def _plots(found: Outlook, path: str) -> list[Path]:
    """Write a plot for each indicator: one to the path itself, several beside it by name."""
    from editions.errors import Refused

    worn = [(section, wear) for section in found.sections for wear in section.wears]
    if not worn:
        raise Refused("There is nothing to plot.", "Three readings of an indicator are the fewest.")
    target = Path(path)
    written = []
    for section, wear in worn:
        name = f"{target.stem}-{section.name}-{wear.indicator}".replace(" ", "-").replace("/", "-")
        place = target if len(worn) == 1 else target.with_name(f"{name}{target.suffix}")
        place.write_text(_drawn(found.mold, section, wear), encoding="utf-8")
        written.append(place)
    return written


def _drawn(mold: str, section: SectionOutlook, wear: Any) -> str:
    from editions.charts.mold import WearLine, mold_plot
    from editions.rules.mold_life.wear import fit

    readings = [(float(pull), float(value)) for pull, value in wear.readings]
    line = fit(readings)
    return mold_plot(
        WearLine(
            title=f"{mold} {section.name}".strip(),
            indicator=wear.indicator,
            unit=wear.unit,
            threshold=float(wear.threshold),
            readings=readings,
            line=line.at,
            bound=line.bound,
            pulls=section.pulls,
            retire_at=wear.retire_at,
        )
    )
