"""``bronzebook certify`` and ``certificate``: issuing, reserving, withdrawing, replacing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.asking import take_reply
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.numbers import promise_number
from editions.registry.acts.pieces import release_piece
from editions.trade.certificates import Certificate
from editions.trade.numbers import make_number, show_number
from tests.certificates import asked
from tests.cli.conftest import Call, Shop, Shown
from tests.helpers.chance import Chance
from tests.registry import builders
from tests.registry.builders import PASSPHRASE, state

LOST = ("--because", "lost")


@pytest.fixture
def secret(tmp_path: Path) -> str:
    """A file whose first line is the passphrase."""
    path = tmp_path / "word"
    path.write_text(f"{PASSPHRASE}\nand a line that says nothing\n")
    return str(path)


@pytest.fixture
def ready(registry: Registry, shop: Shop) -> str:
    """The tag of a piece that is fit for a certificate."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    return "T-0102"


def issued(call: Call, *words: str) -> list[dict[str, str]]:
    """What a command that draws papers printed as JSON."""
    done = call(*words, "--json")
    assert done.exit_code == 0, done.output
    rows: list[dict[str, str]] = json.loads(done.stdout)
    return rows


def plain(number: str) -> str:
    return number.replace(" ", "")


def test_a_piece_is_certified_by_its_tag(call: Call, ready: str, secret: str) -> None:
    done = call("certify", ready, "--passphrase-file", secret)
    assert done.exit_code == 0, done.output
    number, designation, code, path = done.stdout.rstrip("\n").split("\t")
    assert (designation, code) == ("3/8", "P-0002")
    assert Path(path).name == f"{plain(number)}.pdf"
    assert call("verify", path).exit_code == 0


def test_all_of_a_run_that_are_ready_are_certified_and_no_other(
    call: Call, registry: Registry, shop: Shop, ready: str, secret: str
) -> None:
    more = builders.a_piece(registry, shop.run, to="approved in colour", number="4/8")
    made = issued(
        call, "certify", "--run", shop.run, "--page", "letter", "--passphrase-file", secret
    )
    assert {one["for"] for one in made} == {shop.numbered, more}
    assert state(registry, plain(made[0]["certificate"])).page == "letter"
    again = call("certify", "--run", shop.run, "--passphrase-file", secret)
    assert again.exit_code == 6
    assert "is ready for a certificate" in again.stderr


def test_with_nothing_named_what_was_left_is_drawn(
    call: Call, registry: Registry, ready: str, secret: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("certificates.issue.write_once", full)
        stopped = call("certify", ready, "--passphrase-file", secret)
    assert (stopped.exit_code, stopped.stdout) == (10, "")
    assert "The disk is full" in stopped.stderr
    (one,) = issued(call, "certify", "--passphrase-file", secret)
    assert one["for"] == "P-0002"
    nothing = call("certify", "--passphrase-file", secret)
    assert (nothing.exit_code, nothing.stdout) == (0, "")
    assert nothing.stderr == "Nothing was waiting to be drawn.\n"


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (["T-0101"], 6, "has no number of R-0001"),
        (["T-0102", "--run", "R-0001"], 2, "Both pieces and a run"),
        (["T-0102", "T-0102"], 2, "named twice"),
        (["T-0999"], 4, "T-0999"),
        (["--run", "R-0099"], 4, "R-0099"),
        (["T-0102", "--page", "A5"], 2, "A5"),
    ],
)
def test_what_cannot_be_certified_is_refused(
    call: Call,
    registry: Registry,
    ready: str,
    secret: str,
    words: list[str],
    status: int,
    said: str,
) -> None:
    done = call("certify", *words, "--passphrase-file", secret)
    assert (done.exit_code, done.stdout) == (status, "")
    assert said in done.stderr
    with registry.reading() as reading:
        assert reading.all_of(Certificate) == ()


def test_a_piece_not_approved_in_colour_is_refused(
    call: Call, registry: Registry, shop: Shop, secret: str
) -> None:
    done = call("certify", "T-0102", "--passphrase-file", secret)
    assert (done.exit_code, done.stdout) == (6, "")
    assert "is not approved in colour" in done.stderr


def test_a_wrong_passphrase_and_none_at_all_write_nothing(
    call: Call, registry: Registry, ready: str, tmp_path: Path
) -> None:
    (tmp_path / "wrong").write_text("found wax, lost bronze\n")
    for words in (["--passphrase-file", str(tmp_path / "wrong")], []):
        done = call("certify", ready, *words)
        assert done.exit_code == 8
        assert "passphrase" in done.stderr
    gone = call("certify", ready, "--passphrase-file", str(tmp_path / "gone"))
    assert gone.exit_code == 9
    with registry.reading() as reading:
        assert reading.all_of(Certificate) == ()


def test_raw_metal_is_said_on_the_paper(
    call: Call, registry: Registry, shop: Shop, secret: str
) -> None:
    piece = builders.a_piece(registry, shop.run, to="approved in metal", number="5/8")
    with registry.writing() as w:
        release_piece(w, piece, state="raw metal")
    (one,) = issued(call, "certify", piece, "--raw-metal", "--passphrase-file", secret)
    assert state(registry, plain(one["certificate"])).statement.paper == "raw_metal"


