"""A code or a photograph and a site, with no key brought: the site's own keys are taken."""

from __future__ import annotations

import datetime
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.issue import Issued, withdraw
from certificates.site_keys import keys_shown, with_later
from editions.cli import bronzebook
from editions.errors import FileUnusable
from editions.ledger.keys import fingerprint
from editions.pages.publish import publish
from editions.registry import Registry
from tests.certificates import builders
from tests.certificates.house import certify


@pytest.fixture
def issued(book: Registry) -> Issued:
    book.clock = lambda: datetime.datetime.now(datetime.UTC)
    return certify(book)


@pytest.fixture
def site(book: Registry, issued: Issued, tmp_path: Path) -> Path:
    assert issued.number
    publish(book, tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture
def held(issued: Issued, tmp_path: Path) -> dict[str, str]:
    """The text of the code, and a photograph of the page."""
    claim = read_attachments(issued.path.read_bytes())["claim.cose"]
    document = pypdfium2.PdfDocument(issued.path)
    document[0].render(scale=150 / 72).to_pil().save(tmp_path / "page.png")
    document.close()
    code = code_text(builders.ADDRESS, issued.number, claim)
    return {"code": code, "photograph": str(tmp_path / "page.png")}


def asked(what: str, site: Path, *words: str) -> Result:
    line = ["verify", what, "--site", str(site), *words]
    return CliRunner(env={"BRONZEBOOK_REGISTRY": ""}).invoke(bronzebook, line)


@pytest.mark.parametrize("form", ["code", "photograph"])
def test_a_site_alone_answers_by_its_own_keys(
    book: Registry, held: dict[str, str], site: Path, form: str
) -> None:
    own = asked(held[form], site)
    assert own.exit_code == 5, own.output
    assert "contradicts" not in own.output
    said = "The code and its site agree, by the key that the site shows; this certificate stands"
    assert own.stderr.startswith(f"{said} by the word of the same key")
    assert "The key came with the site: compare its fingerprint" in own.stderr
    foundry = next(one for one in book.public_keys() if one.use == "foundry")
    assert fingerprint(foundry.verifier().public) in own.stdout
    given = asked(held[form], site, "--key", str(site / "keys.txt"))
    assert given.exit_code == 0, given.output


def test_a_withdrawn_one_does_not_stand_by_the_word_of_its_site(
    book: Registry, held: dict[str, str], site: Path, issued: Issued
) -> None:
    withdraw(book, issued.number, "surrendered")
    publish(book, site)
    done = asked(held["photograph"], site)
    assert done.exit_code == 3
    assert "by the key that the site shows, but it does not stand" in done.stderr


@pytest.mark.parametrize("file", [None, b"", b"no key", b"\xff\xfe"])
def test_a_site_without_keys_leaves_it_unchecked_and_contradicts_nothing(
    held: dict[str, str], site: Path, file: bytes | None
) -> None:
    (site / "keys.txt").unlink()
    if file is not None:
        (site / "keys.txt").write_bytes(file)
    done = asked(held["photograph"], site)
    assert done.exit_code == 4, done.output
    assert "contradicts" not in done.output
    assert "bring the foundry's public keys" in done.output


def test_a_site_of_another_key_of_the_same_book_contradicts(
    book: Registry, held: dict[str, str], site: Path
) -> None:
    name = book.public_keys()[0].verifier().name
    text = "".join(
        f"{use} {builders.verifier(builders.OTHER_KEY, name)}\n" for use in ("foundry", "log")
    )
    (site / "keys.txt").write_text(text)
    done = asked(held["photograph"], site)
    assert done.exit_code == 3
    assert "another key of the foundry" in done.output


def test_a_site_of_another_book_says_nothing_for_or_against(
    held: dict[str, str], site: Path
) -> None:
    text = "".join(
        f"{use} {builders.verifier(builders.OTHER_KEY, 'kiln-lane.example')}\n"
        for use in ("foundry", "log")
    )
    (site / "keys.txt").write_text(text)
    done = asked(held["photograph"], site)
    assert "somebody else signed" not in done.output
    assert done.exit_code == 4, done.output
    assert "contradicts" not in done.output


def test_a_site_that_cannot_be_reached_shows_no_keys() -> None:
    def fetch(path: str) -> bytes:
        raise FileUnusable(f"{path} cannot be reached.")

    assert keys_shown(fetch) == keys_shown(None) == ()
    assert with_later((), fetch) == with_later((), None) == ()
