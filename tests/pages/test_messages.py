"""The catalogues: each has every message of the pages, whole, and nothing else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from editions.pages import tongues
from tests.pages.messages import LANGUAGES, messages, renewed, template, write

CATALOGUES = sorted(LANGUAGES.glob("*.po"), key=str)


def read(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=path.stem)


def keys(catalogue: Catalog) -> set[tuple[str | None, object]]:
    return {(one.context, one.id) for one in catalogue if one.id}


def told(message: Message) -> str:
    return f"{message.id!r} -> {message.string!r}"


@pytest.fixture(scope="module")
def every() -> Catalog:
    return template()


def test_there_is_a_french_catalogue() -> None:
    assert [path.stem for path in CATALOGUES] == ["fr"]


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_catalogue_has_every_message_and_no_other(path: Path, every: Catalog) -> None:
    """If this fails: ``python -m tests.pages.messages``, then translate what it added."""
    assert keys(read(path)) == keys(every)
    assert not read(path).obsolete


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_every_message_is_translated_and_none_in_doubt(path: Path) -> None:
    found = [one for one in read(path) if one.id]
    assert [one.id for one in found if one.fuzzy or not tongues.holds(one)] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_translation_keeps_the_tags_and_the_links_of_its_message(path: Path) -> None:
    found = [one for one in read(path) if one.id]
    assert [told(one) for one in found if _tags(one.string) != _tags(one.id)] == []


def _tags(text: object) -> list[str]:
    last = text if isinstance(text, str) else list(text)[-1]  # type: ignore[call-overload]
    return sorted(re.findall(r"</?[a-z]+[^>]*>", last))


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_renewing_twice_changes_no_byte_and_no_translation(path: Path, tmp_path: Path) -> None:
    again = tmp_path / path.name
    again.write_bytes(path.read_bytes())
    write(again)
    once = again.read_text("utf-8")
    write(again)
    assert again.read_text("utf-8") == once
    before, after = ({one.id: one.string for one in read(one)} for one in (path, again))
    assert all(after[key] == before[key] for key in after if key in before and key)


def test_renewing_keeps_what_is_translated_adds_what_is_new_and_drops_what_is_gone(
    tmp_path: Path,
) -> None:
    old = tmp_path / "it.po"
    old.write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'
        'msgid "Works"\nmsgstr "Opere"\n\nmsgid "No such sentence."\nmsgstr "Nulla."\n'
    )
    catalogue = renewed(old)
    assert catalogue.get("Works").string == "Opere"  # type: ignore[union-attr]
    assert catalogue.get("No such sentence.") is None
    assert not catalogue.get("Keys").string  # type: ignore[union-attr]
    assert not catalogue.obsolete


def test_messages_are_found_in_templates_python_scripts_and_vocabularies() -> None:
    """One known to stand in each."""
    found = {one.english[0] for one in messages()}
    assert "Compare on the bronze" in found
    assert "about %(date)s" in found
    assert "The code is damaged. Scan it once more." in found
    assert "metal-chased" in found


def test_no_message_holds_a_name_that_is_not_put_in() -> None:
    """A name in braces or of ``%`` that stands twice with another spelling would stay empty."""
    for one in messages():
        names = [tongues.placeholders(form) for form in one.english]
        assert names[0] <= names[-1], one
