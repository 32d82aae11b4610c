"""A seal for PDF readers: appended to the drawn bytes, and nothing else may be appended."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from typing import Any

import pikepdf
import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from certificates.appended import drawn_part, only_sealed, under_seal
from certificates.pades import seal_checks, seal_pdf
from certificates.verify import verify_pdf
from editions.errors import KeyUnusable, MachineRefused, Refused
from editions.registry import Registry
from tests.certificates import house
from tests.certificates.seals import SECRET, seal_certificate


@pytest.fixture
def drawn(book: Registry) -> bytes:
    return house.certify(book).path.read_bytes()


@pytest.fixture
def sealed(drawn: bytes) -> bytes:
    return seal_pdf(drawn, seal_certificate(), SECRET)


def rewritten(pdf: bytes, change: Callable[[Any], object]) -> bytes:
    """The PDF with a change appended, as an editor that knows the format would."""
    writer: Any = IncrementalPdfFileWriter(io.BytesIO(pdf))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_a_seal_leaves_the_drawn_bytes_as_they_were(drawn: bytes, sealed: bytes) -> None:
    assert sealed.startswith(drawn)
    assert drawn_part(sealed) == drawn
    assert only_sealed(drawn, sealed)
    assert under_seal(sealed) == drawn
    (check,) = seal_checks(sealed)
    assert check in verify_pdf(sealed, ()).checks
    assert check.result == "agrees"
    assert "Kiln Lane Bronze" in check.says


def test_the_seal_is_of_the_form_that_pades_asks_for(sealed: bytes) -> None:
    """ETSI EN 319 142-1, 5.3, 6.3: SubFilter, and a ByteRange that leaves out Contents alone."""
    with pikepdf.open(io.BytesIO(sealed)) as document:
        value = document.Root.AcroForm.Fields[0].V
        start, length, again, rest = (int(each) for each in value.ByteRange)
    assert str(value.SubFilter) == "/ETSI.CAdES.detached"
    assert (start, again + rest) == (0, len(sealed))
    assert sealed[length : length + 1] == b"<"
    assert sealed[again - 1 : again] == b">"


def test_of_a_paper_that_bears_none_nothing_is_said(drawn: bytes) -> None:
    assert drawn_part(drawn) == drawn
    assert seal_checks(drawn) == ()
    assert not only_sealed(drawn, drawn)


def test_no_second_seal_is_put_on(sealed: bytes) -> None:
    with pytest.raises(Refused, match="bears a seal already"):
        seal_pdf(sealed, seal_certificate(), SECRET)


@pytest.mark.parametrize("secret", ["", "wrong"])
def test_a_seal_certificate_opens_with_its_passphrase_only(drawn: bytes, secret: str) -> None:
    with pytest.raises(KeyUnusable, match="does not open"):
        seal_pdf(drawn, seal_certificate(), secret)


def test_what_is_no_seal_certificate_is_refused(drawn: bytes) -> None:
    with pytest.raises(KeyUnusable, match="does not open"):
        seal_pdf(drawn, b"no certificate", SECRET)


def _writes_over_the_page(writer: Any) -> None:
    page = writer.root["/Pages"]["/Kids"][0].get_object()
    stream = generic.StreamObject(stream_data=b"BT /F1 40 Tf 80 80 Td (1/8) Tj ET")
    page["/Contents"] = generic.ArrayObject([page.raw_get("/Contents"), writer.add_object(stream)])
    writer.update_container(page)


def _runs_when_opened(writer: Any) -> None:
    action = {
        "/S": generic.NameObject("/JavaScript"),
        "/JS": generic.TextStringObject("app.beep()"),
    }
    made: Any = generic.DictionaryObject
    writer.root["/OpenAction"] = made(
        {generic.NameObject(key): value for key, value in action.items()}
    )
    writer.update_root()


def _has_another_title(writer: Any) -> None:
    information = writer.trailer["/Info"]
    information["/Title"] = generic.TextStringObject("Another work")
    writer.update_container(information)


@pytest.mark.parametrize("change", [_writes_over_the_page, _runs_when_opened, _has_another_title])
@pytest.mark.parametrize("after", ["the drawing", "the seal"])
def test_anything_else_appended_contradicts(
    drawn: bytes, sealed: bytes, change: Callable[[Any], object], after: str
) -> None:
    (check,) = seal_checks(rewritten(sealed if after == "the seal" else drawn, change))
    assert check.result == "contradicts"


def test_a_page_written_over_before_it_was_sealed_contradicts(drawn: bytes) -> None:
    assert verify_pdf(_sealed_by_a_forger(drawn, _writes_over_the_page), ()).status == 3


@pytest.mark.parametrize("change", [_writes_over_the_page, _runs_when_opened, _has_another_title])
def test_a_forger_cannot_seal_what_they_changed(
    drawn: bytes, change: Callable[[Any], object]
) -> None:
    whole = _sealed_by_a_forger(drawn, change)
    assert under_seal(whole) == whole
    (check,) = seal_checks(whole)
    assert (check.result, "what it shows may differ" in check.says) == ("contradicts", True)


def _sealed_by_a_forger(drawn: bytes, change: Callable[[Any], object]) -> bytes:
    """A sound seal of the forger's own over a page that was changed before."""
    from pyhanko.sign import fields, signers

    signer = signers.SimpleSigner.load_pkcs12_data(
        seal_certificate("Forger"), other_certs=[], passphrase=SECRET.encode()
    )
    writer = IncrementalPdfFileWriter(io.BytesIO(drawn))
    change(writer)
    metadata = signers.PdfSignatureMetadata(
        field_name="Seal", subfilter=fields.SigSeedSubFilter.PADES, md_algorithm="sha256"
    )
    made = signers.PdfSigner(metadata, signer=signer).sign_pdf(writer, output=io.BytesIO())
    return bytes(made.getvalue())


def test_a_byte_of_the_drawn_part_changed_breaks_the_seal(drawn: bytes, sealed: bytes) -> None:
    middle = drawn.index(b"endobj")
    (check,) = seal_checks(sealed[: middle - 1] + b" " + sealed[middle:])
    assert check.result == "contradicts"


def test_a_cut_or_padded_seal_contradicts(drawn: bytes, sealed: bytes) -> None:
    for whole in (sealed[:-9], sealed + b"\n", sealed + b"% more\n", drawn + b"\n% more\n"):
        (check,) = seal_checks(whole)
        assert check.result == "contradicts"


def test_without_the_extra_a_seal_is_said_and_not_judged(
    drawn: bytes, sealed: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    certificate = seal_certificate()
    monkeypatch.setitem(sys.modules, "pyhanko.sign", None)
    (check,) = seal_checks(sealed)
    assert (check.result, "bronzebook[pades]" in check.says) == ("not checked", True)
    with pytest.raises(MachineRefused, match="not installed"):
        seal_pdf(drawn, certificate, SECRET)
