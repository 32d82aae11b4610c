"""Works, and the chain of models a bronze descends from: original, plaster, enlargement, scan."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
    Facts,
    Happened,
    HeldText,
    Index,
    State,
    Text,
    When,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.statement import Station

Stage = Literal["original", "plaster", "enlargement", "reduction", "scan", "print", "master bronze"]


@kind("work_entered", starts=True, correctable=("title", "other_titles", "year", "note"))
class WorkEntered(Facts, frozen=True, kw_only=True):
    """A work of an artist, under its title."""

    artist: Code
    title: Word
    other_titles: tuple[Word, ...] = ()
    year: When | None = None
    note: HeldText = None


@kind("model_entered", starts=True, correctable=("material", "scale", "note"))
class ModelEntered(Facts, frozen=True, kw_only=True):
    """A model in the chain: what it is, what it was made from, at which scale."""

    work: Code
    stage: Stage
    made_from: Code | None = None
    material: Word | None = None
    scale: Word | None = None
    maker: Code | None = None
    note: HeldText = None


@kind("model_measured", correctable=("stations", "method", "hand"))
class ModelMeasured(Facts, frozen=True, kw_only=True):
    """Reference measurements of a model at named stations."""

    stations: tuple[Station, ...]
    method: Text = ""
    hand: Code | None = None


@subject("K")
class Work(State, frozen=True, kw_only=True):
    """What the book holds of a work."""

    artist: str = ""
    title: str = ""
    other_titles: tuple[str, ...] = ()
    year: str | None = None

    def index(self) -> Index:
        """Found by its titles, linked to its artist."""
        return Index(
            title=self.title,
            words=(self.title, *self.other_titles),
            links=(("artist", self.artist),),
        )


@subject("D")
class Model(State, frozen=True, kw_only=True):
    """What the book holds of a model."""

    work: str = ""
    stage: Stage = "original"
    made_from: str | None = None
    material: str | None = None
    scale: str | None = None
    stations: tuple[Station, ...] = ()

    def index(self) -> Index:
        """Linked to its work and to the model it was made from."""
        links = [("work", self.work)]
        if self.made_from:
            links.append(("made from", self.made_from))
        return Index(title=" ".join(filter(None, (self.stage, self.scale))), links=tuple(links))


@folds(WorkEntered, Work)
def _work(_: Work | None, entry: Happened) -> Work:
    facts: WorkEntered = entry.facts
    return Work(
        code=entry.subject,
        since=entry.on,
        artist=facts.artist,
        title=facts.title,
        other_titles=facts.other_titles,
        year=facts.year,
    )


@folds(ModelEntered, Model)
def _model(_: Model | None, entry: Happened) -> Model:
    facts: ModelEntered = entry.facts
    return Model(
        code=entry.subject,
        since=entry.on,
        work=facts.work,
        stage=facts.stage,
        made_from=facts.made_from,
        material=facts.material,
        scale=facts.scale,
    )


@folds(ModelMeasured, Model)
def _measured(model: Model, entry: Happened) -> Model:
    return replace(model, stations=(*model.stations, *entry.facts.stations))
