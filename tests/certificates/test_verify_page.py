"""Tests of checking the page as drawn, and of papers that lack what a certificate carries."""

from __future__ import annotations

import io

import msgspec
import pikepdf
import pytest

from certificates import checks
from certificates.attach import attach, read_attachments
from certificates.verify import verify_pdf
from editions.errors import FileUnusable
from editions.ledger.envelope import leaf_of
from tests.certificates.builders import (
    ADDRESS,
    FOUNDRY_KEY,
    LOG_KEY,
    MINIMAL,
    USUAL,
    foundry_keys,
    paper,
    sealed,
    verifier,
)
from tests.certificates.test_verify import LOG, result, says, with_files


def test_a_page_that_was_changed_is_told_from_one_drawn_from_its_entry() -> None:
    data = paper(sealed())
    other = paper(sealed(msgspec.structs.replace(USUAL, title="Sitting Woman")))
    files = read_attachments(data)
    with pikepdf.open(io.BytesIO(other)) as document:
        for name, part in files.items():
            del document.attachments[name]
            document.attachments[name] = pikepdf.AttachedFileSpec(document, part)
        out = io.BytesIO()
        document.save(out)
    verdict = verify_pdf(out.getvalue(), foundry_keys())
    assert result(verdict, checks.PAGE) == "not checked"
    assert "Compare the words on the page" in says(verdict, checks.PAGE)
    assert verdict.statement == USUAL


@pytest.mark.parametrize("keys", ["foundry", "both twice"])
def test_a_page_is_not_drawn_again_from_keys_that_are_not_two(keys: str) -> None:
    lines = f"foundry {verifier(FOUNDRY_KEY)}\n"
    if keys == "both twice":
        lines += f"log {verifier(LOG_KEY)}\n" * 2
    data = with_files(paper(sealed()), keys=lines.encode())
    verdict = verify_pdf(data, (*foundry_keys(), *LOG))
    assert verdict.status == 5
    assert result(verdict, checks.PAGE) == "not checked"


def test_an_entry_of_great_length_is_not_drawn_again() -> None:
    statement = msgspec.structs.replace(USUAL, remarks=("A long remark. " * 100,) * 60)
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
