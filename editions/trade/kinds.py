"""What a kind of entry is, and how the state of a subject is folded from entries.

A *kind* declares the facts of one sort of entry: which are open, which are held, which may later be
corrected, and which subjects the entry touches.  A *subject* is whatever carries a code: a party, a
mold, a piece, a certificate.  The state of a subject is the fold of the entries that touch it, in
the order of the book::

    state = None
    for happened in entries_touching("M-0007"):
        state = fold(state, "M-0007", happened)

A fold sees the open facts of the entry and the subject's own state, and nothing else: no other
subject, no held fact, no clock.  So any subject can be folded again alone, after a correction or
for a look at how it stood, and replaying a book can never judge differently from recording it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, TypeVar, get_type_hints

import msgspec

from editions.errors import Contradiction, Unreadable

HELD = msgspec.Meta(extra={"held": True})

Code = Annotated[str, msgspec.Meta(pattern=r"^[A-Z]-[0-9A-Z][0-9A-Z-]{0,18}$")]
Digest = Annotated[str, msgspec.Meta(pattern=r"^[0-9a-f]{64}$")]
Text = Annotated[str, msgspec.Meta(max_length=2000)]
KeyText = Annotated[str, msgspec.Meta(pattern=r"^[^\s+]{1,255}\+[0-9a-f]{8}\+[A-Za-z0-9+/]{44}$")]
Word = Annotated[str, msgspec.Meta(min_length=1, max_length=120)]
Count = Annotated[int, msgspec.Meta(ge=0, le=100_000)]
# How many entries a book holds: as many as a checkpoint can say.
BookSize = Annotated[int, msgspec.Meta(ge=0, le=2**53 - 1)]
When = Annotated[str, msgspec.Meta(min_length=4, max_length=40)]
HeldText = Annotated[str | None, HELD]

BOOK = "BOOK"


class Facts(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Root of the facts of every kind; a subclass is declared with :func:`kind`."""

    kind: ClassVar[str]
    held: ClassVar[tuple[str, ...]]
    correctable: ClassVar[frozenset[str]]
    starts: ClassVar[bool]

    def touched(self) -> tuple[str | None, ...]:
        """Codes of the subjects this entry changes besides its own subject."""
        return ()


