"""Style and script as they are sent: shorter, and the same to a browser."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from editions.pages import sending

STATIC = resources.files("editions.pages").joinpath("static")
QUOTED = re.compile(r'"(?:\\.|[^"\\\n])*"')


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
        ("a = b - -c;\n", "a=b - -c;\n"),
        ("a = 'x , y';\nb", "a='x , y';\nb"),
        ("s.replace(/ = /g, \" = \");", 's.replace(/ = /g," = ");'),
        ("t(`a ${ b ? ` , ${c}` : ' , ' } d , e`, f)", "t(`a ${ b ? ` , ${c}` : ' , ' } d , e`,f)"),
        ("t(`\\` , ${ {a: 1} }`, f)", "t(`\\` , ${ {a: 1} }`,f)"),
        ("return x / y, z / w;", "return x / y,z / w;"),
    ],
)  # fmt: skip
def test_a_script_keeps_every_text_template_and_pattern(said: str, sent: str) -> None:
    assert sending.script(said) == sent


@pytest.mark.parametrize("name", ["check.js", "look.js"])
def test_our_own_scripts_keep_their_texts_and_their_lines(name: str) -> None:
    whole = STATIC.joinpath(name).read_text("utf-8")
    sent = sending.script(whole)
    bare = re.sub(r"^\s*/\*(?:(?!\*/).)*\*/$", "", whole, flags=re.MULTILINE | re.DOTALL)
    assert QUOTED.findall(sent) == QUOTED.findall(bare)
    assert len(sent) < len(bare)
    assert len(sent.splitlines()) == len([line for line in bare.splitlines() if line.strip()])
