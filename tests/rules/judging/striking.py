"""Striking at the judges' bench: the newest entry of a kind, struck or kept."""

from __future__ import annotations

from editions.trade.kinds import Happened, touched_codes
from editions.trade.strikes import EntryStruck
from tests.rules.judging.shop import (
    Shop,
)

WHY = "written on the wrong line"


def last(shop: Shop, kind: str, code: str = "") -> Happened:
    """The newest entry of a kind that counts, of a subject where one is named."""
    return next(
        one
        for one in reversed(shop.book)
        if one.facts.kind == kind
        and one.leaf not in shop.struck
        and code in ("", *touched_codes(one.subject, one.facts))
    )


def striking(entry: Happened, reason: str | None = WHY) -> EntryStruck:
    touches = touched_codes(entry.subject, entry.facts)
    return EntryStruck(
        entry=entry.leaf, entry_kind=entry.facts.kind, touches=touches, reason=reason
    )


def strike(shop: Shop, kind: str, code: str = "") -> tuple[str, ...]:
    entry = last(shop, kind, code)
    return shop.enter(entry.subject, striking(entry))


def keeps(shop: Shop, kind: str, says: str, code: str = "") -> str:
    """Assert that the newest entry of a kind is not struck, in these words; the remedy."""
    entry = last(shop, kind, code)
    return shop.refuses(entry.subject, striking(entry), says).remedy
