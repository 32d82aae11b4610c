"""The comparison in sentences that can be quoted: "consistent with", never "authentic".

Generation 0 is a legitimate cast of the chain, generation 1 a bronze cast from a mold of one.
"""

from __future__ import annotations

from collections.abc import Sequence

from editions.rules.aftercast.assumptions import ReferenceKind
from editions.rules.aftercast.generations import Generation
from editions.rules.aftercast.scale import Fit

_UNSEEN = (
    "A copy that was scanned and enlarged to offset the contraction measures as generation 0: no"
    " measurement of size can see it."
)
_REDUCED = (
    "A deliberate reduction of the same amount measures alike, and so does a legitimate cast whose"
    " chain passed through one more bronze than the reference's: read the chain in the records."
)
_NEVER = "Size does not tell who cast it, when, or by whose leave."


def counted(generations: Sequence[int]) -> str:
    """Return generations in words: ``generation 0``, ``generations 0 and 1``."""
    return f"generation{'s' if len(generations) > 1 else ''} {_listed(list(map(str, generations)))}"


def verdict(found: Sequence[Generation]) -> str:
    """Return the finding in a few words."""
    fitting = [one.generation for one in found if one.consistent]
    if not fitting:
        return f"inconsistent with every generation from 0 to {found[-1].generation}"
    told = f"consistent with {counted(fitting)}"
    return told if len(fitting) == 1 else f"inconclusive: {told}"


def sentences(
    fitted: Fit, scale: float, interval: tuple[float, float], found: Sequence[Generation]
) -> tuple[str, ...]:
    """Return what was found: the scale, the generations, what that means, what disagrees."""
    smaller = 100 * (1 - scale)
    said = "smaller" if smaller >= 0 else "larger"
    reach = f"95 %: {interval[0]:.4f} to {interval[1]:.4f}"
    measured = f"{scale:.4f} of the reference ({reach}), {abs(smaller):.2f} % {said}"
    lines = [
        f"By {fitted.stations} stations the bronze is {measured}.",
        f"It is {verdict(found)}{_meaning(fitted.beta, found)}",
    ]
    against = [one.generation for one in found if not one.consistent]
    if against and len(against) < len(found):
        lines.append(f"It is inconsistent with {counted(against)}.")
    if fitted.chance < 0.05:
        lines.append(
            f"The stations disagree more than their uncertainties allow (chi2 {fitted.chi2:.2f} on"
            f" {fitted.freedom}); the interval is widened by {max(1.0, fitted.birge):.2f}."
        )
    return tuple(lines)


def set_aside(names: Sequence[str], without: Sequence[Generation]) -> str:
    """Return what the outlying stations change."""
    lie, them = ("lies", "it") if len(names) == 1 else ("lie", "them")
    return (
        f"{_listed(names)} {lie} apart from the other stations: a joint, a bent limb, a misread"
        f" figure? Without {them} the bronze is {verdict(without)}."
    )


def cannot_see(found: Sequence[Generation], kind: ReferenceKind, count: int) -> tuple[str, ...]:
    """Return what this comparison cannot tell, whatever it found."""
    fitting = [one.generation for one in found if one.consistent]
    lines = []
    if 0 in fitting or not fitting:
        lines.append(_UNSEEN)
    if any(fitting):
        lines.append(_REDUCED)
    if kind.name == "model":
        lines.append("Clay and wax change before they are molded; a model is a weak reference.")
    if count < 5:
        lines.append(
            f"{count} stations are few: the finding leans on the spreads assumed. Five or more, not"
            " across joints, tell better."
        )
    return (*lines, _NEVER)


def _meaning(beta: float, found: Sequence[Generation]) -> str:
    """Return what the set means, as the end of its sentence."""
    fitting = [one.generation for one in found if one.consistent]
    if fitting == [0]:
        return ": as large as a legitimate cast of this chain."
    if len(fitting) == 1:
        return ": as small as a bronze cast from a mold of a bronze."
    if fitting:
        return "; the contractions are too uncertain, or the stations too few, to tell them apart."
    if beta > 0 or found[0].z > 0:
        return (
            ": larger than a legitimate cast. An enlargement, a larger source, another reference?"
        )
    if found[-1].z < 0:
        return ": smaller than generations explain. A reduction, or another model?"
    return ": between two of them. Look at the stations, the reference and the contraction."


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
