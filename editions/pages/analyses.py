"""The analyses of a piece's heats beside the limits they were judged by, figure by figure.

Only heats whose figures are published are here; heats of one alloy and edition share a table.  A
figure stands as the laboratory wrote it.
"""

from __future__ import annotations

from collections.abc import Sequence

from editions.errors import BronzebookError
from editions.pages.casting import Analysis, Figure, HeatView
from editions.rules.alloys import Alloy, Edition, Limit, load_alloy
from editions.rules.alloys.judge import read_edition


def analyses(heats: Sequence[HeatView]) -> tuple[Analysis, ...]:
    """The published analyses, a table an alloy and edition; none where its limits are not held."""
    tables: dict[tuple[str, str], list[HeatView]] = {}
    for heat in heats:
        if heat.percentages:
            tables.setdefault((heat.alloy, heat.edition), []).append(heat)
    made = (_analysis(*known, own) for known, own in tables.items())
    return tuple(one for one in made if one)


def _analysis(name: str, edition: str, heats: Sequence[HeatView]) -> Analysis | None:
    try:
        alloy = load_alloy(name)
        used = read_edition(alloy, edition or None)
    except BronzebookError:
        return None
    found = [dict(heat.percentages) for heat in heats]
    return Analysis(
        alloy=alloy.name,
        edition=used.name,
        heats=tuple(heat.number for heat in heats),
        figures=tuple(_figures(alloy, used, found)),
    )


def _figures(alloy: Alloy, edition: Edition, found: Sequence[dict[str, str]]) -> list[Figure]:
    """Every limited element in the order of the limits, then what was found beside them."""
    limits = alloy.limits_in(edition)
    named = {limit.element for limit in limits}
    others = dict.fromkeys(name for heat in found for name in heat if name not in named)
    return [
        *(_figure(limit.element, limit, found) for limit in limits),
        *(_figure(name, None, found) for name in others),
    ]


def _figure(name: str, limit: Limit | None, found: Sequence[dict[str, str]]) -> Figure:
    return Figure(
        element=name,
        limit=limit.text if limit else "",
        low=float(limit.low) if limit and limit.low else None,
        high=float(limit.high) if limit and limit.high else None,
        found=tuple(heat.get(name, "") for heat in found),
    )
