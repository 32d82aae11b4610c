"""``find``: by words in names, titles and marks."""

from __future__ import annotations

import json

import pytest

from certificates.issue import issue, replace_lost, reserve
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import give_number, promise_number
from tests.cli.conftest import Call, Shop
from tests.registry import builders


@pytest.fixture
def papers(registry: Registry, shop: Shop) -> tuple[str, str]:
    """A certificate that was replaced, and the one that replaced it."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    (first,) = issue(registry, [shop.numbered], passphrase=builders.PASSPHRASE)
    (second,) = replace_lost(registry, first.number, passphrase=builders.PASSPHRASE)
    return first.number, second.number


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (["ilse", "heron"], {"K-0001", "R-0001", "P-0001", "P-0002", "P-0003", "D-0001"}),
        (["varga", "3/8"], {"P-0002"}),
        (["HERON", "varga", "t-0101"], {"P-0001"}),
        (["kiln"], {"Y-0001"}),
    ],
)
def test_words_lead_to_whatever_belongs_to_what_bears_them(
    call: Call, registry: Registry, words: list[str], codes: set[str]
) -> None:
    with registry.writing() as w:
        record_mark(w, "T-0102", "3/8")
        record_mark(w, "T-0101", "T-0101")
    result = call("find", *words)
    assert result.exit_code == 0, result.stderr
    assert {line.split("\t")[0] for line in result.stdout.splitlines()} == codes


@pytest.mark.parametrize(
    "words", [["heron", "3/8"], ["3/8"], ["varga", "3 of 8"], ["heron", "No. 3/8"]]
)
def test_a_cast_is_found_by_the_number_it_was_given(call: Call, words: list[str]) -> None:
    result = call("find", *words)
    assert result.exit_code == 0, result.stderr
    assert [line.split("\t")[0] for line in result.stdout.splitlines()] == ["P-0002"]


@pytest.mark.parametrize("words", [["heron", "ap", "I/IV"], ["AP I/IV"], ["heron", "i/iv"]])
def test_an_artists_proof_is_found_by_its_number(
    call: Call, registry: Registry, shop: Shop, words: list[str]
) -> None:
    with registry.writing() as w:
        give_number(w, "T-0101", "AP I/IV")
    result = call("find", *words)
    assert result.exit_code == 0, result.stderr
    assert [line.split("\t")[0] for line in result.stdout.splitlines()] == ["P-0001"]


@pytest.mark.parametrize("words", [["heron", "4/8"], ["3/9"], ["/8"], ["3"], ["hero", "13/8"]])
def test_a_number_that_no_cast_bears_finds_none(call: Call, words: list[str]) -> None:
    assert call("find", *words).exit_code == 4


def test_what_is_found_says_what_it_is_of(call: Call) -> None:
    found = json.loads(call("find", "heron", "--json").stdout)
    piece = next(one for one in found if one["code"] == "P-0002")
    assert piece == {
        "code": "P-0002", "what": "piece", "title": "3/8",
        "of": "run of 8 + 4 AP, Heron, standing, Ilse Varga",
    }  # fmt: skip
    assert [one["what"] for one in found][:3] == ["work", "model", "run"]


def test_a_certificate_is_found_by_its_work(call: Call, papers: tuple[str, str]) -> None:
    codes = [line.split("\t")[0] for line in call("find", "heron").stdout.splitlines()]
    assert set(papers) <= set(codes)


def test_a_reservation_is_found_as_a_reservation(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "5/8")
    (paper,) = reserve(registry, shop.run, "5/8", passphrase=builders.PASSPHRASE)
    rows = [line.split("\t") for line in call("find", "heron").stdout.splitlines()]
    assert [row[1] for row in rows if row[0] == paper.number] == ["reservation"]


@pytest.mark.parametrize("words", [["nobody"], ["heron", "nobody"], ["%"], ["_"], [" "]])
def test_words_that_lead_nowhere_are_answered_plainly(call: Call, words: list[str]) -> None:
    result = call("find", *words)
    assert result.exit_code == 4
    assert result.stdout == ""
    assert result.stderr.startswith("Nothing in this book answers to ")


def test_more_than_a_page_of_finds_is_cut_and_said(
    call: Call, registry: Registry, shop: Shop
) -> None:
    from editions.registry.acts.works import enter_work

    with registry.writing() as w:
        for number in range(205):
            enter_work(w, shop.artist, f"Study {number}")
    result = call("find", "study")
    assert len(result.stdout.splitlines()) == 200
    assert "5 more answer" in result.stderr
