"""Keeps the tests off every network but this machine's own loopback.

A refusal is raised where the connection is tried, and remembered, because a library may catch the
error and try something else: the test that caused it fails all the same.
"""

from __future__ import annotations

import sys
from ipaddress import ip_address
from typing import Any

refusals: list[str] = []
"""What was refused since the list was last emptied."""

_GUARDED = {"socket.connect", "socket.sendto", "socket.sendmsg"}


class NetworkForbidden(OSError):
    """A test reached for an address outside this machine."""


def is_local(host: object) -> bool:
    """Tell whether a host name, address or socket path stays on this machine."""
    if isinstance(host, bytes):
        host = host.decode(errors="replace")
    if not isinstance(host, str) or host in {"", "localhost"} or host.startswith(("/", "\0")):
        return True
    try:
        return ip_address(host.partition("%")[0]).is_loopback
    except ValueError:
        return False


def _hosts_of(event: str, details: tuple[Any, ...]) -> tuple[object, ...]:
    if event in _GUARDED:
        address = details[1]
        return (address[0] if isinstance(address, tuple) else address,)
    return (details[0],) if event in {"socket.getaddrinfo", "socket.gethostbyname"} else ()


def _watch(event: str, details: tuple[Any, ...]) -> None:
    # This runs at every audited event of the interpreter, so the cheap test comes first.
    if not event.startswith("socket."):
        return
    for host in _hosts_of(event, details):
        if not is_local(host):
            refusals.append(f"{event} to {host!r}")
            raise NetworkForbidden(f"tests stay on this machine: {event} to {host!r}")


def guard() -> None:
    """Start watching; it cannot be undone for the life of the interpreter."""
    sys.addaudithook(_watch)
