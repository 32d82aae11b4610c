"""Style and script as they are sent: shorter, in a page's language, and the same to a browser."""

from __future__ import annotations

from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.pages import sending

STATIC = resources.files("editions.pages").joinpath("static")
SCRIPTS = ("reading.js", "check.js", "keeping.js", "look.js", "offer.js")


@pytest.mark.parametrize(
    ("said", "sent"),
    [
        ("a { b: c; d: e }", "a{b:c;d:e}"),
        ("/* Why, at\n   length. */\na { b: c; }", "a{b:c}"),
        ('q { quotes: "« "; content: "a : b; {c}"; }', 'q{quotes:"« ";content:"a : b; {c}"}'),
        ("p { width: calc(1rem - 6px); }", "p{width:calc(1rem - 6px)}"),
        ("@media (min-width: 30rem) { a > b { c: d; } }", "@media (min-width:30rem){a>b{c:d}}"),
    ],
)  # fmt: skip
def test_a_style_loses_only_what_says_nothing(said: str, sent: str) -> None:
    assert sending.style(said) == sent


@pytest.mark.parametrize(
    ("said", "sent"),
    [
        ("a = b - -c;\n", "a=b- -c;"),
        ("a = 'x , y';\nb", "a='x , y';b"),
        ("s.replace(/ = /g, \" = \");", 's.replace(/ = /g," = ");'),
        ("t(`a ${ b }  , /* c */ d // e`, f)", "t(`a ${ b }  , /* c */ d // e`,f)"),
        ("t(`a\n  b`)", "t(`a\n  b`)"),
        ("return x / y, z / w;", "return x/y,z/w;"),
    ],
)  # fmt: skip
def test_a_script_keeps_every_text_template_and_pattern(said: str, sent: str) -> None:
    assert sending.script(said) == sent


def test_a_message_is_put_into_the_language_with_its_values() -> None:
    words = {"{a} of {b}": "{b}, dont {a}", "None": "Aucun"}
    script = "f(say`${a} of ${b}`,\n  say`None`);"
    assert sending.messages(script) == [(1, "{a} of {b}"), (2, "None")]
    assert sending.script(script, words.__getitem__) == "f(`${b}, dont ${a}`,`Aucun`);"


@pytest.mark.parametrize("words", ["{a} of {c}", "all", "{b}", "{a} of {b}, {alert}"])
def test_a_translation_with_other_values_is_not_used(words: str) -> None:
    assert sending.script("say`${a} of ${b}`", lambda _: words) == "`${a} of ${b}`"


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"], exclude_characters="{}\r")))
def test_no_translation_leaves_its_template(words: str) -> None:
    sent = sending.script("f(say`x`);", lambda _: words)
    inner = sent.removeprefix("f(`").removesuffix("`);")
    assert sent == f"f(`{inner}`);"
    assert "`" not in inner.replace("\\\\", "").replace("\\`", "")
    assert "${" not in inner.replace("\\${", "")
    assert "</" not in inner
    assert "<!--" not in inner


@pytest.mark.parametrize("name", SCRIPTS)
def test_every_message_of_our_own_scripts_is_marked_and_made(name: str) -> None:
    """A mark that is left would be a function that nobody wrote."""
    whole = STATIC.joinpath(name).read_text("utf-8")
    sent = sending.script(whole)
    assert "say`" not in sent
    assert all(key.strip() == key for _, key in sending.messages(whole))
    assert all(
        "{" not in key.replace("{", "", key.count("}")) for _, key in sending.messages(whole)
    )


def test_the_check_says_nothing_that_is_not_marked() -> None:
    """Each refusal takes a message, or a name for one."""
    whole = "".join(STATIC.joinpath(name).read_text("utf-8") for name in SCRIPTS[:3])
    for mark in ("refuse(", "passOver("):
        given = {piece[:4] for piece in whole.split(mark)[1:]}
        assert given <= {"say`", "says", "unsi", "brok", "dige"}, given
