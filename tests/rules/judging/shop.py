"""An invented foundry at work: short ways to the states that judges are asked about."""

from __future__ import annotations

from msgspec.structs import replace

from editions.trade.casting import (
    ApprovalGiven,
    ColourApplied,
    Ending,
    PieceReleased,
    PieceScrapped,
    PieceStarted,
    SectionScrapped,
    SectionTaken,
    StepDone,
)
from editions.trade.certificates import (
    CertificateDrawn,
    CertificateIssued,
    CertificateReported,
    CertificateWithdrawn,
)
from editions.trade.heats import HeatCharged, HeatPoured, Shell
from editions.trade.molds import Mold, MoldMade
from editions.trade.paper import Paper
from editions.trade.parties import AuthorityGiven, PartyEntered
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration, NumberGiven, RunDeclared
from editions.trade.statement import ProofSeries, RunLine, Statement
from editions.trade.waxes import Wax, WaxPulled
from editions.trade.works import ModelEntered, WorkEntered
from tests.rules.judging.memory_desk import DAY, MemoryDesk

FOUNDRY, ARTIST, ESTATE, HAND, WITNESS = "Y-0001", "Y-0002", "Y-0003", "Y-0004", "Y-0005"
WORK, MODEL, RUN, MOLD, HEAT = "K-0001", "D-0001", "R-0001", "M-0001", "H-0001"
OTHER_WORK, OTHER_RUN, OTHER_MOLD = "K-0002", "R-0002", "M-0002"

DECLARED = Declaration(
    work=WORK,
    model=MODEL,
    size=8,
    proofs=(ProofSeries(series="AP", count=4, numerals="roman"),),
    alloy="C87300",
    authorised_by=ARTIST,
)
APPROVED = ApprovalGiven(of="metal", party=ARTIST, how="in person")
BROWN = ColourApplied(words="brown over green")
BROKEN = Ending(evidence="broken up and charged to the next heat", witness=WITNESS)

# Certificate numbers whose check characters were computed by python-stdnum's ISO 7064 mod 37-2.
NUMBERS = ("0123456789A", "00000000001", "ZZZZZZZZZZN", "AAAAAAAAAA2")


DRAWN = CertificateDrawn(pdf="a" * 64, page="A4", claim="b" * 64, size=40_000)
WITHDRAWN = CertificateWithdrawn(because="issued in error")
LOST, STOLEN = CertificateReported(because="lost"), CertificateReported(because="stolen")


