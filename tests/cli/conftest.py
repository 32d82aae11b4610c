"""A registry on this day, the command line called in it, and a terminal to call it from."""

from __future__ import annotations

import datetime
import os
import pty
import shutil
import sys
import termios
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from editions.registry import Registry, open_registry
from tests.helpers.chance import Chance
from tests.helpers.stores import PostgreSQLStores, Stores
from tests.registry import builders

KEPT = "commands"

Call = Callable[..., Result]
Typed = Callable[[str], AbstractContextManager[Callable[[], str]]]


def _now() -> datetime.datetime:
    """The present: the command line has the machine's clock, so the registry has it too."""
    return datetime.datetime.now(datetime.UTC)


class Shop(NamedTuple):
    """The codes of what the filled registry holds."""

    artist: str
    work: str
    run: str
    mold: str
    wax: str
    heat: str
    poured: str
    numbered: str
    started: str


def _fill(registry: Registry) -> Shop:
    work = builders.a_work(registry)
    model = builders.a_model(registry, work)
    run = builders.a_run(registry, work, model=model)
    mold = builders.a_mold(registry, model, "body")
    wax = builders.a_wax(registry, mold)
    poured = builders.a_piece(registry, run, to="poured", mold=mold, tag="T-0101")
    numbered = builders.a_piece(registry, run, to="coloured", number="3/8", tag="T-0102")
    started = builders.a_piece(registry, run, tag="T-0103")
    with registry.reading() as reading:
        heat = reading.resolve("26-0001")
        artist = reading.state(work).artist  # type: ignore[union-attr]
    return Shop(artist, work, run, mold, wax, heat, poured, numbered, started)


@pytest.fixture(scope="session")
def _pattern(tmp_path_factory: pytest.TempPathFactory, _plain_stores: Stores) -> tuple[Path, Shop]:
    """One filled registry, copied for every test that asks for it."""
    folder = tmp_path_factory.mktemp("pattern") / "book"
    where = _plain_stores.kept(KEPT) if isinstance(_plain_stores, PostgreSQLStores) else folder
    registry = builders.a_registry(where, folder, now=_now, random=Chance())
    shop = _fill(registry)
    registry.close()
    return folder, shop


@pytest.fixture
def book(_pattern: tuple[Path, Shop], tmp_path: Path) -> Path:
    """The folder of a filled registry."""
    folder = tmp_path / "book"
    shutil.copytree(_pattern[0], folder)
    return folder


@pytest.fixture
def shop(_pattern: tuple[Path, Shop]) -> Shop:
    """What the filled registry holds."""
    return _pattern[1]


@pytest.fixture
def where(book: Path, plain_stores: Stores) -> str:
    """The filled registry as ``--registry`` names it: its folder, or the URL of its database."""
    return plain_stores.copy(KEPT) if isinstance(plain_stores, PostgreSQLStores) else str(book)


@pytest.fixture
def registry(where: str, book: Path) -> Iterator[Registry]:
    """The filled registry, opened beside the command line."""
    opened = open_registry(where, home=book)
    yield opened
    opened.close()


@pytest.fixture
def call(where: str, book: Path, monkeypatch: pytest.MonkeyPatch) -> Call:
    """Call the command line in the filled registry; the options are those of ``invoke``."""
    monkeypatch.delenv("BRONZEBOOK_BY", raising=False)
    monkeypatch.delenv("BRONZEBOOK_PASSPHRASE", raising=False)
    monkeypatch.setenv("BRONZEBOOK_REGISTRY", where)
    monkeypatch.setenv("BRONZEBOOK_HOME", str(book))

    def run(*words: str, **options: object) -> Result:
        return CliRunner().invoke(bronzebook, list(words), **options)  # type: ignore[arg-type]

    return run


class Shown(NamedTuple):
    """What a terminal showed, and how the command ended."""

    text: str
    status: int


@contextmanager
def _standard(terminal: int, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """This process's own streams, on a terminal for a while."""
    with (
        monkeypatch.context() as patch,
        os.fdopen(os.dup(terminal), "r") as stdin,
        os.fdopen(terminal, "w", buffering=1) as out,
    ):
        patch.setattr(sys, "stdin", stdin)
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", out)
        yield


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Typed:
    """A pseudo-terminal with answers typed ahead; gives what it has shown so far."""
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("TERM", "xterm-256color")

    @contextmanager
    def at(answers: str) -> Iterator[Callable[[], str]]:
        master, terminal = pty.openpty()
        settings = termios.tcgetattr(terminal)
        settings[3] &= ~termios.ECHO
        termios.tcsetattr(terminal, termios.TCSANOW, settings)
        os.write(master, answers.encode())
        shown: list[bytes] = []
        reader = threading.Thread(target=_drain, args=(master, shown))
        reader.start()
        try:
            with _standard(terminal, monkeypatch):
                yield lambda: b"".join(shown).decode().replace("\r\n", "\n")
        finally:
            reader.join(timeout=10)
            os.close(master)

    return at


@pytest.fixture
def at_terminal(call: Call, typed: Typed) -> Callable[..., Shown]:
    """Call the command line on a pseudo-terminal of 100 columns, with answers typed ahead."""

    def run(*words: str, answers: str = "") -> Shown:
        with typed(answers) as shown, pytest.raises(SystemExit) as ended:
            bronzebook.main(list(words), prog_name="bronzebook")
        code = ended.value.code
        return Shown(shown(), code if isinstance(code, int) else 0)

    return run


def _drain(master: int, shown: list[bytes]) -> None:
    # Linux says "input/output error" where the last writer has gone.
    while True:
        try:
            part = os.read(master, 65536)
        except OSError:
            return
        if not part:
            return
        shown.append(part)
