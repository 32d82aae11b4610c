"""What people do with pieces: start one, take waxes, measure, note defects, scrap, release."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from editions.errors import Refused, Unreadable
from editions.registry.acts.typed import (
    confided,
    found,
    fresh,
    label,
    party,
    piece_and_section,
    piece_of,
    run_of,
    section_of,
    sections_of,
    word,
)
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.defects import read_defect
from editions.trade.casting import (
    DefectFound,
    EarlierCastRegistered,
    Ending,
    PieceMeasured,
    PieceReleased,
    PieceScrapped,
    PieceStarted,
    Purpose,
    SectionScrapped,
    SectionTaken,
)
from editions.trade.codes import read_tag
from editions.trade.dates import read_when
from editions.trade.molds import Mold
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.text import clean
from editions.trade.waxes import Wax
from editions.trade.works import Work

WHOLE = "whole"


def start_piece(
    w: Writing,
    run: str,
    *,
    tag: str | None = None,
    sections: Iterable[str] = (),
    purpose: Purpose = "run",
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Start a piece of a run.

    Args:
        w: The writing.
        run: The run's code.
        tag: The shop tag that hangs on it.
        sections: The sections it is cast in; when absent, those that the model's molds have, else
            ``whole``.
        purpose: ``trial`` for a trial proof, which counts in no run.
        code: The registry's code; the next free one when absent.
        on: When, EDTF; today when absent.
        note: A held note.

    Raises:
        Unreadable: If no section was named and the model's molds do not agree on them.
    """
    named = tuple(word(name, "section") for name in sections)
    facts = PieceStarted(
        run=run_of(w, run).code,
        tag=read_tag(tag) if tag else None,
        sections=named or _sections_of_molds(w, run),
        purpose=purpose,
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "P", code), on=on)


def likely_sections(reading: Reading, run: str) -> tuple[str, ...]:
    """The sections of the molds that stand of a run's model, in their order."""
    model = run_of(reading, run).declared.model
    molds = reading.linked("taken from", model) if model else ()
    standing = (mold for mold in molds if isinstance(mold, Mold) and not mold.destroyed)
    return tuple(dict.fromkeys(section.name for mold in standing for section in mold.sections))


def _sections_of_molds(reading: Reading, run: str) -> tuple[str, ...]:
    known = likely_sections(reading, run) or (WHOLE,)
    if WHOLE in known and len(known) > 1:
        parts = ",".join(name for name in known if name != WHOLE)
        raise Unreadable(
            f"The molds of {run_of(reading, run).declared.model} give it whole, and in parts:"
            f" {parts}.",
            f"Say which is meant: --sections {WHOLE}, or --sections {parts}.",
        )
    return known


def take_wax(
    w: Writing,
    piece: str,
    wax: str,
    *,
    section: str | None = None,
    as_another: bool = False,
    on: str | None = None,
) -> Entered:
    """Make a wax a section of a piece; its mold, pull and number come with it.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        wax: The wax's code.
        section: Which section; the one that the wax is of, or the only one that lacks a wax, when
            absent.
        as_another: It is meant so, though the wax is of another section of the piece.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If the wax is of another section of the piece, and it is not said to be meant so.
        Unreadable: If no section was named and the wax does not tell which.
    """
    whole, taken = piece_of(w, piece), w.get(w.resolve(wax), Wax)
    named = section_of(whole, section) or _section_for(w, whole, taken)
    if not as_another:
        _of_this_section(whole, named, taken)
    facts = SectionTaken(
        section=named,
        wax=taken.code,
        mold=taken.mold,
        pull=taken.pull,
        number=taken.number,
    )
    return w.enter(facts, whole.code, on=on)


