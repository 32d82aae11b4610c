"""Tests of checking the page as drawn, and of papers that lack what a certificate carries."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import msgspec
import pikepdf
import pytest

from certificates import checks
from certificates.attach import attach, read_attachments
from certificates.credential import AGREEMENT
from certificates.verify import verify_pdf
from editions.errors import FileUnusable
from editions.ledger.envelope import leaf_of
from editions.registry import Registry
from tests.certificates.builders import (
    ADDRESS,
    FOUNDRY_KEY,
    MINIMAL,
    USUAL,
    foundry_keys,
    paper,
    sealed,
    verifier,
)
from tests.certificates.house import certify
from tests.certificates.test_verify import LOG, result, says, with_files


def another_page(drawn_by: str | None = None) -> bytes:
    """A genuine certificate's files behind the page of another title."""
    other = paper(sealed(msgspec.structs.replace(USUAL, title="Sitting Woman")))
    with pikepdf.open(io.BytesIO(other)) as document:
        for name, part in read_attachments(paper(sealed())).items():
            del document.attachments[name]
            document.attachments[name] = pikepdf.AttachedFileSpec(document, part)
        if drawn_by is not None:
            document.docinfo["/DrawnBy"] = drawn_by
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def test_a_page_that_was_changed_is_told_from_one_drawn_from_its_entry() -> None:
    verdict = verify_pdf(another_page(), foundry_keys())
    assert result(verdict, checks.PAGE) == "contradicts"
    assert "not what was drawn from the entry" in says(verdict, checks.PAGE)
    assert (verdict.status, verdict.proved) == (3, False)
    assert verdict.statement == USUAL


def test_a_page_of_other_versions_is_not_called_changed_but_left_to_the_eye() -> None:
    verdict = verify_pdf(another_page("bronzebook 9.9, reportlab 1.0"), foundry_keys())
    assert result(verdict, checks.PAGE) == "not checked"
    assert "Compare the words on the page" in says(verdict, checks.PAGE)
    assert verdict.status == 5


@pytest.mark.parametrize("saving", [{}, {"recompress_flate": True}, {"linearize": True}], ids=str)
def test_a_file_that_another_program_saved_anew_has_the_same_page(saving: dict[str, Any]) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(paper(sealed()))) as document:
        document.save(out, **saving)
    assert out.getvalue() != paper(sealed())
    verdict = verify_pdf(out.getvalue(), foundry_keys())
    assert result(verdict, checks.PAGE) == "agrees"
    assert "saved this file anew" in says(verdict, checks.PAGE)


def test_a_paper_whose_credential_was_taken_out_has_still_its_page(book: Registry) -> None:
    drawn = certify(book).path.read_bytes()
    verdict = verify_pdf(with_files(drawn, credential=None), book.public_keys())
    assert result(verdict, AGREEMENT) == "not checked"
    assert result(verdict, checks.PAGE) == "agrees"
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(with_files(drawn, credential=None))) as document:
        _a_stroke(document)
        document.save(out)
    assert verify_pdf(out.getvalue(), book.public_keys()).status == 3


def _a_stroke(document: pikepdf.Pdf) -> None:
    page = document.pages[0]
    page.contents_add(b"0 0 m 9 9 l S")


def _a_note(document: pikepdf.Pdf) -> None:
    note = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.FreeText, Rect=[0, 0, 99, 99], Contents="8/8"
    )
    document.pages[0].Annots = pikepdf.Array([document.make_indirect(note)])


def _a_page_of_its_own(document: pikepdf.Pdf) -> None:
    """An annotation that refers back to its page, as PDF programs write them."""
    note = pikepdf.Dictionary(Type=pikepdf.Name.Annot, P=document.pages[0].obj)
    document.pages[0].obj.A = pikepdf.Array([note])


def _a_window_above(document: pikepdf.Pdf) -> None:
    document.pages[0].obj.Parent.CropBox = pikepdf.Array([0, 0, 300, 300])


