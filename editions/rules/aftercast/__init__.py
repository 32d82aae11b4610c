"""Is a bronze as large as it should be?  A comparison with a reference, station by station.

A bronze cast from a mold of a bronze is smaller than it, by contraction.  Lengths at named stations
give a scale with an interval, the scale a *set* of generations it is consistent with: none, one, or
several.  The answer never says more than the measurements do, and names what they cannot see.
Weight and marks stand apart, as weaker lines.

>>> from editions.trade.stations import read_station
>>> lengths = {"tail": ("300", "292.6"), "beak": ("210", "204.5"), "foot": ("152", "148.4")}
>>> def stations(n):
...     words = (f"{name}={pair[n]}mm±0.15mm" for name, pair in lengths.items())
...     return tuple(map(read_station, words))
>>> told = compare(
...     Measured(stations=stations(1)), Measured(stations=stations(0)), "documented cast"
... )
>>> told.estimate.verdict
'consistent with generation 1'
"""

from editions.rules.aftercast.assumptions import Assumptions, ReferenceKind, reference_kind
from editions.rules.aftercast.comparing import Comparison, Estimate, Measured, StationRead, compare
from editions.rules.aftercast.generations import Generation

__all__ = [
    "Assumptions",
    "Comparison",
    "Estimate",
    "Generation",
    "Measured",
    "ReferenceKind",
    "StationRead",
    "compare",
    "reference_kind",
]
