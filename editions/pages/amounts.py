"""Lengths and masses in a language: as typed, with the units that others measure in beside them.

>>> from editions.pages.tongues import english
>>> measured(english(), read_quantity("450 mm", "length")).replace("\u00a0", " ")
'450 mm (17.72 in)'
"""

from __future__ import annotations

from certificates import wording
from editions.pages.tongues import Tongue
from editions.trade.quantities import Quantity, read_quantity


def measured(tongue: Tongue, quantity: Quantity) -> str:
    """A quantity as typed, its other units in brackets."""
    others = wording.other_units(quantity)
    told = [tongue.in_unit(quantity.to(unit, places), unit) for unit, places in others]
    return f"{typed(tongue, quantity)} ({', '.join(told)})"


def typed(tongue: Tongue, quantity: Quantity) -> str:
    """A quantity as typed, with the decimal mark of the language."""
    return tongue.in_unit(quantity.value, quantity.unit)


def read(text: str) -> Quantity:
    """A length or a mass from its text.

    Raises:
        Unreadable: If it is neither.
    """
    unit = text.rpartition(" ")[2]
    return read_quantity(text, "mass" if unit in ("g", "kg", "oz", "lb") else "length")
