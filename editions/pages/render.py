"""From views to bytes: the one render that is published and served."""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from typing import Any

import msgspec
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from certificates.wording import AUTHORITY
from editions.pages import policy, sending, structured
from editions.pages.values import RecordView
from editions.pages.view import room
from editions.pages.words import FILTERS
from editions.registry import Registry
from editions.trade.book import Book

# One script of three: what reads and verifies, the steps, and what shows and keeps them.
RECORD_SCRIPTS = ("reading.js", "check.js", "keeping.js")


@lru_cache(maxsize=1)
def style() -> str:
    """The style sheet that stands in every page."""
    return sending.style(_static("page.css"))


@lru_cache(maxsize=1)
def beside() -> str:
    """What the pages beside the records add to it: a record is kept light."""
    return sending.style(_static("beside.css"))


@lru_cache(maxsize=1)
def script() -> str:
    """The script that checks a record on its reader's machine."""
    return sending.script("\n".join(map(_static, RECORD_SCRIPTS)))


@lru_cache(maxsize=1)
def look_script() -> str:
    """The script of the page where things are looked up."""
    return sending.script(_static("look.js"))


def styles() -> tuple[str, str]:
    """The styles of the site: of every page, and of those beside the records."""
    return (style(), beside())


def scripts() -> tuple[str, str]:
    """The scripts of the site: of a record, and of the look-up."""
    return (script(), look_script())


def _static(name: str) -> str:
    return resources.files("editions.pages").joinpath("static", name).read_text("utf-8")


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
        auto_reload=False,
    )
    environment.filters.update(FILTERS)
    environment.globals.update(
        style=Markup(style()),  # noqa: S704 - our own file, which the policy names by its hash
        script=Markup(script()),  # noqa: S704 - likewise
        look_script=Markup(look_script()),  # noqa: S704 - likewise
        beside=Markup(beside()),  # noqa: S704 - likewise
        policy=policy.in_page((style(),), (script(),)),
        authority=AUTHORITY,
        structured=None,
        preview=None,
    )
    return environment


def record_page(view: RecordView) -> bytes:
    """The page of one record."""
    told, preview = structured.of_record(view)
    return page(
        "record.html",
        record=view,
        foundry=view.foundry,
        carried=msgspec.to_builtins(view.carried),
        structured=told,
        preview=preview,
    )


def foundry_page(book: Book, certifying_key: str, log_key: str) -> bytes:
    """The first page of the site: whose it is, and how a number is looked up."""
    return page(
        "foundry.html",
        book=book,
        foundry=book.foundry_name,
        certifying_key=certifying_key,
        log_key=log_key,
        preview=structured.preview(book, book.foundry_name, "/"),
    )


def missing_page(foundry: str) -> bytes:
    """The page for an address that holds no record; it tells nothing of any other."""
    return page("missing.html", foundry=foundry)


def number_wanted_page(foundry: str) -> bytes:
    """The page for an address that lacks its number."""
    return page("number_wanted.html", foundry=foundry)


def damaged_page(foundry: str) -> bytes:
    """The page for a record that cannot be read at all: the book was damaged or changed."""
    return page("damaged.html", foundry=foundry)


def unavailable_page(foundry: str) -> bytes:
    """The page for a moment in which the book does not answer."""
    return page("unavailable.html", foundry=foundry)


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


def page_beside(template: str, script: str = "", **values: Any) -> bytes:
    """A page beside the records: with the style of those, and no script but the one it is given."""
    told = policy.in_page(styles(), (script,) if script else ())
    return page(template, policy=told, **values)


def page(template: str, **values: Any) -> bytes:
    """A page from its template; what the templates share is there already."""
    return _environment().get_template(template).render(**values).encode()