def test_a_number_is_reserved_and_withdrawn(
    call: Call, registry: Registry, shop: Shop, secret: str
) -> None:
    words = ("certificate", "reserve", shop.run, "6 of 8", "--passphrase-file", secret)
    assert call(*words).exit_code == 6
    with registry.writing() as w:
        promise_number(w, shop.run, "6/8", held_for="sale")
    (one,) = issued(call, *words)
    number = plain(one["certificate"])
    assert state(registry, number).statement.paper == "reservation"
    done = call("certificate", "withdraw", one["certificate"], "--because", "surrendered",
                "--reason", "the buyer went to sea")  # fmt: skip
    assert done.exit_code == 0, done.output
    assert done.stderr == f"Reservation {show_number(number)} is withdrawn.\n"
    shown = call("certificate", "show", number)
    assert shown.exit_code == 0
    assert "withdrawn" in shown.stdout
    assert "sea" not in shown.stdout
    again = call("certificate", "withdraw", number, "--because", "error")
    assert again.exit_code == 6
    assert f"Reservation {show_number(number)} was withdrawn" in again.stderr


def test_a_reservation_whose_number_is_released_lapses(
    call: Call, registry: Registry, shop: Shop, secret: str
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "6/8")
    (one,) = issued(call, "certificate", "reserve", shop.run, "6/8", "--passphrase-file", secret)
    number = plain(one["certificate"])
    done = call("number", "unpromise", shop.run, "6/8", "--reason", "the buyer withdrew")
    assert done.exit_code == 0
    assert f"Reservation {show_number(number)} lapses with the promise" in done.stderr
    assert state(registry, number).standing == "lapsed"
    shown = call("certificate", "show", number).stdout
    assert "lapsed: the number was released on" in shown
    verified = call("verify", number)
    assert verified.exit_code == 3
    assert "lapsed" in verified.stdout
    assert call("certificate", "replace", number, *LOST, "--passphrase-file", secret).exit_code == 6
    assert call("certificate", "withdraw", number, "--because", "error").exit_code == 6


def test_a_lost_certificate_is_replaced(
    call: Call, registry: Registry, ready: str, secret: str
) -> None:
    (lost,) = issued(call, "certify", ready, "--passphrase-file", secret)
    (heir,) = issued(call, "certificate", "replace", lost["certificate"].lower(), *LOST,
                     "--passphrase-file", secret)  # fmt: skip
    assert state(registry, plain(lost["certificate"])).replaced_by == plain(heir["certificate"])
    assert "because lost" in call("show", ready).stdout
    assert call("verify", lost["certificate"]).exit_code == 3
    assert call("verify", heir["certificate"]).exit_code == 0
    both = call("verify", "3/8", "--work", "heron", "--json")
    assert both.exit_code == 0
    assert len(json.loads(both.stdout)) == 2


def test_a_replacement_that_waits_for_a_signature_is_told_by_its_number(
    call: Call, registry: Registry, secret: str
) -> None:
    asked.admit(registry)
    number = asked.pending(registry)
    refused = call("certificate", "replace", number, *LOST, "--passphrase-file", secret)
    assert refused.exit_code == 6
    assert "has no paper that could be lost" in refused.stderr
    take_reply(registry, asked.replied(registry, number))
    asked.drawn(registry)
    done = call("certificate", "replace", number, *LOST, "--passphrase-file", secret)
    assert done.exit_code == 0, done.output
    new = state(registry, number).replaced_by
    assert f"is replaced by {show_number(new)}" in done.stderr
    assert f"Waits for the signature of {asked.NAME}: {show_number(new)}" in done.stderr
    assert "Nothing was waiting" not in done.stderr
    assert "pending: this certificate is issued" in call("certificate", "show", new).stdout


@pytest.mark.parametrize(
    "command", [["withdraw", "--because", "error"], ["replace", *LOST], ["show"]]
)
def test_a_number_that_is_none_or_not_here_is_told(
    call: Call, secret: str, command: list[str]
) -> None:
    name, *rest = command
    more = ["--passphrase-file", secret] if name == "replace" else []
    for number in ("12345", "0123 4567 89B", "0000000000*", ""):
        assert call("certificate", name, number, *rest, *more).exit_code == 2
    unknown = show_number(make_number(Chance("nobody's")))
    assert call("certificate", name, unknown, *rest, *more).exit_code == 4


def test_on_a_terminal_what_cannot_be_taken_back_is_asked_first(
    call: Call, registry: Registry, ready: str, secret: str, at_terminal: Callable[..., Shown]
) -> None:
    (one,) = issued(call, "certify", ready, "--passphrase-file", secret)
    number = plain(one["certificate"])
    words = ("certificate", "withdraw", number, "--because", "error")
    refused = at_terminal(*words, answers="n\n")
    assert "Withdraw certificate" in refused.text
    assert refused.status == 130
    assert state(registry, number).standing == "stands"
    assert at_terminal(*words, answers="y\n").status == 0
    assert state(registry, number).because == "issued in error"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "--because"),
        (("--because", "eaten"), "lost, stolen, spoilt"),
        (("--because",), "--because"),
    ],
)
def test_a_paper_is_replaced_only_where_it_is_said_what_became_of_it(
    call: Call, registry: Registry, ready: str, secret: str, words: tuple[str, ...], says: str
) -> None:
    (made,) = issued(call, "certify", ready, "--passphrase-file", secret)
    done = call("certificate", "replace", made["certificate"], "--passphrase-file", secret, *words)
    assert done.exit_code == 2
    assert says in done.stderr
    assert state(registry, plain(made["certificate"])).standing == "stands"
