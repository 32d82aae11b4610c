"""Defect classes of the International Atlas of Casting Defects (ASM; letters from memory, high)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.defects import CLASSES, NAMED, Defect, read_defect


@pytest.mark.parametrize(
    ("letter", "names"),
    [
        ("A", ["flash", "veining"]),
        ("B", ["blowhole", "pinhole", "shrinkage", "porosity"]),
        ("C", ["cold shut", "crack", "hot tear"]),
        ("D", ["scab", "rough"]),
        ("E", ["misrun", "runout"]),
        ("F", ["distortion"]),
        ("G", ["slag", "inclusion", "shell inclusion"]),
    ],
)
def test_each_defect_is_of_its_published_class(letter: str, names: list[str]) -> None:
    assert [name for name, of in NAMED.items() if of == letter] == names
    assert read_defect(letter) == Defect(letter, "")
    for name in names:
        assert read_defect(name) == read_defect(f"{letter.lower()} {name}") == Defect(letter, name)


@given(st.one_of(st.sampled_from(sorted(NAMED)), st.sampled_from(sorted(CLASSES))))
def test_a_defect_and_its_text_are_one(text: str) -> None:
    defect = read_defect(text)
    assert read_defect(str(defect)) == defect


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Cold-Shut", "cold shut"),
        ("coldshut", "cold shut"),
        ("cold_shuts", "cold shut"),
        ("pin holes", "pinhole"),
        ("HOT  TEAR", "hot tear"),
        (" mis-run ", "misrun"),
    ],
)
def test_defects_are_read_as_they_are_written(text: str, name: str) -> None:
    assert read_defect(text).name == name


@pytest.mark.parametrize(
    ("text", "says", "remedy"),
    [
        ("", "is not a defect", "Name the class alone"),
        ("H", "is not a defect", "Name the class alone"),
        ("AB", "is not a defect", ""),
        ("blowhol", "is not a defect", "Did you mean blowhole?"),
        ("C blowhole", "blowhole is of class B, not C", "Write B blowhole."),
        ("B bubble trouble", "is not a defect", ""),
        ("\u0430", "is not a defect", "Name the class alone"),
        ("crack\x00", "is not a defect", ""),
        ("x" * 1_000_000, "is not a defect", "Name the class alone"),
    ],
)
def test_what_is_no_defect_is_refused(text: str, says: str, remedy: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_defect(text)
    assert says in caught.value.message
    assert caught.value.remedy.startswith(remedy)
    assert caught.value.remedy


@given(st.text(max_size=40))
def test_any_text_is_a_defect_or_an_error_of_ours(text: str) -> None:
    try:
        defect = read_defect(text)
    except Unreadable:
        return
    assert read_defect(str(defect)) == defect
