"""Values that several commands read: pieces, choices, pairs, files by digest."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from editions.cli.words import (
    ChoiceType,
    CountType,
    DigestType,
    PairType,
    PiecesType,
    opened,
    pieces_argument,
)
from editions.errors import BronzebookError, FileUnusable, Unreadable

CONTEXT = click.Context(click.Command("x"))
CHOICES = ChoiceType(("done", "not recorded", "elsewhere"), "way")


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("T-0101", ["T-0101"]),
        ("T-0101/left arm", ["T-0101/left arm"]),
        ("t-0101..t-0103", ["T-0101", "T-0102", "T-0103"]),
        ("T-0101,t-0105", ["T-0101", "T-0105"]),
        ("  T-0101 ", ["T-0101"]),
    ],
)
def test_pieces_are_read_alone_in_ranges_and_lists(typed: str, names: list[str]) -> None:
    assert PiecesType().convert(typed, None, None) == names


def test_pieces_that_were_read_already_stay_as_they_are() -> None:
    assert PiecesType().convert(["T-0101"], None, None) == ["T-0101"]


@pytest.mark.parametrize(
    "typed", ["", " ", "T-0103..T-0101", "T-0101,", "a\x00b", "x" * 201, "T-1,,T-2", ",", ".."]
)
def test_what_names_no_piece_is_refused(typed: str) -> None:
    with pytest.raises(Unreadable):
        PiecesType().convert(typed, None, None)


def test_one_argument_and_several_give_one_list() -> None:
    @click.command()
    @pieces_argument("one", nargs=1)
    @pieces_argument("many")
    def command(one: list[str], many: list[str]) -> None:
        click.echo(f"{one} {many}")

    done = CliRunner().invoke(command, ["T-1..T-2", "T-3", "T-4,T-5"])
    assert done.stdout == "['T-1', 'T-2'] ['T-3', 'T-4', 'T-5']\n"


@pytest.mark.parametrize("typed", ["not recorded", "Not-Recorded", "NOT_RECORDED"])
def test_a_choice_is_read_with_hyphens_for_spaces(typed: str) -> None:
    assert CHOICES.convert(typed, None, None) == "not recorded"


def test_a_choice_shows_and_completes_its_words() -> None:
    parameter: Any = click.Option(["--how"], type=CHOICES)
    assert CHOICES.get_metavar(parameter, CONTEXT) == "done|not-recorded|elsewhere"
    completed = CHOICES.shell_complete(CONTEXT, parameter, "No")
    assert [item.value for item in completed] == ["not-recorded"]


@pytest.mark.parametrize(("typed", "count"), [("1", 1), (" 99 ", 99), ("007", 7)])
def test_a_count_is_read_in_digits(typed: str, count: int) -> None:
    assert CountType(1, 99).convert(typed, None, None) == count


@pytest.mark.parametrize("typed", ["0", "100", "-1", "1.5", "three", "", "٣", "9" * 30])
def test_a_count_outside_its_bounds_is_refused(typed: str) -> None:
    with pytest.raises(Unreadable, match="is not a number from 1 to 99"):
        CountType(1, 99).convert(typed, None, None)


@pytest.mark.parametrize(
    ("typed", "likely"),
    [("don", "done"), ("not-recoded", "not-recorded"), ("elsewere", "elsewhere")],
)
def test_a_choice_mistyped_is_answered_with_the_likely_one(typed: str, likely: str) -> None:
    with pytest.raises(Unreadable) as why:
        CHOICES.convert(typed, None, None)
    assert why.value.remedy == f"Did you mean {likely}? One of: done, not-recorded, elsewhere."


def test_what_an_option_cannot_read_names_the_option() -> None:
    with pytest.raises(Unreadable, match=r"^--coat: “x” is not a number"):
        CountType(1, 99).convert("x", click.Option(["--coat"]), None)


def test_no_other_choice_is_read() -> None:
    with pytest.raises(Unreadable, match="not a way"):
        CHOICES.convert("later", None, None)


@pytest.mark.parametrize(
    ("typed", "pair"),
    [("Cu=94.44", ("Cu", "94.44")), (" a = b=c", ("a", " b=c")), ("note=", ("note", ""))],
)
def test_a_pair_is_cut_at_its_first_sign(typed: str, pair: tuple[str, str]) -> None:
    assert PairType("a=b").convert(typed, None, None) == pair


@pytest.mark.parametrize("typed", ["", "Cu", "=3", " =3"])
def test_half_a_pair_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(Unreadable) as caught:
        PairType("Cu=94.44").convert(typed, None, None)
    assert caught.value.remedy == "Write it as Cu=94.44."


def test_a_file_is_taken_by_the_digest_of_all_its_bytes(tmp_path: Path) -> None:
    data = bytes(range(256)) * 10_000
    (tmp_path / "film").write_bytes(data)
    taken = DigestType().convert(str(tmp_path / "film"), None, None)
    assert taken == sha256(data).hexdigest()


def test_file_names_are_left_to_the_shell_to_complete() -> None:
    parameter: Any = click.Option(["--file"], type=DigestType())
    (item,) = DigestType().shell_complete(CONTEXT, parameter, "fi")
    assert (item.type, item.value) == ("file", "fi")


@pytest.mark.parametrize("name", ["none", ".", "a\x00b", "x" * 5000, "/dev/zero"])
def test_what_is_no_file_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileUnusable):
        DigestType().convert(str(tmp_path / name), None, None)


def test_a_file_larger_than_allowed_is_not_opened(tmp_path: Path) -> None:
    (tmp_path / "large").write_bytes(bytes(11))
    with pytest.raises(FileUnusable, match="at most 0 MB"):
        opened(tmp_path / "large", 10)
    with opened(tmp_path / "large", 11) as file:
        assert len(file.read()) == 11


def test_a_file_that_vanishes_between_asking_and_opening_is_still_our_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "gone"
    file.write_bytes(b"x")

    def refuse(self: Path, mode: str = "r") -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(BronzebookError, match="Permission denied"):
        opened(file, 10)
