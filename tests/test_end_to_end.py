"""The whole way, as it is walked: a paper, its picture, its address, its record; then one byte.

A finished piece gets its certificate.  The PDF is rasterised at 150 dpi (pypdfium2), the code on it
read by an independent reader of ISO/IEC 18004 (zxing-cpp), and its address asked of the running
server and of the published folder.  Then somebody changes one byte of the book.
"""

from __future__ import annotations

import io
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner, Result
from PIL import Image

from editions.cli import bronzebook
from editions.pages.publish import publish
from editions.registry import Registry
from editions.trade.numbers import show_number
from tests.certificates import house
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.pages.running import running
from tests.registry.builders import ADDRESS
from tests.store.books import tamper


class Walked(NamedTuple):
    """A certificate issued and published, and what was read from a picture of it."""

    registry: Registry
    number: str
    paper: Path
    picture: bytes
    code: str
    site: Path


def rasterised(pdf: Path) -> bytes:
    """The first page as a PNG, 150 dots to the inch."""
    document = pypdfium2.PdfDocument(pdf.read_bytes())
    picture = document[0].render(scale=150 / 72).to_pil()
    document.close()
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def walked(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Walked]:
    """From a registry just begun to a published record, on each kind of database."""
    registry = patterns.copied("finished", stores, tmp_path / "home", house.built)
    issued = house.certify(registry)
    picture = rasterised(issued.path)
    (code,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    publish(registry, tmp_path / "site")
    yield Walked(registry, issued.number, issued.path, picture, code.text, tmp_path / "site")
    registry.close()


def call(walked: Walked, *words: str) -> Result:
    """The command line, at this registry."""
    home = walked.registry.home
    at = ["--registry", home.database, "--home", str(home.folder)]
    return CliRunner().invoke(bronzebook, [*at, *words])


def fetched(walked: Walked) -> bytes:
    """What the server answers at the address on the code, its host replaced by this machine."""
    address = walked.code.partition("#")[0]
    path = address.removeprefix(ADDRESS.upper())
    assert path != address
    with (
        running(walked.registry) as port,
        urllib.request.urlopen(f"http://127.0.0.1:{port}{path}") as answer,
    ):
        assert answer.status == 200
        return bytes(answer.read())


def change_one_byte(walked: Walked, kind: str) -> int:
    """Change one byte in the middle of the first entry of a kind; its position."""
    position = house.first(walked.registry, kind)
    with walked.registry.reading() as reading:
        raw = bytearray(house.stored(reading, position))
    raw[len(raw) // 2] ^= 1
    statement = "UPDATE entries SET bytes = :raw WHERE position = :at"
    tamper(walked.registry, statement, raw=bytes(raw), at=position)
    return position


def test_a_certificate_leads_from_its_picture_to_its_record(walked: Walked) -> None:
    assert walked.code.startswith(f"{ADDRESS.upper()}/C/{walked.number}#")
    served = fetched(walked)
    assert served == (walked.site / "C" / walked.number / "index.html").read_bytes()
    page = served.decode()
    assert show_number(walked.number) in page
    assert "This record contradicts itself" not in page
    picture = walked.paper.with_suffix(".png")
    picture.write_bytes(walked.picture)
    for what in (str(walked.paper), str(picture), walked.code, walked.number):
        checked = call(walked, "verify", what)
        assert checked.exit_code == 0, what
        assert "contradicts" not in checked.stdout
    assert call(walked, "verify", "3/8", "--work", "K-0001").exit_code == 0
    assert call(walked, "audit").exit_code == 0


@pytest.mark.parametrize("kind", ["certificate_issued", "section_taken", "mark_found"])
def test_one_byte_changed_is_told_by_audit_by_verify_and_by_the_page(
    walked: Walked, kind: str
) -> None:
    before = fetched(walked)
    position = change_one_byte(walked, kind)
    audited = call(walked, "audit")
    assert audited.exit_code == 3
    assert f"fault: entry {position}: " in audited.stdout
    for what in (walked.number, str(walked.paper), walked.code):
        checked = call(walked, "verify", what)
        assert checked.exit_code == 3, what
        assert "contradicts\t" in checked.stdout
    page = fetched(walked)
    assert page != before
    assert b"This record contradicts itself" in page
    # What was published before keeps what it said: whoever kept a copy can compare.
    assert (walked.site / "C" / walked.number / "index.html").read_bytes() == before
    publish(walked.registry, walked.site)
    assert (walked.site / "C" / walked.number / "index.html").read_bytes() == page
