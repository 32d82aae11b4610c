"""How a paper with several proofs stands, when keys end or are revoked."""

from __future__ import annotations

import hashlib
import json

import pytest

from certificates.asking import sign_in_ink, take_reply
from certificates.attach import read_attachments
from certificates.checks import KEY_THEN, STANDING
from certificates.integrity import PROOF
from certificates.issue import replace_lost, withdraw
from certificates.signatures import ENOUGH, SIGNERS, proof_name
from certificates.standing import check_number, check_pdf
from certificates.telling import advice, sentence
from certificates.verify import verify_pdf
from editions.errors import Refused
from editions.registry import Registry
from editions.registry.acts.keys import end_key
from tests.certificates import house
from tests.certificates.asked import (
    ARTIST,
    FOUNDRY,
    KEY,
    NAME,
    SCAN,
    admit,
    certificates,
    drawn,
    heirs,
    pending,
    prepared,
    replied,
    result,
    says,
)
from tests.registry.builders import PASSPHRASE


def test_a_reservation_bears_the_foundrys_proof_alone(book: Registry) -> None:
    from certificates.issue import reserve
    from editions.registry.acts.numbers import promise_number

    prepared(book)
    with book.writing() as w:
        promise_number(w, "R-0002", "5/8")
    (made,) = reserve(book, "R-0002", "5/8", passphrase=PASSPHRASE)
    credential = json.loads(read_attachments(made.path.read_bytes())["credential.json"])
    assert len(credential[PROOF]) == 1


def test_every_certificate_carries_its_credential_with_the_foundrys_proof(book: Registry) -> None:
    paper = house.certify(book).path.read_bytes()
    verdict = verify_pdf(paper, book.public_keys())
    assert result(verdict, proof_name(FOUNDRY)) == result(verdict, SIGNERS) == "agrees"
    assert ENOUGH not in {check.name for check in verdict.checks}


def test_a_certificate_that_waits_for_its_artist_does_not_stand(book: Registry) -> None:
    admit(book)
    number = pending(book)
    verdict = check_number(book, number)
    assert (verdict.status, result(verdict, STANDING)) == (5, "not checked")
    waits = f"issued and not yet given out: it waits for the signature of {NAME}"
    assert waits in says(verdict, STANDING)
    assert waits in sentence(verdict)
    assert "compare every word on the paper" not in " ".join(advice(verdict))
    assert "There is no paper of it yet" in " ".join(advice(verdict))
    take_reply(book, replied(book, number))
    undrawn = check_number(book, number)
    assert undrawn.status == 5
    assert "it waits for its paper to be drawn" in undrawn.standing
    drawn(book)
    assert check_number(book, number).status == 0


def test_one_of_two_heirs_is_enough_and_both_are_named(book: Registry) -> None:
    number = pending(book, *heirs(book), wanted="any")
    said = check_number(book, number).standing
    assert said.endswith("waits for the signature of one of Jolan Varga, Pal Varga")


def test_both_heirs_have_to_sign(book: Registry) -> None:
    number = pending(book, *heirs(book))
    said = check_number(book, number).standing
    assert said.endswith("waits for the signatures of Jolan Varga, Pal Varga")


def test_a_pending_certificate_that_was_withdrawn_is_withdrawn(book: Registry) -> None:
    number = pending(book)
    withdraw(book, number, "issued in error")
    assert check_number(book, number).status == 3


def test_what_was_never_given_out_is_not_replaced(book: Registry) -> None:
    admit(book)
    number = pending(book)
    with pytest.raises(Refused, match="no paper that could be lost") as refused:
        replace_lost(book, number, passphrase=PASSPHRASE)
    assert f"certificate withdraw {number} --because error" in refused.value.remedy
    assert len(certificates(book)) == 1
    take_reply(book, replied(book, number))
    with pytest.raises(Refused, match="waits for its paper to be drawn"):
        replace_lost(book, number, passphrase=PASSPHRASE)
    drawn(book)
    assert replace_lost(book, number, passphrase=PASSPHRASE) == ()
    known = {one.code: one for one in certificates(book)}
    new = known.pop(known[number].replaced_by or "")
    assert (new.pending, new.replaces, set(known)) == (True, number, {number})


def revoke(registry: Registry, party: str, key: bytes, start: int) -> None:
    with registry.writing() as w:
        end_key(w, party, key, because="compromised", from_position=start)


def test_a_paper_certified_with_a_key_that_is_revoked_is_told_from_where(book: Registry) -> None:
    paper = house.certify(book).path.read_bytes()
    at = certificates(book)[0].leaf
    with book.reading() as r:
        place = r.position_of(at)
    verdict = check_pdf(book, paper)
    assert (verdict.status, result(verdict, KEY_THEN)) == (0, "agrees")
    revoke(book, "Y-0001", book.certifying_key(PASSPHRASE).public.raw, place)
    verdict = check_pdf(book, paper)
    assert f"is revoked from entry {place}" in says(verdict, KEY_THEN)
    assert verdict.status == 3


def test_a_paper_certified_before_its_key_was_revoked_stands(book: Registry) -> None:
    paper = house.certify(book).path.read_bytes()
    with book.reading() as r:
        size = r.size
    revoke(book, "Y-0001", book.certifying_key(PASSPHRASE).public.raw, size)
    assert check_pdf(book, paper).status == 0


def test_an_artists_key_that_is_revoked_takes_its_proofs_along(book: Registry) -> None:
    admit(book)
    number = pending(book)
    take_reply(book, replied(book, number))
    paper = drawn(book)
    assert check_pdf(book, paper).status == 0
    revoke(book, ARTIST, KEY.public.raw, 0)
    verdict = check_pdf(book, paper)
    assert "is revoked from entry 0" in says(verdict, f"the key of {NAME} then")
    assert verdict.status == 3


def test_with_a_registry_a_signature_in_ink_is_told_with_its_scan(book: Registry) -> None:
    number = pending(book)
    sign_in_ink(book, number, ARTIST, SCAN)
    verdict = check_pdf(book, drawn(book))
    assert hashlib.sha256(SCAN).hexdigest() in says(verdict, f"ink of {NAME}")
    assert verdict.status == 0
