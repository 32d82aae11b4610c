from __future__ import annotations

import pytest

from tests.rules.judging.shop import Shop


@pytest.fixture
def shop() -> Shop:
    """A foundry with an artist, a work, a run of 8 + 4 AP, a mold, and a heat in the crucible."""
    return Shop()
