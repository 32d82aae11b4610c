"""``show`` of one entry, by any of its names."""

from __future__ import annotations

import json

import pytest

from certificates.issue import reserve
from editions.cli.showing.entry import entry
from editions.registry import Registry
from editions.registry.acts.numbers import promise_number
from editions.registry.acts.parties import enter_party
from tests.cli.conftest import Call, Shop
from tests.cli.test_show_corrections import MEASURED, certified, place, rows_of, show
from tests.registry import builders


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


def test_an_entry_that_is_not_sealed_yet_says_why_it_is_not_proved(
    registry: Registry, shop: Shop
) -> None:
    with registry.writing(rehearse=True) as w:
        made = enter_party(w, "hand", private_name="Petra Lindqvist")
        told = dict(entry(w, w.entry_at(made.position)).pairs)
    assert told["proved"] == "no: The book has no checkpoint that covers this entry."


def test_an_entry_tells_what_corrects_it(call: Call, measured: tuple[int, str]) -> None:
    name = f"#{measured[0]}"
    call("correct", name, "mass=12.6kg", "--reason", "read the wrong scale")
    text = show(call, name)
    assert rows_of(text, "corrected since")[0][:3] == ["mass", "12.4 kg", "12.6 kg"]
    assert rows_of(text, "facts")[-1] == ["mass", "12.4 kg"]
    value = json.loads(show(call, name, "--json"))
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