def _a_form(document: pikepdf.Pdf) -> None:
    document.Root.AcroForm = pikepdf.Dictionary(XFA=pikepdf.String("<xdp/>"))


def _another_font(document: pikepdf.Pdf) -> None:
    """Two fonts changed about: every object of the page is still there."""
    fonts = document.pages[0].resources.Font
    one, other = sorted(fonts.keys())[:2]
    fonts[one], fonts[other] = fonts[other], fonts[one]


def _a_page(document: pikepdf.Pdf) -> None:
    document.add_blank_page()


def _a_window(document: pikepdf.Pdf) -> None:
    document.pages[0].mediabox = pikepdf.Array([0, 0, 300, 300])


@pytest.mark.parametrize(
    "change",
    [
        _a_stroke,
        _a_note,
        _a_page,
        _a_window,
        _a_window_above,
        _a_form,
        _another_font,
        _a_page_of_its_own,
    ],
)
def test_whatever_is_put_on_the_page_contradicts(change: Callable[[pikepdf.Pdf], None]) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(paper(sealed()))) as document:
        change(document)
        document.save(out)
    assert result(verify_pdf(out.getvalue(), foundry_keys()), checks.PAGE) == "contradicts"


def test_a_page_that_unpacks_to_more_than_a_page_holds_is_refused() -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(paper(sealed(MINIMAL)))) as document:
        document.pages[0].contents_add(bytes(17 * 1024 * 1024))
        document.save(out)
    with pytest.raises(FileUnusable, match="are larger than any certificate's"):
        verify_pdf(out.getvalue(), foundry_keys())


def test_a_page_is_not_drawn_again_without_the_key_of_its_log() -> None:
    lines = f"foundry {verifier(FOUNDRY_KEY)}\n"
    data = with_files(paper(sealed()), keys=lines.encode())
    verdict = verify_pdf(data, (*foundry_keys(), *LOG))
    assert verdict.status == 5
    assert result(verdict, checks.PAGE) == "not checked"


def test_an_entry_of_great_length_is_not_drawn_again() -> None:
    statement = msgspec.structs.replace(USUAL, remarks=("A long remark. " * 100,) * 45)
    verdict = verify_pdf(paper(sealed(statement)), foundry_keys())
    assert verdict.status == 5
    assert result(verdict, checks.PAGE) == "not checked"


def test_a_file_without_the_address_it_was_drawn_with_is_not_drawn_again() -> None:
    with pikepdf.open(io.BytesIO(paper(sealed()))) as document:
        del document.docinfo["/Address"]
        out = io.BytesIO()
        document.save(out)
    verdict = verify_pdf(out.getvalue(), foundry_keys())
    assert result(verdict, checks.PAGE) == "not checked"


@pytest.mark.parametrize("name", ["entry", "proof", "claim", "keys"])
def test_a_pdf_that_lacks_one_of_its_files_is_refused_by_name(name: str) -> None:
    with pytest.raises(FileUnusable, match="does not carry"):
        verify_pdf(with_files(paper(sealed()), **{name: None}), ())


@pytest.mark.parametrize("name", ["entry", "proof", "claim", "keys"])
@pytest.mark.parametrize("part", [b"", b"\xff\xfe", b"{}", b"text\n", b"\x00" * 40], ids=repr)
def test_a_pdf_whose_file_is_something_else_is_refused(name: str, part: bytes) -> None:
    with pytest.raises(FileUnusable):
        verify_pdf(with_files(paper(sealed()), **{name: part}), ())


def test_attaching_files_of_any_name_keeps_their_bytes() -> None:
    from certificates.attach import Description

    about = Description(
        title="t", subject="s", author="a", issued="2026", number="n", address=ADDRESS
    )
    data = attach(paper(sealed(MINIMAL)), {"more.bin": bytes(range(256))}, about)
    assert read_attachments(data)["more.bin"] == bytes(range(256))
    assert leaf_of(read_attachments(data)["entry.json"])
