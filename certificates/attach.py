"""Files that a PDF carries, and what it says of itself (XMP); the only file that knows pikepdf.

Files are attached as associated files (ISO 32000-2, 7.11.4 and 14.13), named in ``/AF`` of the
catalog, so that a checker finds them without reading the page.  Reading is limited: a paper is
small, and a file that unpacks to much more than it should is refused before it is unpacked.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import io
import re
import zlib
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

import msgspec

from editions.errors import FileUnusable

if TYPE_CHECKING:
    import pikepdf

PDF_LIMIT = 32 * 1024 * 1024
FILE_LIMIT = 1024 * 1024
PAGE_LIMIT = 16 * 1024 * 1024

_KINDS = {
    "entry.json": ("application/json", "The entry of the book that issues this certificate"),
    "certificate.tlog-proof": ("text/plain", "Proof that the entry lies in the book"),
    "claim.cose": ("application/cose", "The claim signed by the foundry"),
    "credential.json": ("application/vc", "The certificate as a credential, with its proofs"),
    "keys.txt": ("text/plain", "Public keys; compare their fingerprint elsewhere"),
}
_MOST_FILES = 32
# What the catalogue may hold that changes what a reader shows without touching a page.
_ALIVE = {"/AA", "/AcroForm", "/Collection", "/OCProperties", "/OpenAction"}
_HANDED_DOWN = ("/CropBox", "/Rotate")
_DEEPEST = 16
_ADDRESS = "/Address"
_DRAWN_BY = "/DrawnBy"
# The way back up, and how a stream is packed: neither shows.
_NOT_DRAWN = {"/Parent", "/Filter", "/DecodeParms", "/Length"}
_END = b"%%EOF"
_JPEG = "/DCTDecode"
_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_REMEDY = "Ask the foundry for the certificate's PDF, or photograph the code on the paper."


class Description(msgspec.Struct, frozen=True, kw_only=True):
    """What the document says of itself."""

    title: str
    subject: str
    author: str
    issued: str
    number: str
    address: str


class Drawn(msgspec.Struct, frozen=True, kw_only=True):
    """What a PDF was drawn with beside its statement: the base address and the JPEG pictures.

    ``here`` tells whether it says that the versions which are installed here drew it.
    """

    address: str
    pictures: tuple[bytes, ...]
    here: bool


def attach(pdf: bytes, files: Mapping[str, bytes], description: Description) -> bytes:
    """The PDF with files attached and its description set; the same input gives the same bytes."""
    import pikepdf

    with pikepdf.open(io.BytesIO(pdf)) as document:
        for name, data in files.items():
            _attach_one(document, name, data)
        document.Root.Lang = pikepdf.String("en")
        _describe(document, description)
        out = io.BytesIO()
        document.save(out, deterministic_id=True, min_version="1.7")
    return out.getvalue()


def read_attachments(pdf: bytes) -> dict[str, bytes]:
    """The files that a PDF carries, by name.

    Raises:
        FileUnusable: If it is not a PDF, truncated, locked, too large, or carries no files.
    """
    with _opened(pdf) as document:
        found = dict(_attached(document))
    if not found:
        raise FileUnusable("This PDF carries no proof: it is not a certificate's.", _REMEDY)
    return found


def read_drawn(pdf: bytes) -> Drawn:
    """What a PDF says it was drawn with; nothing of it is proved.

    Raises:
        FileUnusable: If it is not a PDF, truncated, locked or too large.
    """
    with _opened(pdf) as document:
        address = str(document.docinfo.get(_ADDRESS, ""))
        here = str(document.docinfo.get(_DRAWN_BY, "")) == drawn_by()
        return Drawn(address=address, pictures=tuple(_pictures(document)), here=here)


def drawn_by() -> str:
    """The versions that decide how a page looks, as a paper names them."""
    from importlib.metadata import version

    return f"bronzebook {version('bronzebook')}, reportlab {version('reportlab')}"


def page_print(pdf: bytes) -> bytes:
    """A digest of everything that is drawn on the pages, however the file is packed.

    Raises:
        FileUnusable: If it is not a PDF, truncated, locked or too large.
    """
    digest, left = hashlib.sha256(), PAGE_LIMIT

    def take(data: bytes) -> None:
        nonlocal left
        left -= len(data)
        if left < 0:
            raise FileUnusable("The pages of this PDF are larger than any certificate's.", _REMEDY)
        # Each piece with its length, so that no two pages give the same row of bytes.
        digest.update(b"%d:%s" % (len(data), data))

    with _opened(pdf) as document:
        take(" ".join(sorted(_ALIVE & set(document.Root.keys()))).encode())
        for page in document.pages:
            take(b"page")
            for name in _HANDED_DOWN:
                _take_in(_handed_down(page.obj, name), take, {})
            _take_in(page.obj, take, {})
    return digest.digest()


def _handed_down(page: pikepdf.Object, name: str) -> Any:
    """A value that a page has from those above it (ISO 32000-2, 7.7.3.4), or None."""
    for _ in range(_DEEPEST):
        if name in page or "/Parent" not in page:
            break
        page = page["/Parent"]
    return page.get(name)


def _take_in(thing: Any, take: Callable[[bytes], None], met: dict[tuple[int, int], int]) -> None:
    """Take in a part of a PDF and what it refers to, wherever it lies and however it is packed.

    ``met`` numbers the objects as they are met: one that is referred to again is taken in by that.
    """
    import pikepdf

    if isinstance(thing, pikepdf.Object) and thing.is_indirect:
        before = thing.objgen in met
        take(b"object %d" % met.setdefault(thing.objgen, len(met)))
        if before:
            return
    take(type(thing).__name__.encode())
    if isinstance(thing, pikepdf.Stream):
        take(_plain(thing))
    if isinstance(thing, (pikepdf.Stream, pikepdf.Dictionary)):
        names = sorted(set(thing.keys()) - _NOT_DRAWN)
        take(b"%d" % len(names))
        for name in names:
            take(name.encode())
            _take_in(thing[name], take, met)
    elif isinstance(thing, pikepdf.Array):
        take(b"%d" % len(thing))
        for part in thing:
            _take_in(part, take, met)
    else:
        take(bytes(thing) if isinstance(thing, pikepdf.String) else str(thing).encode())


@contextlib.contextmanager
def _opened(pdf: bytes) -> Iterator[pikepdf.Pdf]:
    """A PDF from someone else's hands; whatever is wrong with it is one of our errors."""
    import pikepdf

    if len(pdf) > PDF_LIMIT:
        raise FileUnusable("The PDF is larger than 32 MB; no certificate is.", _REMEDY)
    if _END not in pdf[-1024:]:
        raise FileUnusable("This is not a whole PDF: its end mark is missing.", _REMEDY)
    try:
        # No repair of a broken file: a paper that was cut off must not pass for a whole one.
        with pikepdf.open(io.BytesIO(pdf), attempt_recovery=False) as document:
            yield document
    except pikepdf.PasswordError:
        raise FileUnusable("The PDF is locked by a password.", _REMEDY) from None
    except (pikepdf.PdfError, pikepdf.ForeignObjectError, *_FAULTS) as fault:
        raise FileUnusable("This is not a whole PDF.", _REMEDY) from fault


