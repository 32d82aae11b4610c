"""Erasing one held field for the tests, and being refused."""

from __future__ import annotations

from typing import Any

import pytest

from editions.errors import (
    BronzebookError,
    Refused,
)
from editions.registry import Registry
from editions.registry.acts.corrections import find_entry, held_now
from editions.registry.acts.held import erase_field
from editions.trade.held import HeldErased


def erase(registry: Registry, entry: str, field: str, **said: Any) -> HeldErased:
    """Erase a field on the foundry's authority; the facts as they are read from the book."""
    with registry.writing() as w:
        made = erase_field(w, entry, field, **{"authority": "Y-0001", "because": "request", **said})
        facts: HeldErased = find_entry(w, made.leaf)[1].facts
    return facts


def refuses(
    registry: Registry,
    entry: str,
    field: str,
    says: str,
    *,
    error: type[BronzebookError] = Refused,
    **said: Any,
) -> BronzebookError:
    with registry.reading() as r:
        before = r.size
    with pytest.raises(error, match=says) as caught:
        erase(registry, entry, field, **said)
    with registry.reading() as r:
        assert r.size == before
    return caught.value


def kept(registry: Registry, entry: str) -> dict[str, Any]:
    with registry.reading() as r:
        return held_now(r, find_entry(r, entry)[0])
