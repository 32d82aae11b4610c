"""What a comparison takes for granted: what a reference is, and how bronze contracts.

Each can be set; the defaults are explained with their source beside every answer.

**Like with like.** A generation is counted from a legitimate cast of the chain, never from the
reference as such.  A documented cast is one; against a *master bronze* a legitimate cast, taken
from it, is already one contraction smaller; against the *model* it is smaller by wax and metal.

>>> reference_kind("original model").name
'model'
>>> Assumptions().contraction
Decimal('2.5')
"""

from __future__ import annotations

from decimal import Decimal

from editions.errors import Unreadable
from editions.rules.explaining import Figures
from editions.trade.text import shown

MOST = Decimal(15)

# Percent.  The middle of 1.5 to 2.7, and half of its half-width: the range as two spreads each way.
MODEL_CONTRACTION = Decimal("2.1")
MODEL_SPREAD = Decimal("0.3")

_DEFAULT_SOURCES = (
    "Contraction of a generation, 2.5 %: the lower end of the 2.5 to 3.18 % found on bronzes copied"
    " from bronzes by lost wax (JAIC 23(1), 1983); a numismatic encyclopedia gives 1 to 4 % a cast"
    " copy."
)
_SPREADS = (
    "Spreads (0.6 % between generations, 0.3 % between casts of one run, 0.3 % between stations):"
    " this book's own, not published; 2.5 % with twice 0.6 % reaches from 1.3 to 3.7 %."
)


class ReferenceKind(Figures, frozen=True, kw_only=True):
    """What the bronze is compared with, and how a legitimate cast stands to it.

    ``smaller_percent`` is how much smaller a legitimate cast is expected to be than the reference,
    ``spread_percent`` the standard deviation of that.
    """

    name: str
    smaller_percent: Decimal
    spread_percent: Decimal
    says: str


class Assumptions(Figures, frozen=True, kw_only=True):
    """Contraction and spreads, in per cent; the spreads are standard deviations.

    ``contraction`` and ``spread`` are those of one generation; ``cast_spread`` lies between casts
    of the same chain and is shared by all stations, ``station_spread`` lies between stations.
    """

    contraction: Decimal = Decimal("2.5")
    spread: Decimal = Decimal("0.6")
    cast_spread: Decimal = Decimal("0.3")
    station_spread: Decimal = Decimal("0.3")
    most_generations: int = 4

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the figures are from, or that they were set by hand."""
        plain = Assumptions()
        own = "Contraction of a generation, {} %: set by hand."
        spreads = "Spreads (generations {} %, casts {} %, stations {} %): set by hand."
        mine = (self.spread, self.cast_spread, self.station_spread)
        same = mine == (plain.spread, plain.cast_spread, plain.station_spread)
        return (
            _DEFAULT_SOURCES
            if self.contraction == plain.contraction
            else own.format(self.contraction),
            _SPREADS if same else spreads.format(*mine),
        )


def check_assumptions(given: Assumptions) -> Assumptions:
    """Return assumptions that can be used.

    Raises:
        Unreadable: A contraction of nothing, a figure above 15 %, or a generation count out of 1
            to 12.
    """
    figures = (given.contraction, given.spread, given.cast_spread, given.station_spread)
    if given.contraction <= 0:
        raise Unreadable(
            "With a contraction of 0 % no generation can be told from another.",
            "Leave out --contraction for 2.5 %.",
        )
    if min(figures) < 0 or max(figures) > MOST:
        raise Unreadable(
            f"A contraction or spread lies outside 0 to {MOST} %.", "Bronze contracts by 1 to 4 %."
        )
    if not 1 <= given.most_generations <= 12:
        raise Unreadable("Generations are looked for from 1 to 12.", "Four are usual.")
    return given


def reference_kind(text: str, assumed: Assumptions | None = None) -> ReferenceKind:
    """Return a kind of reference by its name.

    Raises:
        Unreadable: It is none that a bronze can be compared with.
    """
    plain = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    if plain == "documented cast":
        return _documented()
    if plain == "master bronze":
        return _master(assumed or Assumptions())
    if plain in _MODELS:
        return _model()
    raise Unreadable(
        f"{shown(text)} is no reference that a bronze can be compared with.",
        "Say documented cast, master bronze or model; the best is a documented cast.",
    )


_MODELS = frozenset(
    {"model", "original model", "original", "plaster", "enlargement", "reduction", "scan", "print"}
)


def _documented() -> ReferenceKind:
    return ReferenceKind(
        name="documented cast",
        smaller_percent=Decimal(0),
        spread_percent=Decimal(0),
        says="A documented cast: a legitimate cast of the same chain has its size.",
    )


def _master(assumed: Assumptions) -> ReferenceKind:
    return ReferenceKind(
        name="master bronze",
        smaller_percent=assumed.contraction,
        spread_percent=assumed.spread,
        says=(
            "The master bronze: a legitimate cast taken from it is already one contraction"
            f" ({assumed.contraction} %) smaller, which is counted as generation 0."
        ),
    )


def _model() -> ReferenceKind:
    return ReferenceKind(
        name="model",
        smaller_percent=MODEL_CONTRACTION,
        spread_percent=MODEL_SPREAD,
        says=(
            "The model: a legitimate bronze is already 1.5 to 2.7 % smaller (published, wax and"
            " metal together), which is counted as generation 0. A documented cast tells more."
        ),
    )
