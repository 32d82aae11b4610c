"""Photographs: judged by content, stripped of all but the picture, kept by their digest."""

from __future__ import annotations

import hashlib
import random
import struct
import zlib
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageCms

from editions.errors import Contradiction, FileUnusable, MachineRefused, Unreadable
from editions.store.photographs import Intake, digest_of, keep, prepare, read

KINDS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "TIFF": "image/tiff"}
RED, GREEN, BLUE, WHITE = (200, 30, 30), (30, 160, 40), (30, 40, 200), (255, 255, 255)


def written(picture: Image.Image, kind: str = "PNG", **options: Any) -> bytes:
    file = BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def quarters(width: int = 400, height: int = 200) -> Image.Image:
    """A picture whose corners are told apart: red, green above blue, white."""
    picture = Image.new("RGB", (width, height), RED)
    half, middle = width // 2, height // 2
    picture.paste(GREEN, (half, 0, width, middle))
    picture.paste(BLUE, (0, middle, half, height))
    picture.paste(WHITE, (half, middle, width, height))
    return picture


def derived(data: bytes) -> Image.Image:
    picture = Image.open(BytesIO(prepare(data).derivative))
    picture.load()
    return picture


def corners(picture: Image.Image) -> list[tuple[int, ...]]:
    right, bottom = picture.width - 20, picture.height - 20
    places = [(20, 20), (right, 20), (20, bottom), (right, bottom)]
    return [near(picture.getpixel(place)) for place in places]


def near(colour: Any) -> tuple[int, ...]:
    """The named colour nearest to one that went through JPEG."""
    return min((RED, GREEN, BLUE, WHITE), key=lambda name: distance(name, colour))


def distance(one: Any, other: Any) -> float:
    return float(max(abs(a - b) for a, b in zip(one, other, strict=True)))


@pytest.mark.parametrize("kind", KINDS)
def test_a_photograph_of_each_kind_is_known_by_its_content(kind: str) -> None:
    data = written(quarters(), kind)
    prepared = prepare(data)
    assert prepared.original == data
    assert prepared.intake == Intake(
        original_digest=hashlib.sha256(data).hexdigest(),
        original_kind=KINDS[kind],
        derivative_digest=hashlib.sha256(prepared.derivative).hexdigest(),
        width=400,
        height=200,
    )
    picture = Image.open(BytesIO(prepared.derivative))
    assert (picture.format, picture.mode, picture.size) == ("JPEG", "RGB", (400, 200))
    assert corners(picture) == [RED, GREEN, BLUE, WHITE]


def test_the_same_photograph_gives_the_same_derivative() -> None:
    data = written(quarters(2000, 1000), "JPEG")
    assert prepare(data) == prepare(data)


@pytest.mark.parametrize(
    ("size", "made"),
    [
        ((1600, 1600), (1600, 1600)),
        ((1601, 20), (1600, 20)),
        ((3200, 1600), (1600, 800)),
        ((1000, 4000), (400, 1600)),
        ((9000, 3), (1600, 1)),
        ((1, 1), (1, 1)),
    ],
)
def test_the_longer_side_is_at_most_1600_pixels(size: tuple[int, int], made: Any) -> None:
    intake = prepare(written(Image.new("RGB", size, BLUE))).intake
    assert (intake.width, intake.height) == made


# Exif 2.32 (CIPA DC-008), tag 0x0112: where row 0 and column 0 of the file lie in the picture.
ORIENTATIONS = {
    1: [RED, GREEN, BLUE, WHITE],
    2: [GREEN, RED, WHITE, BLUE],
    3: [WHITE, BLUE, GREEN, RED],
    4: [BLUE, WHITE, RED, GREEN],
    5: [RED, BLUE, GREEN, WHITE],
    6: [BLUE, RED, WHITE, GREEN],
    7: [WHITE, GREEN, BLUE, RED],
    8: [GREEN, WHITE, RED, BLUE],
}


