"""Judges of works and of the chain of models."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, not_to_come, sound_stations
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.parties import an_artist
from editions.trade.works import Model, ModelEntered, ModelMeasured, Work, WorkEntered


@judges(WorkEntered)
def _work(draft: Draft, facts: WorkEntered, desk: Desk) -> tuple[str, ...]:
    an_artist(desk, facts.artist)
    if facts.year:
        not_to_come(draft, facts.year, "the work was made")
    return ()


@judges(ModelEntered)
def _model(_: Draft, facts: ModelEntered, desk: Desk) -> tuple[str, ...]:
    work = known(desk, facts.work, Work)
    if facts.made_from is None:
        if facts.stage == "original":
            return ()
        return (f"What this {facts.stage} was made from is not named.",)
    # A chain cannot close on itself: a model is made from one that is in the book already.
    source = known(desk, facts.made_from, Model)
    if source.work != work.code:
        raise Refused(
            f"{source.code} is a model of {source.work}, not of {work.code}.",
            "A chain of models belongs to one work.",
        )
    if facts.stage == "original":
        raise Refused(
            f"An original is not made from another model, but {source.code} is named.",
            "Choose the stage that it is: plaster, enlargement, scan, print.",
        )
    return ()


@judges(ModelMeasured)
def _measured(_: Draft, facts: ModelMeasured, __: Desk) -> tuple[str, ...]:
    distinct((f"{s.name} {s.base}".strip() for s in facts.stations), "station")
    sound_stations(facts.stations)
    return ()