class Line(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Root of the smaller values that facts and states are made of."""


class Happened(Line, frozen=True, kw_only=True):
    """What a fold may know of an entry: its leaf, dates, hand, subject and open facts."""

    leaf: str
    at: str
    on: str
    by: str
    subject: str
    facts: Any


class Index(Line, frozen=True, kw_only=True):
    """How a subject is found and what it belongs to."""

    title: str = ""
    words: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    links: tuple[tuple[str, str], ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    open: bool = False


class Photograph(Line, frozen=True, kw_only=True):
    """A photograph as published: the digest of its derivative and what it shows."""

    digest: Digest
    caption: str = ""
    on: str = ""


class State(msgspec.Struct, frozen=True, kw_only=True):
    """Root of the folded state of a subject."""

    code: str
    since: str = ""
    corrections: int = 0
    photographs: tuple[Photograph, ...] = ()

    def index(self) -> Index:
        """How this subject is found; overridden by each subject."""
        return Index()


FactsT = TypeVar("FactsT", bound=Facts)
StateT = TypeVar("StateT", bound=State)
Fold = Callable[[Any, Happened], State | None]

KINDS: dict[str, type[Facts]] = {}
STATES: dict[str, type[State]] = {}
_FOLDS: dict[tuple[type[Facts], type[State]], Fold] = {}


def kind(
    name: str, *, correctable: Iterable[str] = (), starts: bool = False
) -> Callable[[type[FactsT]], type[FactsT]]:
    """Declare a kind of entry; ``starts`` means that it begins the life of its subject."""

    def declare(facts: type[FactsT]) -> type[FactsT]:
        hints = get_type_hints(facts, include_extras=True)
        facts.kind = name
        facts.held = tuple(f for f in facts.__struct_fields__ if _is_held(hints[f]))
        facts.correctable = frozenset(correctable)
        facts.starts = starts
        KINDS[name] = facts
        return facts

    return declare


def subject(letter: str) -> Callable[[type[StateT]], type[StateT]]:
    """Declare the state of the subjects whose codes begin with ``letter``."""

    def declare(state: type[StateT]) -> type[StateT]:
        STATES[letter] = state
        return state

    return declare


def folds(facts: type[Facts], state: type[State]) -> Callable[[Fold], Fold]:
    """Declare how entries with these facts change a subject of this state."""

    def declare(function: Fold) -> Fold:
        _FOLDS[facts, state] = function
        return function

    return declare


def state_type(code: str) -> type[State]:
    """The state type of a code: by its letter, the book itself, or a certificate's number.

    Raises:
        Contradiction: If no subject has codes of that letter.
    """
    if code == BOOK:
        return STATES[BOOK]
    letter = code[0] if code[1:2] == "-" else "certificate"
    if letter not in STATES:
        raise Contradiction(f"{code} names no kind of subject.")
    return STATES[letter]


def can_touch(facts: type[Facts], code: str) -> bool:
    """Whether entries with these facts may touch a subject of this code."""
    return _fold_for(facts, state_type(code)) is not None


def touched_codes(entry_subject: str, facts: Facts) -> tuple[str, ...]:
    """Every code an entry touches: its own subject first, each once, in a fixed order."""
    codes = (entry_subject, *(code for code in facts.touched() if code))
    return tuple(dict.fromkeys(codes))


def fold(state: State | None, code: str, happened: Happened) -> State | None:
    """The state of ``code`` after one more entry; None while nothing begins it.

    Raises:
        Contradiction: If no fold is declared for this kind and this subject.
    """
    function = _fold_for(type(happened.facts), state_type(code))
    if function is None:
        raise Contradiction(f"An entry of kind {happened.facts.kind} cannot touch {code}.")
    return function(state, happened)


def _fold_for(facts: type[Facts], state: type[State]) -> Fold | None:
    return _FOLDS.get((facts, state)) or _FOLDS.get((facts, State))


def facts_from(name: str, open_facts: Mapping[str, Any]) -> Facts:
    """Facts of a kind from the open part of an entry; held fields stay ``None``.

    Raises:
        Unreadable: If the kind is unknown or a field is unknown, missing or of another type.
    """
    declared = KINDS.get(name)
    if declared is None:
        raise Unreadable(f"No kind of entry is called {name!r}.", "Is this book newer than we are?")
    try:
        return msgspec.convert(dict(open_facts), declared)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"The facts of a {name} entry cannot be read: {fault}.") from None


def open_part(facts: Facts) -> dict[str, Any]:
    """The open fields as plain values, defaults left out; the inverse of :func:`facts_from`."""
    plain: dict[str, Any] = msgspec.to_builtins(facts)
    return {key: value for key, value in plain.items() if key not in facts.held}


def texts_in(plain: Any) -> Iterator[str]:
    """Every text in plain values, however deep; the names of fields are none."""
    if isinstance(plain, str):
        yield plain
    elif isinstance(plain, dict):
        for value in plain.values():
            yield from texts_in(value)
    elif isinstance(plain, (list, tuple)):
        for value in plain:
            yield from texts_in(value)


def held_part(facts: Facts) -> dict[str, Any]:
    """Every held field of the kind as plain values, ``None`` where nothing was said."""
    return {name: msgspec.to_builtins(getattr(facts, name)) for name in facts.held}


def corrected(facts: FactsT, changes: Mapping[str, Any]) -> FactsT:
    """The facts with open fields replaced by a correction."""
    plain = {**open_part(facts), **changes}
    return msgspec.convert(plain, type(facts))


def said(kind_name: str) -> str:
    """A kind's name as words: ``wax_pulled`` is "wax pulled"."""
    return kind_name.replace("_", " ")


def _is_held(hint: Any) -> bool:
    metas = getattr(hint, "__metadata__", ())
    return any((getattr(meta, "extra", None) or {}).get("held") for meta in metas)
