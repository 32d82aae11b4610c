"""A house elsewhere that follows a book, with an address, a fingerprint and a key of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.holder import new_holder_key
from editions.ledger.notes import VerifierKey
from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.acts.parties import enter_party
from tests.certificates import house
from tests.cli.conftest import Call
from tests.registry import builders

NAME = "Museum at Ostrel"
SECRET = "four keys on one ring"

Watch = Callable[..., tuple[int, str, str]]


def grow(registry: Registry) -> None:
    with registry.writing() as w:
        enter_party(w, "artist", name="Bo Ferrant")


def log_key(registry: Registry) -> VerifierKey:
    return registry.log_verifier().newest


def fingerprint(registry: Registry) -> str:
    return next(key.fingerprint() for key in registry.public_keys() if key.use == "log")


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


def rewritten(registry: Registry) -> None:
    """Entry 2 says something else, and the book hides it with its log key."""
    house.rewrite(registry, 2, lambda entry: entry.update(on="1999-01-01"))
