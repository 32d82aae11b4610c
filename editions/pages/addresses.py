"""An address of the site as data: what lies there, and how long a visitor may keep it.

The table of :mod:`editions.pages.site` is made of these.  ``publish`` walks every member of every
address and writes a file for each; ``serve`` finds the address that a request is for.  Neither
knows what a page holds.

An address does not declare which subjects its pages draw on: what a page reads while it is made is
watched (:mod:`editions.pages.watching`), so no declaration can be forgotten or go stale::

    Address("/work/{}/", lambda room, code: ..., members=lambda room: ["K-0001"], read=upper)

====================  ==========================================================================
``/``, ``/work/{}/``  a page: ends in a slash, published as ``index.html`` of that folder
``/C/{}``             a page asked for without a slash; published as ``C/NUMBER/index.html``
``/keys.txt``         a file
====================  ==========================================================================
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

import msgspec

from editions.pages.view import Room

HTML = "text/html; charset=utf-8"
TEXT = "text/plain; charset=utf-8"
JSON = "application/json"

PAGE = "index.html"
MEMBER = "{}"

Make = Callable[[Room, str], bytes]
"""Makes the bytes for a member of an address ("" where nothing varies); raises NotKnown."""

Keep = Literal["asked", "dated", "fixed"]
"""How long an answer holds.

``asked``: as long as what it draws on; a visitor keeps it, and asks each time whether it is so.
``dated``: it says when it was made, so it is made anew whenever the site is published.
``fixed``: under this address nothing else can ever lie, so it is never made twice.
"""


def _alone(_: Room) -> Iterable[str]:
    return ("",)


def _as_typed(member: str) -> str:
    return member


class Address(msgspec.Struct, frozen=True):
    """One address, or a family of them that differ in one member.

    ``members`` gives those to publish; ``read`` turns a member as somebody typed it into its kept
    form, or raises ``Unreadable``; ``status`` is what a server answers with, ``looks_up`` whether
    asking may be somebody trying numbers; a file to be published ``once`` is never written over.
    ``root`` is what stands before an address of a language, ``/fr``.
    """

    path: str
    make: Make
    members: Callable[[Room], Iterable[str]] = _alone
    read: Callable[[str], str] = _as_typed
    media: str = HTML
    keep: Keep = "asked"
    status: int = 200
    looks_up: bool = False
    once: bool = False
    root: str = ""

    @property
    def varies(self) -> bool:
        """Whether it stands for many addresses."""
        return MEMBER in self.path

    @property
    def family(self) -> str:
        """What it has in common with the addresses below the same members, in all languages."""
        path = self.path.removeprefix(self.root)
        return path.partition(MEMBER)[0] + MEMBER if self.varies else path

    @property
    def is_page(self) -> bool:
        """Whether it is a page, which lies in a folder of its own."""
        return self.media == HTML and not self.path.endswith(".html")

    def of(self, member: str) -> str:
        """The address of a member, from the root of the site."""
        return self.path.replace(MEMBER, member)

    def file(self, member: str) -> str:
        """The file that is published for a member, from the folder of the site."""
        path = self.of(member).removeprefix("/")
        if not self.is_page:
            return path
        return f"{path.removesuffix('/')}/{PAGE}".removeprefix("/")
