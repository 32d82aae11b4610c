"""The Merkle tree over the entries of a book (RFC 9162, section 2.1; SHA-256).

A leaf is ``SHA-256(0x00 || entry)``, a node ``SHA-256(0x01 || left || right)``.  A complete node
has a level and an index: level 0 are the leaves, and the node ``(level, index)`` stands over the
``2^level`` leaves from ``index * 2^level`` on.  Complete nodes never change; a store keeps each as
it closes, and every proof is made from them alone.  The *frontier* is what growing needs: the roots
of the complete subtrees that a size is made of, largest first.

Making a proof takes a ``read``: given ``(level, index)`` pairs it returns their hashes, and it is
asked once, for all that the proof needs.  Verifying takes values only.

>>> frontier, closed = Frontier(0, ()).grown([leaf_hash(b""), leaf_hash(bytes(1))])
>>> [(node.level, node.index) for node in closed], frontier.size
([(0, 0), (0, 1), (1, 0)], 2)
>>> frontier.root().hex()[:16]
'fac54203e7cc696c'
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256

import msgspec

from editions.errors import Contradiction, NotKnown

HASH = 32

Place = tuple[int, int]
Read = Callable[[Sequence[Place]], Sequence[bytes]]
_Range = tuple[int, int]


class Node(msgspec.Struct, frozen=True, gc=False):
    """A complete node: its level, its index within the level, its hash."""

    level: int
    index: int
    hash: bytes


def leaf_hash(entry: bytes) -> bytes:
    """Return the hash of a leaf (RFC 9162, 2.1.1)."""
    return sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of a node over two others (RFC 9162, 2.1.1)."""
    return sha256(b"\x01" + left + right).digest()


def empty_root() -> bytes:
    """Return the root of the tree without leaves (RFC 9162, 2.1.1)."""
    return sha256(b"").digest()


@dataclass(frozen=True, slots=True)
class Frontier:
    """The roots of the complete subtrees that ``size`` leaves make, largest first.

    Raises:
        Contradiction: The hashes are not as many, or not as long, as the size asks.
    """

    size: int
    hashes: tuple[bytes, ...]

    def __post_init__(self) -> None:
        if self.size < 0 or self.size.bit_count() != len(self.hashes):
            raise Contradiction(f"{len(self.hashes)} hashes cannot stand for {self.size} leaves.")
        _require_hashes(self.hashes)

    @classmethod
    def from_nodes(cls, size: int, read: Read) -> Frontier:
        """Rebuild the frontier of a size from stored nodes.

        Raises:
            Contradiction: A node is missing.
        """
        return cls(size, tuple(_read(read, list(_subtrees(0, size)))))

    def grown(self, leaf_hashes: Sequence[bytes]) -> tuple[Frontier, list[Node]]:
        """Return the frontier after more leaves, and every node that they closed, in order.

        Raises:
            Contradiction: A leaf hash is not 32 bytes long.
        """
        _require_hashes(leaf_hashes)
        open_roots, closed = list(self.hashes), list[Node]()
        for index, leaf in enumerate(leaf_hashes, self.size):
            node = Node(0, index, leaf)
            closed.append(node)
            while node.index & 1:
                above = node_hash(open_roots.pop(), node.hash)
                node = Node(node.level + 1, node.index >> 1, above)
                closed.append(node)
            open_roots.append(node.hash)
        return Frontier(self.size + len(leaf_hashes), tuple(open_roots)), closed

    def root(self) -> bytes:
        """Return the root of the tree."""
        return _joined(self.hashes) if self.hashes else empty_root()


def inclusion_proof(index: int, size: int, read: Read) -> list[bytes]:
    """Return the proof that the leaf at ``index`` is in the tree of ``size`` (RFC 9162, 2.1.3.1).

    Raises:
        NotKnown: There is no such leaf.
        Contradiction: A stored node is missing.
    """
    if not 0 <= index < size:
        raise NotKnown(f"A book of {size} entries has no entry at position {index}.")
    low, high, ranges = 0, size, list[_Range]()
    while high - low > 1:
        middle = low + _split(high - low)
        if index < middle:
            ranges.append((middle, high))
            high = middle
        else:
            ranges.append((low, middle))
            low = middle
    return _roots(ranges[::-1], read)


def consistency_proof(old: int, new: int, read: Read) -> list[bytes]:
    """Return the proof that the tree of ``new`` grew from that of ``old`` (RFC 9162, 2.1.4.1).

    Raises:
        NotKnown: Nothing is proved from size 0, nor from a later size to an earlier.
        Contradiction: A stored node is missing.
    """
    if not 1 <= old <= new:
        raise NotKnown(f"There is no proof from a book of {old} entries to one of {new}.")
    low, high, ranges = 0, new, list[_Range]()
    while old != high:
        middle = low + _split(high - low)
        if old <= middle:
            ranges.append((middle, high))
            high = middle
        else:
            ranges.append((low, middle))
            low = middle
    # A verifier already has the old root; where that is a subtree of the new tree it is left out.
    if low > 0:
        ranges.append((low, high))
    return _roots(ranges[::-1], read)


