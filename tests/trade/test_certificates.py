"""Certificates as entries say them."""

from __future__ import annotations

import msgspec
import pytest

from editions.trade.certificates import CertificateDrawn

DRAWN = {"pdf": "0" * 64, "page": "A4", "claim": "1" * 64}


@pytest.mark.parametrize("size", [0, 100_001, 2**53 - 1])
def test_a_paper_is_drawn_however_long_the_book_is(size: int) -> None:
    assert msgspec.convert({**DRAWN, "size": size}, CertificateDrawn).size == size


@pytest.mark.parametrize("size", [-1, 2**53, "12", None])
def test_no_other_size_is_a_book_s(size: object) -> None:
    with pytest.raises(msgspec.ValidationError):
        msgspec.convert({**DRAWN, "size": size}, CertificateDrawn)
