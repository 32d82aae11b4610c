"""Every message of the public pages, and the tool that renews the catalogues with them.

    python -m tests.pages.messages          renew every catalogue; what is translated stays
    python -m tests.pages.messages it       begin one for Italian

Messages stand in the templates, in Python, in the scripts, and in the closed vocabularies of the
book: words that Python keeps for other uses too, and that a page says in its own language.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple, get_args

from babel import Locale
from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po

import editions
from certificates import checks, signatures, wording
from editions.pages import dating, keeping, sending
from editions.registry import proving
from editions.rules import routes
from editions.rules.alloys import alloy_names, load_alloy
from editions.trade import casting, certificates, molds, parties, runs, works

HOUSE = Path(editions.__file__).parent.parent
PAGES = HOUSE / "editions" / "pages"
LANGUAGES = PAGES / "languages"
_PYTHON = ("editions", "certificates")
_KEYWORDS = {
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "said": None,
    "marked": None,
}
# The sentence of a check that reaches a page, where it holds no value.
_SAID = {"agrees": (2,), "contradicts": (2,), "unchecked": (2,)}
_CHECKED = ("editions/pages", "editions/registry")
_OPTIONS = {"trimmed": "true", "silent": "false", "newstyle_gettext": "true"}
_TEMPLATE_WORDS = {**_KEYWORDS, "_": None}


class Found(NamedTuple):
    """A message: its context, its English forms, and the file that it stands in."""

    context: str | None
    english: tuple[str, ...]
    where: str


def messages() -> Iterator[Found]:
    """Every message, in the order of the files."""
    for path in sorted(PAGES.joinpath("templates").rglob("*.html")):
        yield from _extracted("jinja2", path, _TEMPLATE_WORDS, _OPTIONS)
    for room in _PYTHON:
        for path in sorted(HOUSE.joinpath(room).rglob("*.py")):
            said = _SAID if _named(path).startswith(_CHECKED) else {}
            yield from _extracted("python", path, {**_KEYWORDS, **said}, {})
    for path in sorted(PAGES.joinpath("static").glob("*.js")):
        for _, text in sending.messages(path.read_text("utf-8")):
            yield Found(None, (text,), _named(path))
    yield Found(dating.FIRST, (dating.FIRST_DAY,), "editions/pages/dating.py")
    for text in vocabulary():
        yield Found(None, (text,), "the book’s vocabulary")


def _extracted(
    method: str, path: Path, words: Mapping[str, object], options: dict[str, str]
) -> Iterator[Found]:
    source = io.BytesIO(path.read_bytes())
    for _, found, _, context in extract(method, source, words, options=options):  # type: ignore[arg-type]
        english = (found,) if isinstance(found, str) else tuple(found)
        if all(english):
            yield Found(context, english, _named(path))


def _named(path: Path) -> str:
    return path.relative_to(HOUSE).as_posix()


def vocabulary() -> Iterator[str]:
    """Words of closed lists, as the book keeps them and a page says them."""
    yield wording.AUTHORITY
    yield wording.POSTHUMOUS
    yield "as found on the metal"
    yield from _PAPERS
    for closed in _CLOSED:
        yield from (word for word in get_args(closed) if word not in _UNTOLD)
    yield from routes.STEP_TITLES.values()
    for name in routes.route_names():
        by = routes.route(name)
        yield by.title
        yield from by.words.values()
    for name in alloy_names():
        yield load_alloy(name).title.partition(",")[0]
    yield from _CHECKS
    yield from _FACTS


_CLOSED = (
    casting.ApprovalHow, molds.Grade, runs.Closing, parties.Capacity, parties.Ended, checks.Result,
    certificates.Withdrawal,
)  # fmt: skip
# What the book knows and no page tells: who would not sign is between foundry and signer.
_UNTOLD = frozenset({"signature refused"})
_CHECKS = (
    checks.ENTRY, checks.INCLUSION, checks.CHECKPOINT, checks.PAPER, checks.GROWTH,
    checks.KEY_THEN,
    proving.RECORD, keeping.FILE, keeping.PHOTOGRAPH, keeping.KEYS, signatures.ENOUGH,
)  # fmt: skip
_PAPERS = (
    "Certificate of casting", "Reservation of a number", "Certificate from the object",
    "Unique cast", "Number in the edition: not recorded", "Number in the edition: unknown",
    "not recorded", "unknown",
)  # fmt: skip
_FACTS = (
    "marks", "measurements", "mass", "colour", "number", "cast", "title", "name", "life dates",
    "foundry", "alloy", "pour", "analysis", "marks in the metal", "material", "generation",
    # What molds are made of and heats are analysed by, where a foundry says it as others do.
    "silicone", "tin-cure silicone", "platinum-cure silicone", "polyurethane", "plaster",
    "optical emission spectrometry", "spark OES", "X-ray fluorescence", "XRF",
    "height", "width", "depth", "length", "diameter", "height of the base",
    "not inspected", "max", "min", "balance", "up",
    *(f"the {stage} model" for stage in get_args(works.Stage)),
)  # fmt: skip


def template() -> Catalog:
    """All messages without a translation, each once, with the files it stands in."""
    made = Catalog(project="bronzebook", charset="utf-8", fuzzy=False)
    for one in messages():
        key = one.english[0] if len(one.english) == 1 else one.english
        made.add(key, context=one.context, locations=[(one.where, 0)])
    return made


def renewed(path: Path) -> Catalog:
    """A catalogue with every message of today; what is translated stays, what is gone goes."""
    code = path.name.removesuffix(".po")
    if path.is_file():
        with path.open("rb") as file:
            catalogue = read_po(file, locale=Locale.parse(code))
    else:
        catalogue = Catalog(locale=Locale.parse(code), charset="utf-8")
    catalogue.update(template(), no_fuzzy_matching=True)
    catalogue.obsolete.clear()
    catalogue.fuzzy = False
    return catalogue


def write(path: Path) -> None:
    """Renew a catalogue in its place."""
    catalogue = renewed(path)
    held = io.BytesIO()
    write_po(held, catalogue, omit_header=False, ignore_obsolete=True, width=100)
    text = held.getvalue().decode()
    # Dates and names of tools would change with every run.
    kept = [line for line in text.splitlines() if not line.startswith(_IDLE)]
    path.write_text("\n".join(kept).rstrip() + "\n", "utf-8")


_IDLE = (
    '"POT-Creation-Date', '"PO-Revision-Date', '"Last-Translator', '"Language-Team',
    '"Generated-By', '"Report-Msgid', '"MIME-Version', '"Project-Id-Version', "# ",
)  # fmt: skip


if __name__ == "__main__":
    named = [LANGUAGES / f"{code}.po" for code in sys.argv[1:]]
    for each in named or sorted(LANGUAGES.glob("*.po")):
        write(each)
