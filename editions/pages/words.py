"""The words of the pages: what a template cannot say by itself, in the page's language.

Each is a filter of the templates, named as it is used there, and bound to one language.

>>> from editions.pages.tongues import english
>>> times(english(), 1), times(english(), 2), times(english(), 5)
('once', 'twice', '5 times')
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from markupsafe import Markup, escape

from certificates import wording
from editions.pages import dating, retelling, spoken
from editions.pages.amounts import measured, typed
from editions.pages.drawn import DRAWN, SAID
from editions.pages.making_words import MADE, alike
from editions.pages.tongues import Tongue
from editions.pages.values import Beside, Measure
from editions.trade.numbers import show_number
from editions.trade.saying import Said
from editions.trade.statement import MarkLine, ProofSeries, Statement

_LIMIT = {
    "low": re.compile(r"(?:at least |^(?=[0-9.]+ to ))([0-9.]+)"),
    "high": re.compile(r"(?:at most | to )([0-9.]+)"),
}


def by(text: str, capacity: str = "") -> Markup:
    """Who says or did something, set apart, and in which capacity."""
    told = f", {escape(capacity)}" if capacity else ""
    return Markup(f'<span class="by">{spoken.own(text)}{told}</span>')  # noqa: S704 - escaped


def first_upper(text: str) -> str:
    """A text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def linked(tongue: Tongue, code: str, room: str) -> Markup:
    """A code with its link to the page of a run or a work."""
    to = f'<a href="{tongue.path}/{room}/{escape(code)}/">{escape(code)}</a>'
    return Markup(to)  # noqa: S704 - escaped


def beside_said(tongue: Tongue, other: Beside) -> Markup:
    """Another run of the same work, in a few words."""
    title, scale = spoken.said(tongue, other.title), spoken.own(other.scale)
    if other.scale and other.closed:
        told = tongue.gettext("%(title)s, scale %(scale)s, closed")
    elif other.scale:
        told = tongue.gettext("%(title)s, scale %(scale)s")
    elif other.closed:
        told = tongue.gettext("%(title)s, closed")
    else:
        told = "%(title)s"
    return Markup(told) % {"title": title, "scale": scale}  # noqa: S704 - from a catalogue


def figures(tongue: Tongue, number: str) -> str:
    """A number as typed, with the decimal mark of the language."""
    return tongue.figures(number)


def limit(tongue: Tongue, text: str) -> str:
    """A limit as its standard has it, per cent, on one line."""
    low, high = (_LIMIT[end].search(text) for end in ("low", "high"))
    least, most = (tongue.figures(found[1]) if found else "" for found in (low, high))
    if least and most:
        told = tongue.gettext("%(low)s to %(high)s", low=least, high=most)
    elif least:
        told = tongue.gettext("at least %(low)s", low=least)
    else:
        told = tongue.gettext("at most %(high)s", high=most) if most else text
    return told.replace(" ", "\u00a0")


def standing_word(tongue: Tongue, word: str) -> str:
    """How a paper stands, in one word."""
    words = {
        "stands": tongue.pgettext("of a paper", "standing"),
        "pending": tongue.pgettext("of a paper", "pending"),
        "withdrawn": tongue.pgettext("of a paper", "withdrawn"),
        "replaced": tongue.pgettext("of a paper", "replaced"),
        "lost": tongue.pgettext("of a paper", "lost"),
        "stolen": tongue.pgettext("of a paper", "stolen"),
        "lapsed": tongue.pgettext("of a paper", "lapsed"),
    }
    return words.get(word, word)


def no_date(tongue: Tongue, statement: Statement) -> str:
    """What stands where the day of casting is not held."""
    if statement.paper == "from_object":
        return tongue.gettext("date unknown")
    return tongue.gettext("date not recorded")


def said(tongue: Tongue, what: str) -> str:
    """What Python says on a page."""
    return spoken.said(tongue, what)


def told(tongue: Tongue, what: object) -> str:
    """What may be said, or may be somebody's own words; those stand as they are."""
    return spoken.told(tongue, what)


def retold(tongue: Tongue, lines: str, fact: str) -> str:
    """What a paper printed of a fact, as this page says such things."""
    said_now = isinstance(lines, Said)
    return spoken.told(tongue, lines if said_now else retelling.retold(fact, lines))


def when(tongue: Tongue, date: str | None, missing: str | None = None) -> str:
    """A date in words; one that is no EDTF stands as it is."""
    if date is None:
        return tongue.gettext("date not recorded") if missing is None else missing
    return dating.when(tongue, date)


def life(tongue: Tongue, printed: str) -> str:
    """An artist's life dates."""
    return dating.life(tongue, printed)


def measure(tongue: Tongue, measure: Measure) -> str:
    """A length with its spread; says where nobody measured it."""
    if measure.length is None:
        return tongue.gettext("not recorded")
    if measure.uncertainty is None:
        return measured(tongue, measure.length)
    return f"{measured(tongue, measure.length)} ±\u00a0{typed(tongue, measure.uncertainty)}"


