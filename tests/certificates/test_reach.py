"""Reaching a site: hosts that lead elsewhere, keep silent, drip, flood, break off, or lie."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from email.message import Message
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path
from urllib.error import URLError
from urllib.request import Request

import pytest

from certificates import reach as reaching
from certificates.reach import reach
from editions.errors import BronzebookError, FileUnusable, MachineRefused, NotKnown

Answer = Callable[[BaseHTTPRequestHandler], None]
BODY = b"0123456789" * 10


@contextmanager
def host(answer: Answer) -> Iterator[str]:
    """A real server on a free port that answers every GET so; gives its address."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            try:
                answer(self)
            except OSError:
                # The other side has hung up, as it should.
                self.close_connection = True

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    asked: list[str] = []
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=10)


def says(body: bytes = BODY, status: int = 200, length: int | None = None) -> Answer:
    def answer(at: BaseHTTPRequestHandler) -> None:
        at.send_response(status)
        at.send_header("Content-Length", str(len(body) if length is None else length))
        at.end_headers()
        at.wfile.write(body)

    return answer


def leads(to: str, status: int = 302) -> Answer:
    def answer(at: BaseHTTPRequestHandler) -> None:
        if at.path == "/there":
            says()(at)
            return
        at.send_response(status)
        at.send_header("Location", to)
        at.send_header("Content-Length", "0")
        at.end_headers()

    return answer


def fault(answer: Answer, path: str = "checkpoint") -> BronzebookError:
    with host(answer) as address, pytest.raises(BronzebookError) as found:
        reach(address)(path)
    return found.value


def test_a_file_is_fetched_by_its_path_below_the_address() -> None:
    with host(says()) as address:
        assert reach(f"{address}/")("checkpoint") == BODY
        assert reach(f"{address}/books/one/")("tile/0/x001/234.p/7") == BODY


@pytest.mark.parametrize("status", [301, 302, 303, 307, 308])
def test_a_redirect_on_the_same_host_is_followed(status: int) -> None:
    with host(leads("/there", status)) as address:
        assert reach(address)("checkpoint") == BODY


def test_a_redirect_to_another_host_is_refused_before_it_is_asked() -> None:
    asked: list[str] = []

    def other(at: BaseHTTPRequestHandler) -> None:
        asked.append(at.path)
        says()(at)

    with host(other) as elsewhere:
        found = fault(leads(f"{elsewhere}/there"))
    assert isinstance(found, FileUnusable)
    assert "leads to another host" in found.message
    assert asked == []


@pytest.mark.parametrize(
    "to", ["https://record.example/checkpoint", "file:///etc/passwd", "ftp://127.0.0.1/x", "//x/y"]
)
def test_no_redirect_leads_out(to: str) -> None:
    assert isinstance(fault(leads(to)), FileUnusable)


def test_a_redirect_from_https_to_http_is_refused() -> None:
    asked = Request("https://record.example/checkpoint")
    with pytest.raises(URLError, match="from https to http"):
        reaching._SameHost().redirect_request(
            asked, BytesIO(), 302, "Found", Message(), "http://record.example/checkpoint"
        )


def test_a_redirect_in_a_circle_ends() -> None:
    assert isinstance(fault(leads("/checkpoint")), FileUnusable)


@pytest.mark.parametrize("status", [404, 410])
def test_what_is_not_there_is_not_known(status: int) -> None:
    assert isinstance(fault(says(status=status)), NotKnown)


@pytest.mark.parametrize("status", [400, 401, 403, 429, 500, 503])
def test_another_status_is_told(status: int) -> None:
    found = fault(says(status=status))
    assert isinstance(found, FileUnusable)
    assert f"answers {status}" in found.message


def test_an_answer_as_large_as_may_be_is_taken_and_one_byte_more_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reaching, "LARGEST", 1000)
    with host(says(bytes(1000))) as address:
        assert len(reach(address)("status")) == 1000
    assert "is larger than 1000 bytes" in fault(says(bytes(1001)), "status").message


def test_a_flood_without_end_is_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reaching, "LARGEST", 200_000)
    sent = []

    def flood(at: BaseHTTPRequestHandler) -> None:
        at.send_response(200)
        at.end_headers()
        while True:
            at.wfile.write(bytes(65536))
            sent.append(65536)

    assert "is larger than" in fault(flood).message
    # What is under way when the reader hangs up lies in the buffers of two sockets.
    assert sum(sent) < 20_000_000


def test_a_host_that_keeps_silent_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reaching, "SECONDS", 0.2)
    done = threading.Event()

    def silent(_: BaseHTTPRequestHandler) -> None:
        done.wait(10)

    began = time.monotonic()
    found = fault(lambda at: (done.wait(2), says()(at))[1])
    assert isinstance(found, FileUnusable)
    assert "cannot be reached" in found.message
    assert time.monotonic() - began < 5
    done.set()


def test_a_host_that_sends_a_byte_now_and_then_is_not_waited_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reaching, "SECONDS", 5.0)
    monkeypatch.setattr(reaching, "ALTOGETHER", 0.3)

    def drip(at: BaseHTTPRequestHandler) -> None:
        at.send_response(200)
        at.send_header("Content-Length", "1000")
        at.end_headers()
        for _ in range(1000):
            at.wfile.write(b".")
            time.sleep(0.02)

    began = time.monotonic()
    assert "answers too slowly" in fault(drip).message
    assert time.monotonic() - began < 5


def test_an_answer_that_breaks_off_is_no_answer() -> None:
    found = fault(says(BODY, length=500))
    assert isinstance(found, FileUnusable)
    assert "cannot be reached" in found.message


def test_what_is_no_http_is_told() -> None:
    def noise(at: BaseHTTPRequestHandler) -> None:
        at.wfile.write(b"\x00\x01\x02 nothing\r\n")

    assert isinstance(fault(noise), FileUnusable)


def test_a_host_that_is_not_there_is_told() -> None:
    with host(says()) as address:
        gone = address
    with pytest.raises(FileUnusable, match="cannot be reached"):
        reach(gone)("checkpoint")


def test_a_plain_host_asked_by_https_is_told() -> None:
    with host(says()) as address, pytest.raises(FileUnusable, match="cannot be reached"):
        reach(address.replace("http:", "https:"))("checkpoint")


@pytest.mark.parametrize(
    "place", ["http://", "http://:80", "http://[", "https://a b", "http://a:x"]
)
def test_an_address_that_is_none_is_told(place: str) -> None:
    with pytest.raises(BronzebookError):
        reach(place)("checkpoint")


@pytest.mark.parametrize("path", ["/etc/passwd", "..", "a/../b", "a\r\nb", "?x", "%2e%2e/a", "é"])
def test_no_other_path_is_asked_for(path: str) -> None:
    with host(says()) as address, pytest.raises(NotKnown):
        reach(address)(path)


def test_a_folder_is_read_within_the_same_limit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reaching, "LARGEST", 100)
    (tmp_path / "status").write_bytes(bytes(100))
    (tmp_path / "tile").mkdir()
    fetch = reach(str(tmp_path))
    assert fetch("status") == bytes(100)
    (tmp_path / "status").write_bytes(bytes(101))
    with pytest.raises(FileUnusable, match="larger than 100"):
        fetch("status")
    for path in ("tile", "status/000", "checkpoint"):
        with pytest.raises(NotKnown):
            fetch(path)


def test_a_file_that_the_machine_refuses_to_read_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "status").write_bytes(b"")

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    fetch = reach(str(tmp_path))
    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(MachineRefused, match="Permission denied"):
        fetch("status")
