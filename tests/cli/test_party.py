"""``bronzebook party``: artists, estates, hands; authority and death."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import a_party, state


def test_an_artist_is_added_in_one_line(call: Call, registry: Registry) -> None:
    done = call(
        "party", "add", "artist", "--name", "Maren Oduya", "--born", "1958", "--code", "Y-MO"
    )
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith("Y-MO  party entered  artist, Maren Oduya  2")
    assert state(registry, "Y-MO").life == "born 1958"


def test_a_hands_name_is_not_printed_and_not_shown(call: Call, registry: Registry) -> None:
    done = call("party", "add", "hand", "--name", "Tomas Brandl", "--json")
    (entry,) = json.loads(done.stdout)
    assert entry["kind"] == "party_entered"
    assert "Brandl" not in done.output
    assert state(registry, entry["code"]).name is None


def test_several_roles_are_one_party(call: Call, registry: Registry) -> None:
    done = call(
        "party", "add", "mold-maker", "patineur", "--private-name", "O. R.", "--code", "Y-1"
    )
    assert done.exit_code == 0
    assert state(registry, "Y-1").roles == ("mold maker", "patineur")


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["sculptor", "--name", "X"], 2, "not a role"),
        (["artist", "Maren Oduya"], 2, "A name goes with --name."),
        (["mould-makr", "--name", "X"], 2, "Did you mean mold-maker?"),
        (["artist"], 2, "--name is missing"),
        ([], 2, "ROLE is missing"),
        (["artist", "--name", "Maren", "--born", "1.2.58"], 2, "two orders"),
        (["artist", "--name", "Maren", "--born", "1958", "--died", "1950"], 6, "life cannot end"),
        (["artist", "--name", "Ma\x1bren"], 2, "control character"),
        (["artist", "--name", "Maren", "--code", "Y-0002"], 6, "already in the book"),
        (["artist", "--name", "Maren", "--code", "P-0007"], 2, "code of a party"),
    ],
)
def test_a_party_that_cannot_be_added_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("party", "add", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_what_is_missing_is_asked_on_a_terminal(
    at_terminal: Callable[..., Shown], registry: Registry
) -> None:
    shown = at_terminal("party", "add", "--code", "Y-0100", answers="\nMaren Oduya\n")
    assert shown.status == 0
    assert "Which role [artist]: " in shown.text
    assert state(registry, "Y-0100").name == "Maren Oduya"


def test_a_death_needs_its_date(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("party", "died", shop.artist)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "--on is missing" in done.stderr
    done = call("party", "died", shop.artist, "--on", "2024-05~", "--source", "the heirs' letter")
    assert done.exit_code == 0
    assert state(registry, shop.artist).died == "2024-05~"


def test_a_death_on_a_terminal_is_asked_for_the_newest_artist(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("party", "died", answers="\nsoon\n2024\n")
    assert f"Which artist [{shop.artist}]: " in shown.text
    assert "not a date" in shown.text
    assert state(registry, shop.artist).died == "2024"


def test_an_authority_is_entered_with_its_paper(call: Call, registry: Registry, shop: Shop) -> None:
    estate = a_party(registry, "estate")
    done = call(
        "party", "authority", estate, "--for", shop.artist, "--as", "Representative",
        "--document", "letter of 3 May 2025", "--from", "2025-05-03", "--until", "2030",
    )  # fmt: skip
    assert done.exit_code == 0
    assert f"representative for {shop.artist}" in done.stdout
    (held,) = state(registry, estate).authorities
    assert (held.document, held.begins, held.until) == (
        "letter of 3 May 2025",
        "2025-05-03",
        "2030",
    )


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["Y-0001", "--as", "heirs", "--document", "will"], 2, "--for is missing"),
        (["Y-0001", "--for", "Y-0002", "--document", "will"], 2, "--as is missing"),
        (["Y-0001", "--for", "Y-0002", "--as", "heirs"], 2, "--document is missing"),
        (["Y-0001", "--for", "Y-0002", "--as", "cousin", "--document", "w"], 2, "not a capacity"),
        (["Y-0001", "--for", "Y-0001", "--as", "heirs", "--document", "w"], 6, "not an artist"),
        (["Y-0099", "--for", "Y-0002", "--as", "heirs", "--document", "w"], 4, "No party Y-0099"),
    ],
)
def test_an_authority_that_cannot_be_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("party", "authority", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_a_role_mistyped_is_asked_for_again(
    registry: Registry, at_terminal: Callable[..., Shown], call: Call
) -> None:
    shown = at_terminal("party", "add", answers="artst\nartist, patineur\nOtto Lind\n")
    assert "Did you mean artist?" in shown.text
    assert shown.status == 0
    assert state(registry, "Y-0003").roles == ("artist", "patineur")
