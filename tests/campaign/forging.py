"""Rewriting the book itself: the tree recomputed, then signed again, then certified again.

Each act of a forger is done to every entry.  What the tree says of it is computed in memory by the
functions that check papers and that witnesses use; for some entries the whole database is rewritten
as well, every table folded anew, and the audit, the papers and the witness asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import NamedTuple

from certificates.witnessing import look
from editions.errors import BronzebookError
from editions.ledger.canonical import canonical, parse
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.tiles import Tile, tile_bytes
from editions.ledger.tree import (
    Frontier,
    Place,
    consistency_proof,
    leaf_hash,
    verify_consistency,
)
from editions.ledger.witness import Memory
from tests.campaign.story import Told
from tests.campaign.tally import Tally

Came = tuple[int | None, bytes]
"""An entry of a rewritten book: the position it had, and its bytes."""
Act = Callable[[list[Came], int], list[Came]]


def change(book: list[Came], at: int) -> list[Came]:
    """One entry says that it happened on another day."""
    return [*book[:at], (at, _said(book[at][1], on="1999-01-01")), *book[at + 1 :]]


def delete(book: list[Came], at: int) -> list[Came]:
    """One entry is gone."""
    return book[:at] + book[at + 1 :]


def add(book: list[Came], at: int) -> list[Came]:
    """One more entry, like the one it stands before."""
    return [*book[:at], (None, _said(book[at][1], id=f"{at:032x}")), *book[at:]]


def swap(book: list[Came], at: int) -> list[Came]:
    """An entry and the next change places; the times of recording stay in order."""
    first, second = book[at], book[at + 1]
    times = [parse(raw)["at"] for _, raw in (first, second)]
    moved = [(second[0], _said(second[1], at=times[0])), (first[0], _said(first[1], at=times[1]))]
    return [*book[:at], *moved, *book[at + 2 :]]


ACTS: dict[str, Act] = {"changed": change, "deleted": delete, "added": add, "swapped": swap}


def _said(raw: bytes, **says: str) -> bytes:
    return canonical(parse(raw) | says)


def places(size: int, act: str) -> range:
    """The entries to which an act can be done: the last has none to change places with."""
    return range(size - (act == "swapped"))


# Of a book tampered with at one place, all other entries are known already.
_leaf = cache(leaf_hash)


class Tree(NamedTuple):
    """A tree in memory: its leaves, its nodes."""

    leaves: list[bytes]
    frontier: Frontier
    nodes: dict[Place, bytes]

    @classmethod
    def of(cls, book: Sequence[Came]) -> Tree:
        """The tree of these entries."""
        leaves = [_leaf(raw) for _, raw in book]
        frontier, closed = Frontier(0, ()).grown(leaves)
        return cls(leaves, frontier, {(node.level, node.index): node.hash for node in closed})

    def read(self, wanted: Sequence[Place]) -> list[bytes]:
        """Nodes by their places."""
        return [self.nodes[place] for place in wanted]

    def grew_from(self, size: int, root: bytes) -> bool:
        """Whether this tree has grown from one of that size and root."""
        now = self.frontier
        try:
            proof = consistency_proof(size, now.size, self.read)
            verify_consistency(size, root, now.size, now.root(), proof)
        except BronzebookError:
            return False
        return True

    def note(self, origin: str, key: PrivateKey) -> str:
        """Its checkpoint, signed."""
        return sign_checkpoint(Checkpoint(origin, self.frontier.size, self.frontier.root()), key)


def is_followed(memory: Memory, tree: Tree, log: VerifierKey, key: PrivateKey) -> bool:
    """Whether a witness goes along with a tree that was signed again, by what it remembers.

    It judges as ``bronzebook witness`` does, of the checkpoint and the tiles that it is shown.
    """

    def fetch(path: str) -> bytes:
        if path == "checkpoint":
            return tree.note(log.name, key).encode()
        return tile_bytes(Tile.parse(path), tree.read)

    return look(fetch, log, memory)[0].outcome != "refused"


def zone(told: Told, at: int) -> str:
    """Where in the book an entry lies: what covers it."""
    if at < told.papered:
        return "before the last certificate"
    return "before the witness" if at < told.seen.size else "the unwitnessed tail"


def forge_in_memory(
    told: Told, book: list[Came], log: VerifierKey, key: PrivateKey, tally: Tally
) -> list[str]:
    """Every act on every entry; returns those that nobody finds and somebody should.

    Where the tree alone is recomputed, what finds it is that the root which was signed no longer
    follows: the comparison that the audit makes, made here in memory.
    """
    signed = Checkpoint(told.seen.origin, len(book), Tree.of(book).frontier.root())
    missed = []
    for name, act in ACTS.items():
        for at in places(len(book), name):
            tree = Tree.of(act(book, at))
            old = tree.frontier.root() != signed.root
            tally.add("tree recomputed, every entry", root=int(old), nobody=int(not old))
            paper = any(not tree.grew_from(claim.size, claim.root) for claim in told.claims)
            witness = not is_followed(told.memory, tree, log, key)
            where = zone(told, at)
            row = f"log key used, every entry, {where}"
            tally.add(row, paper=paper, witness=witness, nobody=not (paper or witness))
            if not old or (where.startswith("before") and not (paper or witness)):
                missed.append(f"{name} {at}")
            if where == "before the last certificate" and not paper:
                missed.append(f"{name} {at}, by no certificate")
    return missed
