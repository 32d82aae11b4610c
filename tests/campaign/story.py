"""The book that the campaign tampers with: the demonstration's, without pictures, told once.

It ends as books do: a last certificate, then entries that a witness has seen, then a tail that
nobody has.
"""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from certificates.attach import read_attachments
from certificates.carried import CLAIM
from certificates.claim import Claim, peek_claim
from certificates.issue import issue, replace_lost
from editions.exchange import demo_story
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.cosign import CosignerKey, cosign
from editions.ledger.keys import PrivateKey
from editions.ledger.witness import Memory
from editions.registry import Registry, begin, open_registry
from editions.registry.acts.held import erase_field
from editions.registry.acts.parties import enter_party
from editions.store import queries
from editions.trade.pieces import Piece
from tests.helpers.chance import Chance
from tests.helpers.stores import PostgreSQLStores
from tests.store.books import copy_rows

PASSPHRASE = "molten but patient"
COST = 2**10
KEPT = "campaign"
WITNESS, WITNESS_KEY, SEEN_AT = "archive.ostrel.example", PrivateKey(b"\x05" * 32), 1_800_000_000


class Quick(demo_story.Shop):
    """The story's shop, which draws no pictures: they take most of the telling's time."""

    def photograph(self, *_: Any, **__: Any) -> None:
        """File no picture."""


class Told(NamedTuple):
    """A book in a folder; the papers and the witness's memory that others keep of it.

    With ``stores`` the book itself lies on PostgreSQL, and the folder has its files and keys.
    """

    folder: Path
    papers: tuple[bytes, ...]
    claims: tuple[Claim, ...]
    memory: Memory
    size: int
    stores: PostgreSQLStores | None = None

    @property
    def papered(self) -> int:
        """Entries before this are covered by the newest paper."""
        return max(claim.size for claim in self.claims)

    @property
    def seen(self) -> Checkpoint:
        """What the witness saw last."""
        return self.memory.last().checkpoint

    def copied(self, to: Path) -> Registry:
        """A copy of the database with its files and keys, opened; the copy before it is gone."""
        shutil.rmtree(to, ignore_errors=True)
        shutil.copytree(self.folder, to)
        if self.stores is None:
            return open_registry(to)
        self.stores.clear()
        return open_registry(self.stores.copy(KEPT), home=to)


def tell(folder: Path) -> Told:
    """Tell the story into a new folder."""
    clock = demo_story.StoryClock()
    registry = begin(
        folder,
        foundry=demo_story.FOUNDRY,
        foundry_place=demo_story.TOWN,
        address=demo_story.ADDRESS,
        passphrase=PASSPHRASE,
        clock=clock,
        random=Chance("campaign"),
        key_cost=COST,
    )

    def certify(pieces: Sequence[str]) -> None:
        issue(registry, pieces, passphrase=PASSPHRASE)

    try:
        demo_story.tell(Quick(registry, clock, certify), lambda _: None)
        _erase(registry)
        certify(["T-0104"])
        _replace(registry)
        _after(registry, 3)
        memory = _witnessed(registry)
        _after(registry, 4)
        return _kept(registry, folder, memory)
    finally:
        registry.close()


def _erase(registry: Registry) -> None:
    """Erase a few held values, so that the book has erasures too."""
    with registry.writing() as writing:
        for code in ("Y-0005", "Y-0006", "Y-0007"):
            (stored, _) = writing.history(code)[0]
            erase_field(
                writing,
                stored.leaf.hex(),
                "contact",
                authority="the hand's own request",
                because="request",
                no_duty=True,
            )


def _replace(registry: Registry) -> None:
    with registry.reading() as reading:
        lost = reading.get(reading.resolve("S-03"), Piece).certificates[-1]
    replace_lost(registry, lost, passphrase=PASSPHRASE)


def _after(registry: Registry, count: int) -> None:
    """A few entries more, in two writings."""
    for at in range(2):
        with registry.writing() as writing:
            for _ in range(count - 1 if at else 1):
                enter_party(writing, "hand", private_name="Orla Fenwick", contact="yard 2")


def _witnessed(registry: Registry) -> Memory:
    """What a witness at another house keeps of the book as it stands."""
    with registry.reading() as reading:
        note = reading.checkpoint()
    key = CosignerKey(WITNESS, WITNESS_KEY.public.raw)
    log = registry.log_verifier().newest
    return Memory(log, key, cosign(note, WITNESS, WITNESS_KEY, SEEN_AT))


def _kept(registry: Registry, folder: Path, memory: Memory) -> Told:
    papers = tuple(path.read_bytes() for path in sorted(registry.home.certificates.glob("*.pdf")))
    claims = tuple(peek_claim(read_attachments(paper)[CLAIM])[0] for paper in papers)
    with registry.reading() as reading:
        size = queries.size(reading.connection)
    return Told(folder, papers, claims, memory, size)


def moved(told: Told, to: Path, stores: PostgreSQLStores) -> Told:
    """The same book on PostgreSQL, row for row, its guards in place."""
    shutil.copytree(told.folder, to, ignore=shutil.ignore_patterns("registry.db*"))
    told_here = open_registry(told.folder)
    copy_rows(told_here, stores.kept(KEPT))
    told_here.close()
    return told._replace(folder=to, stores=stores)
