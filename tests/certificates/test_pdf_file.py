"""Tests of the paper as a file: its fonts, what it carries, what it says of itself."""

from __future__ import annotations

import ctypes
import io

import msgspec
import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from certificates.layout import Page
from certificates.pdf import draw, read_attachments
from editions.errors import BronzebookError, FileUnusable
from editions.trade.statement import Statement
from tests.certificates.builders import (
    MINIMAL,
    NUMBER,
    RAW_METAL,
    RESERVATION,
    USUAL,
    paper,
    photograph,
    sealed,
)
from tests.certificates.test_pdf import CASES, made


@pytest.mark.parametrize(("name", "page"), CASES)
def test_every_font_is_embedded(name: str, page: Page) -> None:
    document = pypdfium2.PdfDocument(made(name, page))
    fonts = set()
    for drawn in document:
        for item in drawn.get_objects([pdfium.FPDF_PAGEOBJ_TEXT]):
            font = pdfium.FPDFTextObj_GetFont(item.raw)
            assert pdfium.FPDFFont_GetIsEmbedded(font) == 1
            size = pdfium.FPDFFont_GetBaseFontName(font, None, 0)
            held = ctypes.create_string_buffer(size)
            pdfium.FPDFFont_GetBaseFontName(font, held, size)
            fonts.add(held.value.decode().rpartition("+")[2])
    assert fonts <= {"EBGaramond12-Regular", "EBGaramond12-Italic", "DejaVuSerif", "DejaVuSansMono"}
    assert b"Helvetica" not in made(name, page)


def test_a_paper_carries_what_proves_it() -> None:
    certificate = sealed()
    files = read_attachments(paper(certificate))
    assert files == {
        "entry.json": certificate.seal.entry,
        "certificate.tlog-proof": certificate.seal.proof.encode(),
        "claim.cose": certificate.seal.claim,
        "credential.json": certificate.seal.credential,
        "keys.txt": (
            f"foundry {certificate.seal.foundry_key}\nlog {certificate.seal.log_key}\n".encode()
        ),
    }


def test_the_files_are_associated_with_the_document_and_it_describes_itself() -> None:
    with pikepdf.open(io.BytesIO(made("usual"))) as document:
        names = [str(spec.F) for spec in document.Root.AF]
        assert sorted(names) == [
            "certificate.tlog-proof",
            "claim.cose",
            "credential.json",
            "entry.json",
            "keys.txt",
        ]
        assert {str(spec.AFRelationship) for spec in document.Root.AF} == {"/Data"}
        assert document.docinfo["/CreationDate"] == "D:20261124000000Z"
        assert document.Root.Lang == "en"
        with document.open_metadata() as about:
            assert about["dc:title"] == "Ilse Varga, Standing Woman with Lowered Eyes"
            assert about["dc:identifier"] == NUMBER
            assert about["dc:creator"] == ["Hollow Oak Foundry"]
            assert "xmp:MetadataDate" not in about


def test_a_paper_without_a_full_day_carries_no_invented_one() -> None:
    statement = msgspec.structs.replace(USUAL, issued="2026-11")
    with pikepdf.open(io.BytesIO(paper(sealed(statement)))) as document:
        assert "/CreationDate" not in document.docinfo


@pytest.mark.parametrize(
    ("statement", "picture"),
    [
        (USUAL, b"not a picture"),
        (USUAL, photograph() + b"\x00"),
        (RAW_METAL, photograph()),
    ],
)
def test_another_photograph_than_the_entry_names_is_refused(
    statement: Statement, picture: bytes
) -> None:
    with pytest.raises(FileUnusable):
        draw(statement, sealed(statement).seal, picture)


def test_a_paper_whose_photograph_is_not_at_hand_is_drawn_without_it() -> None:
    data = draw(USUAL, sealed().seal, None)
    with pikepdf.open(io.BytesIO(data)) as document:
        assert not document.pages[0].get_images()


@pytest.mark.parametrize(
    "changes",
    [
        {"address": "file:///C"},
        {"claim": b"nothing"},
        {"foundry_key": "no key"},
        {"address": f"https://{'x' * 120}.example"},
    ],
)
def test_a_seal_that_cannot_be_printed_is_refused(changes: dict[str, str | bytes]) -> None:
    certificate = sealed(MINIMAL).replaced(**changes)
    with pytest.raises(BronzebookError):
        draw(MINIMAL, certificate.seal, None)


def test_two_papers_are_not_the_same() -> None:
    assert paper(sealed(MINIMAL)) != paper(sealed(RESERVATION))
