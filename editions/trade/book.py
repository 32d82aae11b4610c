"""The book itself: its opening, corrections of entries, photographs filed with any subject."""

from __future__ import annotations

from typing import Annotated, Any

import msgspec
from msgspec.structs import replace

from editions.trade.kinds import (
    BOOK,
    HELD,
    Code,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    Photograph,
    State,
    Text,
    Word,
    folds,
    kind,
    subject,
)

FORMAT = "bronzebook/1"


@kind("book_opened", starts=True)
class BookOpened(Facts, frozen=True, kw_only=True):
    """Entry 0: the origin of the checkpoints, the public address, the keys, the foundry."""

    format: str
    origin: Word
    address: Word
    log_key: Word
    certifying_key: Word
    foundry: Code
    foundry_name: Word
    foundry_place: Text = ""


@kind("entry_corrected")
class EntryCorrected(Facts, frozen=True, kw_only=True):
    """Corrects fields of an earlier entry, named by its leaf; the earlier entry stays.

    ``changes`` carries open fields.  One held field may be corrected with it: its name is open and
    its new value is held, as the field itself is.
    """

    entry: Digest
    entry_kind: Word
    changes: dict[str, Any] = msgspec.field(default_factory=dict)
    held_field: str | None = None
    held_value: Annotated[Any, HELD] = None
    touches: tuple[str, ...] = ()
    reason: HeldText = None

    def touched(self) -> tuple[str | None, ...]:
        """The subjects that the corrected entry touched."""
        return self.touches


@kind("photograph_filed", correctable=("caption",))
class PhotographFiled(Facts, frozen=True, kw_only=True):
    """A photograph of any subject; the digest of its derivative is open, the original's held."""

    derivative: Digest
    caption: Text = ""
    original: Annotated[str | None, HELD] = None


@subject(BOOK)
class Book(State, frozen=True, kw_only=True):
    """What the book says of itself."""

    origin: str = ""
    address: str = ""
    log_key: str = ""
    certifying_key: str = ""
    foundry: str = ""
    foundry_name: str = ""
    foundry_place: str = ""

    def index(self) -> Index:
        """The book is found by its origin."""
        return Index(title=self.origin)


@folds(BookOpened, Book)
def _opened(_: Book | None, entry: Happened) -> Book:
    facts: BookOpened = entry.facts
    same = msgspec.structs.asdict(facts)
    del same["format"]
    return Book(code=BOOK, since=entry.on, **same)


@folds(EntryCorrected, State)
def _corrected(state: State, _: Happened) -> State:
    return replace(state, corrections=state.corrections + 1)


@folds(PhotographFiled, State)
def _photographed(state: State, entry: Happened) -> State:
    facts: PhotographFiled = entry.facts
    filed = Photograph(digest=facts.derivative, caption=facts.caption, on=entry.on)
    return replace(state, photographs=(*state.photographs, filed))
