"""Papers of one book held side by side: each is a witness to the book as it stood when printed.

A paper that proves itself shows a state of its book, signed: so many entries, this root.  Papers
are put in the order of these states.  A registry, or the tiles of a site, join every state to the
book of today; the first paper that they cannot join names what a rewritten book contradicts, and
the paper before it from where on.  With neither, the papers are held against each other: their
proofs show nodes of one tree, and a node, once full, never changes.

>>> sorted(nodes_seen(bytes(32), 2, 3, [b"1" * 32]).full)
[(0, 2), (1, 0)]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, groupby, pairwise

import msgspec

from certificates.checks import Check, agrees, contradicts, unchecked
from certificates.claim import Claim
from editions.ledger.notes import VerifierKey
from editions.ledger.tree import Frontier, node_hash
from editions.trade.numbers import show_number

FIRST = "the first paper that contradicts"
BOOK = "the book of these papers"
TOGETHER = "these papers together"

Place = tuple[int, int]


class Seen(msgspec.Struct, frozen=True):
    """What the proof of a paper shows of the tree: full nodes by level and place, roots by size."""

    full: Mapping[Place, bytes] = {}
    roots: Mapping[int, bytes] = {}


class Witness(msgspec.Struct, frozen=True, kw_only=True):
    """One paper: what it is called, what it claims, and how the book of today takes it.

    Attributes:
        name: What the person called it: the name of its file.
        claim: Its signed claim.
        logs: The keys of the book's log that it carries; none for a code alone.
        seen: What its proof shows of the tree.
        grown: The check with a registry or a site, where one was asked.
    """

    name: str
    claim: Claim
    logs: frozenset[VerifierKey] = frozenset()
    seen: Seen = Seen()
    grown: Check | None = None


class Comparison(msgspec.Struct, frozen=True, kw_only=True):
    """What papers show together, and the name of the first that today's book contradicts."""

    order: tuple[str, ...]
    checks: tuple[Check, ...]
    first: str | None = None

    @property
    def contradicted(self) -> tuple[Check, ...]:
        """The checks that contradict."""
        return tuple(check for check in self.checks if check.result == "contradicts")


def compare(papers: Sequence[Witness], mute: Sequence[str] = ()) -> Comparison:
    """Hold papers side by side, book by book; see the module for what is compared.

    Args:
        papers: Those that prove themselves.
        mute: The names of those that do not, and so witness nothing.
    """
    ordered = sorted(papers, key=lambda one: (one.claim.origin, one.claim.size, one.claim.index))
    made: list[Check] = []
    first = None
    for origin, of_book in groupby(ordered, key=lambda one: one.claim.origin):
        found = list(of_book)
        bad = next((at for at, one in enumerate(found) if _stands_against(one)), None)
        if bad is not None:
            first = first or found[bad].name
            made.append(_first(found, bad))
        made += _of_book(origin, found, rewritten=bad is not None)
    made += _apart(ordered)
    made += (unchecked(BOOK, f"{name} does not prove itself: it is no witness.") for name in mute)
    order = (*(one.name for one in ordered), *mute)
    return Comparison(order=order, checks=tuple(made), first=first)


def nodes_seen(leaf: bytes, index: int, size: int, hashes: Sequence[bytes]) -> Seen:
    """The nodes that a verified proof of inclusion shows, and the roots that follow from them.

    The nodes left of the leaf's path are the whole tree of ``index`` entries; with the leaf, that
    of one more.  A node at the right edge is full only if its last leaf lies within ``size``.
    """
    full: dict[Place, bytes] = {(0, index): leaf}
    left: list[bytes] = []
    level, number, last, at = 0, index, size - 1, leaf
    for other in hashes:
        # On the right edge a node without a sibling is lifted until it has one (RFC 9162, 2.1.3.2).
        while number and number == last and not number & 1:
            level, number, last = level + 1, number >> 1, last >> 1
        if number & 1:
            full[level, number - 1] = other
            left.append(other)
            at = node_hash(other, at)
        else:
            if (number + 2) << level <= size:
                full[level, number + 1] = other
            at = node_hash(at, other)
        level, number, last = level + 1, number >> 1, last >> 1
        if (number + 1) << level <= size:
            full[level, number] = at
    before = Frontier(index, tuple(reversed(left)))
    roots = {state.size: state.root() for state in (before, before.grown([leaf])[0]) if state.size}
    return Seen(full, roots)


