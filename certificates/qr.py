"""The printed code: drawing it as a matrix, and finding it in a picture.

The text is split into alphanumeric segments and bytes (ISO/IEC 18004, 7.4), so that an address in
capitals and base32 cost 5.5 bits a letter and only the ``#`` a whole byte.  Error correction is
level M.  A dense code takes one fixed mask: choosing the best of eight costs four times as much and
changes nothing that a reader notices; a short one keeps the automatic choice.

>>> matrix("HTTPS://RECORD.EXAMPLE/C/0123456789A").size
29
"""

from __future__ import annotations

import io
import re
import struct
import warnings
import zlib
from typing import TYPE_CHECKING

import msgspec

from editions.errors import FileUnusable, Unreadable

if TYPE_CHECKING:
    from PIL import Image

QUIET = 4

_SEGMENTS = re.compile(r"(?P<capital>[0-9A-Z $%*+\-./:]+)|[^0-9A-Z $%*+\-./:]+")
_DENSE = 200
_MASK = 3
_PICTURE_BYTES = 64 * 1024 * 1024
_PICTURE_PIXELS = 100_000_000
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP")
_REMEDY = "Give a photograph or scan as JPEG or PNG."


class Matrix(msgspec.Struct, frozen=True):
    """The modules of a code without its quiet zone, row by row; true is dark."""

    rows: tuple[tuple[bool, ...], ...]

    @property
    def size(self) -> int:
        """Modules to a side."""
        return len(self.rows)

    def dark_runs(self) -> tuple[tuple[int, int, int], ...]:
        """Every horizontal run of dark modules as (row, first column, length)."""
        return tuple(
            (row, found.start(), len(found.group()))
            for row, line in enumerate(self.rows)
            for found in re.finditer("1+", "".join("1" if dark else "0" for dark in line))
        )


def matrix(text: str) -> Matrix:
    """The code that carries a text.

    Raises:
        Unreadable: If the text is empty or too long for any code.
    """
    if not text:
        raise Unreadable("A code cannot carry nothing.")
    from qrcode.constants import ERROR_CORRECT_M
    from qrcode.exceptions import DataOverflowError
    from qrcode.main import QRCode
    from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, QRData

    mask = _MASK if len(text) > _DENSE else None
    code = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET, mask_pattern=mask)
    for found in _SEGMENTS.finditer(text):
        mode = MODE_ALPHA_NUM if found["capital"] else MODE_8BIT_BYTE
        code.add_data(QRData(found.group().encode(), mode=mode))
    try:
        code.make(fit=True)
    except (DataOverflowError, ValueError):
        raise Unreadable("The text is too long for a code.", "Shorten the address.") from None
    return Matrix(tuple(tuple(map(bool, row)) for row in code.modules))


def read_picture(data: bytes) -> list[str]:
    """The texts of every QR code in a picture, in the order found; empty where there is none.

    Raises:
        FileUnusable: If it is not a picture, is damaged, or is too large.
    """
    import zxingcpp

    picture = open_picture(data)
    try:
        grey = picture.convert("L")
    except _DECODING_FAULTS as fault:
        raise FileUnusable("The picture is damaged.", _REMEDY) from fault
    found = zxingcpp.read_barcodes(grey, formats=zxingcpp.barcode_formats_from_str("QRCode"))
    return [code.text for code in found if code.valid]


def open_picture(data: bytes) -> Image.Image:
    """A picture, opened but not yet decoded; judged by content, not by name.

    Raises:
        FileUnusable: If it is not a picture, or is too large.
    """
    from PIL import Image

    if len(data) > _PICTURE_BYTES:
        raise FileUnusable("The picture is larger than 64 MB.", _REMEDY)
    try:
        with warnings.catch_warnings(action="ignore", category=Image.DecompressionBombWarning):
            picture = Image.open(io.BytesIO(data), formats=_FORMATS)
    except (*_DECODING_FAULTS, Image.DecompressionBombError) as fault:
        raise FileUnusable("This is not a picture.", _REMEDY) from fault
    if picture.width * picture.height > _PICTURE_PIXELS:
        raise FileUnusable("The picture has more than 100 million pixels.", _REMEDY)
    return picture


# What the decoders of damaged pictures are known to raise, beside their own errors.
_DECODING_FAULTS = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError, MemoryError,
    EOFError, struct.error, zlib.error,
)  # fmt: skip
