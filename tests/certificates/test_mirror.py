"""A paper checked with a site or a mirror of it, without a registry: growth, standing, "as of"."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from certificates import checks
from certificates.checks import GROWTH, KEYS
from certificates.issue import withdraw
from certificates.keyfile import read_keys
from certificates.mirror import keys_on, with_mirror, with_status
from certificates.reach import reach
from certificates.reporting import report_certificate
from certificates.standing import check_number
from certificates.verify import Verdict, verify_pdf
from editions.cli import bronzebook
from editions.errors import FileUnusable, NotKnown
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.status import StatusNote, sign_status
from editions.pages.publish import publish
from editions.registry import Registry
from tests.certificates import builders, house
from tests.certificates.house import certify
from tests.pages.running import running


def results(verdict: Verdict) -> dict[str, str]:
    return {check.name: check.result for check in verdict.checks}


def said(verdict: Verdict, name: str) -> str:
    return next(check.says for check in verdict.checks if check.name == name)


def asked(paper: bytes, site: str | Path, keys: str | None = None) -> Verdict:
    given = read_keys(keys) if keys else ()
    logs = tuple(k.verifier() for k in given if k.use == "log") or keys_on(paper)
    return with_mirror(verify_pdf(paper, given), reach(str(site)), logs)


@pytest.fixture
def paper(book: Registry) -> bytes:
    return certify(book).path.read_bytes()


def test_a_mirror_says_that_it_stands_and_that_the_book_only_grew(
    book: Registry, paper: bytes, tmp_path: Path
) -> None:
    house.finished(book, "4/8")
    publish(book, tmp_path / "site")
    keys = (tmp_path / "site/keys.txt").read_text()
    verdict = asked(paper, tmp_path / "site", keys)
    assert (verdict.status, verdict.proved) == (0, True)
    assert verdict.standing == "this certificate stands"
    assert verdict.standing_as_of is not None
    assert results(verdict)[GROWTH] == "agrees"
    # With the paper's own key nothing vouches for the standing but the paper itself.
    own = asked(paper, tmp_path / "site")
    assert (own.status, own.key_from) == (5, "paper")
    assert results(own)[checks.STANDING] == "agrees"


def test_over_http_it_says_the_same(book: Registry, paper: bytes, tmp_path: Path) -> None:
    with running(book) as port:
        verdict = asked(paper, f"http://127.0.0.1:{port}", book.home.public_keys.read_text())
        with pytest.raises(NotKnown):
            reach(f"http://127.0.0.1:{port}")("elsewhere")
    assert verdict.status == 0


@pytest.mark.parametrize("word", ["withdrawn", "lost", "stolen"])
def test_what_ended_contradicts_though_the_paper_proves_itself(
    book: Registry, paper: bytes, tmp_path: Path, word: str
) -> None:
    number = verify_pdf(paper, ()).number
    if word == "withdrawn":
        withdraw(book, number, "surrendered")
    else:
        report_certificate(book, number, word)  # type: ignore[arg-type]
    publish(book, tmp_path / "site")
    verdict = asked(paper, tmp_path / "site", book.home.public_keys.read_text())
    assert (verdict.status, verdict.proved) == (3, True)
    assert word in verdict.standing


def test_an_older_site_leaves_the_standing_unchecked(book: Registry, tmp_path: Path) -> None:
    publish(book, tmp_path / "site")
    verdict = asked(certify(book).path.read_bytes(), tmp_path / "site")
    assert verdict.status == 5
    assert "older than this paper" in said(verdict, checks.STANDING)
    assert "older state" in said(verdict, GROWTH)


def test_a_rewritten_book_is_told_by_its_mirror(
    book: Registry, paper: bytes, tmp_path: Path
) -> None:
    run = house.first(book, "run_declared")
    house.rewrite(book, run, lambda e: e["facts"]["declared"].update(size=12))
    publish(book, tmp_path / "site")
    verdict = asked(paper, tmp_path / "site", book.home.public_keys.read_text())
    assert (verdict.status, verdict.proved) == (3, False)
    assert "was rewritten" in said(verdict, GROWTH)


@pytest.mark.parametrize("gone", ["checkpoint", "status", "tile"])
def test_a_mirror_that_lacks_something_says_so(
    book: Registry, paper: bytes, tmp_path: Path, gone: str
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    shutil.rmtree(site / gone) if gone == "tile" else (site / gone).unlink()
    verdict = asked(paper, site, book.home.public_keys.read_text())
    name = checks.STANDING if gone == "status" else GROWTH
    assert results(verdict)[name] == "not checked"
    assert verdict.status == 5


def test_a_status_note_of_another_key_contradicts(book: Registry, paper: bytes) -> None:
    note = book.home.public_keys.read_bytes()
    keys = keys_on(paper)
    assert results(with_status(verify_pdf(paper, ()), note, keys))[checks.STANDING] == "not checked"
    with book.reading() as r:
        checkpoint = r.checkpoint().encode()
    assert with_status(verify_pdf(paper, ()), checkpoint, keys).status == 5
    assert with_status(verify_pdf(paper, ()), checkpoint, ()).status == 5


def test_the_command_asks_a_folder_or_reads_a_note_taken_along(
    book: Registry, paper: bytes, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    book.clock = lambda: datetime.datetime.now(datetime.UTC)
    publish(book, site)
    (tmp_path / "a.pdf").write_bytes(paper)
    notes = ["--status", str(site / "status"), "--revocations", str(site / "revocations.txt")]
    for words in (["--site", str(site)], notes):
        done = CliRunner().invoke(
            bronzebook, ["verify", str(tmp_path / "a.pdf"), "--key", str(site / "keys.txt"), *words]
        )
        assert done.exit_code == 0, done.output
        assert "as of" in done.output


@pytest.mark.parametrize("place", ["ftp://book.example", "/nowhere/at/all", "http://me@host"])
def test_no_other_place_is_reached(place: str) -> None:
    with pytest.raises(FileUnusable):
        reach(place)


@pytest.mark.parametrize("path", ["../keys", "/etc/passwd", "a b", "", "tile/../../x"])
def test_no_other_path_is_fetched(tmp_path: Path, path: str) -> None:
    with pytest.raises(NotKnown):
        reach(str(tmp_path))(path)


def signed_note(book: Registry, state: Checkpoint) -> bytes:
    """A status note that the book's own key signs, of any state."""
    issued = book.clock().strftime("%Y-%m-%dT%H:%M:%SZ")
    return sign_status(StatusNote(state, issued), book.log_key()).encode()


