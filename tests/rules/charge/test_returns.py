"""Which heats went into a heat; the shares are computed by hand."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given as each
from hypothesis import strategies as st

from editions.rules.charge.returns import Ancestor, Charge, ancestors


def _charge(*lines: tuple[str | None, str | None]) -> tuple[Charge, ...]:
    return tuple(
        Charge(heat=heat, mass=None if mass is None else Decimal(mass)) for heat, mass in lines
    )


BOOK = {
    "H-1": _charge((None, "100")),
    "H-2": _charge(("H-1", "40"), (None, "60")),
    "H-3": _charge(("H-2", "50"), ("H-1", "25"), (None, "25")),
}


def _told(found: tuple[Ancestor, ...]) -> dict[str, tuple[str | None, int, int]]:
    return {
        x.heat: (None if x.share is None else f"{x.share}", x.fewest_remelts, x.most_remelts)
        for x in found
    }


def test_the_heats_in_a_heat_are_told_with_their_share_and_remelts() -> None:
    # H-1 came straight, 25 %, and through H-2, 50 % of 40 %.
    assert _told(ancestors(["H-3"], BOOK)) == {
        "H-3": ("100.00", 0, 0),
        "H-2": ("50.00", 1, 1),
        "H-1": ("45.00", 1, 2),
    }


def test_a_heat_without_returns_has_no_ancestors() -> None:
    assert _told(ancestors(["H-1"], BOOK)) == {"H-1": ("100.00", 0, 0)}
    assert _told(ancestors(["H-9"], BOOK)) == {"H-9": ("100.00", 0, 0)}
    assert ancestors([], BOOK) == ()


def test_a_piece_of_two_heats_counts_both() -> None:
    assert _told(ancestors(["H-2", "H-1"], BOOK)) == {
        "H-2": ("50.00", 0, 0),
        "H-1": ("70.00", 0, 1),
    }


def test_without_weights_the_heats_are_known_and_their_shares_are_not() -> None:
    book = BOOK | {"H-2": _charge(("H-1", None), (None, "60"))}
    told = _told(ancestors(["H-3"], book))
    assert told["H-2"] == ("50.00", 1, 1)
    assert told["H-1"] == (None, 1, 2)


def test_a_book_that_leads_back_to_a_heat_itself_is_survived() -> None:
    ring = {"H-1": _charge(("H-2", "1")), "H-2": _charge(("H-1", "1"))}
    assert {x.heat for x in ancestors(["H-1"], ring)} == {"H-1", "H-2"}
    assert {x.heat for x in ancestors(["H-1"], {"H-1": _charge(("H-1", "1"))})} == {"H-1"}


def test_a_long_chain_of_many_ways_is_followed_quickly() -> None:
    # Each heat takes returns of the two before it: more ways than could ever be walked.
    book = {
        f"H-{n}": _charge((f"H-{n - 1}", "30"), (f"H-{n - 2}", "30"), (None, "40"))
        for n in range(2, 400)
    }
    found = {x.heat: x for x in ancestors(["H-399"], book)}
    assert len(found) == 400
    assert (found["H-0"].fewest_remelts, found["H-0"].most_remelts) == (200, 398)


@each(st.lists(st.tuples(st.integers(1, 99), st.integers(1, 99)), min_size=1, max_size=12))
def test_what_came_new_into_every_heat_makes_up_the_whole(masses: list[tuple[int, int]]) -> None:
    book = {
        f"H-{n + 1}": _charge((f"H-{n}", str(old)), (None, str(new)))
        for n, (old, new) in enumerate(masses)
    }
    found = {x.heat: x.share for x in ancestors([f"H-{len(masses)}"], book)}
    whole = sum(
        (found[f"H-{n + 1}"] or Decimal(0)) * new / (old + new)
        for n, (old, new) in enumerate(masses)
    )
    assert abs(whole + (found["H-0"] or Decimal(0)) - 100) < Decimal("0.1")
