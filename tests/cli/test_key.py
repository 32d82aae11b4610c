"""``bronzebook key`` and ``request``: a holder's key, keys of the book, asking and taking back."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.asking import pending_of
from certificates.holder import read_holder_key
from editions.ledger.keys import COST
from editions.registry import Registry
from editions.registry.acts.runs import amend_run
from tests.cli.conftest import Call, Shop, Shown
from tests.registry import builders
from tests.registry.builders import PASSPHRASE, state

SECRET = "the artist's own words"
NAME = "Ilse Varga"


@pytest.fixture(autouse=True)
def _cheap_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys of little cost: what a passphrase costs is tested where keys are locked."""
    for module in ("certificates.holder", "editions.ledger.keys"):
        for name in ("new_holder_key", "lock_private"):
            function = getattr(sys.modules[module], name, None)
            if function is not None and function.__defaults__[-1] == COST:
                cheap = (*function.__defaults__[:-1], builders.KEY_COST)
                monkeypatch.setattr(function, "__defaults__", cheap)


@pytest.fixture
def secrets(tmp_path: Path) -> dict[str, str]:
    """Passphrase files: the foundry's, the artist's, a new one."""
    found = {}
    for name, words in (("foundry", PASSPHRASE), ("artist", SECRET), ("new", "for the next key")):
        path = tmp_path / f"{name}.txt"
        path.write_text(words + "\n")
        found[name] = str(path)
    return found


@pytest.fixture
def key(call: Call, tmp_path: Path, secrets: dict[str, str]) -> Path:
    """A holder's key file, its card beside it."""
    path = tmp_path / "varga.key"
    done = call("key", "new", NAME, "--to", str(path), "--passphrase-file", secrets["artist"])
    assert done.exit_code == 0, done.output
    return path


def card(key: Path) -> str:
    return f"{key}.card"


def number_waiting(registry: Registry) -> str:
    (one,) = pending_of(registry)
    return one.code


@pytest.fixture
def waiting(call: Call, registry: Registry, shop: Shop, key: Path, secrets: dict[str, str]) -> str:
    """The number of a certificate that waits for the artist, whose key is in the book."""
    done = call("key", "admit", shop.artist, card(key), "--document", "compared in the studio")
    assert done.exit_code == 0, done.output
    run = builders.a_run(registry, shop.work, signers=[shop.artist])
    piece = builders.a_piece(registry, run, to="approved in colour", number="5/8")
    done = call("certify", piece, "--passphrase-file", secrets["foundry"])
    assert done.exit_code == 0, done.output
    assert "Waits for the signature of Ilse Varga: " in done.stderr
    number = number_waiting(registry)
    assert f"bronzebook request make {number} --for {shop.artist} --to" in done.stderr
    return number


def test_a_holder_makes_a_key_and_a_card(call: Call, key: Path) -> None:
    assert read_holder_key(key.read_text()).holder.name == NAME
    assert key.stat().st_mode & 0o777 == 0o600
    shown = [call("key", "show", str(key), "--json").stdout, call("key", "show", card(key)).stdout]
    said = json.loads(shown[0])
    assert said["name"] == NAME
    assert said["fingerprint"] in shown[1]
    again = call("key", "new", NAME, "--to", str(key))
    assert again.exit_code == 6
    assert "lies there already.\nChoose another name" in again.stderr


def test_a_holders_commands_load_no_database() -> None:
    script = (
        "import sys; import editions.cli.key, editions.cli.request, certificates.requests, "
        "certificates.holder, certificates.countersign, editions.store.files; "
        "print([m for m in sys.modules if m.split('.')[0] in ('sqlalchemy', 'alembic')])"
    )
    found = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert found.stdout.strip() == "[]", found.stderr


