"""Notes of ended keys that contradict, keys of the log that ended, and keys of artists."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from certificates.asking import take_reply
from certificates.carried import read_carried, read_page, read_page_entry
from certificates.checks import GROWTH, KEY_THEN, LOG_THEN
from certificates.claim import Claim, code_text
from certificates.examining import Away, verify
from certificates.mirror import keys_on
from certificates.placing import Placed, placed_by
from certificates.reach import reach
from certificates.revoked import AtHand, with_revocations
from certificates.standing import check_pdf
from certificates.verify import Verdict, verify_code, verify_pdf
from editions.errors import BronzebookError, NotKnown
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.revocations import KeyEnd, Revocations, open_revocations, sign_revocations
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.acts.keys import end_key
from editions.registry.revocations import holders_of_keys, signed_revocations
from tests.certificates import asked, builders, house, rotating
from tests.certificates.rotating import ORIGIN, STRANGER

GENTLE = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
SEALED = builders.sealed()
CODE = code_text(builders.ADDRESS, builders.NUMBER, SEALED.seal.claim)
NAME = f"the key of {asked.NAME} then"


class Hand:
    """A paper of a book, its keys, and notes that the log key, or somebody else, signs of it."""

    def __init__(self, book: Registry, paper: bytes) -> None:
        self.book = book
        self.paper = paper
        self.carried = read_carried(paper)
        self.claim: Claim = self.carried.claim
        self.keys = book.public_keys()
        self.logs = keys_on(paper)

    @property
    def certifying(self) -> VerifierKey:
        return next(one.verifier() for one in self.carried.keys if one.use == "foundry")

    def end(self, because: str = "compromised", start: int = 0) -> KeyEnd:
        return KeyEnd("foundry", self.certifying, because, start)  # type: ignore[arg-type]

    def note(
        self,
        *ended: KeyEnd,
        size: int = 500,
        root: bytes = b"r" * 32,
        key: PrivateKey | None = None,
    ) -> bytes:
        made = Revocations.of(Checkpoint(ORIGIN, size, root), ended)
        return sign_revocations(made, key or self.book.log_key()).encode()

    def asked(self, site: bytes | None = None, taken: bytes | None = None) -> Verdict:
        hand = AtHand(
            logs=self.logs,
            site=None if site is None else lambda path: shown(path, site),
            taken=taken,
            shown=(self.carried.entry_bytes, self.carried.proof),
            carried=self.carried,
        )
        return with_revocations(verify_pdf(self.paper, self.keys), self.claim, hand)


def shown(path: str, note: bytes) -> bytes:
    if path != "revocations.txt":
        raise NotKnown(f"Nothing lies at {path}.")
    return note


def result(verdict: Verdict, name: str = KEY_THEN) -> tuple[str, str]:
    return next((one.result, one.says) for one in verdict.checks if one.name == name)


@pytest.fixture
def hand(book: Registry) -> Hand:
    return Hand(book, house.certify(book).path.read_bytes())


# Notes that contradict


def test_a_note_that_a_stranger_signed_contradicts(hand: Hand) -> None:
    verdict = hand.asked(hand.note(key=STRANGER))
    assert (verdict.status, verdict.proved, result(verdict)[0]) == (3, False, "contradicts")
    assert "signed by none of the keys" in result(verdict)[1]


def test_two_states_of_one_size_contradict(hand: Hand) -> None:
    claim = hand.claim
    same = hand.note(size=claim.size, root=claim.root)
    assert result(hand.asked(same))[0] == "agrees"
    assert "as the certificate does" in result(hand.asked(same))[1]
    for site, taken in (
        (hand.note(size=claim.size), None),
        (hand.note(), hand.note(root=b"s" * 32)),
    ):
        verdict = hand.asked(site, taken)
        assert (verdict.status, result(verdict)[0]) == (3, "contradicts")
        assert "another state of the same size" in result(verdict)[1]


def test_two_ends_of_one_key_contradict(hand: Hand) -> None:
    one, other = hand.note(hand.end("lost", 400)), hand.note(hand.end("lost", 300), size=501)
    verdict = hand.asked(one, other)
    assert (verdict.status, result(verdict)[0]) == (3, "contradicts")
    assert "tell two ends of this key" in result(verdict)[1]
    # Said twice alike it is said once.
    assert result(hand.asked(one, hand.note(hand.end("lost", 400), size=501)))[0] == "agrees"


def test_a_note_of_another_book_is_neither_for_nor_against(hand: Hand) -> None:
    other = Revocations(Checkpoint("else.example", 500, b"r" * 32))
    verdict = hand.asked(sign_revocations(other, hand.book.log_key()).encode())
    assert (verdict.status, result(verdict)[0]) == (5, "not checked")
    assert "is of the book “else.example”" in result(verdict)[1]


def test_a_bad_note_beside_a_good_one_takes_nothing_from_it(hand: Hand) -> None:
    verdict = hand.asked(b"no note", hand.note(hand.end("compromised", 0)))
    assert result(verdict)[0] == "contradicts"
    assert result(hand.asked(b"no note", hand.note()))[0] == "agrees"
    # But a forged one is told, whatever the other says.
    assert result(hand.asked(hand.note(), hand.note(key=STRANGER)))[0] == "contradicts"


# Keys of the log


def log_end(hand: Hand, because: str, start: int) -> KeyEnd:
    return KeyEnd("log", hand.logs[0], because, start)  # type: ignore[arg-type]


@pytest.fixture
def later(hand: Hand) -> PrivateKey:
    """A log key that follows the paper's, and is trusted beside it."""
    key = PrivateKey(b"\x21" * 32)
    hand.logs = (*hand.logs, VerifierKey(ORIGIN, key.public.raw))
    return key


