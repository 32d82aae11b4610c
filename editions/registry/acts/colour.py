"""Colour: recipes written down in versions, and what was laid on a piece."""

from __future__ import annotations

from collections.abc import Iterable

from editions.errors import Unreadable
from editions.registry.acts.typed import confided, found, fresh, party, piece_of, word
from editions.registry.writing import Entered, Writing
from editions.trade.casting import ColourApplied
from editions.trade.colour import Layer, Recipe, RecipeWritten
from editions.trade.text import clean, shown

_PLACES = ("solution", "strength", "method", "heat")


def write_recipe(
    w: Writing,
    name: str | None = None,
    *,
    words: str = "",
    layers: Iterable[Layer] = (),
    recipe: str | None = None,
    by: str | None = None,
    code: str | None = None,
    on: str | None = None,
) -> Entered:
    """Write down a recipe, or the next version of one that is there.

    Args:
        w: The writing.
        name: Its name; the one it has when absent.
        words: The colour in open words.
        layers: The layers in order, which are held.
        recipe: The code of the recipe that this is a version of.
        by: Code of the patineur whose recipe it is.
        code: The code of a new recipe; the next free one when absent.
        on: When, EDTF; today when absent.

    Raises:
        Unreadable: If a new recipe has no name.
    """
    old = found(w, recipe, Recipe) if recipe else None
    if old is None and not name:
        raise Unreadable("A new recipe needs a name.", "Name it by its colour.")
    facts = RecipeWritten(
        name=word(name or (old.name if old else ""), "recipe's name"),
        version=old.latest + 1 if old else 1,
        words=clean(words),
        by=party(w, by),
        layers=tuple(layers) or None,
    )
    if old:
        return w.enter(facts, old.code, on=on)
    return w.enter(facts, fresh(w, "C", code), on=on)


def apply_colour(
    w: Writing,
    piece: str,
    *,
    recipe: str | None = None,
    version: int | None = None,
    words: str = "",
    differs: str | None = None,
    hand: str | None = None,
    on: str | None = None,
) -> Entered:
    """Enter the colour that a piece was given.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        recipe: The code of the recipe followed.
        version: Its version; the latest when absent.
        words: The colour in open words; the recipe's own when absent.
        differs: How it differed from the recipe, held.
        hand: Code of the patineur.
        on: When, EDTF; today when absent.

    Raises:
        Unreadable: If neither a recipe nor words were given.
    """
    followed = found(w, recipe, Recipe) if recipe else None
    used = version or (followed.latest if followed else None)
    said = clean(words) or (followed.words(used or 0) if followed else "")
    if not said and not followed:
        raise Unreadable("No colour was given.", "Name a recipe, or say the colour in words.")
    facts = ColourApplied(
        recipe=followed.code if followed else None,
        version=used,
        words=said,
        hand=party(w, hand),
        differs=confided(differs),
    )
    return w.enter(facts, piece_of(w, piece).code, on=on)


def read_layer(text: str) -> Layer:
    """Read a layer: ``ferric nitrate; 5 % by weight; stippled; 300 °F``, the later parts optional.

    Raises:
        Unreadable: If there is no solution, or more than four parts.
    """
    parts = [clean(part) for part in text.split(";")]
    if not parts[0] or len(parts) > len(_PLACES):
        raise Unreadable(
            f"{shown(text)} is not a layer.",
            "Write solution; strength; method; heat, the last three where they are known.",
        )
    return Layer(**dict(zip(_PLACES, parts, strict=False)))


def layer_text(layer: Layer) -> str:
    """Return the layer as it is written; the inverse of :func:`read_layer`."""
    written = "; ".join(getattr(layer, place) for place in _PLACES)
    return written.rstrip("; ")