class Shop(MemoryDesk):
    """A foundry with an artist, a work, a run of 8 + 4 AP, a mold, and a heat in the crucible."""

    def __init__(self) -> None:
        super().__init__()
        self.people()
        self.enter(WORK, WorkEntered(artist=ARTIST, title="Heron"), "2025")
        self.enter(MODEL, ModelEntered(work=WORK, stage="original"), "2025")
        self.enter(RUN, RunDeclared(declared=DECLARED), "2026-01-05")
        self.mold(MOLD, MODEL)
        self.enter(HEAT, HeatCharged(number="26-001", alloy="C87300"), "2026-01-05")

    def people(self) -> None:
        for code, facts in (
            (FOUNDRY, PartyEntered(roles=("foundry",), name="Harrow Lane Bronze")),
            (ARTIST, PartyEntered(roles=("artist",), name="Ilse Varga", born="1931")),
            (ESTATE, PartyEntered(roles=("estate",), name="Estate of Ilse Varga")),
            (HAND, PartyEntered(roles=("hand",), private_name="Tomas Brandl")),
            (WITNESS, PartyEntered(roles=("witness",))),
        ):
            self.enter(code, facts, "2025")

    def authority(self, begins: str = "2025", until: str | None = None) -> None:
        self.enter(
            ESTATE,
            AuthorityGiven(
                artist=ARTIST,
                capacity="representative",
                document="letter",
                begins=begins,
                until=until,
            ),
            "2025",
        )

    def other_work(self) -> None:
        """A second work of the same artist, with its run and mold."""
        self.enter(OTHER_WORK, WorkEntered(artist=ARTIST, title="Otter"), "2025")
        self.enter("D-0002", ModelEntered(work=OTHER_WORK, stage="original"), "2025")
        declared = replace(DECLARED, work=OTHER_WORK, model="D-0002")
        self.enter(OTHER_RUN, RunDeclared(declared=declared), "2026-01-05")
        self.mold(OTHER_MOLD, "D-0002")

    def run(self, code: str, **changes: object) -> None:
        self.enter(code, RunDeclared(declared=replace(DECLARED, **changes)), "2026-01-05")

    def mold(
        self,
        code: str,
        taken_from: str,
        generation: int = 0,
        sections: tuple[str, ...] = ("whole",),
        on: str = "2026-01-06",
    ) -> None:
        facts = MoldMade(
            taken_from=taken_from, generation=generation, sections=sections, material="silicone"
        )
        self.enter(code, facts, on)

    def pull(
        self,
        wax: str,
        run: str | None = RUN,
        mold: str = MOLD,
        section: str = "whole",
        on: str = DAY,
    ) -> tuple[str, ...]:
        found = self.get(mold, Mold).section(section)
        assert found is not None
        facts = WaxPulled(section=section, mold=mold, pull=found.pulls + 1, run=run)
        return self.enter(wax, facts, on)

    def start(
        self, piece: str, run: str = RUN, sections: tuple[str, ...] = ("whole",), on: str = DAY
    ) -> None:
        self.enter(piece, PieceStarted(run=run, sections=sections), on)

    def taking(self, wax: str, section: str = "whole") -> SectionTaken:
        """The facts by which a wax becomes a section."""
        taken = self.get(wax, Wax)
        return SectionTaken(
            section=section, wax=wax, mold=taken.mold, pull=taken.pull, number=taken.number
        )

    def take(self, piece: str, wax: str, section: str = "whole") -> tuple[str, ...]:
        return self.enter(piece, self.taking(wax, section))

    def shell(self, piece: str, section: str | None = None, on: str = DAY) -> None:
        """Shelled, dewaxed and fired, as far as the record must go."""
        for step in ("shelled", "dewaxed", "fired"):
            self.enter(piece, StepDone(step=step, section=section), on)

    def ready(self, piece: str, run: str = RUN, mold: str = MOLD) -> None:
        """A piece in one section, its shell fired."""
        wax = piece.replace("P-", "W-")
        self.start(piece, run)
        self.pull(wax, run, mold)
        self.take(piece, wax)
        self.shell(piece)

    def pouring(self, *shells: str, run: str | None = RUN) -> HeatPoured:
        """The facts of a pour: ``P-0001`` or ``P-0001/head``."""
        parts = (shell.partition("/") for shell in shells)
        return HeatPoured(
            shells=tuple(Shell(piece=p, section=s or "whole", run=run) for p, _, s in parts)
        )

    def pour(self, *shells: str, run: str | None = RUN, heat: str = HEAT, on: str = DAY) -> None:
        self.enter(heat, self.pouring(*shells, run=run), on)

    def cast(
        self, piece: str, number: str | None = None, run: str = RUN, mold: str = MOLD
    ) -> Piece:
        """A poured piece, with its number where one is named."""
        self.ready(piece, run, mold)
        self.pour(piece, run=run)
        if number:
            self.enter(run, NumberGiven(piece=piece, designation=number))
        return self.get(piece, Piece)

    def trial(self, piece: str) -> Piece:
        """A trial cast of the run, poured; it counts for no run."""
        self.enter(piece, PieceStarted(run=RUN, purpose="trial"))
        self.pull(piece.replace("P-", "W-"))
        self.take(piece, piece.replace("P-", "W-"))
        self.shell(piece)
        self.pour(piece, run=None)
        return self.get(piece, Piece)

    def approve(self, piece: str, *of: str, on: str = DAY) -> None:
        for what in of:
            facts = replace(APPROVED, of=what)
            self.enter(piece, facts, on)

    def finish(self, piece: str, number: str | None, run: str = RUN, mold: str = MOLD) -> None:
        """Cast, numbered, approved, coloured and approved in colour."""
        self.cast(piece, number, run, mold)
        self.approve(piece, "metal")
        self.enter(piece, ColourApplied(words="brown over green"))
        self.approve(piece, "colour")

    def scrap(self, piece: str, section: str | None = None, on: str = DAY) -> tuple[str, ...]:
        if section is None:
            return self.enter(piece, PieceScrapped(ending=BROKEN), on)
        return self.enter(piece, SectionScrapped(section=section, ending=BROKEN), on)

    def release(self, piece: str, on: str = DAY) -> None:
        self.enter(piece, PieceReleased(), on)

    def certificate(
        self,
        piece: str | None,
        number: str = NUMBERS[0],
        paper: Paper = "finished",
        **changes: object,
    ) -> CertificateIssued:
        """The facts that issue a certificate of a piece, as the book holds it."""
        state = self.get(piece, Piece) if piece else None
        statement = Statement(
            paper=paper,
            number=number,
            issued=DAY,
            artist="Ilse Varga",
            title="Heron",
            piece=piece,
            designation=state.number if state else None,
            foundry="Harrow Lane Bronze",
        )
        of_statement = {k: v for k, v in changes.items() if k in Statement.__struct_fields__}
        own = {k: v for k, v in changes.items() if k not in of_statement}
        facts = CertificateIssued(
            number=number,
            statement=replace(statement, **of_statement),
            record="0" * 64,
            piece=piece,
            run=state.run if state else None,
        )
        return replace(facts, **own)

    def certify(self, piece: str, number: str = NUMBERS[0], paper: Paper = "finished") -> None:
        self.enter(number, self.certificate(piece, number, paper))


def with_run(statement: Statement, code: str) -> Statement:
    return replace(statement, run=RunLine(code=code, size=8))
