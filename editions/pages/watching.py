"""A reading that notes what is looked up, so that each page tells what it draws on.

What a page reads while it is made is what it draws on; nothing has to be declared, so nothing can
be forgotten.  Each look-up leaves a mark, a text:

===================  =============================================================================
``R-0001``           the state or the history of a subject
``run R-0001``       which subjects are linked to another, in a role
``=R-0001 3/8``      who bears a number of a run
``@26-101``          whose a shop tag or a heat number is
``*``                whatever changes with any entry: a list of everything, the newest checkpoint
``!R-0001``          something that could not be read: such a page is made anew every time
``file …``           a file beside the book
===================  =============================================================================

An entry touches subjects; :mod:`editions.store.growth` gives the marks that these change.  What the
book can never say otherwise (an entry by its leaf, the proof of it) leaves no mark.

A page's proof also tells how large the book has grown.  That leaves no mark either: a page is of
the day that it names, and whoever asks for more is told by the status note and the checkpoint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import TypeVar

from editions.errors import Contradiction
from editions.ledger.prooffile import ProofFile
from editions.registry import Reading
from editions.store.effective import Stored, corrections_in, effective, is_correction
from editions.store.growth import bearers, entries_of, linked_codes
from editions.trade.kinds import Happened, State

StateT = TypeVar("StateT", bound=State)

ANYTHING = "*"
BROKEN = "!"
FILE = "file "

# So many subjects' entries are kept at hand; pages of one run come one after the other.
_HISTORIES = 2000
_MARKED = "marked"


class Watched(Reading):
    """Look-ups in the book; ``seen`` has their marks since the innermost watch began."""

    def __init__(self, reading: Reading) -> None:
        super().__init__(reading.connection)
        self.seen: dict[str, None] = {}
        self._histories: dict[str, list[Stored]] = {}
        self._leaves: dict[str, Stored] = {}
        self._named: dict[str, str | None] = {}
        self._bearers: dict[str, dict[str, str]] = {}
        self._marked: dict[str, list[str]] = {}

    def fetch(self, codes: Iterable[str]) -> None:
        """Read what many pages will ask of these subjects: their states, and their entries."""
        wanted = [code for code in dict.fromkeys(codes) if code not in self._histories]
        for code, stored in entries_of(self.connection, wanted).items():
            self._keep(code, stored)
        self.fetch_states(wanted)

    def fetch_states(self, codes: Iterable[str]) -> None:
        """Read the states of many subjects that pages will ask for."""
        # One that cannot be read is looked up again by whoever asks for it, and told there.
        with suppress(Contradiction):
            self._shelf.load(codes)

    def fetch_marks(self, runs: Iterable[str], marked: Iterable[str]) -> None:
        """Read what many pages will ask of these runs' numbers, and of marks, ``RUN NUMBER``."""
        self._bearers = bearers(self.connection, list(dict.fromkeys(runs)))
        self._marked = linked_codes(self.connection, _MARKED, list(dict.fromkeys(marked)))

    def _keep(self, code: str, stored: list[Stored]) -> None:
        self._histories[code] = stored
        self._leaves.update((one.leaf.hex(), one) for one in stored)
        while len(self._histories) > _HISTORIES:
            for one in self._histories.pop(next(iter(self._histories))):
                self._leaves.pop(one.leaf.hex(), None)

    @contextmanager
    def watching(self) -> Iterator[dict[str, None]]:
        """Note apart what is looked up meanwhile; afterwards it counts as seen outside too."""
        outer, self.seen = self.seen, {}
        try:
            yield self.seen
        finally:
            outer.update(self.seen)
            self.seen = outer

    def saw(self, marks: Iterable[str]) -> None:
        """Note these marks."""
        self.seen.update(dict.fromkeys(marks))

    def saw_files(self, *paths: Path) -> None:
        """Note that files beside the book were looked at, whether they are there or not."""
        self.saw(f"{FILE}{path}" for path in paths)

    def state(self, code: str) -> State | None:
        """The folded state of a subject, or None."""
        self.seen[code] = None
        return super().state(code)

    def get(self, code: str, kind: type[StateT]) -> StateT:
        """The state of a subject of this kind; see :meth:`Reading.get`."""
        self.seen[code] = None
        return super().get(code, kind)

    def named(self, name: str) -> str | None:
        """The code that a shop tag or heat number belongs to."""
        self.seen[f"@{name}"] = None
        if name not in self._named:
            self._named[name] = super().named(name)
        return self._named[name]

    def linked(self, role: str, target: str) -> tuple[State, ...]:
        """The subjects that are linked to ``target`` in a role, ordered by code."""
        self.seen[f"{role} {target}"] = None
        if role == _MARKED and target in self._marked:
            states = map(self._shelf.state, self._marked[target])
            found = tuple(state for state in states if state is not None)
        else:
            found = super().linked(role, target)
        self.saw(state.code for state in found)
        return found

    def bearer(self, run: str, number: str) -> str | None:
        """The code that bears a number of a run now."""
        self.seen[f"={run} {number}"] = None
        if run in self._bearers:
            return self._bearers[run].get(number)
        return super().bearer(run, number)

    def history(self, code: str) -> list[tuple[Stored, Happened]]:
        """The effective entries that touch a subject, in the order of the book."""
        stored = self.stored_of(code)
        return list(effective(stored, corrections_in(one.raw for one in stored)))

    def stored_of(self, code: str) -> list[Stored]:
        """The entries that touch a subject as they lie in the book, no correction applied."""
        self.seen[code] = None
        if code not in self._histories:
            self._keep(code, super().stored_of(code))
        return self._histories[code]

    def by_leaf(self, leaf: str) -> Stored:
        """The entry with this leaf."""
        return self._leaves.get(leaf) or super().by_leaf(leaf)

    def corrected_after(self, codes: Sequence[str], position: int) -> set[str]:
        """Those of these subjects that a correction after a position touches."""
        return {
            code for code in codes if any(map(partial(_corrects, position), self.stored_of(code)))
        }

    @property
    def size(self) -> int:
        """How many entries the book holds."""
        self.seen[ANYTHING] = None
        return super().size

    def checkpoint(self) -> str:
        """The newest checkpoint's note."""
        self.seen[ANYTHING] = None
        return super().checkpoint()

    def all_of(self, kind: type[StateT], *, only_open: bool = False) -> tuple[StateT, ...]:
        """Every subject of a kind, ordered by code."""
        self.seen[ANYTHING] = None
        return super().all_of(kind, only_open=only_open)

    def search(self, *words: str) -> list[tuple[str, str, str]]:
        """Code, letter and title of subjects whose words contain all of these."""
        self.seen[ANYTHING] = None
        return super().search(*words)

    def known(self, letter: str | None = None) -> list[str]:
        """Every code, of one letter where named, and every shop tag and heat number."""
        self.seen[ANYTHING] = None
        return super().known(letter)

    def resolve(self, text: str) -> str:
        """The registry code that a text means; see :meth:`Reading.resolve`."""
        self.seen[ANYTHING] = None
        return super().resolve(text)

    def proof(self, leaf: str, at_least: int | None = None) -> ProofFile:
        """The proof that an entry is in the book; to the checkpoint of issue it never changes."""
        if at_least is not None:
            self.seen[ANYTHING] = None
        return super().proof(leaf, at_least)

    def erased(self, leaf: str, field: str) -> bool:
        """Whether the held field of the entry with this leaf was erased."""
        self.seen[ANYTHING] = None
        return super().erased(leaf, field)


def _corrects(position: int, stored: Stored) -> bool:
    return stored.position > position and is_correction(stored.raw)
