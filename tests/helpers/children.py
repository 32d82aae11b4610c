"""The command line as a process of its own.

A shell starts what runs in its background with SIGINT ignored, and a child inherits that: whoever
would interrupt such a child waits for ever.  So the child first puts the signal back as it is in a
terminal::

    server = subprocess.Popen([*INTERRUPTIBLE, "serve", "--port", "0"])
    server.send_signal(signal.SIGINT)
"""

from __future__ import annotations

import sys

_MAIN = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from editions.cli import main
main()
"""
INTERRUPTIBLE = (sys.executable, "-c", _MAIN)
"""The words before those of a command; SIGINT stops it however the tests were started."""
