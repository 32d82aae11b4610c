"""What a browser may do with a page: its own style, its own check, and files of this site.

The policy goes out as a header where there is a server, and stands in the page itself for hosts
that send none; only ``frame-ancestors`` cannot be said there.
"""

from __future__ import annotations

import base64
import hashlib


def in_page(style: str, *scripts: str) -> str:
    """The policy that a page carries: its style and scripts by their hashes, and this site.

    What the page carries for its script is data (``application/json``), which never runs.
    """
    named = " ".join(map(_named, scripts))
    return (
        f"default-src 'none'; style-src {_named(style)}; script-src {named}; "
        "img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
        "require-trusted-types-for 'script'"
    )


def _named(text: str) -> str:
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    return f"'sha256-{digest}'"


def headers(style: str, *scripts: str) -> dict[str, str]:
    """The headers that a server sends with every answer: any of the site's scripts may be in it."""
    return {
        "Content-Security-Policy": f"{in_page(style, *scripts)}; frame-ancestors 'none'",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cross-Origin-Opener-Policy": "same-origin",
    }
