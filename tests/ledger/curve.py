"""Edwards25519 by its definition (RFC 8032, 5.1): enough to multiply a point, and slow."""

from __future__ import annotations

PRIME = 2**255 - 19
D = -121665 * pow(121666, -1, PRIME) % PRIME
# The order of the base point (RFC 8032, 5.1).
ORDER = 2**252 + 27742317777372353535851937790883648493

Point = tuple[int, int]
NEUTRAL: Point = (0, 1)


def add(a: Point, b: Point) -> Point:
    """The sum of two points, by the complete addition law of the curve."""
    (x1, y1), (x2, y2) = a, b
    cross = D * x1 * x2 * y1 * y2 % PRIME
    x = (x1 * y2 + x2 * y1) * pow(1 + cross, -1, PRIME)
    y = (y1 * y2 + x1 * x2) * pow(1 - cross, -1, PRIME)
    return x % PRIME, y % PRIME


def times_eight(a: Point) -> Point:
    for _ in range(3):
        a = add(a, a)
    return a


def point(raw: bytes) -> Point:
    """The point of 32 bytes (RFC 8032, 5.1.3); its sign is left aside."""
    y = (int.from_bytes(raw, "little") & (2**255 - 1)) % PRIME
    square = (y * y - 1) * pow(D * y * y + 1, -1, PRIME) % PRIME
    root = pow(square, (PRIME + 3) // 8, PRIME)
    if root * root % PRIME != square:
        root = root * pow(2, (PRIME - 1) // 4, PRIME) % PRIME
    assert root * root % PRIME == square, "not a point of the curve"
    return root, y
