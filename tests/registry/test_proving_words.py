"""What the ledger finds wrong is told by a page in its own language: each fault is recognised."""

from __future__ import annotations

import pytest

from editions.errors import BronzebookError
from editions.ledger.tree import leaf_hash, verify_consistency, verify_inclusion
from editions.registry.proving import _FAULTS
from editions.trade.saying import Said, recognised

LEAF, OTHER = leaf_hash(b"one"), leaf_hash(b"two")


def test_a_path_to_another_root_is_told() -> None:
    with pytest.raises(BronzebookError) as fault:
        verify_inclusion(LEAF, 0, 2, [OTHER], OTHER)
    assert isinstance(recognised(fault.value.message, _FAULTS), Said)


def test_states_that_do_not_join_are_told() -> None:
    with pytest.raises(BronzebookError) as fault:
        verify_consistency(1, LEAF, 2, OTHER, [OTHER])
    assert isinstance(recognised(fault.value.message, _FAULTS), Said)


def test_a_state_that_shrank_is_told_with_both_sizes() -> None:
    with pytest.raises(BronzebookError) as fault:
        verify_consistency(3, LEAF, 2, OTHER, [])
    told = recognised(fault.value.message, _FAULTS)
    assert isinstance(told, Said)
    assert told.values == {"old": "3", "new": "2"}
