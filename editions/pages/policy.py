"""What a browser may do with a page: its own style, its own check, and files of this site.

The policy goes out as a header where there is a server, and stands in the page itself for hosts
that send none; only ``frame-ancestors`` cannot be said there.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable


def in_page(styles: Iterable[str], scripts: Iterable[str]) -> str:
    """The policy that a page carries: its styles and scripts by their hashes, and this site.

    What the page carries for its script is data (``application/json``), which never runs.
    """
    return (
        f"default-src 'none'; style-src {_named(styles)}; script-src {_named(scripts)}; "
        "img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
        "require-trusted-types-for 'script'"
    )


def _named(texts: Iterable[str]) -> str:
    return " ".join(f"'sha256-{_digest(text)}'" for text in texts) or "'none'"


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def headers(styles: Iterable[str], scripts: Iterable[str]) -> dict[str, str]:
    """The headers that a server sends with every answer: any of the site's scripts may be in it."""
    return {
        "Content-Security-Policy": f"{in_page(styles, scripts)}; frame-ancestors 'none'",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cross-Origin-Opener-Policy": "same-origin",
    }
