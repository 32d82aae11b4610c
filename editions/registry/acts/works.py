"""What people do with works and models: enter them, take reference measurements."""

from __future__ import annotations

from collections.abc import Iterable
from typing import get_args

from editions.errors import Unreadable
from editions.registry.acts.typed import confided, found, fresh, one_of, party, word
from editions.registry.writing import Entered, Writing
from editions.trade.dates import read_when
from editions.trade.parties import Party
from editions.trade.statement import Station
from editions.trade.text import clean
from editions.trade.works import Model, ModelEntered, ModelMeasured, Stage, Work, WorkEntered

STAGES: tuple[Stage, ...] = get_args(Stage)


def enter_work(
    w: Writing,
    artist: str,
    title: str,
    *,
    other_titles: Iterable[str] = (),
    year: str | None = None,
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter a work of an artist.

    Args:
        w: The writing.
        artist: Code of the artist.
        title: The title it goes by.
        other_titles: Titles in other languages, earlier titles.
        year: When the work was made, EDTF.
        code: The registry's code; the next free one when absent.
        on: When it was entered as happened, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        NotKnown: If there is no such artist.
    """
    facts = WorkEntered(
        artist=found(w, artist, Party).code,
        title=word(title, "title"),
        other_titles=tuple(word(other, "title") for other in other_titles),
        year=read_when(year) if year else None,
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "K", code), on=on, row=row)


def enter_model(
    w: Writing,
    work: str,
    stage: str,
    *,
    made_from: str | None = None,
    material: str | None = None,
    scale: str | None = None,
    maker: str | None = None,
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter a model in the chain that ends in bronze.

    Args:
        w: The writing.
        work: Code of the work.
        stage: ``original``, ``plaster``, ``enlargement``, ``reduction``, ``scan``, ``print`` or
            ``master bronze``.
        made_from: Code of the model it was made from.
        material: What it is made of.
        scale: Its scale against the original, in a few words: ``2:1``.
        maker: Code of who made it.
        code: The registry's code; the next free one when absent.
        on: When, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        NotKnown: If the work, the earlier model or the maker is not in the book.
        Refused: If the chain would join two works.
    """
    facts = ModelEntered(
        work=found(w, work, Work).code,
        stage=one_of(stage, STAGES, "stage"),
        made_from=found(w, made_from, Model).code if made_from else None,
        material=word(material, "material") if material else None,
        scale=word(scale, "scale") if scale else None,
        maker=party(w, maker),
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "D", code), on=on, row=row)


def measure_model(
    w: Writing,
    model: str,
    stations: Iterable[Station],
    *,
    method: str = "",
    hand: str | None = None,
    on: str | None = None,
) -> Entered:
    """Enter the reference measurements of a model at named stations.

    Args:
        w: The writing.
        model: Code of the model.
        stations: Named lengths, as :func:`editions.trade.stations.read_station` reads them.
        method: How it was measured: callipers, tape, scan.
        hand: Code of who measured.
        on: When, EDTF; today when absent.

    Raises:
        Unreadable: If nothing was measured.
    """
    measured = tuple(stations)
    if not measured:
        raise Unreadable("Nothing was measured.", "Give a station, such as height=450mm.")
    facts = ModelMeasured(stations=measured, method=clean(method), hand=party(w, hand))
    return w.enter(facts, found(w, model, Model).code, on=on)