def measure_piece(
    w: Writing,
    piece: str,
    stations: Iterable[Station] = (),
    *,
    mass: Quantity | None = None,
    hand: str | None = None,
    on: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter lengths at named stations, the mass, or both.

    Raises:
        Unreadable: If nothing was measured.
    """
    measured = tuple(stations)
    if not measured and mass is None:
        raise Unreadable("Nothing was measured.", "Give a station, height=450mm, or the mass.")
    facts = PieceMeasured(stations=measured, mass=mass, hand=party(w, hand))
    return w.enter(facts, piece_of(w, piece).code, on=on, row=row)


def note_defect(
    w: Writing,
    piece: str,
    defect: str,
    *,
    section: str | None = None,
    hand: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Note a casting defect: a class, a name, or both (``B pinhole``).

    Raises:
        Unreadable: If no class or name is read, or the name is of another class.
    """
    found = read_defect(defect)
    whole, own = piece_and_section(w, piece)
    facts = DefectFound(
        defect_class=found.letter,
        name=found.name,
        section=own or section_of(whole, section),
        hand=party(w, hand),
        note=confided(note),
    )
    return w.enter(facts, whole.code, on=on)


def scrap_piece(
    w: Writing,
    piece: str,
    *,
    evidence: str,
    section: str | None = None,
    witness: str | None = None,
    digest: str | None = None,
    on: str | None = None,
    reason: str | None = None,
) -> Entered:
    """Scrap a piece, or one section of it that will be cast again.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        evidence: How the destruction is proven, in words.
        section: The section alone; the whole piece when absent.
        witness: The code of who saw it.
        digest: SHA-256 of the evidence's file, in hex.
        on: When, EDTF; today when absent.
        reason: Why, held.
    """
    whole = piece_of(w, piece)
    ending = Ending(evidence=word(evidence, "evidence"), witness=party(w, witness), digest=digest)
    name = section_of(whole, section)
    if name is None:
        return w.enter(PieceScrapped(ending=ending, reason=confided(reason)), whole.code, on=on)
    scrapped = SectionScrapped(section=name, ending=ending, reason=confided(reason))
    return w.enter(scrapped, whole.code, on=on)


def release_piece(
    w: Writing,
    piece: str,
    *,
    state: Literal["finished", "raw metal"] = "finished",
    to: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Release a piece from the foundry, finished or in raw metal; to whom is held."""
    facts = PieceReleased(state=state, to=confided(to), note=confided(note))
    return w.enter(facts, piece_of(w, piece).code, on=on)


def register_cast(
    w: Writing,
    work: str,
    *,
    run: str | None = None,
    tag: str | None = None,
    cast: str | None = None,
    alloy: str | None = None,
    foundry: str = "",
    seen_by: str | None = None,
    colour: str = "",
    owner: str | None = None,
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Register a cast made before this book, from the object itself; what is unknown stays so.

    ``cast`` is a date, EDTF, and ``on`` the day the object was examined, by ``seen_by``.  Alloy,
    foundry and colour are open words; owner and note are held.  ``row`` is the row of the writing's
    source, where the cast was taken from an older record.

    Raises:
        NotKnown: If the work, the run or the examiner is not in the book.
        Unreadable: If a date or a text cannot be read.
    """
    facts = EarlierCastRegistered(
        work=found(w, work, Work).code,
        run=run_of(w, run).code if run else None,
        tag=read_tag(tag) if tag else None,
        cast=read_when(cast) if cast else None,
        alloy=word(alloy, "alloy") if alloy else None,
        foundry=clean(foundry),
        seen_by=party(w, seen_by),
        colour=clean(colour),
        owner=confided(owner),
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "P", code), on=on, row=row)


def _of_this_section(piece: Piece, section: str, wax: Wax) -> None:
    """Refuse a wax of another section of the piece, which its paper would print as this one's."""
    own = next((s.name for s in piece.sections if s.name.casefold() == wax.section.casefold()), "")
    if own not in ("", section):
        raise Refused(
            f"{wax.code} is a wax of {wax.section}, and {label(piece)} has that section too.",
            f"Take it as {own}; if it was made over into {section}: --as-another.",
        )


def _section_for(reading: Reading, piece: Piece, wax: Wax) -> str:
    """The section a wax goes to, where nobody said: its own, or the only one still open."""
    own = [s.name for s in piece.sections if s.name.casefold() == wax.section.casefold()]
    lacking = [section.name for section in piece.sections if section.wax is None]
    # A wax from a mold of several sections is no whole bronze, though one section lacks a wax.
    mold = reading.state(wax.mold) if wax.mold else None
    part = isinstance(mold, Mold) and len(mold.sections) > 1
    if len(own or lacking) != 1 or (part and not own):
        raise Unreadable(
            f"{wax.code} is a wax of {wax.section}, and {label(piece)} has no such section.",
            sections_of(piece),
        )
    return (own or lacking)[0]
