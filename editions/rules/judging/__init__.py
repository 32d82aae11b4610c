"""Judging: whether the trade allows an entry, given the book as it stands under the lock.

A judge is a pure function of the draft and of what the desk can look up.  It raises ``Refused`` (or
``NotKnown`` for a code that is not in the book), or returns remarks: things worth saying that do
not stand in the way.  Replaying a book never judges.

Importing this package seats every judge.
"""

from editions.rules.judging import (
    book,
    certificates,
    colour,
    heats,
    held,
    keys,
    metal,
    molds,
    numbers,
    objects,
    parties,
    pieces,
    runs,
    signing,
    steps,
    strikes,
    waxes,
    works,
)
from editions.rules.judging.bench import judge, judges, seated
from editions.rules.judging.desk import Desk, Draft

__all__ = [
    "Desk",
    "Draft",
    "book",
    "certificates",
    "colour",
    "heats",
    "held",
    "judge",
    "judges",
    "keys",
    "metal",
    "molds",
    "numbers",
    "objects",
    "parties",
    "pieces",
    "runs",
    "seated",
    "signing",
    "steps",
    "strikes",
    "waxes",
    "works",
]