def _attach_one(document: pikepdf.Pdf, name: str, data: bytes) -> None:
    import pikepdf

    mime, words = _KINDS.get(name, ("application/octet-stream", name))
    spec = pikepdf.AttachedFileSpec(
        document,
        data,
        description=words,
        filename=name,
        mime_type=mime,
        relationship=pikepdf.Name.Data,
        creation_date="",
        mod_date="",
    )
    document.attachments[name] = spec


def _describe(document: pikepdf.Pdf, description: Description) -> None:
    import pikepdf

    information = document.docinfo
    information[pikepdf.Name.Title] = pikepdf.String(description.title)
    information[pikepdf.Name.Subject] = pikepdf.String(description.subject)
    information[pikepdf.Name.Author] = pikepdf.String(description.author)
    information[pikepdf.Name.Creator] = pikepdf.String("bronzebook")
    information[_ADDRESS] = pikepdf.String(description.address)
    information[_DRAWN_BY] = pikepdf.String(drawn_by())
    with document.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as meta:
        meta["dc:title"] = description.title
        meta["dc:creator"] = [description.author]
        meta["dc:description"] = description.subject
        meta["dc:identifier"] = description.number
        meta["dc:source"] = description.address
        meta["dc:date"] = [description.issued]
        meta["dc:language"] = ["en"]
        meta["dc:format"] = "application/pdf"
        meta["xmp:CreatorTool"] = "bronzebook"
        meta["pdf:Producer"] = str(information.get(pikepdf.Name.Producer, ""))
    day = _DAY.fullmatch(description.issued)
    for key in (pikepdf.Name.CreationDate, pikepdf.Name.ModDate):
        if day:
            information[key] = pikepdf.String(f"D:{''.join(day.groups())}000000Z")
        elif key in information:
            del information[key]


