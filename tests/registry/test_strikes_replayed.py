"""A book in which slips are struck replays to the tables it has; the audit finds a false strike."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import NamedTuple

import pytest

from certificates.issue import issue
from editions.errors import BronzebookError
from editions.registry import Registry, Writing
from editions.registry.acts.numbers import give_number
from editions.registry.acts.parties import enter_party
from editions.registry.acts.pieces import start_piece, take_wax
from editions.registry.acts.runs import declare_run, offer_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.strikes import strike_entry
from editions.registry.acts.waxes import allot_wax, judge_wax, number_wax, pull_wax
from editions.registry.auditing import audit
from editions.registry.strikes import strikes_of, whole_history
from editions.store import queries
from editions.store.connection import writing as owning
from editions.store.replay import rebuild
from editions.store.tables import PROJECTIONS
from editions.trade.kinds import touched_codes
from editions.trade.strikes import EntryStruck
from editions.trade.waxes import Wax
from tests.registry import builders
from tests.registry.builders import a_piece, a_run, a_wax, state
from tests.registry.figures import Figure, a_figure
from tests.store.books import tamper

WHY = "written on the wrong line"


class Walk(NamedTuple):
    """Where a walk is: its writing, what it casts, and the chance that leads it."""

    w: Writing
    figure: Figure
    random: Random

    def some(self, letter: str) -> str:
        """A code of a letter that was given at some time, whatever became of it."""
        last = int(self.w.next_code(letter)[2:]) - 1
        return f"{letter}-{self.random.randint(1, max(1, last)):04d}"


Act = Callable[[Walk], object]

ACTS: tuple[Act, ...] = (
    lambda at: pull_wax(
        at.w, at.figure.mold, at.random.choice(("head", "torso")), run=at.figure.run
    ),
    lambda at: start_piece(
        at.w, at.figure.run, tag=f"T-{at.random.randint(1, 4)}", sections=("head", "torso")
    ),
    lambda at: take_wax(at.w, at.some("P"), at.some("W")),
    lambda at: judge_wax(at.w, at.some("W"), accepted=at.random.random() < 0.5, reason="air"),
    lambda at: number_wax(at.w, at.some("W"), f"{at.random.randint(1, 3)}/8", run=at.figure.run),
    lambda at: allot_wax(at.w, at.some("W"), at.figure.run),
    lambda at: give_number(at.w, at.some("P"), f"{at.random.randint(1, 3)}/8"),
    lambda at: record_step(at.w, at.random.choice(("shelled", "dewaxed", "fired")), [at.some("P")]),
    lambda at: offer_run(at.w, at.some("R")),
    lambda at: declare_run(
        at.w, at.figure.work, size=8, model=at.figure.model, locks_on="first offer"
    ),
    lambda at: enter_party(at.w, "artist", name=f"Ilse {at.random.randint(1, 9)}"),
    lambda at: strike_entry(at.w, f"entry {at.random.randint(1, at.w.size - 1)}", reason=WHY),
    lambda at: strike_entry(at.w, f"entry {at.w.size - at.random.randint(1, 4)}", reason=WHY),
    lambda at: strike_entry(at.w, f"entry {at.w.size - 1}", reason=WHY),
)


def walked(registry: Registry, seed: int) -> int:
    """Random work of three days, in as many writings; how many entries were struck."""
    figure, random = a_figure(registry), Random(seed)
    struck = 0
    for _ in range(3):
        with registry.writing() as w:
            pull_wax(w, figure.mold, "head", run=figure.run)
            for _ in range(30):
                try:
                    random.choice(ACTS)(Walk(w, figure, random))
                except BronzebookError:
                    continue  # refused; nothing of it is entered
            struck += sum(one.kind == "entry_struck" for one in w.entered)
    return struck


def rows(registry: Registry) -> dict[str, list[tuple[object, ...]]]:
    with registry.reading() as r:
        return {
            table.name: sorted(map(tuple, r.connection.execute(table.select())), key=repr)
            for table in PROJECTIONS
        }


@pytest.mark.parametrize("seed", range(3))
def test_a_book_with_slips_struck_replays_to_the_tables_it_has(
    registry: Registry, seed: int
) -> None:
    assert walked(registry, seed) > 3
    assert audit(registry).faults == ()
    before = rows(registry)
    with owning(registry.engine) as owner:
        rebuild(owner)
    assert rows(registry) == before


def test_slip_and_strike_in_one_writing_leave_no_row_behind(registry: Registry) -> None:
    run = a_run(registry)
    before = rows(registry)
    with registry.writing() as w:
        made = start_piece(w, run, tag="T-0101", sections=("whole",))
        strike_entry(w, made.leaf, reason=WHY)
    after = rows(registry)
    for name in ("subjects", "names", "links", "numbers"):
        assert after[name] == before[name]
    assert after["counters"] != before["counters"]
    assert {row[0] for row in after["touches"]} - {row[0] for row in before["touches"]} == {
        made.code
    }


def test_a_writing_given_up_leaves_the_entry_unstruck(book: Registry) -> None:
    wax = a_wax(book)
    with book.writing() as w:
        judged = judge_wax(w, wax, accepted=False, reason="air")
    with book.writing(rehearse=True) as w:
        strike_entry(w, judged.leaf, reason=WHY)
        assert w.get(wax, Wax).fate == "in stock"
    assert state(book, wax).fate == "rejected"
    assert audit(book).faults == ()


def test_what_is_struck_is_in_no_history_but_the_whole_one(book: Registry) -> None:
    wax = a_wax(book)
    with book.writing() as w:
        judged = judge_wax(w, wax, accepted=False, reason="air")
        struck = strike_entry(w, judged.leaf, reason=WHY)
    with book.reading() as r:
        kinds = [one.facts.kind for _, one in r.history(wax)]
        assert kinds == ["wax_pulled", "entry_struck"]
        stored = r.stored_of(wax)
        assert [one.facts.kind for _, one in whole_history(stored)] == [
            "wax_pulled",
            "wax_judged",
            "entry_struck",
        ]
        (strike,) = strikes_of(stored)
        assert (strike.entry, strike.leaf, strike.position) == (
            judged.leaf,
            struck.leaf,
            struck.position,
        )
        assert WHY.encode() not in r.entry(struck.leaf)


def test_a_strike_that_no_judge_saw_is_a_fault_of_the_book(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Writing, "judge", lambda *_, **__: ())
    wax = a_wax(book)
    with book.writing() as w:
        judged = judge_wax(w, wax, accepted=True)
        right = EntryStruck(entry=judged.leaf, entry_kind="wax_judged", touches=(wax,), reason=WHY)
        w.enter(right, wax)
        w.enter(right, wax)
    assert audit(book).faults == (
        f"entry {judged.position + 2}: it strikes entry {judged.position}, which is struck already",
    )


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"entry": "0" * 64}, "an entry that is not in the book"),
        ({"entry_kind": "wax_allotted"}, "and says that this is another entry than it is"),
        ({"touches": ("W-0001", "Y-0001")}, "and says that this is another entry than it is"),
    ],
)
def test_a_strike_of_what_is_not_so_is_a_fault_of_the_book(
    book: Registry, monkeypatch: pytest.MonkeyPatch, change: dict[str, object], says: str
) -> None:
    wax = a_wax(book)
    with book.writing() as w:
        judged = judge_wax(w, wax, accepted=True)
    monkeypatch.setattr(Writing, "judge", lambda *_, **__: ())
    said = {"entry": judged.leaf, "entry_kind": "wax_judged", "touches": (wax,), **change}
    with book.writing() as w:
        w.enter(EntryStruck(reason=WHY, **said), wax)  # type: ignore[arg-type]
    (fault,) = audit(book).faults
    assert fault.startswith(f"entry {judged.position + 1}: it strikes ")
    assert says in fault


def test_a_strike_of_a_kind_that_is_never_struck_is_a_fault_of_the_book(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    wax = a_wax(book)
    with book.reading() as r:
        pulled = r.told(wax)[0]
    monkeypatch.setattr(Writing, "judge", lambda *_, **__: ())
    touches = touched_codes(wax, pulled.facts)
    with book.writing() as w:
        w.enter(EntryStruck(entry=pulled.leaf, entry_kind="wax_pulled", touches=touches), wax)
    (fault,) = audit(book).faults
    assert "wax pulled, which is never struck" in fault


def test_a_strike_of_what_a_certificate_was_issued_on_is_a_fault_of_the_book(
    registry: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = a_run(registry, needs=())
    piece = a_piece(registry, run, to="coloured", number="3/8")
    issue(registry, [piece], passphrase=builders.PASSPHRASE)
    with registry.reading() as r:
        given = next(one for one in r.told(piece) if one.facts.kind == "number_given")
        issued = queries.entries_of_kind(r.connection, "certificate_issued")[0].position
    with registry.writing() as w, pytest.raises(BronzebookError, match="was issued on it"):
        strike_entry(w, given.leaf, reason=WHY)
    monkeypatch.setattr(Writing, "judge", lambda *_, **__: ())
    with registry.writing() as w:
        strike_entry(w, given.leaf, reason=WHY)
    (fault,) = audit(registry).faults
    assert f"which a certificate was issued on (entry {issued})" in fault


@pytest.mark.parametrize("damaged", ["certificate_issued", "entry_struck", "wax_judged"])
def test_a_book_with_strikes_and_an_entry_that_cannot_be_read_is_still_audited(
    registry: Registry, damaged: str
) -> None:
    piece = a_piece(registry, a_run(registry, needs=()), to="coloured", number="3/8")
    issue(registry, [piece], passphrase=builders.PASSPHRASE)
    wax = a_wax(registry)
    with registry.writing() as w:
        judged = judge_wax(w, wax, accepted=True)
        strike_entry(w, judged.leaf, reason=WHY)
    tamper(registry, f"UPDATE entries SET bytes = :raw WHERE kind = '{damaged}'", raw=b"{}")
    faults = audit(registry).faults
    assert any("do not hash to its leaf" in fault for fault in faults)
    assert ("which cannot be read" in str(faults)) == (damaged == "wax_judged")
