"""Inputs that want to break ``verify`` and ``import``: a kept list, each with its exit status.

The statuses are those of ``editions/errors.py``: 2 cannot be read, 3 contradicts, 4 not known here,
6 refused, 9 the file cannot be used.  Files are made in a folder; texts are given as they are.
"""

from __future__ import annotations

import base64
import io
import os
import struct
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pikepdf
from PIL import Image

from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.qr import matrix
from editions.trade.numbers import make_number
from tests.certificates.builders import ADDRESS, NUMBER, paper, sealed
from tests.certificates.test_qr import as_png, picture_of
from tests.helpers.chance import Chance

SOUND = sealed()
PDF = paper(SOUND)
CODE = code_text(ADDRESS, NUMBER, SOUND.seal.claim)
OTHER = make_number(Chance("another"))
MEGABYTE = 1_000_000

Kept = tuple[str, bytes, int]


def texts() -> dict[str, int]:
    """Texts given to ``verify`` in place of a number, a code or a path."""
    head, claim = CODE.split("#")
    garbage = base64.b32encode(b"\xff" * 90).decode().rstrip("=")
    return {
        "": 2, " ": 2, "\n\t": 2, "\0": 2, "\x07\x1b[2J": 2, "\ud800": 2, "\udcff\udc80": 2,
        "\u202eFDP": 2, "🗿" * 40: 2, "x" * MEGABYTE: 2, "9" * MEGABYTE: 2, "-" * 500: 2,
        "0123456789": 2, "0123456789A0": 2, "UUUUUUUUUUU": 2, NUMBER[:-1] + "*": 2, NUMBER: 4,
        NUMBER.lower(): 4, f"{NUMBER[:4]} {NUMBER[4:8]}-{NUMBER[8:]}": 4, OTHER: 4,
        "3/8": 2, "AP I/IV": 2, "№ 3/8": 2, "P-0001": 2, "../../../etc/passwd\0.pdf": 9,
        "/dev/zero": 2, "/dev/zero.pdf": 9, "/dev/null": 2, "/proc/self/mem": 9, "~": 2, ".": 2,
        "a" * 5000: 2, "a" * 5000 + ".pdf": 9, "none.pdf": 9, "none.PNG": 9, "no/such/one.jpg": 9,
        "\udcff.pdf": 9, "nul\0.png": 9,
        "http://": 2, "https://": 2, "https://#": 2, "https:///C/": 2, "ftp://host/C/1#A": 2,
        "javascript:alert(1)": 2, "file:///etc/passwd": 2, "https://example.com": 2,
        f"https://[::1]/C/{NUMBER}": 4, head: 4, head.lower(): 4, f"{head}/": 4, f"{head}#": 2,
        f"{head}#=": 2, f"{head}#A": 2, f"{head}#{garbage}": 2, f"{head}#{claim[:-1]}": 2,
        f"{head}#{claim[:40]}": 2, f"{head}#{claim}A": 2, f"{head}#{claim}{claim}": 2,
        f"{head}#{claim[:100]}A{claim[101:]}": 4, f"{head}?q#{claim}": 2, f"{head}##{claim}": 2,
        f"{head}#{'A' * 5000}": 2, f"{head}#{'A' * MEGABYTE}": 2, f"{head}\0#{claim}": 2,
        f"https://user@host/C/{NUMBER}#{claim}": 2, f"https://host:99999999/C/{NUMBER}#{claim}": 2,
        f"https://host/C/{OTHER}#{claim}": 3, CODE: 4, CODE.lower(): 4,
        "WIFI:S:foundry;T:WPA;P:secret;;": 2, "BEGIN:VCARD\nN:Varga\nEND:VCARD": 2,
    }  # fmt: skip


def bit_flipped(data: bytes, at: float) -> bytes:
    """The data with one bit turned, at a fraction of its length."""
    changed = bytearray(data)
    changed[int(len(data) * at)] ^= 16
    return bytes(changed)


