"""Whether a cast was made after its artist's death.

By the recorded dates alone, and only where they leave no doubt: a death "about 1986" or a cast of
the year of death is not called posthumous.  What that means for a cast's standing in the trade, or
in law, differs from place to place; here it is only told.

>>> posthumous("1986-08", "1987"), posthumous("1986", "1986-11"), posthumous("1986~", "1990")
(True, False, False)
"""

from __future__ import annotations

from editions.trade.dates import certainly_before


def posthumous(died: str | None, cast: str | None) -> bool:
    """Whether the whole of the casting's date lies after the artist's death; EDTF, or None."""
    return bool(died and cast) and certainly_before(died or "", cast or "")
