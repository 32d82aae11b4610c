"""Tests of checking a code or a picture of one, and of standing kept apart from proof."""

from __future__ import annotations

import io
import subprocess
import sys
from typing import Any

import pypdfium2
import pytest

from certificates import checks
from certificates.claim import code_text
from certificates.keyfile import PublicKeyEntry
from certificates.verify import verify_code, verify_pdf, verify_picture, with_standing
from editions.errors import FileUnusable, Unreadable
from tests.certificates.builders import (
    ADDRESS,
    EXTREME,
    FROM_OBJECT,
    LOG_KEY,
    MINIMAL,
    NUMBER,
    OTHER_KEY,
    RAW_METAL,
    STATEMENTS,
    foundry_keys,
    paper,
    sealed,
)
from tests.certificates.test_verify import LOG, OTHER_NUMBER, result, says


def test_a_code_is_proved_by_the_key_given() -> None:
    certificate = sealed()
    verdict = verify_code(code_text(ADDRESS, NUMBER, certificate.seal.claim), foundry_keys())
    assert verdict.status == 5
    assert verdict.proved
    assert verdict.claim == certificate.claim
    assert verdict.statement is None
    assert result(verdict, checks.INCLUSION) == "not checked"
    assert verdict.key_from == "given"


def test_a_code_without_a_key_is_not_proved_and_says_what_it_needs() -> None:
    verdict = verify_code(code_text(ADDRESS, NUMBER, sealed().seal.claim), ())
    assert verdict.status == 4
    assert not verdict.proved
    assert verdict.key_from == "none"
    assert "no key was given" in says(verdict, checks.SIGNATURE)
    assert "--key" in says(verdict, checks.SIGNATURE)


def test_a_code_whose_address_names_another_number_contradicts() -> None:
    verdict = verify_code(code_text(ADDRESS, OTHER_NUMBER, sealed().seal.claim), foundry_keys())
    assert verdict.status == 3
    assert result(verdict, checks.CODE) == "contradicts"


def test_a_code_signed_by_a_forger_contradicts() -> None:
    text = code_text(ADDRESS, NUMBER, sealed(key=OTHER_KEY).seal.claim)
    assert verify_code(text, foundry_keys()).status == 3


def test_a_code_of_a_key_of_the_log_is_not_signed_by_the_foundry() -> None:
    text = code_text(ADDRESS, NUMBER, sealed(key=LOG_KEY).seal.claim)
    assert verify_code(text, (*foundry_keys(), *LOG)).status == 3
    alone = verify_code(text, LOG)
    assert (alone.status, alone.proved) == (4, False)
    assert "holds no key of a foundry" in says(alone, checks.SIGNATURE)


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("name", STATEMENTS)
def test_a_picture_of_the_paper_is_checked_by_its_code(name: str, page: Any) -> None:
    data = paper(sealed(STATEMENTS[name]), page)
    verdict = verify_picture(_picture(data), foundry_keys())
    assert verdict.status == 5
    assert verdict.number == NUMBER


def _picture(data: bytes, scale: float = 150 / 72) -> bytes:
    out = io.BytesIO()
    pypdfium2.PdfDocument(data)[0].render(scale=scale).to_pil().save(out, "PNG")
    return out.getvalue()


def test_a_picture_without_a_code_or_with_two_certificates_is_refused() -> None:
    from PIL import Image

    one = Image.open(io.BytesIO(_picture(paper(sealed(MINIMAL)))))
    other = Image.open(io.BytesIO(_picture(paper(sealed(FROM_OBJECT)))))
    wide = Image.new("RGB", (one.width * 2, one.height), "white")
    wide.paste(one, (0, 0))
    wide.paste(other, (one.width, 0))
    for picture, says_so in ((wide, "several"), (one.crop((0, 0, 300, 300)), "No code")):
        out = io.BytesIO()
        picture.save(out, "PNG")
        with pytest.raises(FileUnusable, match=says_so):
            verify_picture(out.getvalue(), foundry_keys())


def test_a_picture_of_another_code_is_refused_as_such() -> None:
    from certificates.qr import matrix
    from tests.certificates.test_qr import as_png, picture_of

    with pytest.raises(Unreadable, match="not the code of a certificate"):
        verify_picture(as_png(picture_of(matrix("WIFI:S:foundry;;"))), ())


@pytest.mark.parametrize(
    ("keys", "standing", "stands", "status"),
    [
        (foundry_keys(), "stands", True, 0),
        (foundry_keys(), "withdrawn", False, 3),
        (foundry_keys(OTHER_KEY, "elsewhere.example"), "stands", True, 4),
    ],
)
def test_the_standing_is_kept_apart_from_the_proof(
    keys: tuple[PublicKeyEntry, ...], standing: str, stands: bool, status: int
) -> None:
    verdict = verify_pdf(paper(sealed()), keys)
    asked = with_standing(verdict, standing, "2026-12-01T08:00:00Z", stands=stands)
    assert asked.status == status
    assert asked.proved == verdict.proved
    assert (asked.standing, asked.standing_as_of) == (standing, "2026-12-01T08:00:00Z")
    assert says(asked, checks.STANDING) == (
        f"The registry says: {standing}, as of 2026-12-01T08:00:00Z."
    )


def test_a_contradiction_outweighs_a_good_standing() -> None:
    verdict = verify_pdf(paper(sealed(title="Sitting Woman")), foundry_keys())
    assert with_standing(verdict, "stands", "2026-12-01", stands=True).status == 3


def test_no_check_says_authentic() -> None:
    for data in (paper(sealed()), paper(sealed(title="x")), paper(sealed(RAW_METAL))):
        for check in verify_pdf(data, ()).checks:
            assert "authentic" not in check.says.lower()


def test_checking_a_code_or_a_pdf_loads_no_database_and_a_code_no_drawing(tmp_path: Any) -> None:
    certificate = sealed(EXTREME)
    (tmp_path / "paper.pdf").write_bytes(paper(certificate))
    text = code_text(ADDRESS, NUMBER, certificate.seal.claim)
    script = (
        "import sys, pathlib\n"
        "from certificates.verify import verify_code, verify_pdf\n"
        f"assert verify_code({text!r}, ()).status == 4\n"
        "drawing = ('reportlab', 'pikepdf', 'PIL', 'qrcode', 'zxingcpp', 'sqlalchemy')\n"
        "assert not [m for m in drawing if m in sys.modules]\n"
        "assert verify_pdf(pathlib.Path(sys.argv[1]).read_bytes(), ()).proved\n"
        "assert 'sqlalchemy' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", script, str(tmp_path / "paper.pdf")], check=True)