def station(tongue: Tongue, measure: Measure) -> str:
    """What was measured: a station's name, with or without the base."""
    name = spoken.said(tongue, measure.name) if measure.name else ""
    if measure.base:
        with_base = measure.base == "with"
        base = tongue.gettext("with base") if with_base else tongue.gettext("without base")
        name = f"{name}, {base}" if name else base
    return name[:1].upper() + name[1:]


def mark(line: MarkLine) -> str:
    """Where a mark stands and how it was made, as it was written down."""
    return ", ".join(filter(None, (line.place, line.method)))


def proofs(tongue: Tongue, series: ProofSeries) -> str:
    """A series outside the numbered run, in words."""
    said = _series(tongue, series.series, series.count)
    mark = series.series if series.series in ("AP", "EA", "HC", "TP", "FP", "AC") else ""
    roman = series.numerals == "roman"
    if not mark:
        plain = "%(proofs)s (Roman numerals)" if roman else "%(proofs)s (Arabic numerals)"
        return tongue.gettext(plain, proofs=said)
    if roman:
        return tongue.gettext("%(proofs)s (%(mark)s, Roman numerals)", proofs=said, mark=mark)
    return tongue.gettext("%(proofs)s (%(mark)s, Arabic numerals)", proofs=said, mark=mark)


def _series(tongue: Tongue, series: str, count: int) -> str:
    """So many casts of a series; French marks keep their French words in English."""
    named = {
        "AP": tongue.ngettext("artist’s proof", "artist’s proofs", count),
        "EA": tongue.ngettext("épreuve d’artiste", "épreuves d’artiste", count),
        "HC": tongue.gettext("hors commerce"),
        "TP": tongue.ngettext("trial proof", "trial proofs", count),
        "FP": tongue.ngettext("foundry proof", "foundry proofs", count),
        "AC": tongue.ngettext("artist’s copy", "artist’s copies", count),
    }
    return f"{count} {named.get(series, series)}"


def groups(digits: str, in_row: int = 4) -> list[str]:
    """Hexadecimal digits in capitals, in rows of groups of four."""
    return list(wording.grouped(digits.replace(" ", ""), in_row))


def times(tongue: Tongue, count: int) -> str:
    """How often, in words."""
    if count == 1:
        return tongue.gettext("once")
    if count == 2:
        return tongue.gettext("twice")
    return tongue.ngettext("%(count)s time", "%(count)s times", count, count=count)


def listed(tongue: Tongue, words: Sequence[str]) -> str:
    """Words in a row: "marks, mass and colour"."""
    return tongue.listed(words)


def listed_said(tongue: Tongue, words: Sequence[str]) -> str:
    """Names of facts in a row, in the page's language."""
    return tongue.listed([spoken.said(tongue, word) for word in words])


def heading(tongue: Tongue, statement: Statement) -> str:
    """What kind of paper this is."""
    return spoken.said(tongue, wording.heading(statement))


def absent(tongue: Tongue, statement: Statement) -> str:
    """The word for a fact that the book does not hold."""
    return spoken.said(tongue, wording.absent(statement))


def given_number(tongue: Tongue, statement: Statement) -> str:
    """The designation as printed large; says so where there is none."""
    return statement.designation or spoken.said(tongue, wording.given_number(statement))


def number_note(tongue: Tongue, statement: Statement) -> str:
    """What is said of the number beside it: where it was found, and that the cast is posthumous."""
    late = spoken.said(tongue, wording.POSTHUMOUS) if statement.posthumous else ""
    note = spoken.said(tongue, statement.designation_note) if statement.designation_note else ""
    if note and late:
        return tongue.gettext("%(note)s; %(further)s", note=note, further=late)
    return note or late


def offers(other: Tongue) -> str:
    """What offers a page in another language, said in that language."""
    # A catalogue translates it as its own language's name: "This page is in French as well."
    return other.gettext("This page is in English as well.")


def missing_said(other: Tongue) -> str:
    """What a page for no record says in another language, which the address did not tell."""
    return other.gettext("No record is under this address. To the first page in English.")


_SPOKEN: tuple[Callable[..., Any], ...] = (
    said, told, linked, beside_said, figures, limit, standing_word, no_date, retold, when, life,
    measured,
    measure, station, proofs, times, listed, listed_said, heading, absent, given_number,
    number_note,
)  # fmt: skip
_SILENT: tuple[Callable[..., Any], ...] = (
    spoken.own, by, first_upper, mark, alike, groups, offers, missing_said,
)  # fmt: skip


def filters(tongue: Tongue) -> dict[str, Callable[..., Any]]:
    """Every filter of the templates, those that speak bound to a language."""
    speak = {each.__name__: each for each in _SPOKEN} | MADE | SAID
    silent = {each.__name__: each for each in _SILENT}
    bound = {name: partial(each, tongue) for name, each in speak.items()}
    return {**silent, **bound, **DRAWN, "number": show_number}
