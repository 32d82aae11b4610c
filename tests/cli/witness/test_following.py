"""``bronzebook witness``: a house elsewhere follows a book, with an address and a fingerprint."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.keyfile import read_keys
from editions.ledger.cosign import open_cosigned
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry
from tests.cli.conftest import Shown
from tests.cli.witness.conftest import Watch, fingerprint, grow, log_key, memory, rewritten
from tests.pages.running import running

# First sight


def test_first_sight_without_a_key_asks_for_the_fingerprint_and_signs_nothing(
    watch: Watch, desk: Path, site: Path, registry: Registry
) -> None:
    status, out, said = watch(site)
    assert (status, out) == (8, "")
    assert "First sight of book.kilnlane.example: nothing is remembered" in said
    assert fingerprint(registry) in said
    assert "independent place" in said
    assert not (desk / "heron.memory").exists()


def test_a_person_at_a_terminal_may_say_that_it_was_compared(
    at_terminal: Callable[..., Shown], desk: Path, site: Path
) -> None:
    signing = ("--sign", str(desk / "museum.key"), "--passphrase-file", str(desk / "secret"))
    words = ("witness", str(site), "--memory", str(desk / "m"), *signing)
    assert at_terminal(*words, answers="n\n").status == 130
    assert not (desk / "m").exists()
    assert at_terminal(*words, answers="y\n").status == 0
    assert Memory.parse((desk / "m").read_text()).witness.name == "Museum-at-Ostrel"


def test_with_the_fingerprint_it_is_followed_and_cosigned(
    followed: Memory, registry: Registry, desk: Path
) -> None:
    with registry.reading() as reading:
        assert followed.last().checkpoint.size == reading.size
    assert followed.log == log_key(registry)
    assert open_cosigned(followed.note, followed.witness).checkpoint == followed.last().checkpoint
    assert (desk / "heron.memory").stat().st_mode & 0o777 == 0o644


def test_with_the_keys_on_file_no_fingerprint_is_asked_for(
    watch: Watch, desk: Path, site: Path
) -> None:
    status, _, said = watch(site, "--key", str(site / "keys.txt"))
    assert status == 0, said
    assert "with the key brought along" in said
    assert memory(desk).log.name == "book.kilnlane.example"


@pytest.mark.parametrize(
    ("typed", "message"),
    [("A15E BBB3", "has 64 hex digits"), ("0" * 64, "shows another log key")],
)
def test_another_fingerprint_is_refused(
    watch: Watch, site: Path, desk: Path, typed: str, message: str
) -> None:
    status, _, said = watch(site, "--fingerprint", typed)
    assert status == 8
    assert message in said
    assert not (desk / "heron.memory").exists()


def test_another_log_key_on_file_is_refused(watch: Watch, site: Path, desk: Path) -> None:
    other = VerifierKey("book.kilnlane.example", PrivateKey(bytes(32)).public.raw)
    (desk / "keys.txt").write_text(f"log {other}\n")
    status, _, said = watch(site, "--key", str(desk / "keys.txt"))
    assert status == 3
    assert "does not vouch for it" in said
    assert "Compare the key's fingerprint" in said


@pytest.mark.parametrize("data", [b"\xff\xfe", b"nothing", b""])
def test_what_is_no_file_of_keys_is_refused(
    watch: Watch, site: Path, desk: Path, data: bytes
) -> None:
    (desk / "keys.txt").write_bytes(data)
    assert watch(site, "--key", str(desk / "keys.txt"))[0] in {8, 9}
    (site / "keys.txt").write_bytes(data)
    assert watch(site)[0] in {8, 9}


def test_keys_without_the_logs_are_refused(watch: Watch, site: Path, desk: Path) -> None:
    foundry = [one for one in read_keys((site / "keys.txt").read_text()) if one.use == "foundry"]
    (desk / "keys.txt").write_text(f"foundry {foundry[0].key}\n")
    assert "No key of a book's log" in watch(site, "--key", str(desk / "keys.txt"))[2]


def test_without_a_key_of_its_own_it_only_looks(watch: Watch, desk: Path, site: Path) -> None:
    status, out, said = watch(site, "--key", str(site / "keys.txt"), sign=False)
    assert status == 0
    assert "outcome\tadvanced" in out
    assert "Looked, not remembered. Nothing was signed" in said
    assert "the next look is a first sight again" in said
    assert not (desk / "heron.memory").exists()


# A book that grows


def test_growth_is_followed_from_a_folder_and_over_http(
    watch: Watch, desk: Path, site: Path, followed: Memory, registry: Registry
) -> None:
    before = followed.last().checkpoint.size
    grow(registry)
    publish(registry, site)
    status, out, said = watch(site, "--json")
    assert (status, json.loads(out)["entries"]) == (0, before + 1)
    assert f"grew from {before} to {before + 1} entries, by appending only" in said
    grow(registry)
    with running(registry) as port:
        status, out, _ = watch(f"http://127.0.0.1:{port}")
    assert (status, memory(desk).last().checkpoint.size) == (0, before + 2)
    assert out.startswith("book\tbook.kilnlane.example\noutcome\tadvanced\n")


def test_a_book_that_stands_still_is_cosigned_again(
    watch: Watch, desk: Path, site: Path, followed: Memory
) -> None:
    assert "outcome\tunchanged" in watch(site)[1]
    assert memory(desk).last().time >= followed.last().time


# A book that contradicts itself


@pytest.mark.sqlite
@pytest.mark.parametrize("more", [0, 1, 3])
def test_a_rewritten_book_is_refused_and_both_notes_are_kept(
    watch: Watch, desk: Path, followed: Memory, registry: Registry, tmp_path: Path, more: int
) -> None:
    rewritten(registry)
    for _ in range(more):
        grow(registry)
    publish(registry, tmp_path / "forged")
    status, out, said = watch(tmp_path / "forged")
    assert (status, out) == (3, "")
    assert "the book was rewritten" in said
    assert "Nothing was signed." in said
    assert memory(desk) == followed
    (seen,) = desk.glob("heron.memory.seen-*")
    (shown,) = desk.glob("heron.memory.shown-*")
    assert seen.read_text() == followed.note
    assert shown.read_text() == (tmp_path / "forged" / "checkpoint").read_text()
    assert watch(tmp_path / "forged")[0] == 3
    assert len(list(desk.glob("heron.memory.s*"))) == 2


def test_a_shrunken_tree_is_refused_with_both_notes(
    watch: Watch, desk: Path, site: Path, followed: Memory, registry: Registry, tmp_path: Path
) -> None:
    grow(registry)
    publish(registry, tmp_path / "later")
    assert watch(tmp_path / "later")[0] == 0
    kept = memory(desk)
    status, _, said = watch(site)
    assert status == 3
    assert "an old copy, or entries were taken out" in said
    assert memory(desk) == kept
    assert len(list(desk.glob("heron.memory.s*"))) == 2
    assert followed.last().checkpoint.size + 1 == kept.last().checkpoint.size


@pytest.mark.sqlite
def test_a_book_signed_with_a_strangers_key_is_refused_without_evidence(
    watch: Watch, desk: Path, followed: Memory, registry: Registry, site: Path
) -> None:
    note = (site / "checkpoint").read_text()
    (site / "checkpoint").write_text(note.replace("— ", "— x", 1))
    status, _, said = watch(site)
    assert status == 3
    assert "does not vouch for it" in said
    assert not list(desk.glob("heron.memory.s*"))
    assert memory(desk) == followed


@pytest.mark.parametrize("spoil", ["gone", "short", "other", "unreadable"])
def test_a_host_that_fails_is_no_contradiction_of_the_book(
    watch: Watch, desk: Path, followed: Memory, registry: Registry, site: Path, spoil: str
) -> None:
    grow(registry)
    publish(registry, site)
    tile = max(site.glob("tile/0/000.p/*"), key=lambda path: int(path.name))
    if spoil == "gone":
        tile.unlink()
    elif spoil == "unreadable":
        (site / "checkpoint").write_bytes(b"\xff not a note")
    else:
        tile.write_bytes(tile.read_bytes()[:-1] if spoil == "short" else bytes(len(tile.name)))
    status, _, said = watch(site)
    assert status == 9
    assert "Try again later, or at another mirror." in said
    assert memory(desk) == followed


def test_a_site_without_a_checkpoint_or_no_site_is_said(
    watch: Watch, desk: Path, followed: Memory, site: Path
) -> None:
    (site / "checkpoint").unlink()
    assert watch(site)[0] == 4
    assert watch(desk / "nowhere")[0] == 9
    assert watch("ftp://book.example")[0] == 9
    assert memory(desk) == followed