@pytest.mark.parametrize("turned", ORIENTATIONS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_turned_photograph_stands_upright(kind: str, turned: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = turned
    picture = derived(written(quarters(), kind, exif=exif))
    assert corners(picture) == ORIENTATIONS[turned]
    assert picture.size == ((400, 200) if turned < 5 else (200, 400))


def test_nothing_but_the_picture_is_in_the_derivative() -> None:
    exif = Image.Exif()
    exif[0x010F] = "Secret Camera Works"
    exif.get_ifd(0x8825)[2] = (59.0, 26.0, 12.0)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = written(
        quarters(), "JPEG", exif=exif, icc_profile=profile, comment=b"Secret remark", dpi=(300, 300)
    )
    assert b"Secret" in data
    derivative = prepare(data).derivative
    assert b"Secret" not in derivative
    assert b"Exif" not in derivative
    # ITU-T T.81 table B.1: APP1 to APP15 and COM; only JFIF's own APP0 stays.
    assert not markers(derivative) & {*range(0xE1, 0xF0), 0xFE}


def markers(jpeg: bytes) -> set[int]:
    """The segments before the scan, by ITU-T T.81 B.1.1."""
    found, place = set(), 2
    while jpeg[place + 1] != 0xDA:
        found.add(jpeg[place + 1])
        place += 2 + struct.unpack(">H", jpeg[place + 2 : place + 4])[0]
    return found


def test_transparency_lies_over_white() -> None:
    clear = Image.new("RGBA", (60, 40), (*BLUE, 0))
    clear.paste((*RED, 255), (0, 0, 30, 40))
    palette = Image.new("P", (60, 40), 1)
    palette.putpalette([0, 0, 0, *RED])
    for picture in (derived(written(clear)), derived(written(clear, "WEBP", lossless=True))):
        assert [near(picture.getpixel((x, 20))) for x in (10, 50)] == [RED, WHITE]
    assert near(derived(written(palette, transparency=0)).getpixel((10, 20))) == RED
    assert near(derived(written(palette, transparency=1)).getpixel((10, 20))) == WHITE


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA"])
def test_each_sort_of_sample_is_taken(mode: str) -> None:
    grey = Image.new("L", (80, 40), 0)
    grey.paste(255, (40, 0, 80, 40))
    picture = derived(written(grey.convert(mode)))
    assert distance(picture.getpixel((10, 20)), (0, 0, 0)) < 12
    assert distance(picture.getpixel((70, 20)), WHITE) < 12


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
@pytest.mark.parametrize(("sample", "shown"), [(0, 0), (0x8080, 0x80), (0xFFFF, 0xFF)])
def test_samples_of_16_bits_keep_their_brightness(kind: str, sample: int, shown: int) -> None:
    picture = derived(written(Image.new("I;16", (16, 16), sample), kind))
    assert distance(picture.getpixel((8, 8)), (shown,) * 3) <= 2


def test_samples_of_32_bits_are_refused() -> None:
    with pytest.raises(FileUnusable, match="samples of 32 bits"):
        prepare(written(Image.new("F", (16, 16), 0.5), "TIFF"))


def test_printing_inks_are_turned_into_light() -> None:
    picture = derived(written(Image.new("CMYK", (64, 64), (0, 255, 255, 0)), "JPEG", quality=95))
    red, green, blue = picture.getpixel((32, 32))  # type: ignore[misc]
    assert red > 200
    assert max(green, blue) < 60


def test_a_colour_profile_is_obeyed_before_it_is_dropped() -> None:
    # sRGB's red is L*a*b* 54.29, 80.81, 69.89 under D50 (IEC 61966-2-1, Bradford adaptation; the
    # figures from memory), its middle grey 53.59, 0, 0; 8-bit Lab holds L* in 255ths, a* and b*
    # from 128.
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    for held, shown in (((138, 209, 198), (255, 0, 0)), ((137, 128, 128), (128, 128, 128))):
        data = written(Image.new("LAB", (32, 32), held), "TIFF", icc_profile=lab)
        assert distance(derived(data).getpixel((16, 16)), shown) <= 6


def test_a_broken_colour_profile_is_passed_over() -> None:
    picture = derived(written(quarters(), "PNG", icc_profile=b"not a profile"))
    assert corners(picture) == [RED, GREEN, BLUE, WHITE]


def test_of_several_pictures_in_a_file_the_first_is_taken() -> None:
    for kind in ("MPO", "TIFF", "WEBP", "PNG"):
        first, second = (Image.new("RGB", (40, 40), colour) for colour in (RED, BLUE))
        data = written(first, kind, save_all=True, append_images=[second])
        assert near(derived(data).getpixel((20, 20))) == RED, kind
        assert prepare(data).intake.original_kind == KINDS.get(kind, "image/jpeg")


FOREIGN = {
    b"": "empty",
    b"GIF89a" + bytes(20): "a GIF picture",
    b"BM" + bytes(60): "a BMP picture",
    b"%PDF-1.7\n": "a PDF document",
    b"\0\0\0\x18ftypheic\0\0\0\0": "an HEIC or AVIF picture",
    b"\0\0\0\x1cftypavif\0\0\0\0": "an HEIC or AVIF picture",
    b"PK\x03\x04" + bytes(30): "a zip archive",
    b"<svg xmlns='x'/>": "a page or drawing in markup",
    b"  <!doctype html>": "a page or drawing in markup",
    b"%!PS-Adobe-3.0 EPSF-3.0\n": "of an unknown kind",
    b"P6 1 1 255\n\0\0\0": "of an unknown kind",
    bytes(1000): "of an unknown kind",
    b"\xff" * 1000: "of an unknown kind",
}


@pytest.mark.parametrize("data", FOREIGN)
def test_what_is_no_photograph_is_called_by_what_it_is(data: bytes) -> None:
    with pytest.raises(FileUnusable, match=FOREIGN[data]) as caught:
        prepare(data)
    assert "JPEG, PNG, WebP or TIFF" in caught.value.remedy


@pytest.mark.parametrize("kind", ["GIF", "BMP", "PPM", "ICO", "TGA"])
def test_a_real_picture_of_another_kind_is_refused(kind: str) -> None:
    with pytest.raises(FileUnusable):
        prepare(written(quarters(), kind))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("kept", [0.02, 0.3, 0.7, 0.97])
def test_a_photograph_cut_short_is_refused(kind: str, kept: float) -> None:
    noise = Image.effect_noise((200, 150), 60).convert("RGB")
    data = written(noise, kind)
    with pytest.raises(FileUnusable):
        prepare(data[: int(len(data) * kept)])


@pytest.mark.parametrize("kind", KINDS)
def test_a_spoilt_photograph_is_taken_or_refused_but_never_breaks(kind: str) -> None:
    spoil = random.Random(kind)
    data = written(Image.effect_noise((60, 40), 60).convert("RGB"), kind)
    for _ in range(150):
        spoilt = bytearray(data)
        for _ in range(spoil.randrange(1, 6)):
            # Mostly in the headers, where the decoders' decisions are made.
            spoilt[min(int(spoil.expovariate(1 / 80)), len(data) - 1)] = spoil.randrange(256)
        with suppress(FileUnusable):
            assert prepare(bytes(spoilt)).intake.width <= 1600


def test_more_than_50_megabytes_are_refused_unread() -> None:
    with pytest.raises(FileUnusable, match="has 51 MB"):
        prepare(written(quarters()) + bytes(51_000_000))


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is huge (W3C PNG 11.2.2; its one row is missing)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(9)))


