"""Serving: the same pages over HTTP, from the book as it stands at each request.

Loopback by default; a foundry that serves the world puts a web server with TLS before it.  Only GET
and HEAD are answered, and every answer has an ETag: who has it already gets 304.  A number typed
with the usual slips (lower case, spaces, O for 0, I or L for 1) is led to its one address; whatever
is not there gets one and the same page, which reveals nothing.  The log names methods, kinds of
page and statuses; never a number, an address or a fact.

Answers are kept in memory for a moment: see :mod:`editions.pages.remembering`, which says how the
page of a book that was tampered with is noticed.  Who asks for numbers faster than people do is
told to wait: see :mod:`editions.pages.limiting`.
"""

from __future__ import annotations

import errno
import logging
from collections.abc import Callable
from typing import Any

from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException

from editions.errors import KeyUnusable, MachineRefused, NotKnown, Unreadable
from editions.pages import policy, render, site
from editions.pages.addresses import HTML, MEMBER, PAGE, TEXT, Address
from editions.pages.limiting import Limit
from editions.pages.remembering import Kept, Memory
from editions.pages.tongues import Tongue, english, others
from editions.pages.view import room
from editions.registry import Registry

_log = logging.getLogger("bronzebook.serve")
_TYPED_LIMIT = 100
_PORTS = range(65536)
_CACHING = {
    "asked": "no-cache",
    "dated": "no-cache",
    "fixed": "public, max-age=31536000, immutable",
}


def create_app(registry: Registry, *, limit: Limit | None = None) -> Flask:
    """The application that answers for a registry.

    Args:
        registry: The registry.
        limit: How often one visitor may look up a number; the usual limit when absent.

    Raises:
        Contradiction: If the book does not tell whose it is.
    """
    app = Flask(__name__, static_folder=None)
    app.url_map.strict_slashes = False
    app.url_map.merge_slashes = False
    with room(registry) as here:
        desk = _Answers(registry, here.desk.book.foundry_name, limit or Limit())
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


def listen(
    registry: Registry,
    host: str,
    port: int,
    *,
    proxy: str | None = None,
    limit: Limit | None = None,
) -> Any:
    """A waitress server, bound and not yet running; port 0 takes any free one.

    Args:
        registry: The registry.
        host: The address to listen on.
        port: The port.
        proxy: The address of the web server before it, whose X-Forwarded-For is then believed;
            from anyone else that header is taken away.
        limit: How often one visitor may look up a number.

    Raises:
        MachineRefused: If the port is taken or not allowed.
    """
    from waitress.server import create_server

    app = create_app(registry, limit=limit)
    try:
        if port not in _PORTS:
            raise OSError(errno.EINVAL, "ports run from 0 to 65535")
        return create_server(app, host=host, port=port, threads=4, ident=None, **_believing(proxy))
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "no such address"
        raise MachineRefused(
            f"Port {port} of {host} cannot be served: {reason}.", "Choose another with --port."
        ) from fault


def _believing(proxy: str | None) -> dict[str, Any]:
    if proxy is None:
        return {"clear_untrusted_proxy_headers": True}
    return {
        "clear_untrusted_proxy_headers": True,
        "trusted_proxy": proxy,
        "trusted_proxy_count": 1,
        "trusted_proxy_headers": {"x-forwarded-for"},
    }