def test_a_request_goes_out_is_read_signed_and_taken(
    call: Call, registry: Registry, shop: Shop, key: Path, waiting: str, secrets: dict[str, str],
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    ask, reply = tmp_path / "ask.json", tmp_path / "reply.json"
    made = call("request", "make", waiting, "--for", shop.artist, "--to", str(ask))
    assert (made.exit_code, made.stdout.strip()) == (0, str(ask))
    with monkeypatch.context() as alone:
        alone.delenv("BRONZEBOOK_REGISTRY")
        alone.chdir(tmp_path)
        read = call("request", "read", str(ask))
        assert "Your signature does not assert:" in read.stdout
        signed = call(
            "request", "sign", str(ask), "--key", str(key), "--to", str(reply),
            "--passphrase-file", secrets["artist"],
        )  # fmt: skip
        assert signed.exit_code == 0, signed.output
    taken = call("request", "take", str(reply), "--passphrase-file", secrets["foundry"])
    assert taken.exit_code == 0, taken.output
    assert taken.stdout.startswith(f"{waiting}\taccepted")
    assert "Drawn: " in taken.stderr
    assert state(registry, waiting).pdf
    again = call("request", "take", str(reply))
    assert again.exit_code == 6
    assert "refused" in again.stdout
    paper = registry.home.certificates / f"{waiting}.pdf"
    verdict = call("verify", str(paper))
    assert f"agrees\tproof of {NAME}" in verdict.stdout


def test_a_request_that_was_changed_is_neither_read_nor_signed(
    call: Call, registry: Registry, shop: Shop, key: Path, waiting: str, secrets: dict[str, str],
    tmp_path: Path,
) -> None:  # fmt: skip
    ask, reply = tmp_path / "ask.json", tmp_path / "reply.json"
    call("request", "make", waiting, "--for", shop.artist, "--to", str(ask))
    keys = str(registry.home.public_keys)
    sign = ("--key", str(key), "--to", str(reply), "--passphrase-file", secrets["artist"])
    read = call("request", "read", str(ask), "--foundry", keys)
    assert "is signed by the public keys that you brought." in read.stdout
    alone = call("request", "read", str(ask))
    assert "Compare the fingerprint with an independent place" in alone.stdout
    changed = tmp_path / "changed.json"
    changed.write_text(ask.read_text().replace("5/8", "6/8"))
    strangers = tmp_path / "strangers.txt"
    strangers.write_text(registry.home.public_keys.read_text().replace("foundry", "log", 1))
    strangers.write_text("".join(strangers.read_text().splitlines(keepends=True)[:1]))
    for words, says in (
        (["read", str(changed)], "were changed"),
        (["sign", str(changed), *sign], "were changed"),
        (["read", str(ask), "--foundry", str(strangers)], "not the foundry's"),
        (["sign", str(ask), "--foundry", str(strangers), *sign], "not the foundry's"),
    ):
        refused = call("request", *words)
        assert (refused.exit_code, refused.stdout) == (3, ""), refused.output
        assert says in refused.stderr
    assert not reply.exists()


def test_the_artist_refuses_and_the_foundry_reads_who_and_why(
    call: Call, shop: Shop, key: Path, waiting: str, secrets: dict[str, str], tmp_path: Path
) -> None:
    ask, reply = tmp_path / "ask.json", tmp_path / "reply.json"
    call("request", "make", waiting, "--for", shop.artist, "--to", str(ask))
    early = call("certificate", "withdraw", waiting, "--because", "refused")
    assert early.exit_code == 6
    done = call(
        "request", "refuse", str(ask), "--key", str(key), "--to", str(reply),
        "--reason", "The run was to be of six.", "--passphrase-file", secrets["artist"],
    )  # fmt: skip
    assert (done.exit_code, done.stdout.strip()) == (0, str(reply)), done.output
    assert "Refused 1. Send reply.json to the foundry." in done.stderr
    taken = call("request", "take", str(reply))
    assert taken.exit_code == 0, taken.output
    assert f"{NAME} refuses to sign it. Reason given: The run was to be of six." in taken.stdout
    shown = call("certificate", "show", waiting).stdout
    assert f"refused by {NAME}, on " in shown
    assert f"its withdrawal: refused by {NAME}, " in call("waiting").stdout
    looked = call("verify", waiting)
    assert looked.exit_code == 5
    assert "issued and not yet given out" in looked.stderr
    assert call("certificate", "withdraw", waiting, "--because", "refused").exit_code == 0
    assert "signature refused" in call("certificate", "show", waiting).stdout
    assert call("audit").exit_code == 0


def test_all_of_a_run_are_asked_for_and_complete_ones_wait_for_the_passphrase(
    call: Call, registry: Registry, shop: Shop, key: Path, waiting: str, secrets: dict[str, str],
    tmp_path: Path,
) -> None:  # fmt: skip
    ask, reply = tmp_path / "ask.json", tmp_path / "reply.json"
    run = state(registry, waiting).run
    words = ("request", "make", "--for", shop.artist, "--to")
    assert call(*words, str(ask), "--run", run).exit_code == 0
    assert call(*words, str(ask)).exit_code == 2
    assert call(*words, str(ask), "--run", shop.run).exit_code == 6
    assert call("request", "words", waiting).stdout.count("Your signature") == 2
    call("request", "sign", str(ask), "--key", str(key), "--to", str(reply),
         "--passphrase-file", secrets["artist"], "--only", waiting)  # fmt: skip
    taken = call("request", "take", str(reply))
    assert "1 may be drawn now" in taken.stderr
    assert not state(registry, waiting).pending


def test_a_signature_in_ink_is_entered_with_its_scan(
    call: Call, registry: Registry, shop: Shop, waiting: str, secrets: dict[str, str],
    tmp_path: Path,
) -> None:  # fmt: skip
    scan = tmp_path / "scan.pdf"
    scan.write_bytes(b"%PDF-1.4 scanned")
    done = call("certificate", "ink", waiting, "--by", shop.artist, "--scan", str(scan),
                "--passphrase-file", secrets["foundry"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert f"signed in ink by {NAME}" in done.stderr
    assert state(registry, waiting).pdf
    assert call("certificate", "ink", waiting, "--by", shop.artist, "--scan", str(scan)).exit_code


def test_the_question_is_asked_on_a_terminal(
    at_terminal: Callable[..., Shown], call: Call, shop: Shop, key: Path, waiting: str,
    secrets: dict[str, str], tmp_path: Path,
) -> None:  # fmt: skip
    ask, reply = tmp_path / "ask.json", tmp_path / "reply.json"
    call("request", "make", waiting, "--for", shop.artist, "--to", str(ask))
    words = ("request", "sign", str(ask), "--key", str(key), "--to", str(reply),
             "--passphrase-file", secrets["artist"])  # fmt: skip
    shown = at_terminal(*words, answers="n\n")
    assert "Sign this one" in shown.text
    assert not reply.exists()
    assert at_terminal(*words, answers="y\n").status == 0
    assert reply.exists()


def test_keys_are_listed_ended_and_followed(
    call: Call, registry: Registry, shop: Shop, key: Path, waiting: str, secrets: dict[str, str],
    tmp_path: Path,
) -> None:  # fmt: skip
    listed = json.loads(call("key", "list", "--json").stdout)
    assert [row["use"] for row in listed] == ["log", "foundry", "artist"]
    other = tmp_path / "other.key"
    call("key", "new", NAME, "--to", str(other), "--passphrase-file", secrets["artist"])
    assert call("key", "admit", shop.artist, card(other)).exit_code == 6
    text, signed = tmp_path / "text.txt", tmp_path / "signed.txt"
    assert call("key", "admit", shop.artist, card(other), "--text", str(text)).exit_code == 0
    done = call("key", "countersign", str(text), "--key", str(key), "--to", str(signed),
                "--passphrase-file", secrets["artist"])  # fmt: skip
    assert done.exit_code == 0, done.output
    done = call("key", "admit", shop.artist, card(other), "--countersigned", str(signed))
    assert done.exit_code == 0, done.output
    first = listed[2]["fingerprint"][:9]
    assert call("key", "end", shop.artist, first, "--because", "lost", "--from", "3").exit_code == 0
    assert "lost from 3" in call("key", "list").stdout


def test_the_foundry_vouches_for_a_key_that_follows_a_lost_one(
    call: Call, shop: Shop, waiting: str, secrets: dict[str, str], tmp_path: Path
) -> None:
    other = tmp_path / "other.key"
    call("key", "new", NAME, "--to", str(other), "--passphrase-file", secrets["artist"])
    done = call("key", "admit", shop.artist, card(other), "--vouch",
                "--passphrase-file", secrets["foundry"])  # fmt: skip
    assert done.exit_code == 0, done.output


def test_the_certifying_key_rotates_and_what_it_left_is_told(
    call: Call, registry: Registry, waiting: str, secrets: dict[str, str]
) -> None:
    done = call("key", "rotate", "--new-passphrase-file", secrets["new"],
                "--passphrase-file", secrets["foundry"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "names the old key: withdraw it" in done.stderr
    assert registry.certifying_key("for the next key").public.raw


def test_a_lost_passphrase_is_answered_for_by_the_artists_key(
    call: Call, registry: Registry, key: Path, waiting: str, secrets: dict[str, str],
    tmp_path: Path,
) -> None:  # fmt: skip
    text, signed = tmp_path / "text.txt", tmp_path / "signed.txt"
    done = call("key", "rotate", "--because", "lost", "--text", str(text),
                "--new-passphrase-file", secrets["new"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "bronzebook key countersign" in done.stderr
    call("key", "countersign", str(text), "--key", str(key), "--to", str(signed),
         "--passphrase-file", secrets["artist"])  # fmt: skip
    done = call("key", "rotate", "--because", "lost", "--countersigned", str(signed))
    assert done.exit_code == 0, done.output
    assert registry.certifying_key("for the next key").public.raw


@pytest.mark.parametrize("what", [b"", b"\xff\xfe", b"bronzebook-holder-1\n", b"x" * 20_000])
def test_what_is_no_key_file_is_told(call: Call, tmp_path: Path, what: bytes) -> None:
    path = tmp_path / "strange"
    path.write_bytes(what)
    assert call("key", "show", str(path)).exit_code in (8, 9)
    assert call("request", "read", str(path)).exit_code in (2, 9)


def test_a_run_says_who_signs(call: Call, registry: Registry, shop: Shop) -> None:
    run = builders.a_run(registry, shop.work)
    assert call("run", "amend", run, "--signer", shop.artist).exit_code == 0
    assert f"all of {shop.artist}" in call("run", "show", run).stdout
    assert call("run", "amend", run, "--wanted", "none").exit_code == 6
    with registry.writing() as w:
        amend_run(w, run, signers=[])
    assert state(registry, run).declared.signers_wanted == "none"
