"""The languages of the public pages: English, and each that a catalogue is laid in for.

A language is one file, ``languages/CODE.po``; nothing else names it.  The English text is the key.
Dates, figures, units and lists follow the Unicode CLDR, by way of Babel.  A message that a
catalogue lacks, marks as doubtful, or gives other placeholders than the English has, stays English.

>>> english().gettext("about %(date)s", date="1984")
'about 1984'
>>> english().path, english().named
('', 'English')
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any

import msgspec
from babel import Locale
from babel.core import get_global
from babel.lists import format_list
from babel.messages.catalog import Message
from babel.messages.pofile import read_po
from babel.numbers import format_decimal
from babel.units import format_unit

# English is written as the house writes it: the day before the month.
_LOCALES = {"en": "en_GB"}
_NAMED = re.compile(r"%\((\w+)\)s|\{(\w*)\}", re.ASCII)
_UNITS = {
    "mm": "length-millimeter", "cm": "length-centimeter", "m": "length-meter",
    "in": "length-inch", "ft": "length-foot",
    "g": "mass-gram", "kg": "mass-kilogram", "oz": "mass-ounce", "lb": "mass-pound",
}  # fmt: skip
# Of these marks a reader of another language would take one for the decimal mark.
_MISTAKABLE = frozenset(".,")

Key = tuple[str | None, str]


class Tongue(msgspec.Struct, frozen=True, eq=False):
    """One language of the site; two are the same only if they are one object.

    ``words`` has by context and English text the forms of each message, ``plurals`` the rule that
    chooses among them.
    """

    code: str
    words: Mapping[Key, tuple[str, ...]] = {}
    plurals: str = "n != 1"

    @property
    def path(self) -> str:
        """What stands before every address of a page in this language."""
        return "" if self.code == "en" else f"/{self.code.replace('_', '-').lower()}"

    @property
    def tag(self) -> str:
        """The language as web pages name it (BCP 47)."""
        return self.code.replace("_", "-")

    @property
    def locale(self) -> Locale:
        """The CLDR's data for it."""
        return _locale(self.code)

    @property
    def named(self) -> str:
        """Its name in itself, with a capital."""
        name = self.locale.get_language_name() or self.code
        return name[:1].upper() + name[1:]

    @property
    def open_graph(self) -> str:
        """The language and its likeliest country, as Open Graph asks: ``fr_FR``."""
        if self.locale.territory:
            return str(self.locale)
        likely = get_global("likely_subtags").get(self.locale.language, self.code)
        country = likely.rpartition("_")[2]
        return f"{self.locale.language}_{country}" if len(country) == 2 else self.code

    def gettext(self, message: str, /, **values: object) -> str:
        """A message in this language, with its values."""
        return _filled(self._forms(None, message)[0], values)

    def pgettext(self, context: str, message: str, /, **values: object) -> str:
        """A message that reads otherwise in another context."""
        return _filled(self._forms(context, message)[0], values)

    def ngettext(self, one: str, many: str, count: int, /, **values: object) -> str:
        """A message for one, or for so many."""
        return self._counted(None, one, many, count, values)

    def npgettext(self, context: str, one: str, many: str, count: int, /, **values: object) -> str:
        """A message for one, or for so many, that reads otherwise in another context."""
        return self._counted(context, one, many, count, values)

    def _counted(
        self, context: str | None, one: str, many: str, count: int, values: Mapping[str, object]
    ) -> str:
        forms = self._forms(context, one, many)
        rule = _rule(self.plurals) if (context, one) in self.words else _rule("n != 1")
        return _filled(forms[rule(count)], values)

    def _forms(self, context: str | None, *english: str) -> tuple[str, ...]:
        return self.words.get((context, english[0]), english)

    def figures(self, number: str) -> str:
        """A number with this language's decimal mark; what is no decimal stands as it is.

        Digits are grouped only where the mark between them cannot be taken for a decimal mark.
        """
        if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", number):
            return number
        places = len(number.partition(".")[2])
        grouped = self.locale.number_symbols["latn"]["group"] not in _MISTAKABLE
        pattern = "#,##0" + ("." + "0" * places if places else "")
        exact = Decimal(number)
        return format_decimal(
            exact, pattern, self.locale, group_separator=grouped, numbering_system="latn"
        )

    def in_unit(self, number: str, unit: str) -> str:
        """A number with its unit, which no line break divides."""
        shown = self.figures(number)
        if unit not in _UNITS:
            said = f"{shown} {unit}"
        else:
            said = format_unit(shown, _UNITS[unit], "short", locale=self.locale)
        return said.replace(" ", "\u00a0")

    def listed(self, words: Sequence[str]) -> str:
        """Words in a row: "marks, mass and colour"."""
        return format_list(list(words), locale=self.locale)


def _filled(text: str, values: Mapping[str, object]) -> str:
    return text % values if values else text


@lru_cache(maxsize=32)
def _locale(code: str) -> Locale:
    return Locale.parse(_LOCALES.get(code, code), sep="_")


@lru_cache(maxsize=32)
def _rule(plurals: str) -> Any:
    return gettext.c2py(plurals)


@lru_cache(maxsize=1)
def english() -> Tongue:
    """The language that the messages are written in."""
    return Tongue("en")


def folder() -> Traversable:
    """Where the catalogues lie."""
    return resources.files("editions.pages").joinpath("languages")


@lru_cache(maxsize=1)
def tongues() -> tuple[Tongue, ...]:
    """English, then each language that has a catalogue, by its code."""
    found = sorted(one.name for one in folder().iterdir() if one.name.endswith(".po"))
    return (english(), *(read(folder().joinpath(name)) for name in found))


def others(tongue: Tongue) -> tuple[Tongue, ...]:
    """The languages of the site beside one."""
    return tuple(one for one in tongues() if one.code != tongue.code)


def read(path: Traversable) -> Tongue:
    """The language of a catalogue."""
    code = path.name.removesuffix(".po")
    with path.open("rb") as file:
        catalogue = read_po(file, locale=_locale(code))
    usable = (each for each in catalogue if each.id and not each.fuzzy)
    words = {_key(each): _strings(each) for each in usable if holds(each)}
    return Tongue(code, words, catalogue.plural_expr)


def _key(message: Message) -> Key:
    return message.context, _texts(message.id)[0]


def _strings(message: Message) -> tuple[str, ...]:
    return _texts(message.string)


def _texts(text: str | Iterable[str] | None) -> tuple[str, ...]:
    return (text,) if isinstance(text, str) else tuple(text or ())


def holds(message: Message) -> bool:
    """Whether a translation is there, and names what the English names, no less and no more.

    A form for few may leave out what the English leaves out in its form for one.
    """
    one, *many = _texts(message.id)
    forms = _strings(message)
    return bool(forms) and all(each and _fits(each, one, (many or [one])[0]) for each in forms)


def _fits(text: str, one: str, many: str) -> bool:
    """A lone per cent sign would stop the page that it stands on, unless the English has one."""
    named = placeholders(many)
    if not placeholders(one) <= placeholders(text) <= named:
        return False
    return _fills(text, named) or not _fills(many, named)


def _fills(text: str, named: Iterable[str]) -> bool:
    try:
        return isinstance(text % dict.fromkeys(named, ""), str)
    except (ValueError, TypeError, KeyError):
        return False


def placeholders(text: str) -> frozenset[str]:
    """The names of the values in a message."""
    return frozenset(first or second for first, second in _NAMED.findall(text))
