"""What a browser may do with a page: nothing but its own style and the pictures of this site.

The policy goes out as a header where there is a server, and stands in the page itself for hosts
that send none; only ``frame-ancestors`` cannot be said there.
"""

from __future__ import annotations

import base64
import hashlib


def in_page(style: str) -> str:
    """The policy that a page carries: its one style by its hash, and pictures of this site."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src 'self'; "
        "base-uri 'none'; form-action 'none'"
    )


def headers(style: str) -> dict[str, str]:
    """The headers that a server sends with every answer."""
    return {
        "Content-Security-Policy": f"{in_page(style)}; frame-ancestors 'none'",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cross-Origin-Opener-Policy": "same-origin",
    }
