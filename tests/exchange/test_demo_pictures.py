"""The demonstration's pictures: the same in every run, each subject and patina its own."""

from __future__ import annotations

from io import BytesIO
from itertools import combinations
from typing import get_args

import pytest
from PIL import Image, ImageChops, ImageStat

from editions.exchange.demo_pictures import Colouring, Subject, draw
from editions.exchange.demo_pictures.vectors import cross, dot, step, unit
from editions.store.photographs import prepare

SMALL = 120


def picture(subject: Subject, patina: Colouring) -> Image.Image:
    return Image.open(BytesIO(draw(subject, patina, SMALL)))


def mean(drawn: Image.Image) -> list[float]:
    """The mean red, green and blue of the middle, where the sculpture stands."""
    wide, high = drawn.size
    return ImageStat.Stat(drawn.crop((wide // 3, high // 4, 2 * wide // 3, 2 * high // 3))).mean


@pytest.mark.parametrize(
    ("subject", "size"), [("heron", (96, 120)), ("seed", (96, 120)), ("gate", (120, 80))]
)
def test_a_subject_is_drawn_in_its_shape_and_can_be_taken_in(
    subject: Subject, size: tuple[int, int]
) -> None:
    drawn = draw(subject, longest=SMALL)
    opened = Image.open(BytesIO(drawn))
    assert (opened.format, opened.mode, opened.size) == ("PNG", "RGB", size)
    assert prepare(drawn).intake.original_kind == "image/png"


@pytest.mark.parametrize("subject", get_args(Subject))
def test_the_same_picture_is_drawn_twice_the_same(subject: Subject) -> None:
    assert draw(subject, "green", SMALL) == draw(subject, "green", SMALL)


def test_no_two_subjects_and_no_two_patinas_look_alike() -> None:
    patinas = {patina: picture("seed", patina) for patina in get_args(Colouring)}
    for one, other in combinations(patinas.values(), 2):
        assert max(ImageStat.Stat(ImageChops.difference(one, other)).mean) > 1
    assert draw("heron", "brown", SMALL) != draw("seed", "brown", SMALL)


def test_each_patina_has_its_colour() -> None:
    brown, green, black = (mean(picture("gate", patina)) for patina in ("brown", "green", "black"))
    assert brown[0] > brown[2] + 5
    assert green[1] > green[0]
    assert sum(black) < min(sum(brown), sum(green))


@pytest.mark.parametrize("subject", get_args(Subject))
def test_a_sculpture_stands_before_an_empty_wall(subject: Subject) -> None:
    drawn = picture(subject, "brown").convert("L")
    top = drawn.crop((0, 0, drawn.width, drawn.height // 16))
    middle = drawn.crop((drawn.width // 4, drawn.height // 6, drawn.width, drawn.height))
    low, high = top.getextrema()
    assert high - low < 60  # type: ignore[operator]
    low, high = middle.getextrema()
    assert high - low > 100  # type: ignore[operator]


def test_an_invented_subject_must_be_a_known_one() -> None:
    with pytest.raises(KeyError):
        draw("horse", longest=SMALL)  # type: ignore[arg-type]


def test_directions_have_length_one_and_stand_upright_on_each_other() -> None:
    a, b = unit((3.0, 4.0, 12.0)), unit((0.0, 1.0, 0.0))
    assert a == pytest.approx((3 / 13, 4 / 13, 12 / 13))
    assert dot(cross(a, b), a) == pytest.approx(0.0)
    assert unit((0.0, 0.0, 0.0)) == (0.0, 1.0, 0.0)
    assert [step(1.0, 3.0, value) for value in (0.0, 1.0, 2.0, 3.0, 9.0)] == [0, 0, 0.5, 1, 1]
