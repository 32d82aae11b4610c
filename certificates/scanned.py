"""Which certificate a scan is of, as far as a code in it can be read.

A sheet that was signed in ink may bear the code of the paper, or be a paper that was drawn.  Where
one can be read and names another number than the one asked about, the wrong file was chosen; a scan
without a code says nothing either way.

>>> numbers_in(b"%PDF-1.7, of no certificate")
()
"""

from __future__ import annotations

from certificates.carried import read_carried
from certificates.claim import read_code_text
from certificates.qr import read_picture
from editions.errors import BronzebookError, Refused
from editions.trade.numbers import show_number

_PDF = b"%PDF-"


def refuse_another(scan: bytes, number: str) -> None:
    """Refuse a scan whose code is that of other certificates alone.

    Raises:
        Refused: If codes can be read in it, and none is of ``number``.
    """
    found = numbers_in(scan)
    if found and number not in found:
        named = " and ".join(map(show_number, found))
        raise Refused(
            f"The scan bears the code of {named}, not of {show_number(number)}.",
            f"Name the scan of {show_number(number)}, or the number of this one.",
        )


def numbers_in(scan: bytes) -> tuple[str, ...]:
    """The numbers of the codes that can be read in a scan; none where it bears none."""
    try:
        if scan.startswith(_PDF):
            return (read_carried(scan).claim.number,)
        texts = read_picture(scan)
    except BronzebookError:
        return ()
    return tuple(sorted(set(filter(None, map(_number, texts)))))


def _number(text: str) -> str | None:
    try:
        return read_code_text(text).number
    except BronzebookError:
        return None
