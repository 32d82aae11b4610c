"""``show`` of what was corrected, and of what became of a paper."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from certificates.issue import issue, reserve
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.held import erase_field
from editions.registry.acts.numbers import end_promise, promise_number
from tests.cli.conftest import Call, Shop, Shown
from tests.registry import builders

MEASURED = ("piece", "measure", "T-0102", "height=450mm/with", "--mass", "12.4kg")


def rows_of(text: str, name: str) -> list[list[str]]:
    lines = [line.split("\t") for line in text.splitlines()]
    return [line[1:] for line in lines if line[0] == name]


def show(call: Call, *words: str) -> str:
    result = call("show", *words)
    assert result.exit_code == 0, result.stderr
    return result.stdout


def place(registry: Registry, code: str) -> int:
    """The place of the last line in the history of something."""
    with registry.reading() as reading:
        return len(reading.history(reading.resolve(code)))


@pytest.fixture
def weighed(call: Call, registry: Registry, shop: Shop) -> int:
    """The place of a measurement whose mass was corrected."""
    assert call(*MEASURED).exit_code == 0
    at = place(registry, "T-0102")
    corrected = call("correct", f"T-0102#{at}", "mass=12.6kg", "--reason", "read the wrong scale")
    assert corrected.exit_code == 0, corrected.stderr
    return at


def certified(registry: Registry, shop: Shop) -> str:
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    (made,) = issue(registry, [shop.numbered], passphrase=builders.PASSPHRASE)
    return made.number


def test_a_correction_is_told_with_both_values_when_by_whom_and_that_a_reason_is_held(
    call: Call, registry: Registry, weighed: int
) -> None:
    text = show(call, "T-0102")
    (row,) = rows_of(text, "corrections")
    last = registry_size(registry) - 1
    assert row[:4] == [f"#{weighed} piece measured", "mass", "12.4 kg", "12.6 kg"]
    assert row[5:] == ["Y-0001", "held", str(last)]
    assert "read the wrong scale" not in text
    assert rows_of(show(call, "T-0102", "--held"), "corrections")[0][6] == "read the wrong scale"


def registry_size(registry: Registry) -> int:
    with registry.reading() as reading:
        return reading.size


def test_the_corrected_line_and_value_are_marked_and_the_correction_says_what_it_corrects(
    call: Call, weighed: int
) -> None:
    text = show(call, "T-0102")
    assert rows_of(text, "mass") == [["12.6 kg (corrected)"]]
    lines = rows_of(text, "history")
    assert lines[weighed - 1][3].endswith(f"(corrected, see #{weighed + 1})")
    assert lines[weighed][3] == f"corrects #{weighed}: mass 12.4 kg -> 12.6 kg"
    # What was not corrected is not marked.
    assert rows_of(text, "measured") == [["height", "450 mm", "with base"]]
    assert text.count("(corrected") == 2


@pytest.mark.parametrize(
    ("words", "change", "told", "marked"),
    [
        ("W-0001", "mass=2.1kg", ["mass", "not recorded", "2.1 kg"], "2.1 kg (corrected)"),
        (
            "K-0001",
            "title=Heron, asleep",
            ["title", "Heron, standing", "Heron, asleep"],
            "asleep (",
        ),
        ("Y-0002", "born=1931", ["born", "not recorded", "1931"], "born 1931 (corrected)"),
        ("M-0001", "place=rack 3", ["place", "not recorded", "rack 3"], "rack 3 (corrected)"),
        ("H-0001", "crucible=A60", ["crucible", "not recorded", "A60"], "A60 (corrected)"),
    ],
)
def test_every_kind_of_subject_tells_its_corrections(
    call: Call, shop: Shop, words: str, change: str, told: list[str], marked: str
) -> None:
    done = call("correct", f"{words}#1", change, "--reason", "slip")
    assert done.exit_code == 0, done.stderr
    text = show(call, words)
    assert rows_of(text, "corrections")[0][1:4] == told
    assert marked in text


def test_a_line_of_a_table_is_marked_in_the_cell_that_differs(
    call: Call, registry: Registry, shop: Shop
) -> None:
    call(*MEASURED)
    at = place(registry, "T-0102")
    call("correct", f"T-0102#{at}", "stations=height=452mm/with", "--reason", "slip")
    assert rows_of(show(call, "T-0102"), "measured") == [
        ["height", "452 mm (corrected)", "with base"]
    ]


def test_a_field_corrected_twice_tells_each_step(
    call: Call, registry: Registry, weighed: int
) -> None:
    call("correct", f"T-0102#{weighed}", "mass=12.5kg", "--reason", "weighed anew")
    rows = rows_of(show(call, "T-0102"), "corrections")
    assert [row[2:4] for row in rows] == [["12.4 kg", "12.6 kg"], ["12.6 kg", "12.5 kg"]]
    line = rows_of(show(call, "T-0102"), "history")[weighed - 1][3]
    assert line.endswith(f"(corrected, see #{weighed + 1}, #{weighed + 2})")


def test_a_held_field_is_told_by_name_and_its_values_only_when_asked_for(
    call: Call, registry: Registry, shop: Shop
) -> None:
    call("correct", f"{shop.work}#1", "note=first word", "--reason", "slip")
    call("correct", f"{shop.work}#1", "note=second word", "--reason", "slip")
    for words in ((), ("--json",)):
        plain = show(call, shop.work, *words)
        assert "word" not in plain.replace("words", "")
    rows = rows_of(show(call, shop.work), "corrections")
    assert [row[1:4] for row in rows] == [["note", "held", "held"]] * 2
    assert "note (held)" in rows_of(show(call, shop.work), "history")[1][3]
    asked = rows_of(show(call, shop.work, "--held"), "corrections")
    assert [row[2:4] for row in asked] == [
        ["not recorded", "first word"], ["first word", "second word"],
    ]  # fmt: skip


def test_a_value_that_was_erased_is_told_as_erased(
    call: Call, registry: Registry, shop: Shop
) -> None:
    call("correct", f"{shop.work}#1", "note=a name that must go", "--reason", "slip")
    with registry.reading() as reading:
        leaf = reading.history(shop.work)[0][0].leaf.hex()
    with registry.writing() as w:
        erase_field(w, leaf, "note", authority=shop.artist, because="request")
    assert rows_of(show(call, shop.work, "--held"), "corrections")[0][2:4] == ["erased", "erased"]
    sealed = {row[0]: row[1] for row in rows_of(show(call, leaf), "held")}
    assert sealed["note"] == "erased"


def test_a_reason_that_was_not_given_or_is_gone_is_told_as_that(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        correct_entry(w, f"{shop.work}#1", {"year": "1988"})
        (second,) = correct_entry(w, f"{shop.work}#1", {"year": "1989"}, reason="told by A. Q.")
    assert [row[6] for row in rows_of(show(call, shop.work), "corrections")] == ["", "held"]
    with registry.writing() as w:
        erase_field(w, second.leaf, "reason", authority=shop.artist, because="request")
    for words in ((), ("--held",)):
        rows = rows_of(show(call, shop.work, *words), "corrections")
        assert [row[6] for row in rows] == ["", "erased"]


def test_a_defect_whose_name_alone_was_wrong_tells_its_name_alone(
    call: Call, registry: Registry, shop: Shop
) -> None:
    assert call("piece", "defect", "T-0102", "misrun").exit_code == 0
    at = place(registry, "T-0102")
    done = call("correct", f"T-0102#{at}", "name=runout", "--reason", "looked again")
    assert done.exit_code == 0, done.stderr
    told = rows_of(show(call, "T-0102"), "corrections")
    assert [row[1:4] for row in told] == [["name", "misrun", "runout"]]


def test_a_subject_never_corrected_has_no_word_of_it(call: Call, shop: Shop) -> None:
    text = show(call, "T-0102")
    assert rows_of(text, "corrections") == []
    assert "corrected" not in text


def test_corrections_are_json_when_asked(call: Call, weighed: int) -> None:
    value = json.loads(show(call, "T-0102", "--json"))
    (one,) = value["corrections"]
    assert (one["field"], one["was"], one["now"]) == (
        "mass", {"value": "12.4", "unit": "kg"}, {"value": "12.6", "unit": "kg"},
    )  # fmt: skip
    assert one["entry"] == value["history"][weighed - 1]["leaf"]
    assert "corrected_since" not in value


def test_a_certificate_tells_what_was_corrected_since_it_was_issued(
    call: Call, registry: Registry, shop: Shop, weighed: int
) -> None:
    number = certified(registry, shop)
    words = ("certificate", "show", number)
    assert rows_of(call(*words).stdout, "corrected since it was issued") == []
    call("correct", f"T-0102#{weighed}", "mass=12.5kg", "--reason", "weighed anew")
    call("correct", f"{shop.work}#1", "title=Heron, asleep", "--reason", "slip")
    text = call(*words).stdout
    assert rows_of(text, "standing") == [["stands; corrected since it was issued: mass, title"]]
    mass, title = rows_of(text, "corrected since it was issued")
    assert mass[:3] == ["mass of the cast", "12.6 kg", "12.5 kg"]
    assert title[:3] == ["title of the work", "Heron, standing", "Heron, asleep"]
    assert mass[4:] == ["Y-0001", str(registry_size(registry) - 2)]
    facts = json.loads(call(*words, "--json").stdout)["corrected_since"]
    assert [fact["fact"] for fact in facts] == ["mass", "title"]


def test_a_reservation_is_shown_as_one_and_lapses_in_its_own_words(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "5/8")
    (paper,) = reserve(registry, shop.run, "5/8", passphrase=builders.PASSPHRASE)
    text = call("certificate", "show", paper.number).stdout
    assert text.splitlines()[0].endswith("reservation of a number; not a certificate")
    assert rows_of(show(call, shop.run), "papers")[0][1:] == ["reservation", "5/8", "stands"]
    with registry.writing() as w:
        end_promise(w, shop.run, "5/8", on="2026-01-05")
    text = call("certificate", "show", paper.number).stdout
    assert rows_of(text, "standing") == [["lapsed: the number was released on 2026-01-05"]]
    assert rows_of(show(call, shop.run), "papers")[0][3] == "lapsed"


def test_a_cast_made_after_the_artists_death_is_shown_as_posthumous(
    call: Call, registry: Registry, shop: Shop
) -> None:
    assert rows_of(show(call, "T-0102"), "posthumous") == []
    number = certified(registry, shop)
    call("correct", f"{shop.artist}#1", "died=2009", "--reason", "told by the estate")
    assert rows_of(show(call, "T-0102"), "posthumous") == [
        ["cast after the death of Ilse Varga, 2009"]
    ]
    # The paper was issued before the book knew; it says what was corrected since.
    assert rows_of(show(call, number), "posthumous") == []
    assert rows_of(show(call, number), "corrected since it was issued")[0][:3] == [
        "life dates of the artist", "not recorded", "died 2009",
    ]  # fmt: skip


def test_a_certificate_number_typed_in_groups_needs_no_quotes(
    call: Call, registry: Registry, shop: Shop
) -> None:
    number = certified(registry, shop)
    text = show(call, number[:4], number[4:8].lower(), number[8:])
    assert text.startswith(f"{number[:4]} {number[4:8]} {number[8:]}\t")


def test_on_a_terminal_corrections_stand_in_a_table(
    at_terminal: Callable[..., Shown], call: Call, weighed: int
) -> None:
    text = at_terminal("show", "T-0102").text
    assert "corrections" in text
    assert "12.4 kg" in text
