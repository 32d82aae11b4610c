"""Which certificate a scan is of."""

from __future__ import annotations

import io

import pytest

from certificates.qr import matrix
from certificates.scanned import numbers_in, refuse_another
from editions.errors import Refused
from editions.registry import Registry
from tests.certificates.house import certify


def picture(text: str) -> bytes:
    """A scan of a printed code, four pixels a module."""
    from PIL import Image

    code = matrix(text)
    image = Image.new("L", (code.size + 8, code.size + 8), 255)
    for row, first, length in code.dark_runs():
        for column in range(first, first + length):
            image.putpixel((column + 4, row + 4), 0)
    buffer = io.BytesIO()
    image.resize((image.width * 4, image.height * 4)).save(buffer, "PNG")
    return buffer.getvalue()


def test_a_paper_that_was_drawn_is_not_taken_as_the_scan_of_another(registry: Registry) -> None:
    issued = certify(registry)
    paper = issued.path.read_bytes()
    assert numbers_in(paper) == (issued.number,)
    refuse_another(paper, issued.number)
    with pytest.raises(Refused, match="The scan bears the code of"):
        refuse_another(paper, "00000000000")


@pytest.mark.parametrize("scan", [b"no picture", b"%PDF-1.4", picture("HTTPS://EXAMPLE.ORG/")])
def test_a_scan_without_the_code_of_a_certificate_says_nothing(scan: bytes) -> None:
    assert numbers_in(scan) == ()
    refuse_another(scan, "00000000000")
