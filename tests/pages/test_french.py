"""Every page in every language: whole, linked to the others, and with no word of English left."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser

import pytest
from babel.messages.pofile import read_po

from editions.pages import site, tongues
from editions.pages.addresses import HTML, Address
from editions.pages.tongues import Tongue, english
from editions.pages.view import room
from tests.pages.builders import Gallery
from tests.pages.messages import LANGUAGES, messages

BASE = "https://book.harrow-lane.example"
LINK = re.compile(r'<link rel="alternate" hreflang="([^"]+)" href="([^"]+)">')
# What is the same in every language: somebody's own words, codes, digits, addresses, file names.
SAME = re.compile(
    r"https://\S+|\S+\.(?:json|txt|tlog-proof)\b|[A-Z]-\d+|SHA-256|\bbronzebook\b.*|\{\w+\}"
    r"|Harrow Lane Bronze|Heron, settling|Large heron|Ilse Varga"
    r"|\b(?:AP|HC|PDF|mm|cm|kg|lb|po|Cu|Sn|Pb|Zn|Fe|Mn|Si)\b"
    r"|\b[0-9A-Z]{4} [0-9A-Z]{4} [0-9A-Z]{3}\b|\b[0-9-]+T[0-9:]+Z"
    r"|\b(?:janvier|février|mars|avril|mai|juin|juillet|août|septembre|octobre|novembre|décembre)\b"
)


class Words(HTMLParser):
    """The words that a reader meets, but those that somebody wrote and those of other languages."""

    def __init__(self, page: str, language: str) -> None:
        super().__init__()
        self._language, self._open = language, list[tuple[str, str]]()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self.found += [one for name in ("alt", "aria-label") if (one := values.get(name))]
        if tag not in ("meta", "link", "input", "img", "br"):
            other = values.get("lang") not in (None, self._language)
            self._open.append((tag, "other" if other else values.get("class") or ""))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        apart = {"bdi", "code", "style", "script", "cite", "other", "no"}
        if data.strip() and not any(apart & set(one) for one in self._open):
            self.found.append(" ".join(data.split()))


def pages(shown: Gallery, root: str) -> Iterator[tuple[str, str]]:
    """Every page of a language, by its address."""
    with room(shown.shop.registry) as here:
        for address in site.ADDRESSES:
            if address.media == HTML and address.root == root:
                for member in address.members(here):
                    yield address.of(member), address.make(here, member).decode()


@pytest.fixture(scope="module")
def french() -> Tongue:
    return next(one for one in tongues.tongues() if one.code == "fr")


@pytest.fixture(scope="module")
def in_english(shown: Gallery) -> dict[str, str]:
    return dict(pages(shown, ""))


@pytest.fixture(scope="module")
def in_french(shown: Gallery) -> dict[str, str]:
    return dict(pages(shown, "/fr"))


def linked(pages: dict[str, str]) -> dict[str, str]:
    """The pages that others may be linked to: all but those for no address of their own."""
    unlinked = ("404.html", "/C/", "/photo/")
    return {path: page for path, page in pages.items() if not path.endswith(unlinked)}


def test_each_page_exists_in_each_language_under_its_own_address(
    in_english: dict[str, str], in_french: dict[str, str]
) -> None:
    assert {f"/fr{path}" for path in in_english} == set(in_french)
    assert all('<html lang="en">' in page for page in in_english.values())
    assert all('<html lang="fr">' in page for page in in_french.values())


def test_each_page_names_itself_in_every_language_and_which_is_for_all_others(
    in_english: dict[str, str], in_french: dict[str, str]
) -> None:
    """HTML, 4.6.7.1, and the same set on each side: a page that is named must name back."""
    for path, page in linked(in_english).items():
        wanted = {"en": BASE + path, "fr": f"{BASE}/fr{path}", "x-default": BASE + path}
        assert dict(LINK.findall(page)) == wanted
        assert dict(LINK.findall(in_french[f"/fr{path}"])) == wanted


def test_each_page_has_a_plain_link_to_itself_in_the_other_language(
    in_english: dict[str, str], in_french: dict[str, str]
) -> None:
    for path, page in in_english.items():
        # The folder of photographs is told of as that of the records.
        to = "/C/" if path == "/photo/" else path
        assert f'<a href="/fr{to}" hreflang="fr" lang="fr">Français</a>' in page
        there = in_french[f"/fr{path}"]
        assert f'<a href="{to}" hreflang="en" lang="en">English</a>' in there


def test_pages_without_an_address_of_their_own_name_none_to_machines(
    in_english: dict[str, str], in_french: dict[str, str]
) -> None:
    for path in ("/404.html", "/C/", "/photo/"):
        assert LINK.findall(in_english[path]) == LINK.findall(in_french[f"/fr{path}"]) == []


def test_links_of_a_french_page_stay_in_french(in_french: dict[str, str]) -> None:
    files = (
        "/photo/",
        "/C/",
        "/keys.txt",
        "/rotations.txt",
        "/revocations.txt",
        "/checkpoint",
        "/status",
        "/icon.svg",
    )
    for path, page in in_french.items():
        plain = re.sub(r'<a[^>]* hreflang="en"[^>]*>', "", page)
        for to in re.findall(r'<a href="(/[^"]*)"', plain):
            assert to.startswith(("/fr/", *files)), (path, to)


def test_what_machines_are_told_is_of_the_page_in_its_language(
    in_english: dict[str, str], in_french: dict[str, str]
) -> None:
    for path, page in in_french.items():
        if 'property="og:locale"' in page:
            assert '<meta property="og:locale" content="fr_FR">' in page
            assert '<meta property="og:locale:alternate" content="en_GB">' in page
        if "application/ld+json" in page:
            assert re.search('"inLanguage": ?"fr"', page)
        if "og:url" in page:
            assert f'<link rel="canonical" href="{BASE}{path}">' in page
    assert '<meta property="og:locale" content="en_GB">' in in_english["/"]


def test_records_stay_out_of_indexes_in_french_too(in_french: dict[str, str]) -> None:
    for path, page in in_french.items():
        assert ("noindex" in page) == path.startswith(("/fr/C/", "/fr/photo/", "/fr/404"))


def test_a_french_record_is_as_light_as_an_english_one(in_french: dict[str, str]) -> None:
    assert max(len(page.encode()) for page in in_french.values()) < 60_000


def test_no_english_sentence_of_the_catalogue_stands_on_a_french_page(
    in_french: dict[str, str],
) -> None:
    """Each message of three words and more that the French says otherwise; lists what is left."""
    with (LANGUAGES / "fr.po").open("rb") as file:
        told = [one for one in read_po(file, locale="fr") if one.id]
    forms = [(_last(one.id), _last(one.string)) for one in told]
    wanted = [re.compile(_pattern(text)) for text, said in forms if _long(text) and said != text]
    assert len(wanted) > 200
    left = {
        (path, one.pattern)
        for path, page in in_french.items()
        for text in (" ".join(Words(page, "fr").found),)
        for one in wanted
        if one.search(text)
    }
    assert left == set()


def _last(forms: object) -> str:
    """A message, or its form for many."""
    return forms if isinstance(forms, str) else str(list(forms)[-1])  # type: ignore[call-overload]


def _long(text: str) -> bool:
    bare = re.sub(r"%\(\w+\)s|\{\w+\}|<[^>]*>", " ", text)
    return len(re.findall(r"[A-Za-z’]{2,}", bare)) >= 3


def _pattern(text: str) -> str:
    """The longest stretch of a message between its values and tags."""
    parts = re.split(r"%\(\w+\)s|\{\w+\}|<[^>]*>", unescape(text))
    return re.escape(max(parts, key=len).strip())


def test_the_scripts_of_a_french_page_speak_french(in_french: dict[str, str]) -> None:
    page = next(
        page for path, page in in_french.items() if path.startswith("/fr/C/") and "carried" in page
    )
    assert "Signature of the foundry" not in page
    assert "The code is damaged" not in page


def wide(text: str) -> str:
    """A message in full-width letters, its values and tags as they are."""
    parts = re.split(r"(%\(\w+\)s|\{\w*\}|<[^>]*>|&\w+;)", text)
    return "".join(part if at % 2 else _wide(part) for at, part in enumerate(parts))


def _wide(text: str) -> str:
    return "".join(chr(ord(c) + 0xFEE0) if c.isascii() and c.isalpha() else c for c in text)


@pytest.fixture
def marked(monkeypatch: pytest.MonkeyPatch) -> Iterator[Tongue]:
    """A language in which every message is marked by its letters; dates are the French ones."""
    from editions.pages import render

    words = {(one.context, one.english[0]): tuple(map(wide, one.english)) for one in messages()}
    tongue = Tongue("fr", words)
    monkeypatch.setattr(tongues, "tongues", lambda: (english(), tongue))
    for room_ in (render, site):
        monkeypatch.setattr(room_, "tongues", lambda: (english(), tongue))
    yield tongue
    render._environment.cache_clear()


def test_whatever_a_page_says_of_itself_is_a_message(shown: Gallery, marked: Tongue) -> None:
    """A language that marks its messages shows what none is: it would stay English for ever."""
    left = set()
    with room(shown.shop.registry) as here:
        for address in _of(marked):
            for member in address.members(here):
                page = address.make(here, member).decode()
                plain = (SAME.sub("", text) for text in Words(page, "fr").found)
                left |= {(address.path, one) for one in plain if re.search("[A-Za-z]{2}", one)}
    assert left == set()


def _of(tongue: Tongue) -> list[Address]:
    return [one for one in site.addresses() if one.media == HTML and one.root == tongue.path]
