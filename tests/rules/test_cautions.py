"""Cautions remind and defer; common practice of the trade, no single source."""

from __future__ import annotations

import pytest

from editions.errors import Unreadable
from editions.rules.cautions import TOPICS, cautions

WANTED = [
    "molten metal",
    "shell firing",
    "silica dust",
    "acids and salts",
    "sulfide fumes",
    "ammonia fumes",
    "wax",
    "welding",
    "grinding",
]


@pytest.mark.parametrize("topic", WANTED)
def test_each_topic_has_one_short_line_that_defers(topic: str) -> None:
    (line,) = cautions(topic)
    assert line.lower().startswith(f"{topic}: ")
    assert len(line) < 250
    assert line.isprintable()
    assert "local" in line
    assert any(word in line for word in ("licensed", "rained", "ualified", "safety data sheet"))


def test_there_are_no_other_topics() -> None:
    assert list(TOPICS) == WANTED


def test_lines_come_in_the_order_asked_for_each_once() -> None:
    asked = cautions("wax", "Molten  Metal", "WAX")
    assert asked == cautions("wax") + cautions("molten metal")
    assert cautions() == ()


@pytest.mark.parametrize(
    ("topic", "remedy"),
    [
        ("weldin", "Did you mean welding?"),
        ("", "Topics: molten metal"),
        ("lifting", "Topics: molten metal"),
        ("x" * 100_000, "Topics: molten metal"),
    ],
)
def test_a_topic_without_a_caution_is_refused(topic: str, remedy: str) -> None:
    with pytest.raises(Unreadable, match="is not a topic") as caught:
        cautions("wax", topic)
    assert caught.value.remedy.startswith(remedy)
