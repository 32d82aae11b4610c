"""Judge of recipes: versions follow one another; a layer of what may not meet is remarked on."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.solutions.substances import mentioned
from editions.rules.solutions.together import clashes
from editions.trade.colour import Recipe, RecipeWritten
from editions.trade.parties import Party


@judges(RecipeWritten)
def _written(draft: Draft, facts: RecipeWritten, desk: Desk) -> tuple[str, ...]:
    if facts.by:
        known(desk, facts.by, Party)
    recipe = known(desk, draft.subject, Recipe) if desk.state(draft.subject) else None
    latest = recipe.latest if recipe else 0
    if facts.version != latest + 1:
        raise Refused(
            f"The next version of {draft.subject} is {latest + 1}, not {facts.version}.",
            "Versions follow one another.",
        )
    if recipe:
        not_before(draft, recipe.versions[-1].on, f"version {latest} was written")
    remarks = tuple(
        f"Layer {number}: {clash}"
        for number, layer in enumerate(facts.layers or (), 1)
        for clash in clashes(mentioned(layer.solution))
    )
    if not facts.words:
        remarks += ("The recipe has no open words; a certificate can only say its name.",)
    return remarks
