"""A real server on a free port of this machine, stopped when the test is done with it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from editions.pages.serve import listen
from editions.registry import Registry


@contextmanager
def running(registry: Registry) -> Iterator[int]:
    """Serve a registry; gives the port."""
    server, stopping = listen(registry, "127.0.0.1", 0), threading.Event()

    def run() -> None:
        # Closed from another thread, the server's loop may find its sockets gone.
        try:
            server.run()
        except (OSError, ValueError, LookupError):
            if not stopping.is_set():
                raise

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    yield server.effective_port
    stopping.set()
    server.close()
    thread.join(timeout=10)
