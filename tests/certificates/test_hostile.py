"""Hostile input to checking: an error of ours, or a verdict that proves nothing.

Nothing here may end in a traceback, and nothing that was altered may be proved.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from certificates import checks
from certificates.attach import FILE_LIMIT, PDF_LIMIT, read_attachments, read_drawn
from certificates.checks import Trusted
from certificates.claim import code_text, read_signed
from certificates.keyfile import read_keys
from certificates.qr import matrix
from certificates.verify import Verdict, verify_code, verify_pdf, verify_picture
from editions.errors import BronzebookError, FileUnusable
from editions.ledger.prooffile import ProofFile
from tests.certificates.builders import (
    ADDRESS,
    FOUNDRY_KEY,
    LOG_KEY,
    MINIMAL,
    NUMBER,
    Sealed,
    foundry_keys,
    paper,
    sealed,
    verifier,
)
from tests.certificates.test_qr import as_png, picture_of
from tests.certificates.test_verify import with_files

GENTLE = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
KEYS = foundry_keys()


def verdict_of(check: Callable[[], Verdict]) -> Verdict | None:
    """The verdict, or None where it was refused by one of our errors."""
    try:
        return check()
    except BronzebookError:
        return None


def not_proved(verdict: Verdict | None) -> bool:
    return verdict is None or (not verdict.proved and verdict.status in (3, 4))


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def quick_checks(certificate: Sealed, cose: bytes, proof: bytes) -> bool:
    """Whether the checks of a PDF that concern claim and proof would prove these bytes."""
    trusted = Trusted(keys=KEYS, given=True)
    own = Trusted(keys=read_keys(f"log {certificate.seal.log_key}\n"), given=False)
    try:
        signed = read_signed(cose)
        read = ProofFile.parse(proof.decode())
    except (BronzebookError, UnicodeDecodeError):
        return False
    made = (
        checks.signature(signed, trusted),
        checks.inclusion(signed.claim, read),
        checks.checkpoint(signed.claim, read, trusted, own),
    )
    return all(check.result == "agrees" for check in made)


def test_every_single_bit_of_the_claim_in_a_paper_counts() -> None:
    certificate = sealed()
    proof = certificate.seal.proof.encode()
    assert quick_checks(certificate, certificate.seal.claim, proof)
    for bit in range(len(certificate.seal.claim) * 8):
        assert not quick_checks(certificate, flipped(certificate.seal.claim, bit), proof), bit


def test_every_single_bit_of_the_proof_in_a_paper_counts() -> None:
    certificate = sealed()
    proof = certificate.seal.proof.encode()
    for bit in range(len(proof) * 8):
        assert not quick_checks(certificate, certificate.seal.claim, flipped(proof, bit)), bit


@GENTLE
@given(st.data())
def test_a_bit_flipped_in_any_attached_file_is_never_proved(data: st.DataObject) -> None:
    certificate = sealed(MINIMAL)
    parts = {
        "claim": certificate.seal.claim,
        "proof": certificate.seal.proof.encode(),
        "entry": certificate.seal.entry,
    }
    name = data.draw(st.sampled_from(sorted(parts)))
    bit = data.draw(st.integers(0, len(parts[name]) * 8 - 1))
    altered = with_files(paper(certificate), **{name: flipped(parts[name], bit)})
    assert not_proved(verdict_of(lambda: verify_pdf(altered, KEYS)))
    assert not_proved(verdict_of(lambda: verify_pdf(altered, ())))


@GENTLE
@given(st.data())
def test_a_bit_flipped_in_a_carried_key_is_never_proved_by_it(data: st.DataObject) -> None:
    certificate = sealed(MINIMAL)
    lines = f"foundry {verifier(FOUNDRY_KEY)}\nlog {verifier(LOG_KEY)}\n".encode()
    bit = data.draw(st.integers(0, len(lines) * 8 - 1))
    altered = with_files(paper(certificate), keys=flipped(lines, bit))
    assert not_proved(verdict_of(lambda: verify_pdf(altered, ())))


@GENTLE
@given(st.integers(0, len(paper(sealed(MINIMAL))) - 1))
def test_a_truncated_paper_is_refused(length: int) -> None:
    cut = paper(sealed(MINIMAL))[:length]
    verdict = verdict_of(lambda: verify_pdf(cut, KEYS))
    # The newline after the end mark may be missing without loss.
    assert verdict is None or cut.rstrip().endswith(b"%%EOF")


@GENTLE
@given(st.data())
def test_bytes_changed_anywhere_in_a_paper_never_crash_the_check(data: st.DataObject) -> None:
    whole = bytearray(paper(sealed(MINIMAL)))
    for _ in range(data.draw(st.integers(1, 6))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    verdict = verdict_of(lambda: verify_pdf(bytes(whole), KEYS))
    if verdict is not None and verdict.proved:
        # What proves was not touched; whether the page was is not claimed.
        assert verdict.claim == sealed(MINIMAL).claim


@GENTLE
@given(st.binary(max_size=400) | st.binary(max_size=200).map(lambda tail: b"%PDF-1.7\n" + tail))
def test_any_bytes_as_a_pdf_or_a_picture_are_refused(data: bytes) -> None:
    assert verdict_of(lambda: verify_pdf(data, KEYS)) is None
    assert verdict_of(lambda: verify_picture(data, KEYS)) is None


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=400) | st.binary(max_size=300).map(lambda b: code_text(ADDRESS, NUMBER, b)))
def test_any_text_as_a_code_is_refused_or_proves_nothing(text: str) -> None:
    assert not_proved(verdict_of(lambda: verify_code(text, KEYS)))


@GENTLE
@given(st.data())
def test_a_letter_changed_in_a_code_is_never_proved(data: st.DataObject) -> None:
    text = code_text(ADDRESS, NUMBER, sealed().seal.claim)
    start = text.index("/C/") + 3
    at = data.draw(st.integers(start, len(text) - 1))
    letter = data.draw(st.sampled_from("ABCDEFGHJKMNPQRSTVWXYZ234567"))
    changed = text[:at] + letter + text[at + 1 :]
    if changed != text:
        assert not_proved(verdict_of(lambda: verify_code(changed, KEYS)))


def _foreign(build: Callable[[pikepdf.Pdf], None] | None = None, **options: object) -> bytes:
    document = pikepdf.new()
    document.add_blank_page()
    if build:
        build(document)
    out = io.BytesIO()
    document.save(out, **options)  # type: ignore[arg-type]
    return out.getvalue()


def _with_stream(stream: Callable[[pikepdf.Pdf], pikepdf.Object]) -> bytes:
    """A PDF with one attached file whose stream is made by hand."""

    def build(document: pikepdf.Pdf) -> None:
        spec = pikepdf.AttachedFileSpec(document, b"")
        document.attachments["claim.cose"] = spec
        held = document.attachments["claim.cose"].obj
        held.EF.F = stream(document)
        held.EF.UF = held.EF.F

    return _foreign(
        build, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none
    )


def _bomb(document: pikepdf.Pdf) -> pikepdf.Object:
    packed = zlib.compress(bytes(FILE_LIMIT * 40), 9)
    stream = document.make_stream(b"")
    stream.write(packed, filter=pikepdf.Name.FlateDecode)
    return stream


def _packed_twice(document: pikepdf.Pdf) -> pikepdf.Object:
    stream = document.make_stream(b"")
    twice = zlib.compress(zlib.compress(bytes(1000)))
    stream.write(twice, filter=pikepdf.Array([pikepdf.Name.FlateDecode, pikepdf.Name.FlateDecode]))
    return stream


def _damaged(document: pikepdf.Pdf) -> pikepdf.Object:
    stream = document.make_stream(b"")
    stream.write(b"not deflated", filter=pikepdf.Name.FlateDecode)
    return stream


def _many(document: pikepdf.Pdf) -> None:
    for at in range(40):
        document.attachments[f"file {at}"] = pikepdf.AttachedFileSpec(document, b"x")


def _no_stream(document: pikepdf.Pdf) -> None:
    document.attachments["claim.cose"] = pikepdf.AttachedFileSpec(document, b"x")
    held = document.attachments["claim.cose"].obj
    held.EF.F = document.make_indirect(pikepdf.Dictionary())
    held.EF.UF = held.EF.F


def _odd_names(document: pikepdf.Pdf) -> None:
    document.Root.Names = pikepdf.Dictionary(EmbeddedFiles=pikepdf.Array([1, 2, 3]))


HOSTILE_PDFS: dict[str, Callable[[], bytes]] = {
    "nothing": lambda: b"",
    "a word": lambda: b"certificate",
    "only a first line": lambda: b"%PDF-1.7\n",
    "a picture": lambda: as_png(picture_of(matrix("A"))),
    "a megabyte of text": lambda: b"certificate " * 90_000,
    "a megabyte of control characters": lambda: bytes(range(32)) * 32_768,
    "an empty page": _foreign,
    "a locked file": lambda: _foreign(encryption=pikepdf.Encryption(owner="o", user="u")),
    "a file that unpacks to forty megabytes": lambda: _with_stream(_bomb),
    "a file packed twice": lambda: _with_stream(_packed_twice),
    "a file that is not packed as it says": lambda: _with_stream(_damaged),
    "forty files": lambda: _foreign(_many),
    "a file that is no stream": lambda: _foreign(_no_stream),
    "names that are none": lambda: _foreign(_odd_names),
    "too many bytes": lambda: b"%PDF-1.7\n" + bytes(PDF_LIMIT),
    "a file of another kind": lambda: with_files(
        paper(sealed(MINIMAL)), claim=b"\xa0", keys=b"\x00"
    ),
}


@pytest.mark.parametrize("name", HOSTILE_PDFS)
def test_a_foreign_or_damaged_pdf_is_refused_in_a_line(name: str) -> None:
    with pytest.raises(FileUnusable) as caught:
        verify_pdf(HOSTILE_PDFS[name](), KEYS)
    assert caught.value.exit_status == 9
    assert len(str(caught.value)) < 300
    assert "\n" not in str(caught.value)


HOSTILE_CODES = {
    "nothing": "",
    "a megabyte": "A" * 1_000_000,
    "a megabyte of code": f"HTTPS://X.EXAMPLE/C/{NUMBER}#" + "A" * 1_000_000,
    "control characters": "\x00\x1b[31m\x07" * 50,
    "a line that runs backwards": "\u202ehttps://x.example",
    "half a character": "\ud800",
    "a wireless network": "WIFI:S:foundry;T:WPA;P:secret;;",
    "a card": "BEGIN:VCARD\nVERSION:3.0\nEND:VCARD",
    "another claim format": f"HTTPS://X.EXAMPLE/C/{NUMBER}#2KCEHAUCSAYQCBABKRXHKY3L",
    "a script": f"javascript:alert(1)//C/{NUMBER}#AA",
    "digits of another script": "https://x.example/C/٠١٢٣٤٥٦٧٨٩A#AA",
    "nested arrays": code_text(ADDRESS, NUMBER, b"\x81" * 1900 + b"\x00"),
    "a huge length": code_text(ADDRESS, NUMBER, b"\xd2\x84\x5b" + b"\x7f" * 8),
    "a tag within a tag": code_text(ADDRESS, NUMBER, b"\xd2\xd2\x84" + b"\x40" * 4),
    "a shared reference": code_text(ADDRESS, NUMBER, b"\xd2\xd8\x1c\x84\xd8\x1d\x00\xa0\x40\x40"),
    "a date": code_text(ADDRESS, NUMBER, b"\xc0\x74" + b"2013-03-21T20:04:00Z"),
    "a map as a key": code_text(ADDRESS, NUMBER, b"\xd2\x84\x40\xa1\xa1\x01\x02\x03\x40\x40"),
}


@pytest.mark.parametrize("name", HOSTILE_CODES)
def test_a_foreign_or_damaged_code_is_refused_in_a_line(name: str) -> None:
    with pytest.raises(BronzebookError) as caught:
        verify_code(HOSTILE_CODES[name], KEYS)
    assert caught.value.exit_status == 2
    said = str(caught.value)
    assert len(said) < 300
    assert said.isprintable()


def test_a_blank_picture_has_no_code() -> None:
    out = io.BytesIO()
    Image.new("RGB", (50, 50), "white").save(out, "JPEG")
    with pytest.raises(FileUnusable, match="No code"):
        verify_picture(out.getvalue(), KEYS)


def test_what_a_foreign_pdf_was_drawn_with_is_nothing() -> None:
    drawn = read_drawn(_foreign())
    assert drawn.address == ""
    assert drawn.pictures == ()


def test_a_pdf_without_a_page_was_drawn_with_nothing_either() -> None:
    document = pikepdf.new()
    out = io.BytesIO()
    document.save(out)
    with pytest.raises(FileUnusable):
        read_drawn(out.getvalue())


def test_a_photograph_in_another_packing_is_passed_over() -> None:
    def build(document: pikepdf.Pdf) -> None:
        stream = document.make_stream(bytes(3))
        stream.stream_dict = pikepdf.Dictionary(
            Type=pikepdf.Name.XObject,
            Subtype=pikepdf.Name.Image,
            Width=1,
            Height=1,
            BitsPerComponent=8,
            ColorSpace=pikepdf.Name.DeviceRGB,
        )
        document.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im1=stream))

    assert read_drawn(_foreign(build)).pictures == ()


def test_files_that_are_not_packed_at_all_are_read() -> None:
    with pikepdf.open(io.BytesIO(paper(sealed()))) as document:
        out = io.BytesIO()
        plain = pikepdf.StreamDecodeLevel.generalized
        document.save(out, compress_streams=False, stream_decode_level=plain)
    assert read_attachments(out.getvalue()) == read_attachments(paper(sealed()))


def test_a_file_that_is_large_and_not_packed_is_refused() -> None:
    data = _with_stream(lambda document: document.make_stream(b" " * (FILE_LIMIT + 1)))
    with pytest.raises(FileUnusable, match="larger than"):
        read_attachments(data)


def test_the_files_of_a_paper_saved_anew_by_another_program_are_still_read() -> None:
    with pikepdf.open(io.BytesIO(paper(sealed()))) as document:
        out = io.BytesIO()
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    assert read_attachments(out.getvalue()) == read_attachments(paper(sealed()))
    assert verify_pdf(out.getvalue(), KEYS).status == 5
