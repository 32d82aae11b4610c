"""Points and directions in space: x to the right, y up, z towards the viewer.  No unit but height.

>>> cross((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
(0.0, 0.0, 1.0)
"""

from __future__ import annotations

from math import sqrt

Vector = tuple[float, float, float]


def plus(a: Vector, b: Vector, times: float = 1.0) -> Vector:
    """Return ``a + times * b``."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def minus(a: Vector, b: Vector) -> Vector:
    """Return ``a - b``."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def dot(a: Vector, b: Vector) -> float:
    """Return the inner product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector that stands upright on both."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vector) -> Vector:
    """Return the direction of a vector; upwards for one without length."""
    length = sqrt(dot(a, a))
    return (a[0] / length, a[1] / length, a[2] / length) if length > 1e-12 else (0.0, 1.0, 0.0)


def between(a: Vector, b: Vector, part: float) -> Vector:
    """Return the point ``part`` of the way from ``a`` to ``b``."""
    return plus(a, minus(b, a), part)


def step(low: float, high: float, value: float) -> float:
    """Return 0 below ``low``, 1 above ``high``, and a smooth rise between."""
    part = min(1.0, max(0.0, (value - low) / (high - low)))
    return part * part * (3 - 2 * part)