class _Answers:
    """What each address answers with, from the book as it stands at the moment of asking."""

    def __init__(self, registry: Registry, foundry: str, limit: Limit) -> None:
        self.registry = registry
        self.foundry = foundry
        self.limit = limit
        self.memory = Memory()

    def addresses(self) -> dict[str, Callable[..., Response]]:
        """Each address with what answers it: those of the site, and whether the book answers."""
        routes: dict[str, Callable[..., Response]] = {"/healthz": self.health}
        for address in site.ADDRESSES:
            if address.status == 200:
                answer = self._answering(address)
                routes |= dict.fromkeys(_routes(address), answer)
        return routes

    def _answering(self, address: Address) -> Callable[..., Response]:
        def answer(member: str = "") -> Response:
            try:
                return self._answer(address, member)
            except (NotKnown, Unreadable, KeyUnusable):
                return self.missing()

        return answer

    def _answer(self, address: Address, member: str) -> Response:
        plain = member.removesuffix("/").removesuffix(f"/{PAGE}") if address.is_page else member
        kept = address.read(plain[:_TYPED_LIMIT])
        if plain != kept or not request.path.startswith(address.path.partition(MEMBER)[0]):
            return Response(status=301, headers={"Location": address.of(kept)})
        if address.looks_up and (wait := self.limit.wait(request.remote_addr or "")):
            return self._busy(wait)
        found = self.memory.of(address, kept, self.registry, lambda: self._make(address, kept))
        return _answered(address, found)

    def _make(self, address: Address, member: str) -> bytes:
        with room(self.registry, shared=self.memory.shared(self.registry)) as here:
            return address.make(here, member)

    def _busy(self, seconds: int) -> Response:
        answer = _text(b"Too many look-ups from one place; wait a moment.\n", 429)
        answer.headers["Retry-After"] = str(seconds)
        return answer

    def health(self) -> Response:
        """Whether the book answers."""
        with room(self.registry) as here:
            site.checkpoint(here)
        return _text(b"ok\n")

    def missing(self) -> Response:
        """The one page for whatever is not there, in the language of the address."""
        return _plain(render.missing_page(self.foundry, _asked_in()), HTML, 404)

    def failed(self, fault: Exception) -> Response:
        """A refusal in plain words; the log names a fault by its class only."""
        if isinstance(fault, HTTPException):
            return self._refused(fault)
        _log.error("not answered: %s", type(fault).__name__)
        answer = _plain(render.unavailable_page(self.foundry, _asked_in()), HTML, 503)
        answer.headers["Retry-After"] = "30"
        return answer

    def _refused(self, fault: HTTPException) -> Response:
        if fault.code == 404:
            return self.missing()
        answer = _text(b"This site answers GET and HEAD.\n", fault.code or 400)
        if fault.code == 405:
            answer.headers["Allow"] = "GET, HEAD"
        return answer


def _routes(address: Address) -> tuple[str, ...]:
    """The rules under which an address is asked for; a record also in lower case."""
    rule = address.path.replace(MEMBER, "<path:member>")
    if not address.is_page:
        return (rule,)
    if address.varies:
        rule = rule.removesuffix("/")
        return tuple(dict.fromkeys((rule, rule.replace("/C/", "/c/"))))
    return (rule, f"{rule}{PAGE}")


def _asked_in() -> Tongue:
    """The language that a request's address is in."""
    first = request.path.lower().split("/")[1]
    return next((one for one in others(english()) if one.path == f"/{first}"), english())


def _answered(address: Address, found: Kept) -> Response:
    """What was made or remembered, or 304 for who has it already."""
    answer = _plain(found.data, address.media)
    answer.headers["Cache-Control"] = _CACHING[address.keep]
    answer.set_etag(found.etag)
    answer.make_conditional(request)
    return answer


def _sealed(answer: Response) -> Response:
    """Every answer carries the policy, and leaves a line that names nobody."""
    answer.headers.update(policy.headers(render.styles(), render.scripts()))
    if request.path.removeprefix(_asked_in().path)[:3].upper() == "/C/":
        answer.headers["X-Robots-Tag"] = "noindex"
    rule = request.url_rule.rule if request.url_rule else "elsewhere"
    _log.info("%s %s %s", request.method, rule, answer.status_code)
    return answer


def _text(data: bytes, status: int = 200) -> Response:
    return _plain(data, TEXT, status)


def _plain(data: bytes, media: str, status: int = 200) -> Response:
    return Response(data, status, {"Content-Type": media, "Cache-Control": _CACHING["asked"]})
