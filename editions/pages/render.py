"""From views to bytes: the one render that is published and served."""

from __future__ import annotations

import base64
from collections.abc import Callable
from functools import lru_cache
from importlib import resources
from typing import Any

import msgspec
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from certificates.wording import AUTHORITY
from editions.pages import policy, sending, structured
from editions.pages.tongues import Tongue, english, others, tongues
from editions.pages.values import Carried, RecordView
from editions.pages.view import room
from editions.pages.words import filters
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


@lru_cache(maxsize=32)
def script(tongue: Tongue) -> str:
    """The script that checks a record on its reader's machine, in a language."""
    return sending.script("\n".join(map(_static, RECORD_SCRIPTS)), tongue.gettext)


@lru_cache(maxsize=32)
def look_script(tongue: Tongue) -> str:
    """The script of the page where things are looked up, in a language."""
    return sending.script(_static("look.js"), tongue.gettext)


@lru_cache(maxsize=1)
def offer_script() -> str:
    """The script that offers a page in the language its reader prefers; it has no words."""
    return sending.script(_static("offer.js"))


def styles() -> tuple[str, str]:
    """The styles of the site: of every page, and of those beside the records."""
    return (style(), beside())


def scripts() -> tuple[str, ...]:
    """The scripts of the site: the offer, and by language that of a record and of the look-up."""
    spoken = (made(tongue) for tongue in tongues() for made in (script, look_script))
    return (offer_script(), *spoken)


def _static(name: str) -> str:
    return resources.files("editions.pages").joinpath("static", name).read_text("utf-8")


@lru_cache(maxsize=1)
def icon() -> bytes:
    """The mark of the site: a book with a turned page."""
    return resources.files("editions.pages").joinpath("static/icon.svg").read_bytes()


class _Templates(PackageLoader):
    """The templates, without the end tags that HTML lets be left out: a record is kept light."""

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool] | None]:
        source, name, uptodate = super().get_source(environment, template)
        return sending.template(source), name, uptodate


@lru_cache(maxsize=32)
def _environment(tongue: Tongue) -> Environment:
    environment = Environment(
        loader=_Templates("editions.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        auto_reload=False,
        extensions=["jinja2.ext.i18n"],
    )
    environment.policies["ext.i18n.trimmed"] = True
    # Other scripts than ours stand as they are: escaped they would weigh three times as much.
    environment.policies["json.dumps_kwargs"] = {"ensure_ascii": False, "separators": (",", ":")}
    environment.install_gettext_callables(  # type: ignore[attr-defined]
        tongue.gettext,
        tongue.ngettext,
        newstyle=True,
        pgettext=tongue.pgettext,
        npgettext=tongue.npgettext,
    )
    environment.filters.update(filters(tongue))
    environment.globals.update(
        style=Markup(style()),  # noqa: S704 - our own file, which the policy names by its hash
        script=Markup(script(tongue)),  # noqa: S704 - likewise
        look_script=Markup(look_script(tongue)),  # noqa: S704 - likewise
        offer_script=Markup(offer_script()),  # noqa: S704 - likewise
        beside=Markup(beside()),  # noqa: S704 - likewise
        policy=_policy((style(),), script(tongue)),
        authority=tongue.gettext(AUTHORITY),
        structured=None,
        preview=None,
        tongue=tongue,
        others=others(tongue),
        all_tongues=tongues(),
        root=tongue.path,
        here=None,
        site="",
    )
    return environment


def _policy(styles: tuple[str, ...], *scripts: str) -> str:
    """The policy of a page: the offer goes with every page of a site of more than one language."""
    offering = (offer_script(),) if len(tongues()) > 1 else ()
    return policy.in_page(styles, (*scripts, *offering))


def record_page(view: RecordView, tongue: Tongue) -> bytes:
    """The page of one record."""
    told, preview = structured.of_record(view)
    return page(
        "record.html",
        tongue,
        record=view,
        foundry=view.foundry,
        carried=readable(view.carried) if view.carried else None,
        structured=told,
        preview=preview,
        here=f"/C/{view.number}",
        site=view.address.partition("/C/")[0],
    )


def readable(carried: Carried) -> dict[str, Any]:
    """What a page carries, its entry as the text it is; one that is no text stays in base64."""
    raw = base64.b64decode(carried.entry)
    try:
        text = raw.decode()
    except UnicodeDecodeError:
        return dict(msgspec.to_builtins(carried))
    # Base64 has no brace: the reader's machine tells the two apart by it.
    return {**msgspec.to_builtins(carried), "entry": text if text[:1] == "{" else carried.entry}


def foundry_page(book: Book, certifying_key: str, log_key: str, tongue: Tongue) -> bytes:
    """The first page of the site: whose it is, and how a number is looked up."""
    return page_beside(
        "foundry.html",
        tongue,
        book=book,
        foundry=book.foundry_name,
        certifying_key=certifying_key,
        log_key=log_key,
        preview=structured.preview(book, book.foundry_name, f"{tongue.path}/"),
        here="/",
        site=book.address,
    )


def missing_page(foundry: str, tongue: Tongue) -> bytes:
    """The page for an address that holds no record; it tells nothing of any other."""
    return page_beside("missing.html", tongue, foundry=foundry, here="/404.html")


def number_wanted_page(foundry: str, tongue: Tongue) -> bytes:
    """The page for an address that lacks its number."""
    return page_beside("number_wanted.html", tongue, foundry=foundry, here="/C/")


def damaged_page(foundry: str, tongue: Tongue, number: str = "") -> bytes:
    """The page for a record that cannot be read at all: the book was damaged or changed."""
    here = f"/C/{number}" if number else None
    return page_beside("damaged.html", tongue, foundry=foundry, here=here)


def unavailable_page(foundry: str, tongue: Tongue) -> bytes:
    """The page for a moment in which the book does not answer."""
    return page_beside("unavailable.html", tongue, foundry=foundry, here="/")


def render_record(
    registry: Registry, number: str, *, published: str | None = None, tongue: Tongue | None = None
) -> bytes:
    """The page of a certificate's record, as the book stands now.

    Args:
        registry: The registry.
        number: The certificate's number, in its kept form.
        published: The day of publishing, EDTF; the registry's today when absent.
        tongue: The language; English when absent.

    Raises:
        NotKnown: If the book holds no certificate of this number.
        Unreadable: If it is no number.
    """
    with room(registry, published) as here:
        return record_page(here.view(here.certificate(number)), tongue or english())


def page_beside(template: str, tongue: Tongue, script: str = "", **values: Any) -> bytes:
    """A page beside the records: with the style of those, and no script but the one it is given."""
    told = _policy(styles(), *((script,) if script else ()))
    return page(template, tongue, policy=told, **values)


def page(template: str, tongue: Tongue, **values: Any) -> bytes:
    """A page from its template in a language; what the templates share is there already.

    ``here`` is its address in English, where it is there in other languages; with ``site``, the
    address of the whole, machines are told where those are.
    """
    if told := values.get("structured"):
        values["structured"] = structured.on_page(told, tongue.tag)
    return _environment(tongue).get_template(template).render(**values).encode()
