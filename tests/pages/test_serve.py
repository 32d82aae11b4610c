"""The record served: the published bytes, and nothing that was not asked for."""

from __future__ import annotations

import http.client
import logging
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.exceptions import BadRequest

from certificates.issue import issue
from editions.errors import MachineRefused, RegistryUnusable
from editions.pages import render
from editions.pages import serve as serving
from editions.pages.publish import publish
from editions.pages.serve import create_app, listen
from editions.pages.tongues import english
from editions.pages.view import record_view
from editions.registry import Registry
from editions.registry.acts.photographs import file_photograph
from editions.store.photographs import keep, prepare
from editions.trade.numbers import make_number
from tests.helpers.chance import Chance
from tests.pages.builders import HELD, PASSPHRASE, Gallery, picture
from tests.pages.running import running
from tests.store.books import tamper


@pytest.fixture(scope="module")
def client(shown: Gallery) -> FlaskClient:
    return create_app(shown.shop.registry).test_client()


@pytest.fixture
def visitor(book: Registry) -> FlaskClient:
    return create_app(book).test_client()


def test_what_is_served_is_what_is_published(
    shown: Gallery, client: FlaskClient, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(shown.shop.registry, site)
    for path in site.rglob("*"):
        # A status note is dated when it is signed: its own test compares what it says.
        if path.is_file() and path.name != "status":
            name = str(path.relative_to(site))
            answer = client.get("/" + name.removesuffix("index.html"))
            assert answer.data == path.read_bytes(), name
            assert answer.status_code == (404 if path.name == "404.html" else 200)


@pytest.mark.parametrize(
    ("path", "language"),
    [("/nothing", "en"), ("/fr/nothing", "fr"), ("/fr/C/00000000000", "fr"), ("/frnothing", "en")],
)
def test_what_is_not_there_is_told_in_the_language_of_its_address(
    client: FlaskClient, path: str, language: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert f'<html lang="{language}">' in answer.text


def test_the_one_page_for_what_is_not_there_leads_on_in_every_language(client: FlaskClient) -> None:
    """A static host has one such page, and no address tells it a language."""
    assert '<a href="/fr/" hreflang="fr">' in client.get("/nothing").text


def test_a_french_record_is_led_to_and_kept_out_of_indexes_as_an_english_one(
    shown: Gallery, client: FlaskClient
) -> None:
    number = shown.numbers["stands"]
    answer = client.get(f"/fr/C/{number.lower()}")
    assert (answer.status_code, answer.headers["Location"]) == (301, f"/fr/C/{number}")
    answer = client.get(f"/fr/C/{number}")
    assert answer.status_code == 200
    assert answer.headers["X-Robots-Tag"] == "noindex"
    assert client.get("/fr").headers["Location"] == "/fr/"


@pytest.mark.parametrize("tail", ["", "/", "/index.html"])
def test_a_record_answers_with_and_without_a_slash(
    shown: Gallery, client: FlaskClient, tail: str
) -> None:
    answer = client.get(f"/C/{shown.numbers['stands']}{tail}")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"


def typed_wrongly(number: str) -> list[str]:
    return [
        f"/c/{number}",
        f"/C/{number.lower()}",
        f"/C/{number[:4]} {number[4:8]} {number[8:]}",
        f"/C/{number[:4]}-{number[4:8]}-{number[8:]}/",
        f"/C/{number.replace('0', 'O').replace('1', 'l')}",
        f"/C/ {number} ",
    ]


def test_usual_slips_lead_to_the_one_address(shown: Gallery, client: FlaskClient) -> None:
    for number in shown.numbers.values():
        for path in typed_wrongly(number):
            if path == f"/C/{number}":
                continue
            answer = client.get(path)
            assert (answer.status_code, answer.headers["Location"]) == (301, f"/C/{number}"), path


def test_a_slip_leads_on_whether_or_not_anyone_issued_the_number(client: FlaskClient) -> None:
    number = make_number(Chance("nobody"))
    assert client.get(f"/C/{number.lower()}").headers["Location"] == f"/C/{number}"
    assert client.get(f"/C/{number}").status_code == 404


ELSEWHERE = [
    "/nothing", "/C/7DD6ZS4GDM7", "/C/P-0001", "/C/BOOK", "/C/Y-0002", "/P-0001", "/photo/x.jpg",
    "/photo/../checkpoint", "/C/..", "/C/%00", "/C/%ff%fe",   "/C/" + "A" * 3000,
    "/registry.db", "/keys/log.key", "/photo/" + "0" * 64 + ".jpg", "/static/page.css",
    "/C/7DD6ZS4GDM6/index.html/index.html", "/C/7DD6ZS4GDM6/entry.json", "/tile/0/000",
]  # fmt: skip


@pytest.mark.parametrize("path", ELSEWHERE)
def test_whatever_is_not_there_gets_the_same_page(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.data == render.missing_page("Harrow Lane Bronze", english())


@given(text=st.text(max_size=80))
def test_no_address_makes_a_traceback(client: FlaskClient, text: str) -> None:
    answer = client.get(f"/C/{text}")
    assert answer.status_code in (200, 301, 404)


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "BREW"])
@pytest.mark.parametrize("path", ["/", "/C/7DD6ZS4GDM6", "/checkpoint", "/healthz"])
def test_only_get_and_head_are_answered(client: FlaskClient, method: str, path: str) -> None:
    answer = client.open(path, method=method)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD"
    assert b"Traceback" not in answer.data


def test_any_other_refusal_is_a_plain_line(client: FlaskClient) -> None:
    app = client.application
    with app.test_request_context("/"):
        answer = app.make_response(app.handle_user_exception(BadRequest("C: said")))
    assert answer.status_code == 400
    assert answer.data == b"This site answers GET and HEAD.\n"
    assert "Allow" not in answer.headers


def test_head_answers_as_get_without_a_body(shown: Gallery, client: FlaskClient) -> None:
    path = f"/C/{shown.numbers['stands']}"
    got, head = client.get(path), client.head(path)
    assert head.data == b""
    assert head.headers["Content-Length"] == str(len(got.data))


@pytest.mark.parametrize("path", ["/", "/C/", "/nothing", "/checkpoint", "/keys.txt", "/healthz"])
def test_every_answer_carries_the_headers(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers
    said = headers["Content-Security-Policy"]
    for part in ("default-src 'none'", "img-src 'self'", "base-uri 'none'", "form-action 'none'",
                 "frame-ancestors 'none'", "style-src 'sha256-"):  # fmt: skip
        assert part in said
    assert "unsafe" not in said
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"


def test_records_are_kept_out_of_indexes_by_a_header_too(
    shown: Gallery, client: FlaskClient
) -> None:
    assert client.get(f"/C/{shown.numbers['stands']}").headers["X-Robots-Tag"] == "noindex"
    assert "X-Robots-Tag" not in client.get("/").headers


def test_a_photograph_is_served_and_its_original_is_not(book: Registry, number: str) -> None:
    client = create_app(book).test_client()
    shown = record_view(book, number).picture
    assert shown is not None
    answer = client.get(f"/photo/{shown.digest}.jpg")
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.data[:3] == b"\xff\xd8\xff"
    kept = {path.name for path in book.home.photographs.glob("*/*")}
    (original,) = kept - {shown.digest}
    assert (book.home.photographs / original[:2] / original).read_bytes() == picture()
    assert client.get(f"/photo/{original}.jpg").status_code == 404


def test_a_photograph_is_served_from_the_day_it_is_certified(book: Registry) -> None:
    client = create_app(book).test_client()
    taken = keep(book.home.photographs, prepare(picture((120, 130, 140))))
    address = f"/photo/{taken.derivative_digest}.jpg"
    with book.writing() as w:
        file_photograph(w, "P-0002", taken.derivative_digest)
    assert client.get(address).status_code == 404
    issue(book, ["P-0002"], passphrase=PASSPHRASE)
    assert client.get(address).status_code == 200


def test_a_photograph_that_was_altered_is_not_served(book: Registry, number: str) -> None:
    shown = record_view(book, number).picture
    assert shown is not None
    client = create_app(book).test_client()
    path = book.home.photographs / shown.digest[:2] / shown.digest
    path.unlink()
    path.write_bytes(b"another")
    assert client.get(f"/photo/{shown.digest}.jpg").status_code == 404


def test_the_health_address_answers_while_the_book_does(
    visitor: FlaskClient, book: Registry
) -> None:
    assert visitor.get("/healthz").data == b"ok\n"
    tamper(book, "DROP TABLE checkpoints")
    answer = visitor.get("/healthz")
    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "30"
    assert answer.data == render.unavailable_page("Harrow Lane Bronze", english())


def test_a_book_that_does_not_answer_is_told_without_its_reason(
    visitor: FlaskClient, book: Registry, number: str, caplog: pytest.LogCaptureFixture
) -> None:
    tamper(book, "DROP TABLE subjects")
    with caplog.at_level(logging.DEBUG):
        answer = visitor.get(f"/C/{number}")
    assert answer.status_code == 503
    assert b"SELECT" not in answer.data
    assert number not in caplog.text
    assert "Traceback" not in caplog.text
    assert "not answered: " in caplog.text


def test_the_log_names_no_number_and_nothing_held(
    shown: Gallery, client: FlaskClient, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.DEBUG):
        for number in shown.numbers.values():
            client.get(f"/C/{number}")
            client.get(f"/C/{number.lower()}")
    assert "GET /C/<path:member> 200" in caplog.text
    assert HELD not in caplog.text
    assert not any(number in caplog.text.upper() for number in shown.numbers.values())


def test_one_byte_of_the_book_changed_shows_on_the_page_served(
    visitor: FlaskClient, book: Registry, number: str
) -> None:
    assert b"This certificate stands" in visitor.get(f"/C/{number}").data
    with book.engine.connect() as connection:
        look = "SELECT bytes FROM entries WHERE kind = 'certificate_issued'"
        raw = connection.exec_driver_sql(look).scalar_one()
    tamper(book, "UPDATE entries SET bytes = :raw WHERE kind = 'certificate_issued'",
           raw=raw.replace(b"Heron", b"heron"))  # fmt: skip
    answer = visitor.get(f"/C/{number}")
    assert answer.status_code == 200
    assert b"This record contradicts itself" in answer.data


@pytest.fixture
def address(shown: Gallery) -> Iterator[tuple[str, int]]:
    """A real server on a free port of this machine."""
    with running(shown.shop.registry) as port:
        yield "127.0.0.1", port


def test_a_real_server_gives_the_same_page(shown: Gallery, address: tuple[str, int]) -> None:
    number = shown.numbers["stands"]
    connection = http.client.HTTPConnection(*address, timeout=10)
    connection.request("GET", f"/C/{number}")
    answer = connection.getresponse()
    assert answer.status == 200
    assert answer.read() == render.render_record(shown.shop.registry, number)
    assert answer.getheader("Server") is None
    connection.close()


@pytest.mark.parametrize(
    "raw",
    [
        b"nonsense\r\n\r\n",
        b"GET /C/\xff\xfe HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET /" + b"A" * 300_000 + b" HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 100_000 + b"\r\n",
        b"\x00" * 64 + b"\r\n\r\n",
    ],
    ids=["no request", "bytes", "a long address", "a wrong length", "many headers", "zeroes"],
)
def test_a_malformed_request_makes_no_traceback(address: tuple[str, int], raw: bytes) -> None:
    with socket.create_connection(address, timeout=10) as line:
        try:
            line.sendall(raw)
            answer = line.recv(65536)
        except ConnectionError:
            answer = b""
    assert b"Traceback" not in answer
    assert answer == b"" or answer.split(b" ")[1] in {b"200", b"400", b"404", b"414", b"431"}


def test_a_port_that_is_taken_is_told(shown: Gallery, address: tuple[str, int]) -> None:
    with pytest.raises(MachineRefused, match=f"Port {address[1]} of 127.0.0.1"):
        listen(shown.shop.registry, *address)


@pytest.mark.parametrize("port", [-1, 70_000])
def test_a_port_that_is_none_is_told(shown: Gallery, port: int) -> None:
    with pytest.raises(MachineRefused):
        listen(shown.shop.registry, "127.0.0.1", port)


def test_serving_runs_until_it_is_stopped(shown: Gallery, monkeypatch: pytest.MonkeyPatch) -> None:
    events: list[str] = []

    class Server:
        def run(self) -> None:
            events.append("run")
            raise KeyboardInterrupt

        def close(self) -> None:
            events.append("close")

    monkeypatch.setattr(serving, "listen", lambda *_: Server())
    with pytest.raises(KeyboardInterrupt):
        serving.serve(shown.shop.registry)
    assert events == ["run", "close"]


def test_a_book_that_is_gone_is_not_served(book: Registry) -> None:
    tamper(book, "DROP TABLE subjects")
    with pytest.raises(RegistryUnusable):
        create_app(book)
