"""Text is kept clean; expected values follow the Unicode Standard, named where used."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.trade.text import clean, shown


def test_text_is_kept_in_composed_form_without_ends() -> None:
    # Unicode Standard Annex 15: e + U+0301 composes to U+00E9.
    assert clean(" \t cafe\u0301 \u3000\r\n") == "caf\u00e9"


@pytest.mark.parametrize(
    "kept",
    [
        "",
        "Ilse Varga",
        "ὁ χαλκεύς",
        "Бронза",
        "青銅",
        "நிலா",
        "می\u200cخواهم",
        "👩\u200d🎨",
        "a\u00a0b",
    ],
)
def test_every_script_and_its_joiners_stay(kept: str) -> None:
    assert clean(kept) == unicodedata.normalize("NFC", kept)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a\x00b", "a control character (U+0000) at character 2"),
        ("bell\x07", "a control character (U+0007) at character 5"),
        ("\x1fedge", "a control character (U+001F) at character 1"),
        ("a\tb", "a control character (U+0009) at character 2"),
        ("\x7f", "a control character (U+007F)"),
        ("a\x85b", "a control character (U+0085)"),
        ("a\x1b[31m", "a control character (U+001B)"),
        ("a\nb", "a line break (U+000A) at character 2"),
        ("a\u2028b", "a line break (U+2028)"),
        ("\ud800", "half of a character (U+D800)"),
        ("a\udfffb", "half of a character (U+DFFF)"),
        ("a\u202eb", "reverses the reading direction (U+202E)"),
        ("a\u202ab", "reverses the reading direction (U+202A)"),
        ("a\u2066b", "reverses the reading direction (U+2066)"),
        ("a\u2069b", "reverses the reading direction (U+2069)"),
        ("a\ufeffb", "no character (U+FEFF)"),
        ("a\uffffb", "no character (U+FFFF)"),
        ("a\ufdd0b", "no character (U+FDD0)"),
        ("a\U0010fffeb", "no character (U+10FFFE)"),
    ],
)
def test_what_hides_or_reverses_is_refused_with_its_place(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        clean(text)
    assert says in caught.value.message
    assert caught.value.remedy
    assert caught.value.exit_status == 2


def test_lines_are_kept_where_asked_for_and_made_alike() -> None:
    assert clean("one\r\ntwo\rthree\n", lines=True) == "one\ntwo\nthree"
    with pytest.raises(Unreadable, match="line break"):
        clean("one\u2029two", lines=True)
    with pytest.raises(Unreadable, match=r"control character \(U\+0009\) at character 5"):
        clean("one\n\ttwo", lines=True)


def test_length_is_counted_after_composing_and_never_cut() -> None:
    assert len(clean("e\u0301" * 2000)) == 2000
    assert clean("x" * 10, limit=10) == "x" * 10
    with pytest.raises(Unreadable, match="11 characters long; at most 10"):
        clean("x" * 11, limit=10)
    with pytest.raises(Unreadable, match="1000000 characters"):
        clean("x" * 1_000_000)


@given(st.text(), st.booleans())
def test_accepted_text_is_accepted_again_unchanged(text: str, lines: bool) -> None:
    try:
        once = clean(text, lines=lines)
    except Unreadable:
        return
    assert clean(once, lines=lines) == once
    assert unicodedata.is_normalized("NFC", once)
    once.encode("utf-8")


@given(st.text(max_size=300))
def test_what_is_repeated_in_a_message_is_short_and_printable(text: str) -> None:
    said = shown(text)
    assert len(said) <= 43
    assert said.isprintable()


def test_a_long_text_is_repeated_with_an_ellipsis() -> None:
    assert shown("abcdef", limit=3) == "“abc…”"
    assert shown("a\nb") == "“a\ufffdb”"