def test_a_status_note_signed_for_another_state_of_one_size_contradicts(
    book: Registry, paper: bytes
) -> None:
    """Two roots at one size: somebody keeps two books with one key."""
    claim = verify_pdf(paper, ()).claim
    assert claim is not None
    forked = signed_note(book, Checkpoint(claim.origin, claim.size, bytes(32)))
    verdict = with_status(verify_pdf(paper, ()), forked, keys_on(paper))
    assert (verdict.status, results(verdict)[checks.STANDING]) == (3, "contradicts")
    assert "another state of the same size" in said(verdict, checks.STANDING)
    same = signed_note(book, Checkpoint(claim.origin, claim.size, claim.root))
    assert results(with_status(verify_pdf(paper, ()), same, keys_on(paper)))[checks.STANDING] == (
        "agrees"
    )


def test_what_another_book_says_is_neither_for_nor_against(
    book: Registry, paper: bytes, tmp_path: Path
) -> None:
    publish(book, tmp_path / "site")
    foreign = builders.paper(builders.sealed())
    verdict = asked(foreign, tmp_path / "site")
    assert (verdict.status, verdict.proved) == (5, True)
    for name in (GROWTH, checks.STANDING):
        assert results(verdict)[name] == "not checked"
        assert "of the book “book.kilnlane.example”, not of" in said(verdict, name)
    assert KEYS not in results(verdict)


def test_a_verdict_without_a_claim_cannot_be_put_to_a_site(book: Registry, paper: bytes) -> None:
    looked_up = check_number(book, verify_pdf(paper, ()).number)
    with pytest.raises(NotKnown, match="Only a paper or its code"):
        with_status(looked_up, b"", ())
