"""A web server for tests, of which no thread is traced.

A browser asks for something late, when the next test has begun and may just be putting coverage
aside; of two threads that set a trace at once, one fails, and its answer with it.
"""

from __future__ import annotations

import _thread
from http.server import ThreadingHTTPServer
from socket import socket
from typing import Any


class Server(ThreadingHTTPServer):
    """Answers each request in a thread that ``threading`` does not know, so nothing traces it."""

    def process_request(self, request: socket | tuple[bytes, socket], client_address: Any) -> None:
        """Start such a thread."""
        _thread.start_new_thread(self.process_request_thread, (request, client_address))
