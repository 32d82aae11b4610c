from __future__ import annotations

import pytest

from tests.rules.judging.shop import Shop


@pytest.fixture
def shop() -> Shop:
    """A foundry with an artist, a work, a run of 8 + 4 AP, a mold, and a heat in the crucible."""
    return Shop()


@pytest.fixture
def finished(shop: Shop) -> Shop:
    """P-0001, 3/8, finished and approved; P-0002, 4/8, too."""
    shop.finish("P-0001", "3/8")
    shop.finish("P-0002", "4/8")
    return shop
