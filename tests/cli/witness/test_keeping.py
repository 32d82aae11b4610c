"""``bronzebook witness``: the log key changes, the memory is kept, the audit reads what came."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from certificates.holder import new_holder_key
from editions.cli import witness as command
from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key
from tests.cli.conftest import Call
from tests.cli.witness.conftest import SECRET, Watch, fingerprint, grow, log_key, memory, rewritten
from tests.registry import builders

# A book whose log key changes


def changed(registry: Registry, because: str = "rotated") -> None:
    if because == "lost":
        registry.home.log_key.unlink()
    prepare_log_rotation(registry)
    rotate_log_key(registry, because=because, passphrase=builders.PASSPHRASE)


def test_a_new_log_key_is_followed_where_the_old_one_countersigned_it(
    watch: Watch, desk: Path, site: Path, followed: Memory, registry: Registry
) -> None:
    changed(registry)
    publish(registry, site)
    status, _, said = watch(site)
    assert status == 0, said
    assert "The book has a new log key" in said
    assert fingerprint(registry) in said
    assert memory(desk).log != followed.log
    # From now on the old key is a stranger's.
    (site / "checkpoint").write_text(followed.note)
    assert watch(site)[0] == 3


def test_a_new_log_key_is_no_cover_for_a_rewritten_book(
    watch: Watch, followed: Memory, registry: Registry, tmp_path: Path
) -> None:
    assert followed.last().checkpoint.size > 2
    rewritten(registry)
    changed(registry)
    publish(registry, tmp_path / "forged")
    status, _, said = watch(tmp_path / "forged")
    assert status == 3
    assert "the book was rewritten" in said


def test_after_a_lost_log_key_the_foundrys_key_or_a_person_vouches(
    watch: Watch, desk: Path, site: Path, followed: Memory, registry: Registry
) -> None:
    (desk / "keys.txt").write_bytes((site / "keys.txt").read_bytes())
    changed(registry, "lost")
    publish(registry, site)
    status, _, said = watch(site)
    assert status == 3
    assert "does not vouch for it" in said
    assert memory(desk) == followed
    assert watch(site, "--key", str(desk / "keys.txt"))[0] == 0
    assert memory(desk).log == log_key(registry)
    (desk / "heron.memory").write_text(str(followed))
    assert watch(site, "--fingerprint", fingerprint(registry))[0] == 0
    assert memory(desk).log == log_key(registry)


def test_the_audit_knows_what_was_seen_under_each_key(
    call: Call, where: str, book: Path, desk: Path, followed: Memory, registry: Registry
) -> None:
    changed(registry)
    audit = ("--registry", where, "--home", str(book), "audit")
    done = call(*audit, "--witness", str(desk / "heron.memory"))
    assert done.exit_code == 0, done.output
    assert "tail\t2 after" in done.stdout
    assert followed.log == registry.log_verifier().first


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
