"""Books for the tests of pages: one with every state to read, and copies of a small one to harm."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from editions.ledger.tiles import tile_bytes, tiles_for
from editions.pages.render import render_record
from editions.registry import Registry, open_registry
from editions.store import queries
from editions.store.photographs import read as read_photograph
from editions.trade.certificates import Certificate
from tests.helpers.clock import Clock
from tests.pages.builders import Gallery, cast, gallery, opened
from tests.pages.checking import Place, Subject, carried, noted


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


@pytest.fixture
def place() -> Iterator[Place]:
    files: dict[str, bytes] = {}

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            found = files.get(self.path)
            self.send_response(200 if found is not None else 404)
            kind = "text/html" if self.path.startswith("/C/") else "application/octet-stream"
            self.send_header("Content-Type", kind)
            self.end_headers()
            self.wfile.write(found or b"")

        def log_message(self, _: str, *args: object) -> None:
            """Nothing is logged."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield Place(files, f"http://127.0.0.1:{server.server_port}")
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="session")
def subject(shown: Gallery, tmp_path_factory: pytest.TempPathFactory) -> Subject:
    registry, number = shown.shop.registry, shown.numbers["stands"]
    foreign = opened(tmp_path_factory.mktemp("abroad") / "registry", title="Another heron")
    abroad = foreign.certify(cast(foreign))
    with registry.reading() as reading:
        read = queries.node_reader(reading.connection)
        files = {f"/{t.path}": tile_bytes(t, read) for t in tiles_for(0, reading.size)}
        files["/checkpoint"] = reading.checkpoint().encode()
        files["/status"] = noted(registry, reading)
        leaf = reading.get(number, Certificate).leaf
        old = noted(registry, reading, reading.proof(leaf).checkpoint_note)
    page = render_record(registry, number).decode()
    picture = re.search(r'src="(/photo/[^"]+)"', page)
    assert picture is not None
    digest = picture[1].removeprefix("/photo/").removesuffix(".jpg")
    files[picture[1]] = read_photograph(registry.home.photographs, digest)
    other = carried(render_record(registry, shown.numbers["contested"]).decode())
    strange = carried(render_record(foreign.registry, abroad).decode())
    foreign.registry.close()
    return Subject(number, page, other, strange, files, old)
