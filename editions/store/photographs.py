"""Photographs, kept by the SHA-256 of their bytes in a folder beside the registry.

Of each photograph two files are kept: the original, untouched, and one *derivative* that may be
published: upright, at most 1600 pixels on its longer side, in sRGB, with nothing in it but the
picture (no place, no date, no camera, no thumbnail).  The derivative is made once, when the
photograph is taken in; its digest may be told to anyone, the original's is held.

What a photograph is, is judged by its content, never by its name.  Rules:

- JPEG, PNG, WebP and TIFF are taken; of a file with several pictures, the first.
- At most 50 MB and 89 million pixels, so that no file can fill the memory.
- ``keep`` writes each file once; a file found under a digest that is not its own contradicts.

>>> digest_of(b"")[:16]
'e3b0c44298fc1c14'
"""

from __future__ import annotations

import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from editions.errors import Contradiction, FileUnusable, Unreadable
from editions.store.files import make_folder, write_once

if TYPE_CHECKING:
    from PIL.Image import Image

BYTES_LIMIT = 50_000_000
LONGEST_SIDE = 1600  # pixels
QUALITY = 85  # of 100, libjpeg's scale

_KINDS = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png"}
_KINDS |= {"WEBP": "image/webp", "TIFF": "image/tiff"}
# A JPEG of several pictures, as telephones write it, is opened as JPEG and then called MPO.
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")
# First bytes of what people hand in by mistake.
_FOREIGN = (
    (re.compile(rb"....ftyp(heic|heix|hevc|mif1|msf1|avif)", re.DOTALL), "an HEIC or AVIF picture"),
    (re.compile(rb"GIF8"), "a GIF picture"),
    (re.compile(rb"BM"), "a BMP picture"),
    (re.compile(rb"%PDF-"), "a PDF document"),
    (re.compile(rb"PK\x03\x04"), "a zip archive"),
    (re.compile(rb"\s*<"), "a page or drawing in markup"),
)
_TAKEN = "Hand in a JPEG, PNG, WebP or TIFF file."


class Intake(msgspec.Struct, frozen=True, kw_only=True):
    """What is recorded of a photograph; digests in hex, the derivative's size in pixels."""

    original_digest: str
    original_kind: str
    derivative_digest: str
    width: int
    height: int


class Prepared(msgspec.Struct, frozen=True, kw_only=True):
    """A photograph ready to be kept: the bytes of both files, and what is recorded of them."""

    original: bytes
    derivative: bytes
    intake: Intake


def prepare(data: bytes) -> Prepared:
    """Judge a photograph and make its derivative; nothing is written.

    Raises:
        FileUnusable: Not a photograph of a kind taken, cut short, or too large.
    """
    if len(data) > BYTES_LIMIT:
        raise FileUnusable(
            f"The photograph has {len(data) / 1e6:.0f} MB; at most 50 MB are taken.",
            "Export a smaller copy.",
        )
    with _plain_faults(data):
        kind, picture = _publishable(data)
        derivative = _as_jpeg(picture)
    intake = Intake(
        original_digest=digest_of(data),
        original_kind=kind,
        derivative_digest=digest_of(derivative),
        width=picture.width,
        height=picture.height,
    )
    return Prepared(original=data, derivative=derivative, intake=intake)


def keep(folder: Path, prepared: Prepared) -> Intake:
    """Write both files durably; a photograph that is there already is left as it is.

    Raises:
        Contradiction: A file lies under one of the digests that is not its own.
        MachineRefused: No room or no permission.
    """
    intake = prepared.intake
    both = {
        intake.original_digest: prepared.original,
        intake.derivative_digest: prepared.derivative,
    }
    for digest, data in both.items():
        place = _place(folder, digest)
        make_folder(place.parent)
        write_once(place, data)
    return intake


