"""Books for the tests of pages: one with every state to read, and copies of a small one to harm."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.registry import Registry, open_registry
from tests.helpers.clock import Clock
from tests.pages.builders import Gallery, cast, gallery, opened


@pytest.fixture(scope="session")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Gallery]:
    """A certificate in every state; for reading only."""
    made = gallery(tmp_path_factory.mktemp("gallery") / "registry")
    yield made
    made.shop.registry.close()


@pytest.fixture(scope="session")
def _one_certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("one") / "registry"
    shop = opened(folder)
    piece = cast(shop)
    shop.photograph(piece)
    number = shop.certify(piece)
    cast(shop, "4/8")
    shop.registry.close()
    return folder, number


@pytest.fixture
def book(_one_certificate: tuple[Path, str], tmp_path: Path) -> Iterator[Registry]:
    """A registry with one certificate and entries after it, the test's own to harm."""
    folder, _ = _one_certificate
    shutil.copytree(folder, tmp_path / "registry")
    clock = Clock()
    clock.wind(days=267)
    registry = open_registry(tmp_path / "registry", clock=clock)
    yield registry
    registry.close()


@pytest.fixture
def number(_one_certificate: tuple[Path, str]) -> str:
    """The number of that one certificate."""
    return _one_certificate[1]
