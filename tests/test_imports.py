"""What imports what: the one rule of the rooms, and the little that a quick command loads."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from certificates.claim import code_text
from certificates.keyfile import write_keys
from tests.certificates import builders

ROOT = Path(__file__).parents[1]
DATABASE = {"sqlalchemy", "alembic", "psycopg"}
WEB = {"flask", "jinja2", "waitress", "werkzeug"}
DRAWING = {"reportlab", "pikepdf", "PIL", "qrcode", "zxingcpp"}
SOLVER = {"numpy", "scipy"}
HEAVY = DATABASE | WEB | DRAWING | SOLVER | {"rich"}

# Runs the command line as its script does, then says which of all modules it had loaded.
PROBE = """
import sys
from editions.cli import main
try:
    main()
except SystemExit as end:
    status = end.code
print("LOADED", status, *sys.modules, file=sys.stderr)
"""


def _python(script: str, *arguments: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    own = {name: text for name, text in os.environ.items() if not name.startswith("BRONZEBOOK_")}
    return subprocess.run(
        [sys.executable, "-c", script, *arguments],
        env=own | {"PYTHONPATH": str(ROOT)},
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def _called(folder: Path, *arguments: str) -> tuple[int, set[str], str]:
    """Call the command line; return its status, the packages it loaded, and its output."""
    done = _python(PROBE, *arguments, folder=folder)
    _, status, *modules = done.stderr.splitlines()[-1].split()
    return int(status), {module.partition(".")[0] for module in modules}, done.stdout


def _lint(folder: Path) -> tuple[int, str]:
    """Judge the rooms in a folder by the rule in its pyproject.toml."""
    rule = "from importlinter.cli import lint_imports_command as lint; lint()"
    done = subprocess.run(
        [sys.executable, "-c", rule, "--no-cache", "--no-logo"],
        cwd=folder, env=os.environ | {"PYTHONPATH": str(folder)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout


def test_the_rooms_import_one_way() -> None:
    status, said = _lint(ROOT)
    assert status == 0, said


@pytest.mark.parametrize(
    ("module", "line", "broken"),
    [
        ("editions/trade/works.py", "import editions.store.tables", "imports run one way"),
        ("editions/rules/routes.py", "import editions.ledger.tree", "imports run one way"),
        ("editions/store/journal.py", "import certificates.claim", "the store knows no"),
        ("certificates/verify.py", "import editions.registry", "checking a certificate needs no"),
        ("editions/registry/reading.py", "import sqlalchemy", "only the store knows"),
        ("editions/registry/reading.py", "import click", "only the command line knows"),
        ("certificates/verify.py", "import pikepdf", "only the drawing knows"),
        ("editions/registry/reading.py", "import scipy", "only the rules know the solver"),
    ],
)
def test_the_import_rule_is_able_to_fail(
    tmp_path: Path, module: str, line: str, broken: str
) -> None:
    for room in ("editions", "certificates"):
        shutil.copytree(ROOT / room, tmp_path / room, ignore=shutil.ignore_patterns("*.ttf"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / module).write_text(f"{(tmp_path / module).read_text()}\n{line}\n")
    status, said = _lint(tmp_path)
    assert status == 1
    assert [row for row in said.splitlines() if row.startswith(broken) and "BROKEN" in row]


@pytest.mark.parametrize("package", ["editions", "certificates", "editions.errors"])
def test_importing_the_library_loads_nothing_heavy(package: str) -> None:
    done = _python(f"import {package}, sys; print(*sys.modules)")
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "editions" in loaded or package == "certificates"
    assert not loaded & (HEAVY | {"cryptography", "msgspec", "cbor2", "click"})


@pytest.mark.parametrize("arguments", [["--help"], ["--version"]])
def test_help_loads_nothing_heavy(tmp_path: Path, arguments: list[str]) -> None:
    status, loaded, said = _called(tmp_path, *arguments)
    assert status == 0
    assert "bronzebook" in said
    assert not loaded & (HEAVY | {"cryptography", "cbor2", "msgspec"})


def test_a_mistyped_command_loads_nothing_heavy(tmp_path: Path) -> None:
    status, loaded, _ = _called(tmp_path, "verfy")
    assert status == 2
    assert not loaded & HEAVY


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    """The foundry's key, as someone brings it along."""
    place = tmp_path / "keys.txt"
    place.write_text(write_keys(builders.foundry_keys()))
    return place


def test_checking_a_codes_text_loads_no_database_and_no_drawing(tmp_path: Path, keys: Path) -> None:
    made = builders.sealed()
    text = code_text(builders.ADDRESS, made.claim.number, made.seal.claim)
    status, loaded, said = _called(tmp_path, "verify", text, "--key", str(keys))
    assert (status, "Ilse Varga" in said) == (5, True)
    assert not loaded & HEAVY
    status, loaded, _ = _called(tmp_path, "verify", text)
    assert status == 4
    assert not loaded & HEAVY


def test_checking_a_paper_loads_no_database(tmp_path: Path, keys: Path) -> None:
    place = tmp_path / "paper.pdf"
    place.write_bytes(builders.paper(builders.sealed()))
    status, loaded, said = _called(tmp_path, "verify", str(place), "--key", str(keys))
    assert (status, "Ilse Varga" in said) == (5, True)
    assert "pikepdf" in loaded
    assert not loaded & (DATABASE | WEB | {"zxingcpp"})


def test_checking_a_picture_loads_no_database(tmp_path: Path, keys: Path) -> None:
    place = tmp_path / "picture.jpg"
    place.write_bytes(builders.photograph())
    status, loaded, _ = _called(tmp_path, "verify", str(place), "--key", str(keys))
    assert status == 9
    assert "zxingcpp" in loaded
    assert not loaded & (DATABASE | WEB | {"reportlab", "pikepdf"})
