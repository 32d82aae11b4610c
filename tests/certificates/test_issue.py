"""Tests of the issuing protocol: stopped anywhere and run again it gives the same paper, once."""

from __future__ import annotations

import hashlib
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
import rfc8785

from certificates import issue as issuing
from certificates.attach import read_attachments
from certificates.claim import peek_claim
from certificates.issue import draw_waiting, eligible, issue, replace_lost, reserve, withdraw
from editions.errors import Contradiction, KeyUnusable, NotKnown, Refused
from editions.ledger.keys import PrivateKey, unlock_private
from editions.ledger.tree import leaf_hash
from editions.registry import Registry, opening
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import promise_number
from editions.registry.acts.pieces import register_cast, release_piece, scrap_piece
from editions.registry.auditing import audit
from editions.trade.certificates import Certificate
from editions.trade.pieces import Piece
from tests.certificates import house
from tests.certificates.house import PASSPHRASE, PIECE, RUN, certify
from tests.registry.builders import state


class Stopped(Exception):
    """The power went."""


@pytest.fixture(scope="session")
def never_stopped(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The paper of a registry with the same clock and the same chance that nothing stopped."""
    folder = tmp_path_factory.mktemp("whole")
    registry = house.built(folder / "registry.db", folder)
    certify(registry)
    registry.close()
    return papers(registry)


def papers(registry: Registry) -> dict[str, bytes]:
    """Every file among the certificates, by name."""
    return {path.name: path.read_bytes() for path in registry.home.certificates.iterdir()}


def numbers(registry: Registry) -> list[str]:
    with registry.reading() as r:
        return [certificate.code for certificate in r.all_of(Certificate)]


def stop(*_: object, **__: object) -> None:
    raise Stopped


def stop_before_drawing(registry: Registry, patch: pytest.MonkeyPatch) -> None:
    patch.setattr("certificates.pdf.draw", stop)
    with pytest.raises(Stopped):
        certify(registry)
    assert house.kinds(registry)[-1] == "certificate_issued"
    assert papers(registry) == {}


def stop_before_keeping(registry: Registry, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(issuing, "write_once", stop)
    with pytest.raises(Stopped):
        certify(registry)
    assert papers(registry) == {}


def stop_before_entering(registry: Registry, patch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Stopped):
        certify(registry, progress=stop)
    assert len(papers(registry)) == 1


def stop_and_lose_the_paper(registry: Registry, patch: pytest.MonkeyPatch) -> None:
    stop_before_entering(registry, patch)
    for path in registry.home.certificates.iterdir():
        path.unlink()


@pytest.mark.parametrize(
    "interrupt",
    [stop_before_drawing, stop_before_keeping, stop_before_entering, stop_and_lose_the_paper],
)
def test_stopped_anywhere_and_run_again_it_gives_the_same_bytes_and_no_second_number(
    registry: Registry,
    never_stopped: dict[str, bytes],
    interrupt: Callable[[Registry, pytest.MonkeyPatch], None],
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        interrupt(registry, patch)
    (drawn,) = issue(registry, passphrase=PASSPHRASE)
    assert papers(registry) == never_stopped
    assert numbers(registry) == [drawn.number]
    assert house.kinds(registry)[-2:] == ["certificate_issued", "certificate_drawn"]
    assert issue(registry, passphrase=PASSPHRASE) == ()
    assert audit(registry).faults == ()


KILLED = """
import os, signal, sys
import certificates.pdf
from certificates.issue import issue
from editions.registry import open_registry

def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)

