"""Coverage put aside for a while.

A test that tries every bit, every row or every size runs the same lines many thousand times, and
tracing doubles its time without measuring anything new.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from coverage import Coverage


@contextmanager
def untraced() -> Iterator[None]:
    """Whatever runs here is not measured, if anything is being measured at all."""
    measuring = Coverage.current()
    if measuring is None:
        yield
        return
    measuring.stop()
    try:
        yield
    finally:
        measuring.start()