@pytest.mark.parametrize("side", [9_460, 20_000, 60_000, 2**31 - 1])
def test_a_picture_that_would_fill_the_memory_is_refused_unread(side: int) -> None:
    with pytest.raises(FileUnusable, match="89 million pixels"):
        prepare(bomb(side, side))


def test_a_photograph_is_kept_and_read_back_by_either_digest(tmp_path: Path) -> None:
    prepared = prepare(written(quarters(), "JPEG"))
    intake = keep(tmp_path / "photographs", prepared)
    assert intake == prepared.intake
    assert read(tmp_path / "photographs", intake.original_digest) == prepared.original
    assert read(tmp_path / "photographs", intake.derivative_digest) == prepared.derivative


def test_keeping_a_photograph_again_changes_nothing(tmp_path: Path) -> None:
    prepared = prepare(written(quarters()))
    keep(tmp_path, prepared)
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    keep(tmp_path, prepared)
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before
    assert len([path for path in before if path.is_file()]) == 2


def kept(folder: Path) -> tuple[Intake, Path]:
    intake = keep(folder, prepare(written(quarters())))
    return intake, next(path for path in folder.rglob(intake.derivative_digest))


@pytest.mark.parametrize("change", [b"", b"x"])
def test_a_photograph_changed_on_the_disk_contradicts(tmp_path: Path, change: bytes) -> None:
    intake, place = kept(tmp_path)
    place.write_bytes(place.read_bytes()[:-1] + change)
    with pytest.raises(Contradiction, match="changed after it was recorded"):
        read(tmp_path, intake.derivative_digest)
    with pytest.raises(Contradiction, match="other content"):
        keep(tmp_path, prepare(written(quarters())))
    assert read(tmp_path, intake.original_digest)


def test_a_photograph_that_is_gone_is_said(tmp_path: Path) -> None:
    intake, place = kept(tmp_path)
    place.unlink()
    with pytest.raises(FileUnusable, match="No such file"):
        read(tmp_path, intake.derivative_digest)
    place.mkdir()
    with pytest.raises(FileUnusable, match="Is a directory"):
        read(tmp_path, intake.derivative_digest)


@pytest.mark.parametrize(
    "digest", ["", "../../etc/passwd", "A" * 64, "0" * 63, "0" * 65, "0" * 64 + "\n", "g" * 64]
)
def test_only_a_digest_names_a_photograph(tmp_path: Path, digest: str) -> None:
    with pytest.raises(Unreadable, match="64 hexadecimal digits"):
        read(tmp_path, digest)


def test_a_file_in_the_way_of_the_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "photographs").write_bytes(b"")
    with pytest.raises(MachineRefused):
        keep(tmp_path / "photographs", prepare(written(quarters())))


def test_the_digest_is_sha_256() -> None:
    # FIPS 180-4 example: "abc".
    assert digest_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
