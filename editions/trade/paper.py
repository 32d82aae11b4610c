"""The kinds of paper that a foundry issues of a cast or a number.

In a file of its own, since a scanned code names its kind and is checked without a statement.

>>> PAPERS.index("reservation")
2
"""

from __future__ import annotations

from typing import Literal, get_args

Paper = Literal["finished", "raw_metal", "reservation", "from_object"]

# In the order of their numbers in a claim, which never change.
PAPERS: tuple[Paper, ...] = get_args(Paper)
