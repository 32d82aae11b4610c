"""Serving: the same pages over HTTP, from the book as it stands at each request.

Loopback by default; a foundry that serves the world puts a web server with TLS before it.  Only GET
and HEAD are answered.  A number typed with the usual slips (lower case, spaces, O for 0, I or L for
1) is led to its one address; whatever is not there gets one and the same page, which reveals
nothing.  The log names methods, kinds of page and statuses; never a number, an address or a fact.
"""

from __future__ import annotations

import datetime
import errno
import logging
import re
from collections.abc import Callable
from typing import Any

from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException

from editions.errors import KeyUnusable, MachineRefused, NotKnown, Unreadable
from editions.pages import policy, render, site
from editions.pages.view import Room, room
from editions.registry import Registry
from editions.trade.numbers import read_number

HTML = "text/html; charset=utf-8"
TEXT = "text/plain; charset=utf-8"

_log = logging.getLogger("bronzebook.serve")
_DIGEST = re.compile(r"[0-9a-f]{64}\.jpg", re.ASCII)
_TYPED_LIMIT = 60
_PORTS = range(65536)
_WEEKS = "public, max-age=31536000, immutable"
_NOW = "no-cache"
_FRESH = datetime.timedelta(hours=1)


def create_app(registry: Registry) -> Flask:
    """The application that answers for a registry.

    Raises:
        Contradiction: If the book does not tell whose it is.
    """
    app = Flask(__name__, static_folder=None)
    app.url_map.strict_slashes = False
    app.url_map.merge_slashes = False
    with room(registry) as here:
        desk = _Answers(registry, here.desk.book.foundry_name)
    for address, answer in desk.addresses().items():
        app.add_url_rule(
            address,
            endpoint=address,
            view_func=answer,
            methods=["GET"],
            provide_automatic_options=False,
        )
    app.after_request(_sealed)
    app.register_error_handler(Exception, desk.failed)
    return app


def serve(registry: Registry, host: str = "127.0.0.1", port: int = 8000) -> None:
    """Serve the record until stopped.

    Args:
        registry: The registry.
        host: The address to listen on; loopback unless told otherwise.
        port: The port.

    Raises:
        MachineRefused: If the port is taken or not allowed.
    """
    server = listen(registry, host, port)
    try:
        server.run()
    finally:
        server.close()


def listen(registry: Registry, host: str, port: int) -> Any:
    """A waitress server, bound and not yet running; port 0 takes any free one.

    Raises:
        MachineRefused: If the port is taken or not allowed.
    """
    from waitress.server import create_server

    app = create_app(registry)
    try:
        if port not in _PORTS:
            raise OSError(errno.EINVAL, "ports run from 0 to 65535")
        return create_server(app, host=host, port=port, threads=4, ident=None)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "no such address"
        raise MachineRefused(
            f"Port {port} of {host} cannot be served: {reason}.", "Choose another with --port."
        ) from fault


