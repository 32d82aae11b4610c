"""How fast a record is served, beside a bare Flask route that returns the same bytes from memory.

Run by hand, or by what checks a change; pytest does not collect it, since it measures time.  Both
answer from waitress with as many threads, over kept connections, in turn, so that what else the
machine does falls on both; their medians are compared.  A disturbed measurement is made again, at
most twice more.

    python -m tests.benchmarks.serving
"""

from __future__ import annotations

import http.client
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from flask import Flask, Response
from waitress.server import create_server

from editions.pages.limiting import Limit
from editions.pages.serve import listen
from tests.benchmarks import grown

AT_LEAST = 1 / 3
ASKED = 200
ROUNDS = 11
ATTEMPTS = 3


@contextmanager
def running(server: Any) -> Iterator[int]:
    """Run a server until the end; gives its port."""
    threading.Thread(target=server.run, daemon=True).start()
    yield server.effective_port
    server.close()


def bare(data: bytes) -> Any:
    """A server with one route, which returns these bytes."""
    app = Flask("bare")
    app.add_url_rule("/", view_func=lambda: Response(data, mimetype="text/html"))
    return create_server(app, host="127.0.0.1", port=0, threads=4, ident=None)


def seconds(port: int, path: str) -> float:
    """How long it takes to ask so many times over one connection."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    began = perf_counter()
    for _ in range(ASKED):
        line.request("GET", path)
        answer = line.getresponse()
        if answer.status != 200:
            raise RuntimeError(f"answered {answer.status}")
        answer.read()
    took = perf_counter() - began
    line.close()
    return took


def fetched(port: int, path: str) -> bytes:
    """What lies at a path."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    line.request("GET", path)
    data = line.getresponse().read()
    line.close()
    return data


def ratio(record: tuple[int, str], floor: tuple[int, str]) -> float:
    """The record's rate over the bare route's; prints both."""
    pairs = [(seconds(*floor), seconds(*record)) for _ in range(ROUNDS)]
    plain, ours = (ASKED / median(times) for times in zip(*pairs, strict=True))
    print(f"bare route {plain:.0f} a second; a record {ours:.0f}: {ours / plain:.2f}")
    return float(ours / plain)


def main() -> int:
    """Measure until one measurement keeps the limit; return 1 if none does."""
    with tempfile.TemporaryDirectory() as name:
        registry = grown.begun(Path(name))
        grown.grow(registry, grown.EIGHT)
        with registry.reading() as reading:
            number = next(code for code in reading.known("") if len(code) == 11)
        unlimited = Limit(burst=10**9, rate=10.0**9)
        # As a shop serves it: by the machine's own clock.
        registry.clock.step *= 0  # type: ignore[attr-defined]
        path = f"/C/{number}"
        with running(listen(registry, "127.0.0.1", 0, limit=unlimited)) as port:
            data = fetched(port, path)
            with running(bare(data)) as other:
                good = any(ratio((port, path), (other, "/")) >= AT_LEAST for _ in range(ATTEMPTS))
        registry.close()
    print(f"{len(data)} bytes")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
