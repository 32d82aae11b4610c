"""``waiting``: what waits, for whom, a line each."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from certificates.issue import issue, replace_lost
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
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


def rows(call: Call, *words: str) -> list[list[str]]:
    """What the command prints, a list a line."""
    return [line.split("\t") for line in call("waiting", *words).stdout.splitlines()]


def test_what_waits_is_told_by_whose_turn_it_is_a_line_each(call: Call, shop: Shop) -> None:
    artist, found = f"{shop.artist} Ilse Varga", rows(call)
    metal = "approval in metal, once metal-chased"
    assert [artist, shop.poured, "T-0101, Heron, standing", metal] in found
    coloured = [artist, shop.numbered, "T-0102, 3/8, Heron, standing", "approval in colour"]
    assert coloured in found
    assert ["The foundry", shop.wax, "wax of body", "the word whether it is accepted"] in found
    assert found == sorted(found, key=lambda row: row[0] == "The foundry")
    turns = [(row[0], row[1]) for row in found]
    assert len(set(turns)) == len(turns)


def test_the_next_step_of_a_piece_is_told_as_it_goes_along(call: Call, shop: Shop) -> None:
    def next_of() -> str:
        return next(row[3] for row in rows(call, "--for", "foundry") if row[1] == shop.started)

    assert next_of() == "a wax; its number"
    call("piece", "take", "T-0103", shop.wax)
    assert next_of() == "wax chasing; its number"
    call("step", "gated", "T-0103")
    assert next_of() == "shelling; its number"
    call("step", "shelled", "T-0103")
    assert next_of() == "coat 2; its number"


@pytest.mark.parametrize("whom", ["Y-0002", "y-0002", "Ilse Varga", "varga", "ILSE  varga"])
def test_what_waits_for_one_is_told_by_code_or_name(call: Call, shop: Shop, whom: str) -> None:
    value = json.loads(call("waiting", "--for", whom, "--json").stdout)
    assert {one["whose"] for one in value} == {shop.artist}
    assert {one["code"] for one in value} == {shop.poured, shop.numbered}


@pytest.mark.parametrize(
    "words", [["--for", "varga,foundry"], ["--for", "varga", "--for", "Foundry"]]
)
def test_what_waits_for_several_is_told_at_once(call: Call, shop: Shop, words: list[str]) -> None:
    assert {row[0] for row in rows(call, *words)} == {f"{shop.artist} Ilse Varga", "The foundry"}


def test_the_foundrys_own_code_means_the_foundry(call: Call) -> None:
    assert rows(call, "--for", "Y-0001") == rows(call, "--for", "foundry") != []


def test_a_patineur_by_name_means_whatever_waits_for_the_patineur(
    call: Call, registry: Registry, shop: Shop
) -> None:
    builders.a_party(registry, "patineur", name="Bruno Salt")
    builders.a_piece(registry, shop.run, to="approved in metal", mold=shop.mold, tag="T-0104")
    assert [row[2] for row in rows(call, "--for", "Bruno Salt")] == ["T-0104, Heron, standing"]


@pytest.mark.parametrize(
    ("whom", "status", "says"),
    [
        ("nobody", 4, "Say foundry, laboratory, patineur, or a party's code or name."),
        ("foundary", 4, "The nearest: foundry"),
        ("ilse vargo", 4, "Ilse Varga"),
        ("Y-0011", 4, "The nearest: Y-0001"),
        ("T-0101", 4, "Nobody called “T-0101” is in this book."),
        ("some", 2, "names several: Y-0003 Some patineur, Y-0004 Some witness"),
    ],
)
def test_a_name_that_is_nobodys_is_answered_with_the_nearest(
    call: Call, registry: Registry, whom: str, status: int, says: str
) -> None:
    builders.a_party(registry, "patineur")
    builders.a_party(registry, "patineur", name="Some witness")
    done = call("waiting", "--for", whom)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_one_for_whom_nothing_waits_is_told_so(call: Call, registry: Registry) -> None:
    builders.an_artist(registry, "Otto Lind")
    done = call("waiting", "--for", "Otto Lind")
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == "Nothing waits for Otto Lind.\n"


def test_an_analysis_that_the_run_asks_for_waits_for_the_laboratory(
    call: Call, registry: Registry, shop: Shop
) -> None:
    run = builders.a_run(registry, shop.work, alloy="C87300", needs=["analysis"])
    builders.a_heat(registry, *(builders.a_piece(registry, run, to="fired") for _ in range(2)))
    (row,) = rows(call, "--for", "laboratory")
    assert row[3] == "its analysis"


def test_an_undrawn_certificate_and_an_unpoured_heat_wait(
    call: Call, registry: Registry, papers: tuple[str, str], book: Path
) -> None:
    builders.a_heat(registry, number="26-0777")
    assert any(row[2].startswith("heat 26-0777") and row[3] == "its pour" for row in rows(call))
    assert not any(row[1] in papers for row in rows(call))


def test_a_certificate_that_waits_for_a_signature_is_listed(
    call: Call, registry: Registry, shop: Shop
) -> None:
    run = builders.a_run(registry, shop.work, signers=[shop.artist])
    piece = builders.a_piece(registry, run, to="approved in colour", number="1/8")
    assert issue(registry, [piece], passphrase=builders.PASSPHRASE) == ()
    found = [row for row in rows(call, "--for", shop.artist) if row[3] == "a signature"]
    assert [row[2] for row in found] == ["1/8, Heron, standing"]
