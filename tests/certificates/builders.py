"""Certificates made for tests: statements, a small book around one, keys, a seal, a paper.

The foundry, artists and works are invented.  Other rooms may use these too.
"""

from __future__ import annotations

import functools
import hashlib
import io
from typing import Any

import msgspec
from PIL import Image, ImageDraw

from certificates.claim import Claim, Seal, claim_of, sign_claim
from certificates.credential import build, to_bytes
from certificates.keyfile import PublicKeyEntry
from certificates.layout import Page
from certificates.pdf import draw
from certificates.proofset import add_proof
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.envelope import Entry, encode, leaf_of
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import Frontier, inclusion_proof, leaf_hash
from editions.trade.numbers import make_number
from editions.trade.quantities import Quantity
from editions.trade.statement import (
    Assertion,
    HeatLine,
    MarkLine,
    MoldLine,
    ProofSeries,
    RunLine,
    SectionLine,
    Statement,
    Station,
)
from tests.helpers.chance import Chance

ORIGIN = "hollow-oak.example/book"
ADDRESS = "https://record.hollow-oak.example"
FOUNDRY_KEY = PrivateKey(hashlib.sha256(b"the certifying key of a test").digest())
LOG_KEY = PrivateKey(hashlib.sha256(b"the log key of a test").digest())
OTHER_KEY = PrivateKey(hashlib.sha256(b"a key of nobody").digest())
NUMBER = make_number(Chance("certificate"))


@functools.cache
def photograph() -> bytes:
    """A small JPEG of a figure on a base."""
    picture = Image.new("RGB", (360, 440), (214, 208, 198))
    pencil = ImageDraw.Draw(picture)
    pencil.ellipse((130, 70, 225, 170), fill=(80, 58, 36))
    pencil.polygon([(150, 160), (208, 160), (256, 360), (104, 360)], fill=(92, 66, 40))
    pencil.rectangle((92, 360, 268, 392), fill=(40, 36, 32))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=85)
    return out.getvalue()


def verifier(key: PrivateKey, name: str = ORIGIN) -> str:
    """The public text of a key."""
    return str(VerifierKey(name, key.public.raw))


def foundry_keys(key: PrivateKey = FOUNDRY_KEY, name: str = ORIGIN) -> tuple[PublicKeyEntry, ...]:
    """The foundry's key as a person brings it along."""
    return (PublicKeyEntry(use="foundry", key=verifier(key, name)),)


USUAL = Statement(
    paper="finished",
    number=NUMBER,
    issued="2026-11-24",
    artist="Ilse Varga",
    artist_life="born 1961, Pécs",
    title="Standing Woman with Lowered Eyes",
    piece="P-0412",
    designation="3/8",
    run=RunLine(
        code="R-0017",
        size=8,
        proofs=(ProofSeries(series="AP", count=4, numerals="roman"),),
        edition_class="original",
        scale="1:1",
        says=(
            Assertion(
                text="No more than 8 and 4 proofs will be cast, at this or any other scale.",
                by="Ilse Varga, artist",
            ),
        ),
    ),
    foundry="Hollow Oak Foundry",
    foundry_place="Marrowby",
    cast="2026",
    route="Lost wax, ceramic shell",
    alloy="Silicon bronze, UNS C87300",
    heats=(
        HeatLine(
            number="26-041",
            alloy="C87300",
            poured="2026-10-02",
            verdict="within the limits of ASTM B584-14",
        ),
    ),
    stations=(
        Station(
            name="Height",
            length=Quantity("450", "mm"),
            base="without",
            uncertainty=Quantity("0.5", "mm"),
        ),
        Station(name="Height", length=Quantity("492", "mm"), base="with"),
        Station(name="Width at the shoulders", length=Quantity("5 3/16", "in"), base="without"),
    ),
    mass=Quantity("12.4", "kg"),
    marks=(
        MarkLine(text="Varga 3/8", place="back of the base, left", method="stamped in the wax"),
        MarkLine(text="HOLLOW OAK", place="under the base", method="struck in the metal"),
    ),
    colour="Transparent brown over a warm ground, green in the hollows; paste wax.",
    molds=(
        MoldLine(
            code="M-0007",
            material="silicone, two sections",
            taken_from="the artist’s plaster",
            generation=1,
        ),
    ),
    approvals=(
        Assertion(text="Approved in metal, in person, 20 November 2026", by="Ilse Varga, artist"),
    ),
    photograph=hashlib.sha256(photograph()).hexdigest(),
)

MINIMAL = Statement(
    paper="finished",
    number=NUMBER,
    issued="2026-11-24",
    artist="Ilse Varga",
    title="Hand",
    foundry="Hollow Oak Foundry",
)

RAW_METAL = msgspec.structs.replace(USUAL, paper="raw_metal", colour=None, photograph=None)

RESERVATION = msgspec.structs.replace(
    MINIMAL,
    paper="reservation",
    designation="5/8",
    run=USUAL.run,
    route=USUAL.route,
    alloy=USUAL.alloy,
)

