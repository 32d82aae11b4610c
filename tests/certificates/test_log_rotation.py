"""The log's key changes: what was signed before stands, what comes after goes by the new key."""

from __future__ import annotations

import pytest

from certificates.countersign import countersign
from certificates.standing import check_number, check_pdf
from editions.errors import Contradiction, KeyUnusable, Refused
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.keys import dump_private
from editions.ledger.notes import VerifierKey
from editions.pages.view import record_view
from editions.registry import Registry
from editions.registry.acts.keys import admit_key, countersigning, end_key
from editions.registry.auditing import audit
from editions.registry.held import open_held
from editions.registry.keys import all_keys
from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key
from editions.trade.certificates import Certificate
from tests.certificates import house
from tests.certificates.house import certify
from tests.certificates.rotating import FOUNDRY, ORIGIN, STRANGER, keys, rotate, size
from tests.registry.builders import PASSPHRASE, a_party
from tests.store.books import tamper


def test_checkpoints_before_go_by_the_old_key_and_those_after_by_the_new(book: Registry) -> None:
    old, before = book.log_key(), size(book)
    rotate(book)
    new = book.log_key()
    assert new.public != old.public
    chain = keys(book).keys
    assert [(start, key.public) for start, key in chain] == [
        (0, old.public.raw),
        (before + 1, new.public.raw),
    ]
    with book.reading() as reading:
        assert reading.size == before + 2
        note = reading.checkpoint()
    assert open_checkpoint(note, VerifierKey(ORIGIN, new.public.raw)).size == before + 2
    with pytest.raises(Contradiction):
        open_checkpoint(note, VerifierKey(ORIGIN, old.public.raw))
    a_party(book)
    assert audit(book).faults == ()


def test_papers_of_both_times_are_proved_and_stand(book: Registry) -> None:
    early = certify(book).path.read_bytes()
    rotate(book)
    late = certify(book, house.finished(book, "4/8")).path.read_bytes()
    rotate(book, "compromised")
    for paper in (early, late):
        verdict = check_pdf(book, paper)
        assert verdict.status == 0, [check for check in verdict.checks if check.result != "agrees"]
        assert check_number(book, verdict.number).status == 0
        shown = record_view(book, verdict.number).proof
        assert {check.result for check in shown.checks} == {"agrees"}
    prints = {record_view(book, check_pdf(book, one).number).proof.log_key for one in (early, late)}
    assert len(prints) == 2
    assert len(keys(book).keys) == 3


def test_an_opening_names_the_key_of_its_own_time(book: Registry) -> None:
    hand = a_party(book, private_name="Orla Fenwick")
    rotate(book)
    later = a_party(book, private_name="Bo Ferrant")
    (_, old), (_, new) = keys(book).keys
    openings = [open_held(book, f"{code}#1", "private_name").opening for code in (hand, later)]
    assert [one.log for one in openings] == [old, new]
    for one in openings:
        one.check(one.log)


@pytest.mark.parametrize("because", ["lost", "compromised"])
def test_where_the_old_key_cannot_vouch_the_certifying_key_does(
    book: Registry, because: str
) -> None:
    if because == "lost":
        book.home.log_key.unlink()
        with pytest.raises(KeyUnusable):
            a_party(book)
    prepare_log_rotation(book)
    with pytest.raises(Refused, match="Nobody has countersigned"):
        rotate_log_key(book, because=because)
    with pytest.raises(KeyUnusable):
        rotate_log_key(book, because=because, passphrase="not the passphrase")
    rotate_log_key(book, because=because, passphrase=PASSPHRASE)
    a_party(book)
    assert audit(book).faults == ()
    with book.reading() as reading:
        ended = [one for one in all_keys(reading) if one.held.use == "log" and one.held.ended]
    assert [one.held.ended for one in ended] == [because]


def test_a_lost_key_that_is_to_vouch_is_said(book: Registry) -> None:
    prepare_log_rotation(book)
    book.home.log_key.unlink()
    with pytest.raises(KeyUnusable, match="cannot be read"):
        rotate_log_key(book)


def test_no_next_key_is_said(book: Registry) -> None:
    with pytest.raises(KeyUnusable, match="No next log key"):
        rotate_log_key(book)


def stop(*_: object) -> None:
    raise KeyboardInterrupt


