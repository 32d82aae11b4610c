"""Photographs, filed with whatever they show; the files are the caller's to keep first."""

from __future__ import annotations

from editions.registry.acts.typed import confided
from editions.registry.writing import Entered, Writing
from editions.trade.book import PhotographFiled
from editions.trade.text import clean


def file_photograph(
    w: Writing,
    code: str,
    derivative: str,
    original: str | None = None,
    *,
    caption: str = "",
    on: str | None = None,
) -> Entered:
    """File a photograph with a subject of any kind.

    Args:
        w: The writing.
        code: A code, shop tag, heat number or certificate number.
        derivative: SHA-256 of the publishable derivative, in hex; open.
        original: SHA-256 of the original, in hex; held.
        caption: What it shows, open.
        on: When it was taken, EDTF; today when absent.
    """
    facts = PhotographFiled(
        derivative=derivative, caption=clean(caption), original=confided(original)
    )
    return w.enter(facts, w.resolve(code), on=on)