def read(folder: Path, digest: str) -> bytes:
    """Return the bytes kept under a digest, once they are found to match it.

    Raises:
        FileUnusable: Nothing is kept under it, or it cannot be read.
        Contradiction: The bytes have another digest.
    """
    place = _place(folder, digest)
    try:
        data = place.read_bytes()
    except OSError as fault:
        reason = fault.strerror or "it cannot be read"
        raise FileUnusable(
            f"The photograph {digest[:16]}… cannot be read: {reason}.", "Restore a backup."
        ) from fault
    if digest_of(data) != digest:
        raise Contradiction(
            f"The photograph {digest[:16]}… was changed after it was recorded.",
            "Restore it from a backup.",
        )
    return data


def digest_of(data: bytes) -> str:
    """Return the SHA-256 of some bytes, in hex."""
    return sha256(data).hexdigest()


def _place(folder: Path, digest: str) -> Path:
    if not re.fullmatch(r"[0-9a-f]{64}", digest):
        raise Unreadable("A photograph is named by 64 hexadecimal digits.")
    return folder / digest[:2] / digest


@contextmanager
def _plain_faults(data: bytes) -> Iterator[None]:
    from PIL import Image, UnidentifiedImageError

    logging.getLogger("PIL").setLevel(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            # Damaged metadata is of no interest, since none of it is kept; a bomb is.
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            yield
    except FileUnusable:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise FileUnusable(
            "The picture has more than 89 million pixels.", "Export a smaller copy."
        ) from None
    except UnidentifiedImageError:
        raise FileUnusable(f"The file is {_looks_like(data)}, not a photograph.", _TAKEN) from None
    except Exception as fault:  # A hostile file makes a decoder raise anything.
        raise FileUnusable(
            "The photograph is damaged or cut short.", "Copy it from the camera again."
        ) from fault


def _looks_like(data: bytes) -> str:
    if not data:
        return "empty"
    return next((name for sign, name in _FOREIGN if sign.match(data)), "of an unknown kind")


def _publishable(data: bytes) -> tuple[str, Image]:
    from PIL import Image, ImageOps

    with Image.open(BytesIO(data), formats=_FORMATS) as picture:
        kind = _KINDS[str(picture.format)]
        small = _with_full_colours(picture)
        small.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
        return kind, _bare(_in_srgb(_over_white(ImageOps.exif_transpose(small))))


def _with_full_colours(picture: Image) -> Image:
    """Return a picture that can be made smaller smoothly: no palette, 8 bits a sample."""
    if picture.mode in {"1", "P", "PA"}:
        return picture.convert("RGBA" if picture.has_transparency_data else "RGB")
    if picture.mode.startswith("I;16"):
        return picture.convert("I").point(lambda sample: sample / 257).convert("L")
    if picture.mode in {"I", "F"}:
        raise FileUnusable("The picture has samples of 32 bits.", "Export it with 8 or 16 bits.")
    return picture


def _over_white(picture: Image) -> Image:
    """Return the picture with nothing transparent, and its colour profile kept."""
    from PIL import Image

    if not picture.has_transparency_data:
        return picture
    layered = picture.convert("RGBA")
    sheet = Image.new("RGB", picture.size, "white")
    sheet.paste(layered, mask=layered.getchannel("A"))
    sheet.info["icc_profile"] = picture.info.get("icc_profile")
    return sheet


def _in_srgb(picture: Image) -> Image:
    """Return the picture in sRGB, by its own colour profile where it has one that can be read."""
    from PIL import ImageCms

    profile = picture.info.get("icc_profile")
    if not profile:
        return picture.convert("RGB")
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        srgb = ImageCms.createProfile("sRGB")
        turned = ImageCms.profileToProfile(picture, own, srgb, outputMode="RGB")
    except (OSError, ImageCms.PyCMSError):
        turned = None
    return turned or picture.convert("RGB")


def _bare(picture: Image) -> Image:
    """Return the pixels alone: no date, place, camera, comment or profile."""
    from PIL import Image

    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    return bare


def _as_jpeg(picture: Image) -> bytes:
    written = BytesIO()
    picture.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()
