"""The parts that a piece's state is made of: sections, steps, defects, approvals, colour, marks."""

from __future__ import annotations

from editions.trade.casting import ApprovalHow, ApprovalOf, Ending, How
from editions.trade.kinds import Line
from editions.trade.statement import MarkLine


class Attempt(Line, frozen=True, kw_only=True):
    """A casting of a section that was scrapped: its wax, heat, and how its end is proven."""

    wax: str | None
    heat: str | None
    on: str
    ending: Ending


class PieceSection(Line, frozen=True, kw_only=True):
    """A section of the piece: its wax, mold and pull, the number cut in the wax, its heat."""

    name: str
    wax: str | None = None
    mold: str | None = None
    pull: int | None = None
    number: str | None = None
    heat: str | None = None
    poured: str | None = None
    scrapped: tuple[Attempt, ...] = ()


class Step(Line, frozen=True, kw_only=True):
    """One step as recorded.

    ``lost`` names sections that were scrapped since: for them the step no longer counts.
    """

    step: str
    on: str
    section: str | None = None
    coat: int | None = None
    hand: str | None = None
    how: How = "done"
    declared_by: str | None = None
    lost: tuple[str, ...] = ()

    def covers(self, section: str) -> bool:
        """Whether the step counts for a section as it stands now."""
        return self.section in (None, section) and section not in self.lost


class Defect(Line, frozen=True, kw_only=True):
    """A defect as found."""

    defect_class: str
    name: str
    section: str | None
    on: str


class Approval(Line, frozen=True, kw_only=True):
    """An approval or a refusal as given; ``lapsed`` once a section was scrapped after it."""

    of: ApprovalOf
    party: str
    how: ApprovalHow
    approved: bool
    on: str
    lapsed: bool = False


class Colour(Line, frozen=True, kw_only=True):
    """Colour as applied, in open words."""

    recipe: str | None
    version: int | None
    words: str
    on: str
    hand: str | None = None


class Mark(Line, frozen=True, kw_only=True):
    """A mark as found, with its canonical reading where it has one."""

    line: MarkLine
    number: str | None
    on: str
    photograph: str | None = None
