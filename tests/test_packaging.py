"""What is built and what is installed: from a wheel, and from a checkout that is worked in.

Both are built and installed without a network: what they need is lent by the environment of the
tests, on a path that an editable install of our own in that environment does not reach.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("editions", "certificates")
REVISIONS = "editions/store/_migrations"

# Makes a registry's tables by the migrations that the installed program finds.
PROBE = """
import sys
import certificates, editions
from editions.store import schema
from editions.store.connection import engine_for
engine = engine_for(sys.argv[1])
schema.build(engine)
schema.check(engine)
engine.dispose()
print(editions.__file__, certificates.__file__, schema.revisions_folder(), sep="\\n")
"""


def _run(*command: str | Path, cwd: Path) -> str:
    own = {name: text for name, text in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        list(map(str, command)), cwd=cwd, env=own, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def _new_environment(folder: Path) -> Path:
    """Make an environment that holds nothing, and borrows what we depend on; return its Python."""
    _run(sys.executable, "-m", "venv", "--without-pip", folder, cwd=folder.parent)
    site = next(folder.glob("lib*/python*/site-packages"))
    lent = dict.fromkeys(sysconfig.get_path(name) for name in ("purelib", "platlib"))
    (site / "lent.pth").write_text("\n".join(lent))
    return folder / "bin" / "python"


def _install(python: Path, *what: str | Path) -> None:
    _run(
        sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-index",
        "--no-deps", "--no-build-isolation", "--ignore-installed", *what, cwd=python.parent,
    )  # fmt: skip


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the source archive as a packager builds it."""
    folder = tmp_path_factory.mktemp("dist")
    _run(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, ROOT, cwd=folder)
    assert len(list(folder.glob("bronzebook-*.tar.gz"))) == 1
    return next(folder.glob("bronzebook-*-py3-none-any.whl"))


@pytest.fixture(scope="module")
def from_wheel(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new environment's Python, the wheel installed."""
    python = _new_environment(tmp_path_factory.mktemp("wheel") / "env")
    _install(python, wheel)
    return python


@pytest.fixture(scope="module")
def from_checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new environment's Python, the checkout installed to be worked in."""
    python = _new_environment(tmp_path_factory.mktemp("checkout") / "env")
    _install(python, "--editable", ROOT)
    return python


def _kept(folder: str) -> set[str]:
    """The files of a folder of the checkout that a release must hold."""
    files = (path for path in (ROOT / folder).rglob("*") if path.is_file())
    return {str(path.relative_to(ROOT)) for path in files if path.parent.name != "__pycache__"}


def test_the_wheel_holds_both_packages_whole_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    revisions = {name.replace("migrations", REVISIONS, 1) for name in _kept("migrations")}
    expected = revisions.union(*map(_kept, PACKAGES))
    assert {name for name in held if ".dist-info/" not in name} == expected
    assert any(name.endswith("_migrations/env.py") for name in held)


def test_the_wheel_carries_the_licences(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        licences = [name for name in archive.namelist() if name.endswith("licenses/LICENSE")]
        assert b"Apache License" in archive.read(licences[0])


def test_the_wheels_command_answers(from_wheel: Path, tmp_path: Path) -> None:
    said = _run(from_wheel.with_name("bronzebook"), "--help", cwd=tmp_path)
    assert said.startswith("Usage: bronzebook")
    assert "bronzebook 0" in _run(from_wheel.with_name("bronzebook"), "--version", cwd=tmp_path)


def test_the_wheel_builds_a_registry_by_the_migrations_it_carries(
    from_wheel: Path, tmp_path: Path
) -> None:
    said = _run(from_wheel, "-c", PROBE, tmp_path / "registry.db", cwd=tmp_path).splitlines()
    installed = from_wheel.parents[1].resolve()
    assert all(Path(line).resolve().is_relative_to(installed) for line in said)
    assert said[2].endswith(REVISIONS)
    assert (tmp_path / "registry.db").stat().st_size > 0


def test_the_checkout_builds_a_registry_by_its_own_migrations(
    from_checkout: Path, tmp_path: Path
) -> None:
    said = _run(from_checkout, "-c", PROBE, tmp_path / "registry.db", cwd=tmp_path).splitlines()
    assert [Path(line) for line in said] == [
        ROOT / "editions" / "__init__.py",
        ROOT / "certificates" / "__init__.py",
        ROOT / "migrations",
    ]


def test_the_checkouts_command_answers(from_checkout: Path, tmp_path: Path) -> None:
    said = _run(from_checkout.with_name("bronzebook"), "--help", cwd=tmp_path)
    assert said.startswith("Usage: bronzebook")


@pytest.mark.parametrize("name", ["migrations", "tests", "editions.store._migrations"])
def test_what_is_no_package_cannot_be_imported_from_the_wheel(
    from_wheel: Path, tmp_path: Path, name: str
) -> None:
    find = f"import importlib.util as u; s = u.find_spec('{name}'); print(s and s.loader)"
    assert _run(from_wheel, "-c", find, cwd=tmp_path).strip() in {"None", "NamespaceLoader"}


def test_the_version_is_told_once(from_wheel: Path, tmp_path: Path) -> None:
    both = "import editions; from importlib.metadata import version as v; "
    said = _run(
        from_wheel, "-c", both + "print(editions.__version__, v('bronzebook'))", cwd=tmp_path
    )
    told, packed = said.split()
    assert told == packed