def test_a_paper_of_before_a_log_key_ended_is_as_good_as_ever(
    hand: Hand, later: PrivateKey
) -> None:
    note = hand.note(log_end(hand, "rotated", hand.claim.size), key=later)
    verdict = hand.asked(note)
    assert (verdict.status, result(verdict)[0]) == (5, "agrees")
    assert all(one.name != LOG_THEN for one in verdict.checks)


@pytest.mark.parametrize("because", ["rotated", "compromised"])
def test_a_state_that_an_ended_log_key_signed_contradicts(
    hand: Hand, later: PrivateKey, because: str
) -> None:
    note = hand.note(log_end(hand, because, hand.claim.size - 1), key=later)
    verdict = hand.asked(note)
    assert (verdict.status, verdict.proved) == (3, False)
    assert result(verdict, LOG_THEN)[0] == "contradicts"


def test_a_place_that_a_betrayed_log_key_signed_wants_a_site(hand: Hand, later: PrivateKey) -> None:
    """Whoever holds both keys can put any paper under a state of before the change."""
    log, key = log_end(hand, "compromised", hand.claim.size), hand.end("compromised", 400)
    verdict = hand.asked(hand.note(log, key, key=later))
    assert (verdict.status, verdict.proved) == (4, False)
    assert result(verdict, LOG_THEN)[0] == "not checked"
    assert "a site or a registry can tell" in result(verdict, LOG_THEN)[1]
    assert "cannot be shown from this paper alone" in result(verdict)[1]
    # Alone it only keeps the paper from status 0.
    alone = hand.asked(hand.note(log, key=later))
    assert (alone.status, result(alone)[0]) == (5, "agrees")


def test_what_the_tiles_of_a_site_join_outweighs_a_betrayed_log_key(
    book: Registry, tmp_path: Path
) -> None:
    paper = house.certify(book).path.read_bytes()
    rotating.rotate(book, "compromised")
    house.finished(book, "4/8")
    publish(book, tmp_path / "site")
    away = Away(keys=book.public_keys(), site=reach(str(tmp_path / "site")))
    (verdict,) = verify(None, paper, away=away)
    assert verdict.status == 0, verdict.checks
    names = {one.name: one.result for one in verdict.checks}
    assert (names[GROWTH], names[KEY_THEN]) == ("agrees", "agrees")
    assert LOG_THEN not in names


# Keys of artists


@pytest.fixture
def signed(book: Registry) -> Hand:
    """A paper that the artist signed with a key."""
    asked.admit(book)
    number = asked.pending(book)
    take_reply(book, asked.replied(book, number))
    return Hand(book, asked.drawn(book))


def artist_end(because: str, start: int) -> KeyEnd:
    key = VerifierKey(f"{ORIGIN}/{asked.ARTIST}", asked.KEY.public.raw)
    return KeyEnd("artist", key, because, start)  # type: ignore[arg-type]


def test_an_artists_key_that_stands_is_not_spoken_of(signed: Hand) -> None:
    verdict = signed.asked(signed.note())
    assert all(one.name != NAME for one in verdict.checks)


