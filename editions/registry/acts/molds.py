"""What people do with molds: make, send out and take back, inspect, repair, retire, destroy."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.registry.acts.phrases import CRITERIA, GRADES, read_pulls
from editions.registry.acts.typed import confided, found, fresh, listed, party, word
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.trade.molds import (
    Criterion,
    EarlierPulls,
    Mold,
    MoldDestroyed,
    MoldInspected,
    MoldMade,
    MoldRepaired,
    MoldRetired,
    MoldReturned,
    MoldSentOut,
)
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.text import clean, meant, shown
from editions.trade.works import Model


def make_mold(
    w: Writing,
    taken_from: str,
    sections: Iterable[str] = (),
    *,
    material: str,
    generation: int | None = None,
    maker: str | None = None,
    owner: str | None = None,
    place: str = "",
    earlier: Iterable[EarlierPulls | str] = (),
    code: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter a mold that was made, or that came to the foundry.

    Args:
        w: The writing.
        taken_from: Code of the model, or tag or code of the bronze, it was taken from.
        sections: Its sections by name; ``whole`` when absent.
        material: What it is made of: silicone, plaster, polyurethane.
        generation: That of a bronze cast from it; what follows from ``taken_from`` when absent.
        maker: Code of who made it.
        owner: Code of whose it is.
        place: Where it lies.
        earlier: Pulls made before this book knew it: ``head 12`` or ``head at least 12``.
        code: The registry's code; the next free one when absent.
        on: When it was made, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        NotKnown: If what it was taken from is not in the book.
        Unreadable: If earlier pulls cannot be read.
    """
    named = tuple(word(name, "section") for name in sections) or ("whole",)
    source = w.resolve(taken_from)
    facts = MoldMade(
        taken_from=source,
        generation=generation_from(w, source) if generation is None else generation,
        sections=named,
        material=word(material, "material"),
        maker=party(w, maker),
        owner=party(w, owner),
        place=clean(place),
        earlier=tuple(_pulls(pulls, named, "The mold") for pulls in earlier),
        note=confided(note),
    )
    return w.enter(facts, fresh(w, "M", code), on=on, row=row)


def generation_from(reading: Reading, source: str) -> int:
    """The generation of a bronze cast from a mold that is taken from this model or bronze.

    A bronze cast from a mold of a bronze is one generation later than that bronze, and smaller by
    one more shrinkage.
    """
    state = reading.state(source)
    if isinstance(state, Model):
        return _bronzes_above(reading, state)
    if not isinstance(state, Piece):
        raise NotKnown(
            f"{source} is neither a model nor a bronze.", "A mold is taken from a D- or a P- code."
        )
    codes = {section.mold for section in state.sections if section.mold}
    return 1 + max((reading.get(code, Mold).generation for code in codes), default=0)


def _bronzes_above(reading: Reading, model: Model) -> int:
    """How many master bronzes stand in a model's chain, itself included."""
    own = int(model.stage == "master bronze")
    if model.made_from is None:
        return own
    return own + _bronzes_above(reading, reading.get(model.made_from, Model))


def send_mold_out(
    w: Writing, mold: str, *, place: str = "", to: str | None = None, on: str | None = None
) -> Entered:
    """The mold leaves the shop; from now on its counts are "at least".  To whom is held."""
    facts = MoldSentOut(place=clean(place), to=confided(to))
    return w.enter(facts, found(w, mold, Mold).code, on=on)


def take_mold_back(
    w: Writing,
    mold: str,
    *,
    place: str = "",
    away: Iterable[EarlierPulls | str] = (),
    on: str | None = None,
) -> Entered:
    """The mold comes back, with the pulls made away where they were told: ``head 2``."""
    whole = found(w, mold, Mold)
    names = _names(whole)
    facts = MoldReturned(place=clean(place), away=tuple(_pulls(p, names, whole.code) for p in away))
    return w.enter(facts, whole.code, on=on)