def test_a_change_that_was_stopped_goes_on(book: Registry, monkeypatch: pytest.MonkeyPatch) -> None:
    prepare_log_rotation(book)
    text = prepare_log_rotation(book)
    assert text == prepare_log_rotation(book)
    with monkeypatch.context() as stopped:
        stopped.setattr("editions.registry.rotating_log._change_files", stop)
        with pytest.raises(KeyboardInterrupt):
            rotate_log_key(book)
    before = size(book)
    # The new key lies beside the old one still, and signs what is entered meanwhile.
    a_party(book)
    assert any("other log keys" in fault for fault in audit(book).faults)
    assert rotate_log_key(book) == ()
    assert size(book) == before + 1
    assert audit(book).faults == ()


def test_a_key_that_the_book_does_not_name_signs_nothing(book: Registry) -> None:
    before = size(book)
    book.home.log_key.write_text(dump_private(STRANGER))
    with pytest.raises(KeyUnusable, match="is not the one that this book names"):
        a_party(book)
    assert size(book) == before


def test_a_thief_who_writes_on_with_the_old_key_is_found(book: Registry) -> None:
    old = book.log_key()
    rotate(book, "compromised")
    with book.reading() as reading:
        newest = open_checkpoint(reading.checkpoint(), keys(book))
    forged = sign_checkpoint(Checkpoint(ORIGIN, newest.size, newest.root), old)
    tamper(book, "UPDATE checkpoints SET note = :n WHERE size = :s", n=forged, s=newest.size)
    assert any("signed by none of the keys" in fault for fault in audit(book).faults)


def test_a_book_rewritten_without_the_change_does_not_pass(book: Registry) -> None:
    """With the old key alone a thief takes the change out of the book and signs it all again."""
    certify(book)
    old, at = book.log_key(), size(book)
    number = _number(book)
    rotate(book, "compromised")
    house.rewrite(book, 0, lambda _: None, key=old, until=at)
    assert any("other log keys" in fault for fault in audit(book).faults)
    assert check_number(book, number).status == 3


def _number(book: Registry) -> str:
    with book.reading() as reading:
        return reading.all_of(Certificate)[-1].code


def test_a_change_that_nobody_countersigned_is_found(book: Registry) -> None:
    rotate(book)

    def change(entry: dict[str, object]) -> None:
        facts = entry["facts"]
        assert isinstance(facts, dict)
        del facts["countersigned_by"], facts["countersignature"]

    at = max(i for i, kind in enumerate(house.kinds(book)) if kind == "key_admitted")
    house.rewrite(book, at, change)
    assert any(f"entry {at}: nobody countersigned" in fault for fault in audit(book).faults)


# Judged before it is entered


def test_the_log_key_vouches_for_the_next_of_its_kind_alone(book: Registry) -> None:
    with book.reading() as reading:
        text = countersigning(reading, FOUNDRY, STRANGER.public.raw)
    signed = countersign(text, book.log_key())
    with book.writing() as w, pytest.raises(Refused, match="vouches only for the next of its kind"):
        admit_key(w, FOUNDRY, STRANGER.public.raw, countersigned=signed)


def test_a_text_for_another_use_is_not_taken_for_the_log(book: Registry) -> None:
    with book.reading() as reading:
        text = countersigning(reading, FOUNDRY, STRANGER.public.raw)
    signed = countersign(text, book.certifying_key(PASSPHRASE))
    with book.writing() as w, pytest.raises(Contradiction, match="not for the one"):
        admit_key(w, FOUNDRY, STRANGER.public.raw, countersigned=signed, use="log")


def test_another_party_has_no_log_key(book: Registry) -> None:
    artist = "Y-0002"
    with book.reading() as reading:
        text = countersigning(reading, artist, STRANGER.public.raw, "log")
    signed = countersign(text, book.log_key())
    with book.writing() as w, pytest.raises(Refused, match="is not the foundry"):
        admit_key(w, artist, STRANGER.public.raw, countersigned=signed, use="log")


def test_an_old_log_key_ends_once(book: Registry) -> None:
    old = book.log_key().public.raw
    rotate(book)
    with book.writing() as w, pytest.raises(Refused, match="That key ended on"):
        end_key(w, FOUNDRY, old, because="lost", use="log")
