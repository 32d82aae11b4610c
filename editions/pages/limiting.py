"""How often one visitor may look up a number: often enough for a gallery, too seldom for guessing.

A visitor is the address a request came from, an IPv6 one by its first 64 bits, since whoever has
one of those has all of them.  Each may ask ``burst`` times at once and ``rate`` times a second
after that.  Numbers have 50 random bits, so no rate finds one; the limit keeps the trying from
costing the book its time.  The table is bounded: the visitor seen longest ago is forgotten first.

>>> limit = Limit(burst=2, rate=0.5)
>>> [limit.wait("192.0.2.7", at) for at in (0.0, 0.0, 0.0, 2.0)]
[0, 0, 2, 0]
"""

from __future__ import annotations

import ipaddress
import math
import time
from collections import OrderedDict
from threading import Lock

BURST = 60
RATE = 2.0  # a second
MOST_VISITORS = 4096


class Limit:
    """Counts look-ups by visitor; a bucket that fills with time and is emptied by asking."""

    def __init__(
        self, *, burst: int = BURST, rate: float = RATE, most_visitors: int = MOST_VISITORS
    ) -> None:
        self._burst = burst
        self._rate = rate
        self._most = most_visitors
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = Lock()

    def wait(self, address: str, now: float | None = None) -> int:
        """Seconds to wait before asking again; 0 if this look-up may be answered."""
        now = time.monotonic() if now is None else now
        visitor = visitor_of(address)
        with self._lock:
            left, since = self._left.pop(visitor, (float(self._burst), now))
            left = min(self._burst, left + (now - since) * self._rate)
            allowed = left >= 1
            self._left[visitor] = (left - allowed, now)
            while len(self._left) > self._most:
                self._left.popitem(last=False)
        return 0 if allowed else math.ceil((1 - left) / self._rate)


def visitor_of(address: str) -> str:
    """Whom an address belongs to: an IPv4 address, the first half of an IPv6 one, or any text."""
    try:
        known = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if isinstance(known, ipaddress.IPv6Address):
        if known.ipv4_mapped:
            return str(known.ipv4_mapped)
        return str(ipaddress.ip_network((int(known) >> 64 << 64, 64)))
    return str(known)
