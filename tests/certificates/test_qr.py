"""Tests of the printed code, read by an independent reader of ISO/IEC 18004 (zxing-cpp)."""

from __future__ import annotations

import io
import struct
import zlib

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from certificates.qr import Matrix, matrix, open_picture, read_picture
from editions.errors import FileUnusable, Unreadable

CAPITALS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"


def picture_of(code: Matrix, scale: int = 4) -> Image.Image:
    side = code.size + 8
    picture = Image.new("L", (side, side), 255)
    for row, line in enumerate(code.rows):
        for column, dark in enumerate(line):
            if dark:
                picture.putpixel((column + 4, row + 4), 0)
    return picture.resize((side * scale, side * scale), Image.Resampling.NEAREST)


def as_png(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def _png_of(width: int, height: int) -> bytes:
    """A PNG that claims a size and holds no pixels."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunks = [head, b"IDAT" + zlib.compress(b""), b"IEND"]
    packed = (
        struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
        for chunk in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(packed)


@settings(max_examples=25, deadline=None)
@given(st.text(CAPITALS, min_size=1, max_size=150), st.binary(max_size=150).map(bytes.hex))
def test_every_code_is_read_by_an_independent_reader(head: str, tail: str) -> None:
    text = f"{head}#{tail}"
    found = zxingcpp.read_barcodes(picture_of(matrix(text)))
    assert [code.text for code in found] == [text]


@pytest.mark.parametrize(
    ("letters", "modules"),
    # Alphanumeric capacities at level M, ISO/IEC 18004 table 7 (from memory): version 1 holds 20,
    # version 12 holds 419, version 20 holds 970; a version v has 17 + 4v modules to a side.
    [(20, 21), (21, 25), (419, 65), (420, 69), (970, 97), (971, 101)],
)
def test_capitals_take_the_alphanumeric_mode(letters: int, modules: int) -> None:
    assert matrix("A" * letters).size == modules


def test_small_letters_are_carried_as_bytes() -> None:
    # Byte capacity at level M, same table (from memory): version 1 holds 14.
    assert matrix("a" * 14).size == 21
    assert matrix("a" * 15).size == 25


@pytest.mark.parametrize("text", ["", "A" * 4000])
def test_what_no_code_can_carry_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        matrix(text)


def test_dark_runs_cover_every_dark_module_once() -> None:
    code = matrix("HTTPS://RECORD.EXAMPLE/C/0123456789A")
    painted = [[False] * code.size for _ in range(code.size)]
    for row, first, length in code.dark_runs():
        for column in range(first, first + length):
            assert not painted[row][column]
            painted[row][column] = True
    assert tuple(map(tuple, painted)) == code.rows


@pytest.mark.parametrize("turn", [0, 90, 180, 7])
def test_a_picture_is_read_however_it_is_turned(turn: int) -> None:
    picture = picture_of(matrix("HTTPS://RECORD.EXAMPLE/C/0123456789A#ABC"), 6)
    turned = picture.rotate(turn, expand=True, fillcolor=255)
    assert read_picture(as_png(turned)) == ["HTTPS://RECORD.EXAMPLE/C/0123456789A#ABC"]


def test_two_codes_in_one_picture_are_both_read() -> None:
    wide = Image.new("L", (800, 400), 255)
    for at, text in enumerate(("FIRST", "SECOND")):
        wide.paste(picture_of(matrix(text), 8), (at * 400 + 40, 80))
    assert sorted(read_picture(as_png(wide))) == ["FIRST", "SECOND"]


def test_a_picture_without_a_code_gives_none() -> None:
    assert read_picture(as_png(Image.new("RGB", (200, 200), "white"))) == []


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"%PDF-1.4 not a picture",
        b"\x89PNG\r\n\x1a\n",
        b"GIF89a",
        b"\xff\xd8\xff\xe0" + bytes(20),
        b"II*\x00" + bytes(30),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        "text".encode("utf-16"),
    ],
    ids=lambda data: data[:6].hex() or "nothing",
)
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(FileUnusable):
        read_picture(data)


@pytest.mark.parametrize("size", [(10_001, 10_000), (60_000, 60_000)])
def test_a_picture_that_unpacks_to_too_much_is_refused_unread(size: tuple[int, int]) -> None:
    with pytest.raises(FileUnusable):
        open_picture(_png_of(*size))


def test_a_picture_of_ninety_million_pixels_is_opened_without_a_word() -> None:
    assert open_picture(_png_of(9_500, 9_500)).size == (9_500, 9_500)


def test_a_file_of_too_many_bytes_is_refused_unread() -> None:
    with pytest.raises(FileUnusable, match="64 MB"):
        open_picture(bytes(64 * 1024 * 1024 + 1))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_damaged_picture_is_read_or_refused(data: st.DataObject) -> None:
    whole = bytearray(as_png(picture_of(matrix("HTTPS://RECORD.EXAMPLE"))))
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(1, len(whole)))
    try:
        texts = read_picture(bytes(whole[:cut]))
    except FileUnusable:
        return
    assert all(isinstance(text, str) for text in texts)