def with_attachments(files: dict[str, bytes], page: bytes = PDF) -> bytes:
    """The paper's pages carrying other files."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(page)) as document:
        for name in list(document.attachments):
            del document.attachments[name]
        for name, data in files.items():
            document.attachments[name] = pikepdf.AttachedFileSpec(document, data)
        document.save(out)
    return out.getvalue()


def foreign_pdf(**saving: object) -> bytes:
    """A PDF of one empty page."""
    out = io.BytesIO()
    with pikepdf.new() as document:
        document.add_blank_page()
        document.save(out, **saving)  # type: ignore[arg-type]
    return out.getvalue()


def pdfs() -> Iterator[Kept]:
    """Files that are named or look like certificates in PDF."""
    own = read_attachments(PDF)
    for share in (0.0005, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 0.9999):
        yield f"cut at {share}.pdf", PDF[: int(len(PDF) * share)], 9
    yield "without its first half.pdf", PDF[len(PDF) // 2 :], 9
    yield "head only.pdf", b"%PDF-1.7\n", 9
    yield "head and end.pdf", b"%PDF-1.7\n%%EOF\n", 9
    yield "twice.pdf", PDF + PDF, 4
    yield "with a tail.pdf", PDF + b"\nmore than was drawn\n%%EOF\n", 4
    yield "foreign.pdf", foreign_pdf(), 9
    yield "locked.pdf", foreign_pdf(encryption=pikepdf.Encryption(owner="a", user="b")), 9
    yield "no files.pdf", with_attachments({}), 9
    for name in sorted(own):
        others = {key: data for key, data in own.items() if key != name}
        # A paper may carry no credential; one that cannot be read contradicts it.
        lacking, odd = (4, 3) if name == "credential.json" else (9, 9)
        yield f"without {name}.pdf", with_attachments(others), lacking
        yield f"empty {name}.pdf", with_attachments(own | {name: b""}), odd
        yield f"garbage {name}.pdf", with_attachments(own | {name: b"\xff\x00garbage"}), odd
        yield f"huge {name}.pdf", with_attachments(own | {name: b"0" * 9 * MEGABYTE}), 9
    yield "many files.pdf", with_attachments({f"{at}": b"x" for at in range(60)}), 9
    other = read_attachments(paper(sealed(before=2, after=1)))
    yield "another entry.pdf", with_attachments(own | {"entry.json": own["entry.json"][:-1]}), 9
    yield (
        "another proof.pdf",
        with_attachments(own | {"certificate.tlog-proof": other["certificate.tlog-proof"]}),
        3,
    )
    yield "another claim.pdf", with_attachments(own | {"claim.cose": other["claim.cose"]}), 3


def png_head(width: int, height: int) -> bytes:
    """The beginning of a PNG that claims a size."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    packed = struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head))
    return b"\x89PNG\r\n\x1a\n" + packed


def png_of(text: str) -> bytes:
    """A picture of the code of a text."""
    return as_png(picture_of(matrix(text)))


def two_codes() -> bytes:
    """Two certificates' codes in one picture."""
    texts = (CODE, code_text(ADDRESS, OTHER, sealed(before=1).seal.claim))
    parts = [picture_of(matrix(text)) for text in texts]
    side = max(part.width for part in parts)
    whole = Image.new("L", (2 * side + 60, side), 255)
    for at, part in enumerate(parts):
        whole.paste(part, (at * (side + 60), 0))
    return as_png(whole)


def pictures() -> Iterator[Kept]:
    """Files that are named or look like pictures."""
    sound = png_of(CODE)
    for share in (0.002, 0.1, 0.5, 0.97):
        yield f"cut at {share}.png", sound[: int(len(sound) * share)], 9
    yield "head only.png", b"\x89PNG\r\n\x1a\n", 9
    yield "bomb.png", png_head(200_000, 200_000) + b"\0" * 100, 9
    yield "wide bomb.png", png_head(2**31 - 1, 1), 9
    yield "no size.png", png_head(0, 0), 9
    yield "no code.png", as_png(Image.new("L", (300, 300), 255)), 9
    yield "one pixel.png", as_png(Image.new("1", (1, 1))), 9
    for at, text in enumerate(("https://example.com", "WIFI:S:a;;", "12345", "\0\x07", "x" * 900)):
        yield f"other code {at}.png", png_of(text), 2
    yield "sound code.png", sound, 4
    yield "garbage.jpg", b"\xff\xd8\xff\xe0" + b"\x13" * 500, 9
    yield "garbage.gif", b"GIF89a" + b"\xff" * 60, 9
    yield "garbage.webp", b"RIFF\x24\0\0\0WEBPVP8 " + b"\xff" * 30, 9
    yield "loop.tif", b"II*\0\x08\0\0\0\x01\0\x00\x01\x04\0\x01\0\0\0\x05\0\0\0\x08\0\0\0", 9
    yield "drawing.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", 9
    yield "text.png", b"not a picture at all", 9
    yield "pdf.png", PDF[:-30], 9


def odd_files() -> Iterator[Kept]:
    """Other files."""
    yield "empty.pdf", b"", 9
    yield "empty.png", b"", 9
    yield "empty", b"", 9
    yield "one byte", b"\0", 9
    yield "megabyte.txt", b"a" * MEGABYTE, 9
    yield "controls.pdf", bytes(range(32)) * 100, 9
    yield "code.txt", CODE.encode(), 9
    yield "archive.zip", b"PK\x03\x04" + b"\0" * 200, 9
    yield "page.html", b"<!doctype html><script>alert(1)</script>", 9
    yield "opening.json", b'{"entry":"' + b"\xff" * 50, 9
    yield "half an opening.json", b'{"entry":"00', 9


