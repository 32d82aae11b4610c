"""The ledger at a glance: one entry goes in, its proof comes out, and a change is noticed."""

from __future__ import annotations

import dataclasses

import pytest

from editions.errors import Contradiction
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.envelope import Entry, decode, encode, leaf_of
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import Frontier, inclusion_proof, leaf_hash
from tests.helpers.chance import Chance

ORIGIN = "book.example"


def entry(pull: int) -> Entry:
    return Entry(
        id=f"{pull:032x}",
        batch="0" * 32,
        at="2026-11-24T10:00:00Z",
        by="Y-0001",
        kind="wax_pulled",
        on="2026-11-24",
        subject="W-0007",
        facts={"pull": pull},
        held={},
        source=None,
    )


def test_an_entry_is_proved_by_a_file_and_another_is_not(chance: Chance) -> None:
    key = PrivateKey.generate(chance)
    raw = [encode(entry(pull)) for pull in range(5)]
    assert [decode(one) for one in raw] == [entry(pull) for pull in range(5)]

    frontier, closed = Frontier(0, ()).grown([leaf_of(one) for one in raw])
    nodes = {(node.level, node.index): node.hash for node in closed}
    note = sign_checkpoint(Checkpoint(ORIGIN, frontier.size, frontier.root()), key)
    hashes = inclusion_proof(3, 5, lambda places: [nodes[place] for place in places])
    text = str(ProofFile(3, tuple(hashes), note))

    trusted = VerifierKey(ORIGIN, key.public.raw)
    proof = ProofFile.parse(text)
    assert proof.check(leaf_hash(raw[3]), trusted).size == 5
    with pytest.raises(Contradiction):
        proof.check(leaf_hash(raw[2]), trusted)
    with pytest.raises(Contradiction):
        dataclasses.replace(proof, index=2).check(leaf_hash(raw[3]), trusted)