def verify_inclusion(
    leaf: bytes, index: int, size: int, proof: Sequence[bytes], root: bytes
) -> None:
    """Check that a leaf hash is at ``index`` of the tree with this size and root.

    The algorithm is that of RFC 9162, 2.1.3.2.

    Raises:
        Contradiction: The proof does not lead from the leaf to the root.
    """
    _require_hashes((leaf, root, *proof))
    if not 0 <= index < size:
        raise Contradiction(f"A tree of {size} leaves has none at position {index}.")
    number, last, at = index, size - 1, leaf
    for other in proof:
        if last == 0:
            raise Contradiction("The proof of inclusion has more hashes than the tree has levels.")
        if number & 1 or number == last:
            at = node_hash(other, at)
            number, last = _skip_to_right(number, last)
        else:
            at = node_hash(at, other)
        number, last = number >> 1, last >> 1
    if last or at != root:
        raise Contradiction("The proof of inclusion does not lead to the root of the checkpoint.")


def verify_consistency(
    old_size: int, old_root: bytes, new_size: int, new_root: bytes, proof: Sequence[bytes]
) -> None:
    """Check that the tree of the new size and root grew from the old one by appending only.

    The algorithm is that of RFC 9162, 2.1.4.2.

    Raises:
        Contradiction: The proof does not join the two, or the old size is 0.
    """
    _require_hashes((old_root, new_root, *proof))
    if not 1 <= old_size <= new_size:
        raise Contradiction(f"No proof leads from a tree of {old_size} to one of {new_size}.")
    if old_size == new_size:
        _require_consistent(not proof and old_root == new_root)
        return
    # The old root is a subtree of the new one exactly where its size is a power of two.
    path = (old_root, *proof) if old_size.bit_count() == 1 else tuple(proof)
    _require_consistent(bool(path))
    number, last = _leave_shared(old_size - 1, new_size - 1)
    old_at = new_at = path[0]
    for other in path[1:]:
        _require_consistent(last > 0)
        if number & 1 or number == last:
            old_at, new_at = node_hash(other, old_at), node_hash(other, new_at)
            number, last = _skip_to_right(number, last)
        else:
            new_at = node_hash(new_at, other)
        number, last = number >> 1, last >> 1
    _require_consistent(last == 0 and old_at == old_root and new_at == new_root)


def _leave_shared(number: int, last: int) -> Place:
    """Climb while the old tree's last node is a right child: up to its largest whole subtree."""
    while number & 1:
        number, last = number >> 1, last >> 1
    return number, last


def _skip_to_right(number: int, last: int) -> Place:
    """Climb past the levels at which a node on the right edge has no sibling."""
    while number and not number & 1:
        number, last = number >> 1, last >> 1
    return number, last


def _require_consistent(agrees: bool) -> None:
    if not agrees:
        raise Contradiction(
            "The proof of consistency does not join the two checkpoints.",
            "If both are signed, the book was rewritten between them.",
        )


def _require_hashes(hashes: Sequence[bytes]) -> None:
    for one in hashes:
        if len(one) != HASH:
            raise Contradiction(f"A hash has {HASH} bytes; this one has {len(one)}.")


def _split(width: int) -> int:
    """Return the largest power of two below ``width``."""
    return 1 << (width - 1).bit_length() - 1


def _subtrees(low: int, high: int) -> Iterator[Place]:
    """Places of the complete nodes that the leaves ``low`` to ``high`` are made of.

    ``low`` must be a multiple of every power of two that fits the width, as it is in RFC 9162.
    """
    while low < high:
        level = (high - low).bit_length() - 1
        yield level, low >> level
        low += 1 << level


def _roots(ranges: Sequence[_Range], read: Read) -> list[bytes]:
    """Return the root over each range of leaves, having asked once for all nodes."""
    wanted = [list(_subtrees(low, high)) for low, high in ranges]
    found = iter(_read(read, [place for places in wanted for place in places]))
    return [_joined([next(found) for _ in places]) for places in wanted]


def _read(read: Read, places: Sequence[Place]) -> Sequence[bytes]:
    """Return the hashes at these places."""
    found = read(places) if places else ()
    if len(found) != len(places):
        raise Contradiction(f"Of {len(places)} nodes of the tree, {len(found)} were found.")
    _require_hashes(found)
    return found


def _joined(hashes: Sequence[bytes]) -> bytes:
    """Return the root over adjoining complete subtrees, largest first."""
    root = hashes[-1]
    for left in reversed(hashes[:-1]):
        root = node_hash(left, root)
    return root