@pytest.mark.parametrize("because", ["lost", "compromised"])
def test_an_artists_key_that_ended_later_is_told_and_where_it_signed_is_not_known(
    signed: Hand, because: str
) -> None:
    verdict = signed.asked(signed.note(artist_end(because, 400)))
    assert (verdict.status, result(verdict, NAME)[0]) == (5, "not checked")
    assert "where, a registry can tell" in result(verdict, NAME)[1]


def test_an_artists_key_that_had_ended_when_the_paper_was_issued_contradicts(signed: Hand) -> None:
    verdict = signed.asked(signed.note(artist_end("compromised", signed.claim.index)))
    assert (verdict.status, result(verdict, NAME)[0]) == (3, "contradicts")
    assert f"It signed after entry {signed.claim.index}." in result(verdict, NAME)[1]
    # A registry says the same, by the place of the proof itself.
    with signed.book.writing() as w:
        end_key(w, asked.ARTIST, asked.KEY.public.raw, because="compromised", from_position=0)
    assert result(check_pdf(signed.book, signed.paper), NAME)[0] == "contradicts"


# The place


Change = Callable[[Claim], Claim]


@pytest.mark.parametrize(
    "change",
    [
        lambda claim: replace(claim, title="Heron, rising"),
        lambda claim: replace(claim, number="0123456789A"),
        lambda claim: replace(claim, index=claim.index - 1),
        lambda claim: replace(claim, size=claim.size + 1),
        lambda claim: replace(claim, root=b"r" * 32),
        lambda claim: replace(claim, leaf=b"l" * 32),
        lambda claim: replace(claim, origin="else.example"),
        lambda claim: replace(claim, designation=None),
    ],
)
def test_a_place_is_proved_only_for_the_very_words_of_its_entry(hand: Hand, change: Change) -> None:
    entry, proof, logs = hand.carried.entry_bytes, hand.carried.proof, hand.logs
    placed = Placed(index=hand.claim.index, size=hand.claim.size, log=logs[0])
    assert placed_by(hand.claim, entry, proof, logs) == placed
    assert placed_by(change(hand.claim), entry, proof, logs) is None


def test_a_place_wants_an_entry_and_a_log_key_that_is_trusted(hand: Hand) -> None:
    entry, proof = hand.carried.entry_bytes, hand.carried.proof
    assert placed_by(hand.claim, entry, proof, ()) is None
    assert placed_by(hand.claim, entry, proof, [VerifierKey(ORIGIN, STRANGER.public.raw)]) is None
    assert placed_by(hand.claim, entry[:-1], proof, hand.logs) is None
    assert placed_by(hand.claim, b"{}", proof, hand.logs) is None


@GENTLE
@given(entry=st.text(max_size=40), proof=st.text(max_size=40), brace=st.booleans())
def test_a_page_that_carries_anything_shows_an_entry_or_raises_our_error(
    entry: str, proof: str, brace: bool
) -> None:
    data = json.dumps({
        "claim": "", "entry": "{" * brace + entry, "proof": proof, "foundry": "", "log": "",
    })  # fmt: skip
    page = f'<script type="application/json" id="carried">{data}</script>'.encode()
    for read in (read_page, read_page_entry):
        with contextlib.suppress(BronzebookError):
            read(page)


@GENTLE
@given(note=st.binary(max_size=200))
def test_a_note_of_anything_raises_nothing(note: bytes) -> None:
    keys = builders.foundry_keys()
    logs = tuple(one.verifier() for one in keys if one.use == "log")
    hand = AtHand(logs=logs, taken=note, shown=(note, SEALED.proof))
    verdict = with_revocations(verify_code(CODE, keys), SEALED.claim, hand)
    assert result(verdict)[0] == "not checked"


def test_the_note_that_a_registry_signs_names_each_key_that_ended(book: Registry) -> None:
    asked.admit(book)
    with book.reading() as r:
        clear = open_revocations(signed_revocations(r, book.log_key()), book.log_verifier())
        assert (clear.ended, clear.checkpoint.size) == ((), r.size)
        assert holders_of_keys(r) == ("Y-0001", asked.ARTIST)
    with book.writing() as w:
        end_key(w, asked.ARTIST, asked.KEY.public.raw, because="lost")
    old = book.log_verifier().newest
    rotating.rotate(book)
    with book.reading() as r:
        note = signed_revocations(r, book.log_key())
        assert signed_revocations(r, book.log_key()) == note
    told = open_revocations(note, book.log_verifier())
    assert [(one.use, one.because) for one in told.ended] == [
        ("artist", "lost"),
        ("log", "rotated"),
    ]
    assert told.find(old.public) is not None