certificates.pdf.draw = die
issue(open_registry(sys.argv[1], home=sys.argv[2]), ["P-0001"], passphrase=sys.argv[3])
"""


def test_the_very_same_call_again_goes_on_where_it_was_stopped(registry: Registry) -> None:
    other = house.finished(registry, "4/8")
    with pytest.raises(Stopped):
        certify(registry, progress=stop)
    assert eligible(registry, RUN) == (PIECE, other)
    made = issue(registry, [PIECE, other], passphrase=PASSPHRASE)
    assert {one.code for one in made} == {PIECE, other}
    assert house.kinds(registry).count("certificate_issued") == 2
    assert eligible(registry, RUN) == ()
    with pytest.raises(Refused, match="stands"):
        issue(registry, [PIECE, other], passphrase=PASSPHRASE)


def test_killed_between_writing_and_drawing_the_next_run_goes_on(book: Registry) -> None:
    words = [sys.executable, "-c", KILLED, book.home.database, str(book.home.folder), PASSPHRASE]
    done = subprocess.run(words, check=False, cwd=Path(__file__).parents[2])
    assert done.returncode == -signal.SIGKILL
    (number,) = numbers(book)
    # What was killed had this machine's clock, so what goes on has it too.
    again = opening.open_registry(book.home.database, home=book.home.folder)
    (drawn,) = issue(again, passphrase=PASSPHRASE)
    assert drawn.number == number
    assert audit(again).faults == ()
    again.close()


def test_a_stopped_paper_keeps_its_size_though_the_next_run_asks_for_another(
    book: Registry,
) -> None:
    with pytest.raises(Stopped):
        certify(book, page="letter", progress=stop)
    before = papers(book)
    (drawn,) = issue(book, passphrase=PASSPHRASE, page="A4")
    assert papers(book) == before
    assert state(book, drawn.number).page == "letter"


def test_a_paper_that_is_not_ours_is_left_alone_and_nothing_is_entered(book: Registry) -> None:
    with pytest.raises(Stopped):
        certify(book, progress=stop)
    (path,) = book.home.certificates.iterdir()
    path.write_bytes(b"something else")
    before = house.size(book)
    with pytest.raises(Contradiction, match="is there already with other content"):
        issue(book, passphrase=PASSPHRASE)
    assert path.read_bytes() == b"something else"
    assert house.size(book) == before


def test_what_was_drawn_meanwhile_by_someone_else_is_not_entered_twice(book: Registry) -> None:
    def someone_else(_: int, __: int) -> None:
        draw_waiting(book, key)

    key = book.certifying_key(PASSPHRASE)
    certify(book, progress=someone_else)
    assert house.kinds(book).count("certificate_drawn") == 1


def test_a_batch_is_drawn_in_parts_and_progress_is_told(
    registry: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in ("4/8", "5/8"):
        house.finished(registry, number)
    monkeypatch.setattr(issuing, "_IN_ONE_WRITING", 2)
    told: list[tuple[int, int]] = []
    pieces = ["P-0001", "P-0002", "P-0003"]
    made = issue(registry, pieces, passphrase=PASSPHRASE, progress=lambda *at: told.append(at))
    assert told == [(1, 3), (2, 3), (3, 3)]
    assert sorted((one.code, one.designation) for one in made) == [
        ("P-0001", "3/8"), ("P-0002", "4/8"), ("P-0003", "5/8"),
    ]  # fmt: skip
    claims = [peek_claim(read_attachments(one.path.read_bytes())["claim.cose"])[0] for one in made]
    assert len({claim.size for claim in claims}) == 1
    assert len({claim.index for claim in claims}) == 3
    assert all(claim.index < claim.size for claim in claims)


def test_the_certifying_key_is_unlocked_once_for_a_batch(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    house.finished(book, "4/8")
    unlocked: list[str] = []

    def unlock(text: str, passphrase: str) -> PrivateKey:
        unlocked.append(passphrase)
        return unlock_private(text, passphrase)

    monkeypatch.setattr(opening, "unlock_private", unlock)
    assert len(issue(book, ["P-0001", "P-0002"], passphrase=PASSPHRASE)) == 2
    assert unlocked == [PASSPHRASE]


def test_a_wrong_passphrase_writes_nothing(registry: Registry) -> None:
    before = house.size(registry)
    with pytest.raises(KeyUnusable, match="passphrase"):
        issue(registry, [PIECE], passphrase="lost wax, lost bronze")
    assert (house.size(registry), papers(registry)) == (before, {})


@pytest.mark.parametrize(
    ("to", "why"),
    [
        ("fired", "not poured yet"),
        ("chased", "is not approved in metal"),
        ("approved in metal", "is not coloured"),
        ("coloured", "is not approved in colour"),
    ],
)
def test_one_unfit_piece_gives_the_whole_batch_up(book: Registry, to: str, why: str) -> None:
    unfit = house.finished(book, "4/8", to=to)
    before = house.size(book)
    with pytest.raises(Refused, match=why):
        issue(book, [PIECE, unfit], passphrase=PASSPHRASE)
    assert (house.size(book), papers(book)) == (before, {})


def test_a_scrapped_piece_gets_no_certificate(registry: Registry) -> None:
    with registry.writing() as w:
        scrap_piece(w, PIECE, evidence="cut up, photographed")
    with pytest.raises(Refused, match="scrapped"):
        certify(registry)
    assert papers(registry) == {}


def test_a_piece_that_is_not_in_the_book_is_not_known(book: Registry) -> None:
    with pytest.raises(NotKnown, match="P-0099"):
        issue(book, [PIECE, "P-0099"], passphrase=PASSPHRASE)
    assert numbers(book) == []


def test_a_second_certificate_of_a_piece_is_refused(registry: Registry) -> None:
    certify(registry)
    with pytest.raises(Refused, match="stands"):
        certify(registry)
    assert len(papers(registry)) == 1


def test_the_entry_commits_to_the_record_as_it_stood(registry: Registry) -> None:
    with registry.reading() as r:
        before = msgspec.to_builtins(r.get(PIECE, Piece))
    issued = certify(registry)
    files = read_attachments(issued.path.read_bytes())
    facts = msgspec.json.decode(files["entry.json"])["facts"]
    # RFC 8785 by the reference implementation in Python, SHA-256 of it as FIPS 180-4.

    assert facts["record"] == hashlib.sha256(rfc8785.dumps(before)).hexdigest()
    claim, _ = peek_claim(files["claim.cose"])
    assert claim.leaf == leaf_hash(files["entry.json"])
    drawn = state(registry, issued.number)
    assert drawn.pdf == hashlib.sha256(issued.path.read_bytes()).hexdigest()
    assert drawn.drawn_size == claim.size


def test_a_reservation_is_a_paper_of_its_own_and_is_never_replaced(registry: Registry) -> None:
    with pytest.raises(Refused, match="neither promised nor given"):
        reserve(registry, RUN, "5/8", passphrase=PASSPHRASE)
    assert numbers(registry) == []
    with registry.writing() as w:
        promise_number(w, RUN, "5/8", held_for="sale")
    (made,) = reserve(registry, RUN, "5 of 8", passphrase=PASSPHRASE)
    kept = state(registry, made.number)
    assert (kept.statement.paper, kept.statement.designation) == ("reservation", "5/8")
    assert (kept.piece, kept.run, made.code) == (None, RUN, RUN)
    with pytest.raises(Refused, match=r"Reservation .* is not replaced"):
        replace_lost(registry, made.number, passphrase=PASSPHRASE)
    withdraw(registry, made.number, "surrendered")
    assert state(registry, made.number).standing == "withdrawn"


def test_a_piece_released_in_raw_metal_says_so(registry: Registry) -> None:
    piece = house.finished(registry, "4/8", to="approved in metal")
    with registry.writing() as w:
        release_piece(w, piece, state="raw metal")
    with pytest.raises(Refused, match="raw metal"):
        certify(registry, piece)
    number = certify(registry, piece, paper="raw_metal").number
    assert state(registry, number).statement.paper == "raw_metal"


def test_an_earlier_cast_is_certified_from_the_object(registry: Registry) -> None:
    with registry.writing() as w:
        cast = register_cast(w, "K-0001", cast="197X").code
    with pytest.raises(Refused, match="Nobody has entered the marks"):
        certify(registry, cast)
    with registry.writing() as w:
        record_mark(w, cast, "II/IV E.A.", place="left foot")
    statement = state(registry, certify(registry, cast).number).statement
    assert (statement.paper, statement.foundry) == ("from_object", "unknown")
    assert statement.designation == "II/IV E.A."


def test_a_lost_certificate_is_replaced_once(registry: Registry) -> None:
    lost = certify(registry).number
    (new,) = replace_lost(registry, lost, passphrase=PASSPHRASE)
    old = state(registry, lost)
    assert (old.standing, old.replaced_by) == ("replaced", new.number)
    assert state(registry, new.number).replaces == lost
    assert state(registry, new.number).standing == "stands"
    with pytest.raises(Refused, match="replaced"):
        replace_lost(registry, lost, passphrase=PASSPHRASE)
    with pytest.raises(Refused, match="replaced"):
        withdraw(registry, lost, "disputed")
    assert len(papers(registry)) == 2


def test_a_withdrawn_certificate_makes_room_for_another(registry: Registry) -> None:
    number = certify(registry).number
    withdraw(registry, number, "issued in error", reason="the mark was misread")
    with pytest.raises(Refused, match="withdrawn"):
        withdraw(registry, number, "issued in error")
    assert certify(registry).number != number
    with pytest.raises(NotKnown):
        withdraw(registry, "0000000000Z", "disputed")


def test_the_pieces_of_a_run_that_are_ready_are_found(book: Registry) -> None:
    ready = house.finished(book, "4/8")
    for number, to in (("5/8", "coloured"), ("6/8", "poured")):
        house.finished(book, number, to=to)
    assert eligible(book, RUN) == (PIECE, ready)
    certify(book)
    assert eligible(book, RUN) == (ready,)
    with book.writing() as w:
        scrap_piece(w, ready, evidence="cut up, photographed")
    before = house.size(book)
    assert eligible(book, RUN) == ()
    assert house.size(book) == before
