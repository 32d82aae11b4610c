"""Colour: recipes in versions, as ordered layers.  The layers are the patineur's; they are held."""

from __future__ import annotations

from typing import Annotated

from msgspec.structs import replace

from editions.trade.kinds import (
    HELD,
    Code,
    Count,
    Facts,
    Happened,
    Index,
    Line,
    State,
    Text,
    Word,
    folds,
    kind,
    subject,
)


class Layer(Line, frozen=True, kw_only=True):
    """One layer of a recipe: the solution, its strength as said, how it is laid on, the heat."""

    solution: Text
    strength: Text = ""
    method: Text = ""
    heat: Text = ""


@kind("recipe_written", correctable=("words",))
class RecipeWritten(Facts, frozen=True, kw_only=True):
    """A version of a recipe; its words are open, its layers held."""

    name: Word
    version: Count
    words: Text = ""
    by: Code | None = None
    layers: Annotated[tuple[Layer, ...] | None, HELD] = None


class RecipeVersion(Line, frozen=True, kw_only=True):
    """What is open of one version: its number, its words, when it was written down."""

    version: int
    words: str
    on: str


@subject("C")
class Recipe(State, frozen=True, kw_only=True):
    """What the book holds openly of a recipe."""

    name: str = ""
    versions: tuple[RecipeVersion, ...] = ()

    def index(self) -> Index:
        """Found by its name."""
        return Index(title=self.name, words=(self.name,))

    @property
    def latest(self) -> int:
        """The number of the latest version, 0 where none was written."""
        return max((version.version for version in self.versions), default=0)

    def words(self, number: int) -> str:
        """The colour in words as that version gives it."""
        return next((v.words for v in self.versions if v.version == number), "")


@folds(RecipeWritten, Recipe)
def _written(recipe: Recipe | None, entry: Happened) -> Recipe:
    facts: RecipeWritten = entry.facts
    recipe = recipe or Recipe(code=entry.subject, since=entry.on)
    version = RecipeVersion(version=facts.version, words=facts.words, on=entry.on)
    return replace(recipe, name=facts.name, versions=(*recipe.versions, version))
