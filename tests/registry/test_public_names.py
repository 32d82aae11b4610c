"""The public names of ``editions``: loaded when asked for, and only then."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import editions
from editions.registry import Writing, acts

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("name", editions.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(editions, name) is not None
    assert name in dir(editions)


def test_a_name_that_is_not_public_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'cast_bronze'"):
        editions.cast_bronze  # noqa: B018 - asking for it is the test


def test_importing_the_package_loads_nothing_of_it() -> None:
    ask = "import sys, editions; print(*(m for m in sys.modules if m.startswith('editions.')))"
    done = subprocess.run(
        [sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == ""


def test_the_version_is_the_packages_own() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert editions.__version__ == project["version"]


def _acts() -> list[str]:
    """Every function of an area that takes a writing first."""
    found = []
    for area in pkgutil.iter_modules(acts.__path__):
        if area.name in ("typed", "phrases", "fields"):
            continue
        module = importlib.import_module(f"{acts.__name__}.{area.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ != module.__name__ or name.startswith("_"):
                continue
            first = next(iter(inspect.get_annotations(function, eval_str=True).values()), None)
            found += [name] if first is Writing else []
    return found


def test_every_act_is_public() -> None:
    acts = _acts()
    assert len(acts) > 30
    assert sorted(set(acts) - set(editions.__all__)) == []