class _Answers:
    """What each address answers with, from the book as it stands at the moment of asking."""

    def __init__(self, registry: Registry, foundry: str) -> None:
        self.registry = registry
        self.foundry = foundry
        self._size = -1
        self._photographs: frozenset[str] = frozenset()
        self._status = (b"", -1, datetime.datetime.min.replace(tzinfo=datetime.UTC))

    def addresses(self) -> dict[str, Callable[..., Response]]:
        """Each address with the method that answers it."""
        return {
            "/": lambda: _page(self._read(site.front)),
            "/index.html": lambda: _page(self._read(site.front)),
            "/C/": lambda: _page(render.number_wanted_page(self.foundry)),
            "/photo/": lambda: _page(render.number_wanted_page(self.foundry)),
            "/C/<path:typed>": self.record,
            "/c/<path:typed>": self.record,
            "/photo/<name>": self.photograph,
            "/checkpoint": lambda: _text(self._read(site.checkpoint)),
            "/keys.txt": lambda: _text(self._read(site.keys)),
            "/rotations.txt": lambda: _text(self._read(site.rotations)),
            "/status": self.status,
            "/tile/<path:rest>": self.tile,
            "/icon.svg": lambda: _answer(render.icon(), "image/svg+xml"),
            "/healthz": self.health,
        }

    def _read(self, look: Callable[[Room], bytes]) -> bytes:
        with room(self.registry) as here:
            return look(here)

    def record(self, typed: str) -> Response:
        """A record; a number typed with slips is led to its one address."""
        plain = typed.removesuffix("/").removesuffix("/index.html")
        try:
            number = read_number(plain[:_TYPED_LIMIT])
            if plain != number or request.path.startswith("/c/"):
                return Response(status=301, headers={"Location": f"/C/{number}"})
            return _page(self._read(lambda here: site.record(here, number)))
        except (NotKnown, Unreadable):
            return self.missing()

    def photograph(self, name: str) -> Response:
        """The photograph of a certified piece; of no other, though the file may be here."""
        if not _DIGEST.fullmatch(name):
            return self.missing()
        digest = name.removesuffix(".jpg")
        with room(self.registry) as here:
            self._learn(here)
            data = site.photograph(here, digest) if digest in self._photographs else None
        if data is None:
            return self.missing()
        return _answer(data, "image/jpeg", keep=_WEEKS)

    def _learn(self, here: Room) -> None:
        """Look the photographs up again only when the book has grown since."""
        size = here.desk.reading.size
        if size != self._size:
            self._photographs = frozenset(site.photographs(here))
            self._size = size

    def status(self) -> Response:
        """The status note; signed anew when the book has grown, or the note is an hour old."""
        try:
            key = self.registry.log_key()
        except KeyUnusable:
            return self.missing()
        now = self.registry.clock()
        with room(self.registry) as here:
            known, size, since = self._status
            if size != here.desk.reading.size or not since <= now < since + _FRESH:
                known = site.status(here, key, now)
                self._status = (known, here.desk.reading.size, now)
        return _text(known)

    def tile(self, rest: str) -> Response:
        """A tile of the tree; it never changes."""
        try:
            data = self._read(lambda here: site.tile(here, f"tile/{rest}"))
        except (NotKnown, Unreadable):
            return self.missing()
        return _answer(data, "application/octet-stream", keep=_WEEKS)

    def health(self) -> Response:
        """Whether the book answers."""
        self._read(site.checkpoint)
        return _text(b"ok\n")

    def missing(self) -> Response:
        """The one page for whatever is not there."""
        return _page(render.missing_page(self.foundry), 404)

    def failed(self, fault: Exception) -> Response:
        """A refusal in plain words; the log names a fault by its class only."""
        if isinstance(fault, HTTPException):
            return self._refused(fault)
        _log.error("not answered: %s", type(fault).__name__)
        answer = _page(render.unavailable_page(self.foundry), 503)
        answer.headers["Retry-After"] = "30"
        return answer

    def _refused(self, fault: HTTPException) -> Response:
        if fault.code == 404:
            return self.missing()
        answer = _text(b"This site answers GET and HEAD.\n", fault.code or 400)
        if fault.code == 405:
            answer.headers["Allow"] = "GET, HEAD"
        return answer


def _sealed(answer: Response) -> Response:
    """Every answer carries the policy, and leaves a line that names nobody."""
    answer.headers.update(policy.headers(render.style(), render.script()))
    if request.path.upper().startswith("/C/"):
        answer.headers["X-Robots-Tag"] = "noindex"
    rule = request.url_rule.rule if request.url_rule else "elsewhere"
    _log.info("%s %s %s", request.method, rule, answer.status_code)
    return answer


def _page(data: bytes, status: int = 200) -> Response:
    return _answer(data, HTML, status)


def _text(data: bytes, status: int = 200) -> Response:
    return _answer(data, TEXT, status)


def _answer(data: bytes, kind: str, status: int = 200, keep: str = _NOW) -> Response:
    return Response(data, status, {"Content-Type": kind, "Cache-Control": keep})