def _attached(document: pikepdf.Pdf) -> Iterator[tuple[str, bytes]]:
    names = sorted(document.attachments)
    if len(names) > _MOST_FILES:
        raise FileUnusable("The PDF carries more files than a certificate does.", _REMEDY)
    for name in names:
        yield name, _unpacked(document.attachments[name].get_file().obj)


def _pictures(document: pikepdf.Pdf) -> Iterator[bytes]:
    """The JPEG files that the first page draws, as they were before they were put in."""
    for _, picture in sorted(document.pages[0].get_images().items()):
        packing = _packings(picture.get("/Filter"))
        # As it is drawn, or as a program leaves it that saved the file anew.
        if packing in (["/ASCII85Decode", _JPEG], [_JPEG]):
            yield _plain(picture).removesuffix(_JPEG.encode())


def _packings(named: Any) -> list[str]:
    """The names of how a stream is packed, outermost first."""
    import pikepdf

    if named is None:
        return []
    return [str(one) for one in named] if isinstance(named, pikepdf.Array) else [str(named)]


def _plain(stream: pikepdf.Object) -> bytes:
    """A stream of a page, unpacked as far as text and drawing are packed; a picture stays packed.

    It is cut where it unpacks to more than all pages may hold.
    """
    data = bytes(stream.read_raw_bytes())
    for name in _packings(stream.get("/Filter")):
        if name == "/ASCII85Decode":
            data = base64.a85decode(data.strip().removesuffix(b"~>"))
        elif name == "/FlateDecode" and stream.get("/DecodeParms") is None:
            data = zlib.decompressobj().decompress(data, PAGE_LIMIT + 1)
        else:
            return data + name.encode()
    return data


def _unpacked(stream: pikepdf.Object) -> bytes:
    """A stream's bytes, unpacked only as far as the limit."""
    packing = stream.get("/Filter")
    raw = stream.read_raw_bytes()
    if packing is not None:
        if packing != "/FlateDecode" or stream.get("/DecodeParms") is not None:
            raise FileUnusable("A file in the PDF is packed in an unknown way.", _REMEDY)
        raw = zlib.decompressobj().decompress(raw, FILE_LIMIT + 1)
    if len(raw) > FILE_LIMIT:
        raise FileUnusable("A file in the PDF is larger than any certificate carries.", _REMEDY)
    return raw


_FAULTS = (
    OSError, ValueError, TypeError, LookupError, AttributeError, RuntimeError, zlib.error,
    RecursionError, MemoryError,
)  # fmt: skip
