"""``bronzebook witness``: a house elsewhere follows a book, with an address and a fingerprint."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.holder import new_holder_key
from certificates.keyfile import read_keys
from editions.cli import witness as command
from editions.ledger.cosign import open_cosigned
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.acts.parties import enter_party
from tests.certificates import house
from tests.cli.conftest import Call, Shown
from tests.pages.running import running
from tests.registry import builders

NAME = "Museum at Ostrel"
SECRET = "four keys on one ring"

Watch = Callable[..., tuple[int, str, str]]


def grow(registry: Registry) -> None:
    with registry.writing() as w:
        enter_party(w, "artist", name="Bo Ferrant")


def log_key(registry: Registry) -> VerifierKey:
    return next(one.verifier() for one in registry.public_keys() if one.use == "log")


def fingerprint(registry: Registry) -> str:
    (one,) = (key for key in registry.public_keys() if key.use == "log")
    return one.fingerprint()


@pytest.fixture
def site(registry: Registry, tmp_path: Path) -> Path:
    """The book as it was published."""
    publish(registry, tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The witness's own folder, with a key in it; nothing of any registry is set there."""
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    monkeypatch.delenv("BRONZEBOOK_HOME", raising=False)
    folder = tmp_path / "museum"
    folder.mkdir()
    made = new_holder_key(NAME, SECRET, cost=builders.KEY_COST)
    (folder / "museum.key").write_text(str(made))
    (folder / "secret").write_text(SECRET)
    return folder


@pytest.fixture
def watch(call: Call, desk: Path) -> Watch:
    """Call the command at the witness's desk, to sign."""

    def run(place: object, *words: str, sign: bool = True) -> tuple[int, str, str]:
        key = ("--sign", str(desk / "museum.key")) if sign else ()
        memory = ("--memory", str(desk / "heron.memory"))
        done = call(
            "witness", str(place), *memory, *key, "--passphrase-file", str(desk / "secret"), *words,
            env={"BRONZEBOOK_REGISTRY": "", "BRONZEBOOK_HOME": ""},
        )  # fmt: skip
        return done.exit_code, done.stdout, done.stderr

    return run


def memory(desk: Path) -> Memory:
    return Memory.parse((desk / "heron.memory").read_text())


@pytest.fixture
def followed(watch: Watch, desk: Path, site: Path, registry: Registry) -> Memory:
    """What the witness remembers after its first sight."""
    status, _, said = watch(site, "--fingerprint", fingerprint(registry))
    assert status == 0, said
    return memory(desk)


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
    words = ("witness", str(site), "--memory", str(desk / "m"), "--sign", str(desk / "museum.key"))
    words = (*words, "--passphrase-file", str(desk / "secret"))
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
    assert "nothing is remembered" in said
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


def rewritten(registry: Registry) -> None:
    """Entry 2 says something else, and the book hides it with its log key."""
    house.rewrite(registry, 2, lambda entry: entry.update(on="1999-01-01"))


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


# The memory


def test_every_bit_of_the_memory_flipped_is_refused(
    followed: Memory, watch: Watch, desk: Path, site: Path
) -> None:
    """The parser's own test flips every bit; here the command refuses a sample of them."""
    path, data = desk / "heron.memory", str(followed).encode()
    for bit in range(0, len(data) * 8, 211):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        path.write_bytes(bytes(wrong))
        assert watch(site)[0] in {2, 3, 8, 9}, bit
        assert path.read_bytes() == bytes(wrong)


def test_a_memory_is_signed_with_one_key(
    watch: Watch, desk: Path, site: Path, followed: Memory
) -> None:
    other = new_holder_key("Another House", SECRET, cost=builders.KEY_COST)
    (desk / "museum.key").write_text(str(other))
    status, _, said = watch(site)
    assert status == 8
    assert "the key that of Another-House" in said
    assert memory(desk) == followed


def test_a_wrong_passphrase_leaves_the_memory(
    watch: Watch, desk: Path, site: Path, followed: Memory
) -> None:
    (desk / "secret").write_text("four keys on two rings")
    assert watch(site)[0] == 8
    assert memory(desk) == followed


def test_another_run_that_was_quicker_is_not_written_over(
    watch: Watch, desk: Path, site: Path, followed: Memory, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert followed.witness.name == "Museum-at-Ostrel"

    def slow(*said: object) -> Memory:
        (desk / "heron.memory").unlink()
        return made(*said)  # type: ignore[arg-type]

    made = command._cosigned
    monkeypatch.setattr(command, "_cosigned", slow)
    status, _, said = watch(site)
    assert status == 3
    assert "was changed by another run" in said


def test_a_file_that_is_no_memory_is_refused(watch: Watch, desk: Path, site: Path) -> None:
    for data, status in ((b"\xff", 9), (b"anything", 2), (b"", 2)):
        (desk / "heron.memory").write_bytes(data)
        assert watch(site)[0] == status


# The foundry's audit


@pytest.fixture
def tail(registry: Registry, followed: Memory) -> int:
    """How many entries came after what the witness saw."""
    grow(registry)
    grow(registry)
    return 2


def test_the_audit_counts_the_tail_from_what_the_witness_saw(
    call: Call, where: str, book: Path, desk: Path, followed: Memory, tail: int
) -> None:
    audit = ("--registry", where, "--home", str(book), "audit")
    done = call(*audit, "--witness", str(desk / "heron.memory"))
    assert done.exit_code == 0, done.output
    assert f"tail\t{tail} after what the last certificate or witness covers" in done.stdout
    size = followed.last().checkpoint.size
    assert re.search(rf"witness: Museum-at-Ostrel saw {size} entries, .+; key [0-9A-F ]{{79}}\n",
                     done.stdout)  # fmt: skip
    told = json.loads(call(*audit, "--witness", str(desk / "heron.memory"), "--json").stdout)
    assert told["tail"] == tail
    assert told["witnesses"][0]["size"] == size


@pytest.mark.sqlite
def test_the_audit_of_a_rewritten_book_is_contradicted_by_the_witness(
    call: Call, where: str, book: Path, desk: Path, followed: Memory, registry: Registry
) -> None:
    rewritten(registry)
    audit = ("--registry", where, "--home", str(book), "audit")
    assert call(*audit).exit_code == 0
    done = call(*audit, "--witness", str(desk / "heron.memory"))
    assert done.exit_code == 3
    assert "fault: witness heron.memory: what Museum-at-Ostrel saw" in done.stdout
    assert "the book was rewritten" in done.stdout
    assert followed.last().seen in done.stdout


def test_what_is_no_memory_is_no_witness(call: Call, where: str, book: Path, desk: Path) -> None:
    audit = ("--registry", where, "--home", str(book), "audit", "--witness")
    assert call(*audit, str(desk / "museum.key")).exit_code == 9
    assert call(*audit, str(desk / "none")).exit_code == 9
