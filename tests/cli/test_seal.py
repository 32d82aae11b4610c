"""``bronzebook certificate seal``: a copy that PDF readers show as sealed."""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from tests.certificates.seals import SECRET, seal_certificate
from tests.cli.conftest import Call, Shop
from tests.registry.builders import PASSPHRASE


@pytest.fixture
def number(registry: Registry, shop: Shop, call: Call, monkeypatch: pytest.MonkeyPatch) -> str:
    """The number of a certificate that is drawn."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    monkeypatch.setenv("BRONZEBOOK_PASSPHRASE", PASSPHRASE)
    assert call("certify", "T-0102").exit_code == 0
    return next(registry.home.certificates.glob("*.pdf")).stem


def test_a_sealed_copy_is_made_once(
    registry: Registry, call: Call, number: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRONZEBOOK_SEAL_PASSPHRASE", SECRET)
    given = tmp_path / "seal.p12"
    given.write_bytes(seal_certificate())
    words = ("certificate", "seal", number, "--with", str(given))
    done = call(*words)
    assert (done.exit_code, "bears the seal" in done.output) == (0, True), done.output
    drawn = registry.home.certificates / f"{number}.pdf"
    copy = registry.home.certificates / f"{number}-sealed.pdf"
    assert copy.read_bytes().startswith(drawn.read_bytes())
    assert call("verify", str(copy)).exit_code == call("verify", str(drawn)).exit_code == 0
    again = call(*words)
    assert (again.exit_code, "bears a seal already" in again.output) == (6, True)


def test_a_passphrase_that_opens_nothing_makes_no_copy(
    registry: Registry, call: Call, number: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRONZEBOOK_SEAL_PASSPHRASE", "wrong")
    given = tmp_path / "seal.p12"
    given.write_bytes(seal_certificate())
    assert call("certificate", "seal", number, "--with", str(given)).exit_code == 8
    assert len(list(registry.home.certificates.iterdir())) == 1


def test_a_certificate_that_is_not_there_is_not_sealed(call: Call, tmp_path: Path) -> None:
    given = tmp_path / "seal.p12"
    given.write_bytes(seal_certificate())
    assert call("certificate", "seal", "4MH8PV0PDA7", "--with", str(given)).exit_code == 9
