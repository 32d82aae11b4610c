"""The public record: pages that answer a certificate's address, published as files or served.

``publish.publish`` writes a site for any host, ``serve.serve`` answers on this machine; both give
the bytes of one render, and ``render_record`` gives those of a single page.  Nothing is loaded
before it is asked for.  Only open facts are read; a held fact never reaches a page.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from editions.pages.publish import Published
    from editions.pages.render import render_record
    from editions.pages.serve import create_app
    from editions.pages.view import record_view

__all__ = ["Published", "create_app", "record_view", "render_record"]

# Not `publish` and `serve` themselves: a package cannot have a module and a function of one name.
_ROOMS = {
    "Published": "publish",
    "render_record": "render",
    "create_app": "serve",
    "record_view": "view",
}


def __getattr__(name: str) -> Any:
    if name not in _ROOMS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_ROOMS[name]}"), name)