def shared(one: Witness, other: Witness) -> tuple[int, bool]:
    """How many first entries two papers show alike, and whether anything they show differs.

    The papers are in order; the count is at most the size of the first.
    """
    mine, its = _states(one), _states(other)
    both = mine.keys() & its.keys()
    places = one.seen.full.keys() & other.seen.full.keys()
    differ = any(mine[size] != its[size] for size in both)
    differ = differ or any(one.seen.full[at] != other.seen.full[at] for at in places)
    size = one.claim.size
    reach = max((each for each in both if each <= size), default=0)
    return max(reach, _alike(places, size)), differ


def _alike(places: Sequence[Place] | set[Place], size: int) -> int:
    """How many first leaves the nodes at these places cover without a gap."""
    covered = 0
    for level, number in sorted(places, key=lambda at: (at[1] << at[0], -at[0])):
        if number << level == covered:
            covered += 1 << level
    return min(covered, size)


def _states(paper: Witness) -> dict[int, bytes]:
    return {**paper.seen.roots, paper.claim.size: paper.claim.root}


def _of_book(origin: str, papers: list[Witness], *, rewritten: bool) -> Iterator[Check]:
    """What the papers of one book show: one key, one tree, and how far it was looked at."""
    joined = all(_grown(paper) for paper in papers)
    if not joined and not _one_key(papers):
        yield unchecked(
            BOOK,
            f"These papers name one book, {origin}, but carry different keys of its log: one key"
            " followed another, or some are of another book that bears its name. A registry can"
            " tell.",
        )
    pairs = [_pair(one, other) for one, other in combinations(papers, 2)]
    against = [check for check in pairs if check.result == "contradicts"]
    if rewritten or against or not pairs:
        yield from against
    elif joined:
        sizes = ", ".join(str(paper.claim.size) for paper in papers)
        yield agrees(
            TOGETHER,
            f"{len(papers)} states of one book, {origin}, of {sizes} entries: each holds the one"
            " before it unchanged, and so does the book of today.",
        )
    else:
        yield from (_pair(one, other) for one, other in pairwise(papers))


def _one_key(papers: Sequence[Witness]) -> bool:
    """Whether papers that carry keys of the log have one in common; a code alone carries none."""
    carried = [paper.logs for paper in papers if paper.logs]
    return not carried or bool(frozenset.intersection(*carried))


def _apart(papers: Sequence[Witness]) -> Iterator[Check]:
    books = sorted({paper.claim.origin for paper in papers})
    if len(books) > 1:
        yield unchecked(
            BOOK,
            f"These papers are of {len(books)} books, {', '.join(books)}: only papers of one book"
            " can be held against each other.",
        )


def _pair(one: Witness, other: Witness) -> Check:
    """What two papers show of each other without the book, the earlier state first."""
    earlier, later = one.claim, other.claim
    count, differ = shared(one, other)
    if differ and earlier.size == later.size and earlier.root != later.root:
        said = f"give the book's {earlier.size} entries two different roots"
    elif differ:
        said = f"show different entries within the first {earlier.size}"
    elif count == earlier.size:
        return agrees(
            TOGETHER,
            f"{other.name} holds all {count} entries of {one.name} unchanged.",
        )
    else:
        some = (
            f"the first {count} are the same in both, the rest"
            if count
            else "nothing in their proofs overlaps, so they"
        )
        return unchecked(
            TOGETHER,
            f"{one.name} covers {earlier.size} entries, {other.name} {later.size}: {some} cannot"
            " be compared from the papers alone. Name a registry, or a site: --site.",
        )
    return contradicts(
        TOGETHER,
        f"{one.name} and {other.name} {said}: the book was rewritten between them, or one is of"
        " another book that bears its name.",
    )


def _first(papers: Sequence[Witness], at: int) -> Check:
    """Name the first paper that the book of today contradicts, and from where on."""
    paper, claim = papers[at], papers[at].claim
    sound = [one for one in papers[:at] if _grown(one)]
    since = f" and from entry {sound[-1].claim.size} on, since {sound[-1].name} still agrees"
    others = sum(_stands_against(one) for one in papers) - 1
    does = "does one more" if others == 1 else f"do {others} more"
    more = f" So {does} of these papers." if others else ""
    return contradicts(
        FIRST,
        f"The book was rewritten. {paper.name}, certificate {show_number(claim.number)} of"
        f" {claim.issued}, is the first paper to contradict it: it was printed when the book held"
        f" {claim.size} entries, and today's book no longer begins with these. What was changed"
        f" lies before entry {claim.size}{since if sound else ''}.{more}",
    )


def _stands_against(paper: Witness) -> bool:
    return paper.grown is not None and paper.grown.result == "contradicts"


def _grown(paper: Witness) -> bool:
    return paper.grown is not None and paper.grown.result == "agrees"
