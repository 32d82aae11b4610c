"""``bronzebook key rotate-log``: the log's key changes, vouched for by the key that can."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from certificates.holder import new_holder_key
from editions.registry import Registry
from editions.registry.acts.keys import admit_key
from tests.cli.conftest import Call
from tests.registry import builders


@pytest.fixture
def secret(tmp_path: Path) -> str:
    path = tmp_path / "foundry.txt"
    path.write_text(builders.PASSPHRASE + "\n")
    return str(path)


def logs(call: Call) -> list[dict[str, object]]:
    listed = json.loads(call("key", "list", "--json").stdout)
    return [row for row in listed if row["use"] == "log"]


def test_the_old_key_countersigns_and_no_passphrase_is_asked(
    call: Call, registry: Registry
) -> None:
    (before,) = logs(call)
    old = registry.home.log_key.read_bytes()
    done = call("key", "rotate-log")
    assert done.exit_code == 0, done.output
    assert [line.split("  ")[1] for line in done.stdout.splitlines()] == [
        "key admitted", "key ended",
    ]  # fmt: skip
    assert "tell the new fingerprint to your witnesses" in done.stderr
    ended, new = logs(call)
    assert ended["fingerprint"] == before["fingerprint"]
    assert str(ended["ended"]).startswith("rotated from ")
    assert not new["ended"]
    (kept,) = registry.home.folder.glob("keys/log-*.key")
    assert kept.read_bytes() == old
    assert registry.home.log_key.stat().st_mode & 0o777 == 0o600
    assert call("audit").exit_code == 0


def test_a_lost_key_is_vouched_for_by_the_certifying_key(
    call: Call, registry: Registry, secret: str
) -> None:
    registry.home.log_key.unlink()
    assert call("party", "add", "artist", "--name", "Bo Ferrant").exit_code == 8
    assert call("key", "rotate-log", "--because", "lost").exit_code == 8
    words = ("key", "rotate-log", "--because", "lost", "--passphrase-file", secret)
    done = call(*words)
    assert done.exit_code == 0, done.output
    assert call("party", "add", "artist", "--name", "Bo Ferrant").exit_code == 0
    assert call("audit").exit_code == 0


def test_where_both_keys_are_lost_another_key_in_the_book_vouches(
    call: Call, registry: Registry, tmp_path: Path
) -> None:
    words, signed = tmp_path / "words.txt", tmp_path / "signed.txt"
    holder, secret = tmp_path / "varga.key", tmp_path / "varga.secret"
    secret.write_text("the artist's own words\n")
    made = new_holder_key("Ilse Varga", "the artist's own words", cost=builders.KEY_COST)
    holder.write_text(str(made))
    with registry.writing() as w:
        admit_key(w, "Y-0002", made.holder.key, document="compared in the studio")
    registry.home.log_key.unlink()
    assert call("key", "rotate-log", "--text", str(words)).stdout.strip() == str(words)
    assert call(
        "key", "countersign", str(words), "--key", str(holder), "--to", str(signed),
        "--passphrase-file", str(secret),
    ).exit_code == 0  # fmt: skip
    done = call("key", "rotate-log", "--because", "lost", "--countersigned", str(signed))
    assert done.exit_code == 0, done.output
    assert call("audit").exit_code == 0


def test_an_entry_shown_is_proved_under_the_key_of_its_time(call: Call, registry: Registry) -> None:
    call("key", "rotate-log")
    with registry.reading() as reading:
        assert len(reading.log_keys().keys) == 2
    for name in ("Y-0001#1", "Y-0001#3"):
        assert "it lies in the book as signed" in call("show", name).stdout
