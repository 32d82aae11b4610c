"""Charging a heat: what goes into the crucible, what melting takes, what comes out.

``melt`` expects the analysis of a planned charge, ``plan`` finds the cheapest charge that keeps an
alloy's limits, ``trim`` mends a melt from its sample, ``learned`` finds the foundry's own losses
from its past heats, ``returns`` follows metal through remelts.  Masses are in kg, analyses in per
cent by weight; ``losses`` holds what melting takes of each element.
"""
