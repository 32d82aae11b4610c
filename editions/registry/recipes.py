"""The layers of a recipe, which are the patineur's and lie among the held facts."""

from __future__ import annotations

import msgspec

from editions.errors import NotKnown
from editions.registry.reading import Reading
from editions.trade.colour import Layer, Recipe, RecipeWritten


def layers_of(reading: Reading, code: str, version: int | None = None) -> tuple[Layer, ...]:
    """Return the layers of a recipe's version, the latest where none is named.

    Raises:
        NotKnown: If there is no such recipe or version, or its layers are not held here.
    """
    recipe = reading.get(code.strip().upper(), Recipe)
    wanted = version or recipe.latest
    for stored, happened in reading.history(recipe.code):
        facts = happened.facts
        if isinstance(facts, RecipeWritten) and facts.version == wanted:
            held = reading.held_values_of(stored.position).get("layers")
            if not held:
                raise NotKnown(
                    f"No layers of {recipe.code}, version {wanted}, are held here.",
                    "Write them down in its next version: bronzebook recipe write --recipe"
                    f" {recipe.code} --layer …",
                )
            return tuple(msgspec.convert(held, list[Layer]))
    raise NotKnown(f"{recipe.code} has no version {wanted}.", f"The latest is {recipe.latest}.")
