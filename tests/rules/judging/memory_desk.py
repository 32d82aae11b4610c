"""A book in memory: real entries, judged and folded as the registry does, no store under it."""

from __future__ import annotations

import datetime
from typing import TypeVar

import pytest

from editions.errors import BronzebookError, Refused
from editions.rules.judging import Draft, judge
from editions.trade.held import HeldErased
from editions.trade.kinds import (
    Facts,
    Happened,
    State,
    facts_from,
    fold,
    open_part,
    touched_codes,
)
from editions.trade.strikes import EntryStruck, names

TODAY = datetime.date(2026, 6, 1)
DAY = "2026-03-02"

StateT = TypeVar("StateT", bound=State)


class MemoryDesk:
    """The judges' desk over states that were folded from judged entries."""

    def __init__(self) -> None:
        self.states: dict[str, State] = {}
        self.entries = 0
        self.gone: set[tuple[str, str]] = set()
        self.book: list[Happened] = []
        self.struck: set[str] = set()

    def state(self, code: str) -> State | None:
        return self.states.get(code)

    def named(self, name: str) -> str | None:
        found = [code for code, state in self.states.items() if name in state.index().names]
        assert len(found) < 2, f"{name} names {found}; the store would refuse it"
        return found[0] if found else None

    def linked(self, role: str, target: str) -> tuple[State, ...]:
        return tuple(
            state
            for _, state in sorted(self.states.items())
            if (role, target) in state.index().links
        )

    def bearer(self, run: str, number: str) -> str | None:
        found = [
            code for code, state in self.states.items() if (run, number) in state.index().numbers
        ]
        assert len(found) < 2, f"{number} of {run} is held by {found}; the store would refuse it"
        return found[0] if found else None

    def erased(self, leaf: str, field: str) -> bool:
        return (leaf, field) in self.gone

    def told(self, code: str) -> tuple[Happened, ...]:
        return tuple(
            one
            for one in self.book
            if code in touched_codes(one.subject, one.facts) and one.leaf not in self.struck
        )

    def naming(self, code: str) -> tuple[Happened, ...]:
        return tuple(one for one in self.book if names(one, code) and one.leaf not in self.struck)

    def spent(self, code: str) -> bool:
        struck = [one for one in self.book if isinstance(one.facts, EntryStruck)]
        return code not in self.states and any(code in one.facts.touches for one in struck)

    def enter(
        self, subject: str, facts: Facts, on: str = DAY, *, late: bool = False
    ) -> tuple[str, ...]:
        """Judge an entry and fold it into all it touches; the remarks of its judges."""
        remarks = judge(self.draft(subject, facts, on, late=late), self)
        self.write(subject, facts, on)
        return remarks

    def write(self, subject: str, facts: Facts, on: str = DAY) -> None:
        """Fold an entry that nobody judged, as a replay does."""
        self.entries += 1
        seen = facts_from(facts.kind, open_part(facts))
        happened = Happened(
            leaf=f"{self.entries:064x}",
            at=f"{TODAY}T08:00:00Z",
            on=on,
            by="Y-0001",
            subject=subject,
            facts=seen,
        )
        if isinstance(facts, HeldErased):
            self.gone.update(facts.erases())
        self.book.append(happened)
        if isinstance(facts, EntryStruck):
            self.struck.add(facts.entry)
        for code in touched_codes(subject, facts):
            self._fold(code, happened)
        for state in self.states.values():
            for run, number in state.index().numbers:
                self.bearer(run, number)

    def _fold(self, code: str, happened: Happened) -> None:
        """One more entry; after a strike the subject again from its first."""
        again = isinstance(happened.facts, EntryStruck)
        state = None if again else self.states.pop(code, None)
        for one in self.told(code) if again else (happened,):
            state = fold(state, code, one)
        self.states.pop(code, None)
        if state is not None:
            self.states[code] = state

    def draft(self, subject: str, facts: Facts, on: str = DAY, *, late: bool = False) -> Draft:
        return Draft(facts=facts, subject=subject, on=on, by="Y-0001", recorded=TODAY, late=late)

    def refuses(
        self,
        subject: str,
        facts: Facts,
        says: str,
        on: str = DAY,
        *,
        error: type[BronzebookError] = Refused,
        late: bool = False,
    ) -> BronzebookError:
        """Assert that the entry is refused, in these words, and return the error."""
        with pytest.raises(error, match=says) as caught:
            judge(self.draft(subject, facts, on, late=late), self)
        assert caught.value.message.endswith((".", "?")), caught.value.message
        assert caught.value.remedy.endswith((".", "?")), caught.value.remedy
        return caught.value

    def get(self, code: str, wanted: type[StateT]) -> StateT:
        state = self.states[code]
        assert isinstance(state, wanted)
        return state