def inspect_mold(
    w: Writing,
    mold: str,
    section: str | None,
    criteria: Iterable[Criterion],
    *,
    hand: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Enter an inspection of a section, with a grade for each criterion looked at.

    Args:
        w: The writing.
        mold: Code of the mold.
        section: Its section; may be None where it has only one.
        criteria: Tears, registration, detail, tackiness, each graded.
        hand: Code of who inspected.
        on: When, EDTF; today when absent.
        note: A held note.

    Raises:
        Unreadable: If nothing was graded.
    """
    whole, graded = found(w, mold, Mold), tuple(criteria)
    if not graded:
        raise Unreadable(
            "The inspection grades nothing.", f"Grade {listed(CRITERIA)}: {listed(GRADES)}."
        )
    facts = MoldInspected(
        section=mold_section(whole, section),
        criteria=graded,
        hand=party(w, hand),
        note=confided(note),
    )
    return w.enter(facts, whole.code, on=on)


def repair_mold(
    w: Writing,
    mold: str,
    section: str | None,
    what: str,
    *,
    hand: str | None = None,
    on: str | None = None,
) -> Entered:
    """Enter a repair of a section, and what was done."""
    whole = found(w, mold, Mold)
    facts = MoldRepaired(
        section=mold_section(whole, section), what=word(what, "repair"), hand=party(w, hand)
    )
    return w.enter(facts, whole.code, on=on)


def retire_mold(
    w: Writing,
    mold: str,
    *,
    section: str | None = None,
    reason: str | None = None,
    on: str | None = None,
) -> Entered:
    """A section, or the whole mold where none is named, gives no more waxes; the reason is held."""
    whole = found(w, mold, Mold)
    named = mold_section(whole, section) if section else None
    return w.enter(MoldRetired(section=named, reason=confided(reason)), whole.code, on=on)


def destroy_mold(
    w: Writing,
    mold: str,
    *,
    witness: str,
    evidence: str,
    evidence_digest: str | None = None,
    on: str | None = None,
) -> Entered:
    """The mold was destroyed.

    Args:
        w: The writing.
        mold: Code of the mold.
        witness: Code of who saw it.
        evidence: How it is proven, in a few words.
        evidence_digest: SHA-256 of the evidence's file, in hex.
        on: When, EDTF; today when absent.

    Raises:
        Refused: If it was destroyed already.
    """
    facts = MoldDestroyed(
        witness=found(w, witness, Party).code,
        evidence=word(evidence, "evidence"),
        evidence_digest=evidence_digest,
    )
    return w.enter(facts, found(w, mold, Mold).code, on=on)


def mold_section(mold: Mold, text: str | None) -> str:
    """The mold's own spelling of a section's name; its only section where none is named.

    Raises:
        NotKnown: If it has no such section; those it has are named.
        Unreadable: If none is named and it has several.
    """
    names = _names(mold)
    if text is None and len(names) == 1:
        return names[0]
    if text is None:
        raise Unreadable(f"Which section of {mold.code} is not said.", _theirs(names))
    return _spelled(text, names, mold.code)


def _names(mold: Mold) -> tuple[str, ...]:
    return tuple(section.name for section in mold.sections)


def _theirs(names: tuple[str, ...]) -> str:
    return f"Its sections: {listed(names)}."


def _spelled(text: str, names: tuple[str, ...], mold: str) -> str:
    wanted = clean(text).casefold()
    for name in names:
        if name.casefold() == wanted:
            return name
    remedy = f"{meant(wanted, names)} {_theirs(names)}".strip()
    raise NotKnown(f"{mold} has no section {shown(text)}.", remedy)


def _pulls(pulls: EarlierPulls | str, names: tuple[str, ...], mold: str) -> EarlierPulls:
    """Pulls as said; a count alone is that of the mold's only section."""
    if isinstance(pulls, str):
        text = pulls.strip()
        alone = len(names) == 1 and text.casefold().removeprefix("at least").strip().isdecimal()
        pulls = read_pulls(f"{names[0]} {text}" if alone else text)
    return replace(pulls, section=_spelled(pulls.section, names, mold))
