"""The two sides of a comparison: as typed, from a CSV file, or from the book."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from editions.cli.asking import ask
from editions.cli.station_pairs import stations_in_file, typed_stations
from editions.errors import NotKnown, Unreadable
from editions.rules.aftercast import Measured, reference_kind
from editions.trade.statement import Station
from editions.trade.text import shown

if TYPE_CHECKING:
    from editions.cli.desk import Desk
    from editions.registry import Reading
    from editions.trade.pieces import Piece
    from editions.trade.runs import Run

_REMEDY = "Write tail=300mm:292.6mm, the reference's length first; or name a reference, --against."


class Side(NamedTuple):
    """One of the two, as the book holds it.

    ``model`` is the model it is, or was cast from; ``generation`` that of the molds it came from.
    """

    name: str
    kind: str
    work: str | None
    measured: Measured
    model: str | None = None
    generation: int | None = None


class Sides(NamedTuple):
    """What is compared with what; ``notes`` say what the book holds of both."""

    of: str
    against: str
    kind: str
    bronze: Measured
    reference: Measured
    notes: tuple[str, ...] = ()


def sides_of(
    desk: Desk, words: tuple[str, ...], against: str | None, kind: str | None, file: str | None
) -> Sides:
    """The two sides that a command line names.

    Raises:
        Unreadable: If words cannot be read, or no kind of reference is said.
        NotKnown: If the book holds no such thing, or nothing to compare with.
    """
    codes = [word for word in words if "=" not in word]
    if len(codes) > 1:
        raise Unreadable(f"{shown(codes[1])} is a second bronze.", "Compare one at a time.")
    mine, theirs = typed_stations([word for word in words if "=" in word])
    if file is not None:
        more = stations_in_file(file)
        mine, theirs = (*mine, *more[0]), (*theirs, *more[1])
    if not codes and against is None:
        return _by_hand(desk, mine, theirs, kind)
    with desk.reading() as reading:
        found = _of_book(reading, codes, against, kind, (mine, theirs))
    return found if found.kind else found._replace(kind=_asked(desk))


def _by_hand(
    desk: Desk, mine: tuple[Station, ...], theirs: tuple[Station, ...], kind: str | None
) -> Sides:
    if not mine or not theirs:
        raise Unreadable("There is nothing to compare with.", _REMEDY)
    named = reference_kind(kind if kind is not None else _asked(desk)).name
    bronze, reference = Measured(stations=mine), Measured(stations=theirs)
    return Sides("the bronze", f"the {named}", named, bronze, reference)


def _asked(desk: Desk) -> str:
    """The kind of reference, from the person at the terminal; nothing is likelier than the rest.

    Raises:
        Unreadable: If nobody can be asked.
    """
    if not desk.interactive:
        raise Unreadable(
            "What the reference is was not said, and the book does not tell.",
            "Say --kind documented-cast, --kind master-bronze or --kind model.",
        )
    question = "What is the reference: documented cast, master bronze or model"
    return ask(desk, None, question, read=lambda text: reference_kind(text).name)


def _of_book(
    reading: Reading,
    codes: list[str],
    against: str | None,
    kind: str | None,
    typed: tuple[tuple[Station, ...], tuple[Station, ...]],
) -> Sides:
    """Both sides, each from the book where it is named there, with what was typed added."""
    from editions.registry.acts.typed import piece_of

    bronze = _piece_side(reading, piece_of(reading, codes[0])) if codes else None
    reference = _side(reading, against) if against else None
    if bronze is None and not typed[0]:
        raise Unreadable("Nothing was measured on the bronze.", "Write tail=292.6mm, or its code.")
    if reference is None and not typed[1] and codes:
        reference = _likely(reading, codes[0])
    _refuse_strangers(bronze, reference)
    mine = _with(bronze, typed[0])
    theirs = _with(reference, typed[1])
    return Sides(
        bronze.name if bronze else "the bronze",
        reference.name if reference else "the reference",
        _kind(reference, kind),
        mine,
        theirs,
        _notes(bronze, reference),
    )


def _notes(bronze: Side | None, reference: Side | None) -> tuple[str, ...]:
    """What the book knows of the chains of both, where they are not the same."""
    if bronze is None or reference is None:
        return ()
    notes = []
    if None not in (bronze.model, reference.model) and bronze.model != reference.model:
        notes.append(
            f"By the book {bronze.name} comes from {bronze.model}, the reference from"
            f" {reference.model}: like is not compared with like."
        )
    mine, theirs = bronze.generation, reference.generation
    if mine is not None and theirs is not None and mine != theirs:
        notes.append(
            f"By the book {bronze.name} was cast from a mold of generation {mine}, the reference"
            f" from one of generation {theirs}: generation {mine - theirs} is expected."
        )
    return tuple(notes)


def _with(side: Side | None, typed: tuple[Station, ...]) -> Measured:
    """What the book holds of a side; a station typed as well counts as typed."""
    if side is None:
        return Measured(stations=typed)
    held = side.measured
    return Measured(stations=(*held.stations, *typed), mass=held.mass, marks=held.marks)


def _kind(reference: Side | None, said: str | None) -> str:
    """What the reference is: as the book has it, else as said; empty where neither tells."""
    held = reference.kind if reference else ""
    if said is None:
        return held
    named = reference_kind(said).name
    if reference is not None and held and reference_kind(held).name != named:
        raise Unreadable(
            f"{reference.name} is not a {named}: the book has it as a {held}.",
            "Leave out --kind, or name another reference.",
        )
    return named


def _side(reading: Reading, text: str) -> Side:
    from editions.registry.acts.typed import piece_of
    from editions.trade.works import Model

    code = reading.resolve(text)
    if code.startswith("D-"):
        model = reading.get(code, Model)
        return Side(
            f"{model.code}, {model.stage}",
            "master bronze" if model.stage == "master bronze" else "model",
            model.work,
            Measured(stations=model.stations),
            model.code,
        )
    return _piece_side(reading, piece_of(reading, code))


def _piece_side(reading: Reading, piece: Piece) -> Side:
    from editions.registry.acts.typed import label

    marks = tuple(mark.line.text for mark in piece.marks)
    run = _run(reading, piece)
    return Side(
        piece.code if label(piece) == piece.code else f"{piece.code} ({label(piece)})",
        # What was registered from the object has no history here: whoever knows must say.
        "" if piece.from_object else "documented cast",
        run.declared.work if run else piece.work,
        Measured(stations=piece.stations, mass=piece.mass, marks=marks),
        run.declared.model if run and not piece.from_object else None,
        _generation(reading, piece),
    )


def _run(reading: Reading, piece: Piece) -> Run | None:
    from editions.trade.runs import Run

    run = reading.state(piece.run) if piece.run else None
    return run if isinstance(run, Run) else None


def _generation(reading: Reading, piece: Piece) -> int | None:
    """The generation of the molds that a piece came from, the largest of its sections."""
    from editions.trade.molds import Mold

    molds = [reading.state(section.mold) for section in piece.sections if section.mold]
    return max((mold.generation for mold in molds if isinstance(mold, Mold)), default=None)


def _likely(reading: Reading, text: str) -> Side:
    """The first measured cast of the run that a piece is of, else the model it was cast from.

    Raises:
        NotKnown: If neither was measured, or the piece may be of several runs.
    """
    from editions.registry.acts.typed import piece_of
    from editions.trade.pieces import Piece
    from editions.trade.runs import Run

    piece = piece_of(reading, text)
    own = _run(reading, piece)
    of_work = reading.linked("work", piece.work) if piece.work and own is None else ()
    runs = [own] if own else [one for one in of_work if isinstance(one, Run)]
    # Runs of one work differ in scale, so that with several nobody can guess which is meant.
    if len(runs) == 1:
        others = [one for one in reading.linked("run", runs[0].code) if isinstance(one, Piece)]
        casts = [one for one in others if _is_reference(one, piece)]
        if casts:
            return _piece_side(reading, min(casts, key=lambda one: (one.cast_on or "", one.code)))
        model = runs[0].declared.model
        if model and _side(reading, model).measured.stations:
            return _side(reading, model)
    raise NotKnown(
        f"Nothing that {piece.code} can be compared with was measured.",
        "Name a reference, --against CODE; or measure the first cast: size PIECE tail=293.6mm.",
    )


def _is_reference(one: Piece, piece: Piece) -> bool:
    cast = one.poured and not one.from_object and not one.scrapped
    return cast and one.code != piece.code and len(one.stations) > 1


def _refuse_strangers(bronze: Side | None, reference: Side | None) -> None:
    if bronze is None or reference is None or None in (bronze.work, reference.work):
        return
    if bronze.work != reference.work:
        raise Unreadable(
            f"{bronze.name} is of {bronze.work}, {reference.name} of {reference.work}.",
            "Compare casts of one work.",
        )
    if bronze.name == reference.name:
        raise Unreadable(f"{bronze.name} is compared with itself.", "Name another reference.")
