"""``show`` of what was corrected, and of one entry by any of its names."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from certificates.issue import issue, reserve
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
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
    assert mass[:3] == [f"mass of {shop.numbered}", "12.6 kg", "12.5 kg"]
    assert title[:3] == [f"title of {shop.work}", "Heron, standing", "Heron, asleep"]
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
        f"life dates of {shop.artist}", "not recorded", "died 2009",
    ]  # fmt: skip


@pytest.fixture
def measured(call: Call, registry: Registry) -> tuple[int, str]:
    """The number and the digest of the entry that measured T-0102."""
    call(*MEASURED)
    with registry.reading() as reading:
        stored, _ = reading.history(reading.resolve("T-0102"))[-1]
    return stored.position, stored.leaf.hex()


def test_an_entry_is_shown_by_every_one_of_its_names(
    call: Call, registry: Registry, measured: tuple[int, str]
) -> None:
    number, leaf = measured
    names: list[tuple[str, ...]] = [
        ("entry", str(number)), ("leaf", str(number)), (f"#{number}",), ("Entry", f"#{number}"),
        (leaf,), (leaf[:8],), (leaf[:12].upper(),), (f"t-0102#{place(registry, 'T-0102')}",),
    ]  # fmt: skip
    texts = {show(call, *name) for name in names}
    assert len(texts) == 1
    assert texts.pop().startswith(f"entry {number}\tpiece measured\n")


def test_an_entry_tells_what_it_says_what_is_sealed_and_where_it_lies(
    call: Call, registry: Registry, shop: Shop, measured: tuple[int, str]
) -> None:
    number, leaf = measured
    text = show(call, "entry", str(number))
    assert rows_of(text, "of") == [[f"{shop.numbered} 3/8"]]
    assert rows_of(text, "by") == [["Y-0001 Kiln Lane Bronze"]]
    assert rows_of(text, "its digest (leaf)") == [[leaf]]
    assert rows_of(text, "facts")[-1] == ["mass", "12.4 kg"]
    assert rows_of(text, "in the book") == [[f"number {number} of {number + 1}, counted from 0"]]
    assert rows_of(text, "proved") == [
        [f"it lies in the book as signed (checkpoint) at {number + 1} entries"]
    ]
    assert rows_of(text, "witnessed")[0][0].startswith("by no paper yet")
    paper = certified(registry, shop)
    printed = f"{paper[:4]} {paper[4:8]} {paper[8:]}"
    witnessed = rows_of(show(call, leaf[:10]), "witnessed")
    assert witnessed == [[f"by the certificate {printed} and every paper drawn later"]]


def test_what_an_entry_holds_is_shown_as_sealed_and_never_told(
    call: Call, registry: Registry, shop: Shop
) -> None:
    from editions.registry.acts.parties import enter_party

    with registry.writing() as w:
        made = enter_party(w, "hand", private_name="Petra Lindqvist")
    for words in ((), ("--json",)):
        assert "Petra" not in show(call, "entry", str(made.position), *words)
    rows = rows_of(show(call, "entry", str(made.position)), "held")
    assert [row[:2] for row in rows] == [["private name", "held"], ["contact", "held"]]
    assert all(len(row[2]) == 64 for row in rows)
    asked = rows_of(show(call, "entry", str(made.position), "--held"), "held")
    assert [row[1] for row in asked] == ["Petra Lindqvist", "not recorded"]
    value = json.loads(show(call, "entry", str(made.position), "--json", "--held"))
    assert value["held_values"]["private_name"] == "Petra Lindqvist"


def test_an_entry_tells_what_corrects_it(call: Call, registry: Registry, weighed: int) -> None:
    text = show(call, f"T-0102#{weighed}")
    assert rows_of(text, "corrected since")[0][:3] == ["mass", "12.4 kg", "12.6 kg"]
    assert rows_of(text, "facts")[-1] == ["mass", "12.4 kg"]
    value = json.loads(show(call, f"T-0102#{weighed}", "--json"))
    assert (value["kind"], value["facts"]["mass"]["value"]) == ("piece_measured", "12.4")
    assert [one["field"] for one in value["corrections"]] == ["mass"]
    assert set(value["held"]) == set()


def test_an_entry_of_a_declaration_is_told_in_full(call: Call, shop: Shop) -> None:
    facts = rows_of(show(call, f"{shop.run}#1"), "facts")
    assert ["declared: work", shop.work] in facts
    assert ["declared: size", "8"] in facts
    assert ["declared: proofs", "series: AP; count: 4; numerals: roman"] in facts


def test_the_entry_that_issued_a_reservation_does_not_call_it_a_certificate(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "5/8")
    (paper,) = reserve(registry, shop.run, "5/8", passphrase=builders.PASSPHRASE)
    text = show(call, f"{paper.number}#1")
    assert text.splitlines()[0].endswith("\treservation issued, 5/8")
    assert ["statement: paper", "reservation"] in rows_of(text, "facts")
    (line,) = [row for row in rows_of(show(call, shop.run), "history") if paper.number in row[3]]
    assert line[3] == f"{paper.number} reservation issued, 5/8: run {shop.run}"
    assert [row[3] for row in rows_of(show(call, paper.number), "history")][1].startswith(
        "paper drawn: file "
    )


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["entry", "9999"], 4, "it has no entry 9999"),
        (["#9999"], 4, "numbered from 0"),
        (["T-0102#99"], 4, "there is no P-0002#99"),
        (["T-9999#1"], 4, "T-9999"),
        (["00000000"], 4, "No entry has a leaf that begins 00000000"),
        (["abcdef"], 4, "Nothing in this book answers to “abcdef”"),
        (["entry", "-1"], 2, ""),
        (["entry", "x"], 4, "Nothing in this book"),
        ([], 2, "CODE"),
    ],
)
def test_what_names_no_entry_is_said(call: Call, words: list[str], status: int, says: str) -> None:
    done = call("show", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


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
