"""Random walks through a shop: what counts once slips are struck would have been accepted alone."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from editions.errors import BronzebookError
from editions.rules.judging import judge
from editions.trade.casting import ColourApplied, StepDone
from editions.trade.runs import (
    NumberGiven,
    NumberPromised,
    PromiseEnded,
    RunClosed,
    RunOffered,
)
from editions.trade.strikes import EntryStruck
from editions.trade.waxes import WaxJudged, WaxNumbered
from tests.rules.judging.shop import NUMBERS, RUN, WITHDRAWN, Shop
from tests.rules.judging.striking import striking

Act = Callable[[Shop], object]
BEGUN = len(Shop().book)

WAXES, PIECES, CUT = ("W-0001", "W-0002", "W-0003"), ("P-0001", "P-0002", "P-0003"), ("1/8", "2/8")
wax, piece, number = st.sampled_from(WAXES), st.sampled_from(PIECES), st.sampled_from(CUT)
step = st.sampled_from(["shelled", "dewaxed", "fired", "broken_out", "metal_chased", "mounted"])
unseen = st.sampled_from(["poured", "coloured", "fired"])
kept = st.sampled_from(NUMBERS[:2])


def on(made: Callable[..., Act], *drawn: st.SearchStrategy[str]) -> st.SearchStrategy[Act]:
    return st.tuples(*drawn).map(lambda values: made(*values))


def judged(accepted: str) -> WaxJudged:
    return WaxJudged(accepted=accepted == "yes", reason="air")


ACTS = st.one_of(
    on(lambda w: lambda s: s.pull(w), wax),
    on(lambda w, a: lambda s: s.enter(w, judged(a)), wax, st.sampled_from(["yes", "no"])),
    on(lambda w, n: lambda s: s.enter(w, WaxNumbered(run=RUN, designation=n)), wax, number),
    on(lambda p: lambda s: s.start(p), piece),
    on(lambda p, w: lambda s: s.take(p, w), piece, wax),
    on(lambda p, x: lambda s: s.enter(p, StepDone(step=x)), piece, step),
    on(lambda p, x: lambda s: s.enter(p, StepDone(step=x, how="not recorded")), piece, unseen),
    on(lambda p: lambda s: s.ready(p), piece),
    on(lambda p: lambda s: s.pour(p), piece),
    on(lambda p, n: lambda s: s.finish(p, n), piece, number),
    on(lambda p, n: lambda s: s.enter(RUN, NumberGiven(piece=p, designation=n)), piece, number),
    on(lambda p, x: lambda s: s.approve(p, x), piece, st.sampled_from(["metal", "colour"])),
    on(lambda p: lambda s: s.enter(p, ColourApplied(words="brown")), piece),
    on(lambda p: lambda s: s.scrap(p, "whole"), piece),
    on(lambda p: lambda s: s.scrap(p), piece),
    on(lambda p: lambda s: s.release(p), piece),
    on(lambda p, c: lambda s: s.certify(p, c), piece, kept),
    on(lambda c: lambda s: s.enter(c, WITHDRAWN), kept),
    on(
        lambda n, x: lambda s: s.enter(RUN, NumberPromised(designation=n, held_for=x)),
        number,
        st.sampled_from(["promise", "sale"]),
    ),
    on(lambda n: lambda s: s.enter(RUN, PromiseEnded(designation=n)), number),
    st.just(lambda s: s.enter(RUN, RunOffered())),
    st.just(lambda s: s.enter(RUN, RunClosed(how="by declaration"))),
)


def tried(shop: Shop, act: Act) -> None:
    try:
        act(shop)
    except (BronzebookError, KeyError, AssertionError):
        return  # refused, or not to be done yet: the walk goes on


def struck_at(shop: Shop, place: int) -> None:
    """Strike one of the walk's entries that count, from the newest; where it may be struck."""
    counting = [one for one in shop.book[BEGUN:] if one.leaf not in shop.struck]
    if not counting:
        return
    entry = counting[-1 - place % len(counting)]
    tried(shop, lambda s: s.enter(entry.subject, striking(entry)))


walks = st.lists(
    st.one_of(ACTS, st.integers(0, 30).map(lambda at: lambda s: struck_at(s, at))),
    min_size=5,
    max_size=40,
)


def without_slips(shop: Shop) -> Shop:
    """A shop in which what counts is entered, judged, in its order; nothing else ever was."""
    again = Shop()
    for one in shop.book[BEGUN:]:
        if one.leaf not in shop.struck and not isinstance(one.facts, EntryStruck):
            facts = one.facts
            if isinstance(facts, WaxJudged):
                facts = judged("yes" if facts.accepted else "no")
            judge(again.draft(one.subject, facts, one.on), again)
            again.write(one.subject, facts, one.on)
    return again


@settings(max_examples=100, deadline=None)
@given(walks)
def test_what_counts_would_have_been_accepted_had_the_slips_never_been_made(
    walk: list[Act],
) -> None:
    shop = Shop()
    for act in walk:
        tried(shop, act)
    straight = without_slips(shop)
    assert {c: _plain(s) for c, s in shop.states.items()} == {
        c: _plain(s) for c, s in straight.states.items()
    }


def _plain(state: object) -> object:
    """A state without the leaves that it remembers, which count every entry before."""
    plain = msgspec.to_builtins(state)
    plain.pop("leaf", None)
    return plain
