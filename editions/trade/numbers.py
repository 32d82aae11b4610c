"""Certificate numbers: ten random characters and one that checks them.

The alphabet is Crockford's base 32 (no I, L, O or U).  Ten characters carry 50 random bits; the
eleventh is the ISO 7064 mod 37-2 check character over the standard's own alphabet 0-9A-Z, in which
J is 19 and Z is 35.  A payload whose check character would fall outside the number's alphabet
(``*``, I, L, O, U) is discarded when numbers are made and refused when they are read.

A number is kept bare and shown in groups.  Reading takes any case, spaces and hyphens, I and L as
1 and O as 0.  Every single wrong character and every swap of neighbours is found.

>>> show_number(read_number("ol23-4567-89a"))
'0123 4567 89A'
"""

from __future__ import annotations

from collections.abc import Callable
from operator import mul

from editions.errors import MachineRefused, Unreadable
from editions.trade.text import shown

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 11

_STANDARD = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_VALUE = {character: value for value, character in enumerate(_STANDARD)}
_WEIGHTS = tuple(2**at % 37 for at in range(LENGTH - 1, 0, -1))
_KNOWN = frozenset(ALPHABET)
_TYPED = str.maketrans("ILO", "110", " -")

# Five in 37 payloads are discarded; a source that fails this often in a row is broken.
_TRIES = 200


def make_number(random: Callable[[int], bytes]) -> str:
    """Return a new certificate number.

    Args:
        random: Gives as many random bytes as asked for, such as ``os.urandom``.

    Raises:
        MachineRefused: The random source keeps giving payloads that no number can have.
    """
    for _ in range(_TRIES):
        payload = _payload(int.from_bytes(random(7), "big"))
        check = check_character(payload)
        if check in ALPHABET:
            return payload + check
    raise MachineRefused("The machine's random source is not random.", "Use another machine.")


def check_character(payload: str) -> str:
    """Return the ISO 7064 mod 37-2 check character, which may lie outside the alphabet."""
    remainder = sum(map(mul, map(_VALUE.__getitem__, payload), _WEIGHTS))
    return _STANDARD[(1 - remainder) % 37]


def read_number(text: str) -> str:
    """Read a certificate number as typed or read aloud.

    Raises:
        Unreadable: Not eleven characters of the alphabet, or the check character disagrees.
    """
    if _is_kept(text):
        return text
    number = text.strip().upper().translate(_TYPED) if text.isascii() else ""
    strange = sorted(set(number) - _KNOWN)
    if len(number) != LENGTH or strange:
        _refuse(text, number, strange)
    if check_character(number[:-1]) != number[-1]:
        raise Unreadable(
            f"{show_number(number)} is not a certificate number: its last character does not"
            " agree with the others.",
            "A character was probably mistyped; compare it with the paper.",
        )
    return number


def _is_kept(text: str) -> bool:
    """Whether a text is a number as it is kept, as nearly every one is that a code brings."""
    return (
        len(text) == LENGTH and _KNOWN.issuperset(text) and check_character(text[:-1]) == text[-1]
    )


def show_number(number: str) -> str:
    """Return a number in groups for the eye: 4, 4 and 3."""
    return f"{number[:4]} {number[4:8]} {number[8:]}"


def _refuse(text: str, number: str, strange: list[str]) -> None:
    """Raise for what has not the shape of a number."""
    if len(number) == LENGTH:
        why = f"it holds {' '.join(strange)}"
    else:
        why = f"a number has {LENGTH} characters"
    raise Unreadable(
        f"{shown(text)} is not a certificate number: {why}.",
        "Compare it with the paper; numbers hold digits and letters, never I, L, O or U.",
    )


def _payload(bits: int) -> str:
    """Return the ten characters of the lowest 50 bits."""
    return "".join(ALPHABET[bits >> shift & 31] for shift in range(45, -1, -5))