def tables() -> Iterator[Kept]:
    """Files given to ``import``."""
    head = b"title,artist,size\n"
    good = head + b"Heron,Ilse Varga,8\n"
    yield "empty.csv", b"", 9
    yield "blank.csv", b"\n \n,,\n", 9
    yield "no rows.csv", head, 9
    yield "nul.csv", good.replace(b"Heron", b"He\0ron"), 9
    yield "nul head.csv", good.replace(b"title", b"ti\0tle"), 9
    yield "bell.csv", good.replace(b"Heron", b"He\x07ron"), 9
    yield "escape.csv", good.replace(b"Heron", b"\x1b[2JHeron"), 9
    yield "override.csv", good.replace(b"Heron", "He\u202eron".encode()), 9
    yield "latin-1.csv", good.replace(b"Heron", "Durée".encode("latin-1")), 9
    yield "utf-16.csv", good.decode().encode("utf-16"), 9
    yield "utf-32.csv", good.decode().encode("utf-32"), 9
    yield "surrogate.csv", good.replace(b"Heron", b"\xed\xa0\x80"), 9
    yield "overlong.csv", good.replace(b"Heron", b"\xc0\xaf"), 9
    yield "open quote.csv", head + b'"Heron,Ilse Varga,8\n' * 50, 9
    yield "stray quote.csv", head + b'"Heron"x,Ilse Varga,8\n', 9
    yield "quoted lines.csv", head + b'"He\nron",Ilse Varga,8\n', 9
    yield "million columns.csv", b"title" + b",x" * MEGABYTE, 9
    yield "million empty columns.csv", b"title" + b"," * MEGABYTE, 9
    yield "million cells.csv", head + b"x," * MEGABYTE, 9
    yield "wide cell.csv", head + b"x" * 200_000 + b",Ilse Varga,8\n", 9
    yield "long cell.csv", head + b"x" * 3000 + b",Ilse Varga,8\n", 9
    yield "many rows.csv", head + b"Heron,Ilse Varga,8\n" * 100_001, 9
    yield "many blanks.csv", good + b"\n" * 200_000, 9
    yield "one column.csv", b"title\nHeron\n", 9
    yield "unknown column.csv", good.replace(b"size", b"sized"), 9
    yield "doubled column.csv", good.replace(b"size", b"title"), 9
    yield "tabs.csv", good.replace(b",", b"\t"), 9
    yield "short row.csv", head + b"Heron,Ilse Varga\n", 9
    yield "long row.csv", head + b"Heron,Ilse Varga,8,9\n", 9
    yield "sheet.xlsx", b"PK\x03\x04" + bytes(range(256)) * 20, 9
    yield "paper.csv", PDF, 9
    yield "picture.csv", png_of("12345"), 9
    yield "letters.csv", good.replace(b",8", b",eight"), 6
    yield "digits.csv", good.replace(b",8", ",٨".encode()), 6
    yield "huge size.csv", good.replace(b",8", b"," + b"9" * 1900), 6
    yield "longer size.csv", good.replace(b",8", b"," + b"9" * 1999), 6
    yield "minus.csv", good.replace(b",8", b",-8"), 6
    yield "nothing.csv", good.replace(b",8", b",0"), 6
    yield "no artist.csv", good.replace(b"Ilse Varga", b""), 6
    yield "cascade.csv", head + b",,\n,a,b\n" * 200, 6
    yield "no such work.csv", b"title,mark\nStork,3/8\n", 6
    yield "wrong code.csv", b"title,artist,run code\nHeron,Ilse Varga,P-0001\n", 6
    yield "no such dates.csv", b"title,artist,declared\nHeron,Ilse Varga,2026-02-30\n", 6
    yield "years to come.csv", b"title,artist,declared\nHeron,Ilse Varga,9999\n", 6


def not_files(folder: Path) -> dict[Path, int]:
    """Paths that name no plain file, whatever they are called."""
    made: dict[str, Callable[[Path], object]] = {
        "folder.pdf": Path.mkdir,
        "folder.csv": Path.mkdir,
        "pipe.pdf": os.mkfifo,
        "pipe.csv": os.mkfifo,
        "loop.png": lambda path: path.symlink_to(path),
        "dangling.csv": lambda path: path.symlink_to(folder / "nowhere"),
    }
    for name, make in made.items():
        make(folder / name)
    return dict.fromkeys((folder / name for name in made), 9)
