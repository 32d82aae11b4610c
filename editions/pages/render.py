r"""From views to bytes: the one render that is published and served.

>>> _sent("/* Why. */\na {\n  b: c;\n}\n")
'a {\nb: c;\n}\n'
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib import resources
from typing import Any

import msgspec
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from certificates.wording import AUTHORITY
from editions.pages import policy
from editions.pages.values import RecordView
from editions.pages.view import room
from editions.pages.words import FILTERS
from editions.registry import Registry
from editions.trade.book import Book

# A comment that ends in mid-line is left: what stands after it is no comment.
_COMMENT = re.compile(r"^\s*/\*(?:(?!\*/).)*\*/$", re.MULTILINE | re.DOTALL)
_INDENTED = re.compile(r"^\s+", re.MULTILINE)


@lru_cache(maxsize=1)
def style() -> str:
    """The one style sheet, as it stands in every page."""
    return _sent(resources.files("editions.pages").joinpath("static/page.css").read_text("utf-8"))


@lru_cache(maxsize=1)
def script() -> str:
    """The one script: it checks a record on its reader's machine."""
    return _sent(resources.files("editions.pages").joinpath("static/check.js").read_text("utf-8"))


def _sent(text: str) -> str:
    """A file as pages carry it: without its comments, which begin a line, and its indentation."""
    return _INDENTED.sub("", _COMMENT.sub("", text))


@lru_cache(maxsize=1)
def icon() -> bytes:
    """The mark of the site: a book with a turned page."""
    return resources.files("editions.pages").joinpath("static/icon.svg").read_bytes()


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("editions.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(FILTERS)
    environment.globals.update(
        style=Markup(style()),  # noqa: S704 - our own file, which the policy names by its hash
        script=Markup(script()),  # noqa: S704 - likewise
        policy=policy.in_page(style(), script()),
        authority=AUTHORITY,
    )
    return environment


def record_page(view: RecordView) -> bytes:
    """The page of one record."""
    return _page(
        "record.html",
        record=view,
        foundry=view.foundry,
        carried=msgspec.to_builtins(view.carried),
    )


def foundry_page(book: Book, certifying_key: str, log_key: str) -> bytes:
    """The first page of the site: whose it is, and how a number is looked up."""
    return _page(
        "foundry.html",
        book=book,
        foundry=book.foundry_name,
        certifying_key=certifying_key,
        log_key=log_key,
    )


def missing_page(foundry: str) -> bytes:
    """The page for an address that holds no record; it tells nothing of any other."""
    return _page("missing.html", foundry=foundry)


def number_wanted_page(foundry: str) -> bytes:
    """The page for an address that lacks its number."""
    return _page("number_wanted.html", foundry=foundry)


def damaged_page(foundry: str) -> bytes:
    """The page for a record that cannot be read at all: the book was damaged or changed."""
    return _page("damaged.html", foundry=foundry)


def unavailable_page(foundry: str) -> bytes:
    """The page for a moment in which the book does not answer."""
    return _page("unavailable.html", foundry=foundry)


def render_record(registry: Registry, number: str, *, published: str | None = None) -> bytes:
    """The page of a certificate's record, as the book stands now.

    Args:
        registry: The registry.
        number: The certificate's number, in its kept form.
        published: The day of publishing, EDTF; the registry's today when absent.

    Raises:
        NotKnown: If the book holds no certificate of this number.
        Unreadable: If it is no number.
    """
    with room(registry, published) as here:
        return record_page(here.view(here.certificate(number)))


def _page(template: str, **values: Any) -> bytes:
    return _environment().get_template(template).render(**values).encode()