FROM_OBJECT = msgspec.structs.replace(
    MINIMAL,
    paper="from_object",
    artist="Ansgar Thorvik",
    artist_life="1874–1939",
    title="Torso of a Swimmer",
    designation="2 / 6?",
    designation_note="as found on the metal",
    cast="../1939",
    stations=USUAL.stations[:1],
    marks=USUAL.marks,
    photograph=USUAL.photograph,
)

# Thirty sections, twelve heats, twenty stations, a title of six hundred characters.
EXTREME = msgspec.structs.replace(
    USUAL,
    artist="Maximiliana Aleksandra Konstantinopolska-Wierzbicka von Hohenfels, with Đorđe Ćirić",
    title="Ἀφροδίτη ἀναδυομένη, or the Title that Remembers Everyone in the Yard " * 8 + "静物",
    sections=tuple(
        SectionLine(
            name=f"Section {at}, arm from shoulder to wrist",
            mold=f"M-{at:04d}",
            pull=at,
            heat=f"26-{40 + at % 12:03d}",
        )
        for at in range(30)
    ),
    heats=tuple(
        HeatLine(number=f"26-{40 + at:03d}", alloy="C87300", poured="2026-10-02", verdict="within")
        for at in range(12)
    ),
    stations=tuple(
        Station(
            name=f"Station {at}, from the heel to the mark",
            length=Quantity(str(400 + at * 37), "mm"),
            base="without" if at % 2 else "with",
        )
        for at in range(20)
    ),
    remarks=("W" * 300, "A remark that goes on. " * 40),
)

STATEMENTS = {
    "usual": USUAL,
    "minimal": MINIMAL,
    "raw metal": RAW_METAL,
    "reservation": RESERVATION,
    "from the object": FROM_OBJECT,
    "extreme": EXTREME,
}


class Sealed(msgspec.Struct, frozen=True, kw_only=True):
    """A statement with all that proves it."""

    statement: Statement
    claim: Claim
    seal: Seal
    proof: ProofFile

    def replaced(self, **changes: Any) -> Sealed:
        """The same with fields of the seal replaced."""
        return msgspec.structs.replace(self, seal=msgspec.structs.replace(self.seal, **changes))


def entry_of(statement: Statement, **changes: Any) -> bytes:
    """The bytes of the entry that issues a certificate with this statement."""
    fields: dict[str, Any] = {
        "id": "0" * 31 + "1",
        "batch": "0" * 31 + "2",
        "at": "2026-11-24T16:20:00Z",
        "by": "Y-0001",
        "kind": "certificate_issued",
        "on": "2026-11-24",
        "subject": statement.number,
        "facts": {
            "number": statement.number,
            "statement": msgspec.to_builtins(statement),
            "record": "0" * 64,
        },
        "held": {},
        "source": None,
    }
    return encode(Entry(**(fields | changes)))


def sealed(
    statement: Statement = USUAL,
    *,
    entry: bytes | None = None,
    before: int = 5,
    after: int = 7,
    key: PrivateKey = FOUNDRY_KEY,
    **claimed: Any,
) -> Sealed:
    """A statement in a book of ``before + 1 + after`` entries, claimed, signed and proved.

    The credential bears the foundry's proof alone.  ``claimed`` replaces fields of the claim before
    it is signed.
    """
    entry = entry_of(statement) if entry is None else entry
    leaves = [leaf_hash(b"an entry before") for _ in range(before)]
    leaves += [leaf_of(entry), *(leaf_hash(b"an entry after") for _ in range(after))]
    frontier, nodes = Frontier(0, ()).grown(leaves)
    stored = {(node.level, node.index): node.hash for node in nodes}
    hashes = inclusion_proof(before, len(leaves), lambda places: [stored[at] for at in places])
    note = sign_checkpoint(Checkpoint(ORIGIN, len(leaves), frontier.root()), LOG_KEY)
    proof = ProofFile(before, tuple(hashes), note)
    claim = claim_of(
        statement,
        leaf=leaf_of(entry),
        index=before,
        size=len(leaves),
        root=frontier.root(),
        origin=ORIGIN,
    )
    credential = add_proof(build(statement, claim, key.public.raw), key, "2026-11-24T16:20:00Z")
    claim = msgspec.structs.replace(claim, **claimed)
    seal = Seal(
        claim=sign_claim(claim, key),
        address=ADDRESS,
        entry=entry,
        proof=str(proof),
        log_key=verifier(LOG_KEY),
        foundry_key=verifier(key),
        credential=to_bytes(credential),
    )
    return Sealed(statement=statement, claim=claim, seal=seal, proof=proof)


def paper(made: Sealed, page: Page = "A4") -> bytes:
    """The certificate's PDF, with the photograph where the statement names it."""
    return _paper(made, page)


@functools.lru_cache(maxsize=64)
def _paper(made: Sealed, page: Page) -> bytes:
    picture = photograph() if made.statement.photograph else None
    return draw(made.statement, made.seal, picture, page)
