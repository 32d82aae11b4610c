"""Tests of asking the artist's side to sign: what goes out, what is taken back, what is drawn."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from typing import Any

import pytest
from msgspec.structs import replace

from certificates import checks
from certificates.asking import ask_for, pending_of, sign_in_ink, take_reply, words_to_sign
from certificates.attach import read_attachments
from certificates.credential import AGREEMENT, from_bytes
from certificates.integrity import PROOF
from certificates.issue import issue, replace_lost, withdraw
from certificates.proofset import STRANGER
from certificates.requests import read_reply, read_request, sign_request, write_reply
from certificates.signatures import ENOUGH, SIGNERS, proof_name
from certificates.standing import FOUNDRY_KEY, check_pdf
from certificates.verify import Verdict, verify_pdf
from editions.errors import FileUnusable, Refused
from editions.ledger.canonical import canonical
from editions.ledger.keys import PrivateKey
from editions.registry import Registry
from editions.registry.acts.keys import admit_key, end_key
from editions.registry.acts.parties import give_authority, record_death
from editions.registry.auditing import audit
from editions.trade.certificates import Certificate
from editions.trade.runs import Run
from tests.certificates import house
from tests.certificates.test_verify import with_files
from tests.registry import builders
from tests.registry.builders import PASSPHRASE, state

ARTIST = "Y-0002"
NAME, FOUNDRY = "Ilse Varga", builders.FOUNDRY
KEY, OTHER = PrivateKey(b"\x07" * 32), PrivateKey(b"\x08" * 32)
SIGNED = "2026-11-25T09:00:00Z"
SCAN = b"%PDF-1.7 a scan of a signed sheet"


def admit(registry: Registry, party: str = ARTIST, key: PrivateKey = KEY) -> None:
    with registry.writing() as w:
        admit_key(w, party, key.public.raw, document="compared in the studio")


def prepared(registry: Registry, *signers: str, wanted: str = "all") -> str:
    """A finished piece of a run whose certificates its signers have to sign."""
    with registry.reading() as r:
        work = r.get("R-0001", Run).declared.work
    run = builders.a_run(registry, work, signers=signers or (ARTIST,), signers_wanted=wanted)
    return builders.a_piece(registry, run, to="approved in colour", number="4/8")


def pending(registry: Registry, *signers: str, wanted: str = "all") -> str:
    """The number of a certificate that waits for signatures."""
    piece = prepared(registry, *signers, wanted=wanted)
    assert issue(registry, [piece], passphrase=PASSPHRASE) == ()
    return certificates(registry)[-1].code


def certificates(registry: Registry) -> tuple[Certificate, ...]:
    with registry.reading() as r:
        return r.all_of(Certificate)


def replied(registry: Registry, number: str, party: str = ARTIST, key: PrivateKey = KEY) -> bytes:
    return sign_request(read_request(ask_for(registry, [number], party)), key, SIGNED)


def drawn(registry: Registry) -> bytes:
    (made,) = issue(registry, (), passphrase=PASSPHRASE)
    return made.path.read_bytes()


def result(verdict: Verdict, name: str) -> str:
    return next(check.result for check in verdict.checks if check.name == name)


def says(verdict: Verdict, name: str) -> str:
    return next(check.says for check in verdict.checks if check.name == name)


@pytest.fixture(scope="module")
def signed_paper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Registry, bytes]]:
    """A certificate that carries the artist's proof, and its registry; nothing is written to it."""
    folder = tmp_path_factory.mktemp("signed")
    registry = house.built(folder / "registry.db", folder)
    admit(registry)
    take_reply(registry, replied(registry, pending(registry)))
    yield registry, drawn(registry)
    registry.close()


def with_credential(paper: bytes, change: Any) -> bytes:
    document = from_bytes(read_attachments(paper)["credential.json"])
    change(document)
    return with_files(paper, credential=canonical(document))


def test_a_certificate_waits_for_the_artist_and_is_drawn_with_both_proofs(
    registry: Registry,
) -> None:
    admit(registry)
    number = pending(registry)
    waiting = state(registry, number)
    assert waiting.pending
    assert not (registry.home.certificates / f"{number}.pdf").exists()
    assert [one.code for one in pending_of(registry)] == [number]
    assert pending_of(registry, "R-0001") == ()
    (taken,) = take_reply(registry, replied(registry, number))
    assert taken.accepted, taken.says
    assert taken.complete
    assert not state(registry, number).pending
    verdict = verify_pdf(drawn(registry), registry.public_keys())
    assert result(verdict, proof_name(NAME)) == "agrees"
    assert result(verdict, proof_name(FOUNDRY)) == "agrees"
    assert result(verdict, ENOUGH) == result(verdict, checks.PAGE) == "agrees"
    assert verdict.status == 5
    assert not audit(registry).faults


def test_without_a_key_given_a_proof_shows_only_that_the_paper_agrees_with_itself(
    signed_paper: tuple[Registry, bytes],
) -> None:
    verdict = verify_pdf(signed_paper[1], ())
    assert result(verdict, proof_name(NAME)) == "not checked"
    assert "Compare it with an independent place" in says(verdict, proof_name(NAME))


def test_an_artists_proof_over_other_words_is_told_as_that(
    signed_paper: tuple[Registry, bytes],
) -> None:
    registry, paper = signed_paper

    def other_words(document: dict[str, Any]) -> None:
        subject = document["credentialSubject"]
        subject["assertions"]["authorship"]["says"]["title"] = "Heron, falling"

    verdict = verify_pdf(with_credential(paper, other_words), registry.public_keys())
    assert result(verdict, AGREEMENT) == "contradicts"
    assert "differ in: title" in says(verdict, AGREEMENT)
    assert "not the words that were signed" in says(verdict, proof_name(NAME))
    assert verdict.status == 3


def test_a_proof_taken_from_another_certificate_is_told_as_over_other_words(
    book: Registry, signed_paper: tuple[Registry, bytes]
) -> None:
    registry, paper = signed_paper
    admit(book)
    builders.a_party(book)
    take_reply(book, replied(book, pending(book)))
    other = from_bytes(read_attachments(drawn(book))["credential.json"])[PROOF][1]

    def exchanged(document: dict[str, Any]) -> None:
        document[PROOF][1] = other

    verdict = verify_pdf(with_credential(paper, exchanged), registry.public_keys())
    assert result(verdict, AGREEMENT) == result(verdict, proof_name(FOUNDRY)) == "agrees"
    assert "this one was made over other words" in says(verdict, proof_name(NAME))
    assert verdict.status == 3


def test_a_proof_by_a_stranger_is_told_as_that(signed_paper: tuple[Registry, bytes]) -> None:
    from certificates.integrity import sign

    registry, paper = signed_paper

    def forged(document: dict[str, Any]) -> None:
        bare = {name: value for name, value in document.items() if name != PROOF}
        document[PROOF][1] = sign(bare, OTHER, SIGNED)

    verdict = verify_pdf(with_credential(paper, forged), registry.public_keys())
    assert "a key that this credential does not name" in says(verdict, proof_name(STRANGER))
    assert verdict.status == 3


def test_a_credential_that_names_another_key_of_the_artist_is_not_what_was_asked(
    signed_paper: tuple[Registry, bytes],
) -> None:
    from certificates.credential import build, of_document
    from certificates.proofset import add_proof

    registry, paper = signed_paper
    document = from_bytes(read_attachments(paper)["credential.json"])
    credential = of_document(document)
    claim = verify_pdf(paper, ()).claim
    assert claim is not None
    holders = [replace(credential.holders[0], key=OTHER.public.raw)]
    forged = build(credential.statement, claim, credential.foundry.key or b"", holders)
    forged = add_proof(forged, OTHER, SIGNED)
    verdict = verify_pdf(with_files(paper, credential=canonical(forged)), registry.public_keys())
    assert result(verdict, SIGNERS) == result(verdict, ENOUGH) == "contradicts"
    assert "other keys of theirs" in says(verdict, SIGNERS)
    assert verdict.status == 3


def test_a_paper_from_which_the_credential_was_taken_contradicts(
    signed_paper: tuple[Registry, bytes],
) -> None:
    registry, paper = signed_paper
    verdict = verify_pdf(with_files(paper, credential=None), registry.public_keys())
    assert "was taken out of this paper" in says(verdict, AGREEMENT)
    assert verdict.status == 3


def test_a_paper_from_which_the_artists_proof_was_taken_says_whose_is_missing(
    signed_paper: tuple[Registry, bytes],
) -> None:
    registry, paper = signed_paper

    def taken_out(document: dict[str, Any]) -> None:
        del document[PROOF][1]

    verdict = verify_pdf(with_credential(paper, taken_out), registry.public_keys())
    assert says(verdict, proof_name(NAME)) == f"There is no proof of {NAME}, artist."
    assert f"1 more of these have to sign: {NAME}" in says(verdict, ENOUGH)
    assert result(verdict, checks.PAGE) == "not checked"
    assert check_pdf(registry, with_credential(paper, taken_out)).status == 3


@pytest.mark.parametrize("junk", [b"", b"{}", b"[]", b"\xff", b'{"type":1}'])
def test_a_credential_that_cannot_be_read_contradicts(
    signed_paper: tuple[Registry, bytes], junk: bytes
) -> None:
    registry, paper = signed_paper
    verdict = verify_pdf(with_files(paper, credential=junk), registry.public_keys())
    assert result(verdict, AGREEMENT) == "contradicts"
    assert verdict.status == 3


def test_the_paper_prints_whose_proofs_it_carries(signed_paper: tuple[Registry, bytes]) -> None:
    import pypdfium2

    words = pypdfium2.PdfDocument(signed_paper[1])[0].get_textpage().get_text_range()
    assert f"Proofs: {FOUNDRY}; {NAME}." in " ".join(words.split())


def test_a_signature_in_ink_with_its_scan_is_equal(registry: Registry) -> None:
    number = pending(registry)
    assert any("Your signature asserts" in line for line in words_to_sign(registry, number))
    with pytest.raises(Refused, match="had no key"):
        ask_for(registry, [number], ARTIST)
    taken = sign_in_ink(registry, number, ARTIST, SCAN)
    assert taken.complete
    held = state(registry, number).proofs[0]
    assert (held.method, held.scan) == ("ink", hashlib.sha256(SCAN).hexdigest())
    assert (registry.home.scans / f"{held.scan}.pdf").read_bytes() == SCAN
    verdict = verify_pdf(drawn(registry), registry.public_keys())
    assert verdict.status == 5
    assert "signs in ink" in says(verdict, proof_name(NAME))
    assert result(verdict, checks.PAGE) == "agrees"


def test_who_has_a_key_may_still_sign_in_ink(book: Registry) -> None:
    admit(book)
    number = pending(book)
    assert sign_in_ink(book, number, ARTIST, b"\x89PNG and more").complete
    verdict = verify_pdf(drawn(book), book.public_keys())
    assert result(verdict, ENOUGH) == "not checked"
    assert "the book holds the digest of the scan" in says(verdict, ENOUGH)
    assert verdict.status == 5


def test_what_is_no_scan_is_not_taken(book: Registry) -> None:
    number = pending(book)
    with pytest.raises(FileUnusable):
        sign_in_ink(book, number, ARTIST, b"no scan")


def heirs(registry: Registry) -> tuple[str, str]:
    """Two heirs who share the authority for the artist, each with a key."""
    made = []
    for name, key in (("Jolan Varga", KEY), ("Pal Varga", OTHER)):
        code = builders.a_party(registry, "estate", name=name)
        with registry.writing() as w:
            give_authority(w, code, ARTIST, capacity="heirs", document="will", begins="2020")
        admit(registry, code, key)
        made.append(code)
    return made[0], made[1]


def test_all_of_a_split_estate_sign(book: Registry) -> None:
    one, two = heirs(book)
    number = pending(book, one, two)
    (first,) = take_reply(book, replied(book, number, one, KEY))
    assert first.accepted
    assert not first.complete
    assert issue(book, (), passphrase=PASSPHRASE) == ()
    (second,) = take_reply(book, replied(book, number, two, OTHER))
    assert second.complete
    verdict = verify_pdf(drawn(book), book.public_keys())
    assert result(verdict, proof_name("Pal Varga")) == "agrees"
    assert result(verdict, ENOUGH) == "agrees"


def test_any_of_a_split_estate_signs(book: Registry) -> None:
    one, two = heirs(book)
    number = pending(book, one, two, wanted="any")
    (taken,) = take_reply(book, replied(book, number, two, OTHER))
    assert taken.complete
    verdict = verify_pdf(drawn(book), book.public_keys())
    assert result(verdict, proof_name("Jolan Varga")) == "not checked"
    assert result(verdict, ENOUGH) == "agrees"


def test_after_the_artists_death_those_sign_who_hold_the_authority(book: Registry) -> None:
    piece = prepared(book)
    one, two = heirs(book)
    with book.writing() as w:
        record_death(w, ARTIST, on="2026-03-01")
    issue(book, [piece], passphrase=PASSPHRASE)
    asked = certificates(book)[-1]
    assert [(s.party, s.role) for s in asked.signers] == [(one, "heirs"), (two, "heirs")]


def test_with_nobody_to_sign_nothing_is_issued(book: Registry) -> None:
    piece = prepared(book)
    with book.writing() as w:
        record_death(w, ARTIST, on="2026-03-01")
    with pytest.raises(Refused, match="Nobody may sign"):
        issue(book, [piece], passphrase=PASSPHRASE)


def test_what_comes_back_is_refused_with_its_reason(book: Registry) -> None:
    admit(book)
    number = pending(book)
    good = read_reply(replied(book, number))
    answer = good.answers[0]
    altered = dict(answer.proof) | {"created": "2026-11-25T09:00:01Z"}
    cases = {
        "does not hold": replace(good, answers=(replace(answer, proof=altered),)),
        "Other words were signed": replace(good, answers=(replace(answer, signed="0" * 64),)),
        "none was expected": replace(good, by=OTHER.public.raw),
        "2 times": replace(good, answers=(answer, answer)),
    }
    for why, reply in cases.items():
        taken = take_reply(book, write_reply(reply))
        assert taken
        assert all(not one.accepted for one in taken), why
        assert all(why in one.says for one in taken), [one.says for one in taken]
    assert state(book, number).pending
    assert take_reply(book, write_reply(good))[0].accepted


def test_one_bad_answer_does_not_stand_in_the_way_of_the_others(book: Registry) -> None:
    admit(book)
    number = pending(book)
    reply = read_reply(replied(book, number))
    stray = replace(reply.answers[0], number="0123456789A")
    taken = take_reply(book, write_reply(replace(reply, answers=(*reply.answers, stray))))
    assert {one.number: one.accepted for one in taken} == {number: True, "0123456789A": False}


def test_a_reply_is_taken_once(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    assert take_reply(book, data)[0].accepted
    (again,) = take_reply(book, data)
    assert not again.accepted
    assert "has signed" in again.says
    with pytest.raises(Refused, match="has signed"):
        ask_for(book, [number], ARTIST)


def test_a_key_that_ended_before_its_proof_came_back_signs_nothing(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    with book.writing() as w:
        end_key(w, ARTIST, KEY.public.raw, because="compromised")
    (taken,) = take_reply(book, data)
    assert not taken.accepted
    assert "does not sign on" in taken.says


def test_a_withdrawn_certificate_is_signed_by_nobody(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    withdraw(book, number, "issued in error")
    assert "nobody signs it" in take_reply(book, data)[0].says
    with pytest.raises(Refused, match="no longer waits"):
        ask_for(book, [number], ARTIST)


def test_only_who_is_asked_signs(book: Registry) -> None:
    admit(book)
    number = pending(book)
    hand = builders.a_party(book)
    for doing in (
        lambda: ask_for(book, [number], hand),
        lambda: sign_in_ink(book, number, hand, SCAN),
    ):
        with pytest.raises(Refused, match="asks Ilse Varga to sign"):
            doing()


def test_a_certificate_that_is_drawn_takes_no_signature(book: Registry) -> None:
    one, two = heirs(book)
    number = pending(book, one, two, wanted="any")
    sign_in_ink(book, number, one, SCAN)
    drawn(book)
    with pytest.raises(Refused, match="is drawn"):
        sign_in_ink(book, number, two, SCAN)


def test_who_died_since_no_longer_signs(book: Registry) -> None:
    admit(book)
    number = pending(book)
    with book.writing() as w:
        record_death(w, ARTIST, on="2026-01-01")
    with pytest.raises(Refused, match="may no longer sign"):
        sign_in_ink(book, number, ARTIST, SCAN)


def test_a_replacement_is_asked_for_as_the_first_was(book: Registry) -> None:
    admit(book)
    number = pending(book)
    take_reply(book, replied(book, number))
    drawn(book)
    assert replace_lost(book, number, passphrase=PASSPHRASE) == ()
    (waiting,) = pending_of(book)
    assert waiting.replaces == number
    assert take_reply(book, replied(book, waiting.code))[0].complete


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


def revoke(registry: Registry, party: str, key: bytes, start: int) -> None:
    with registry.writing() as w:
        end_key(w, party, key, because="compromised", from_position=start)


def test_a_paper_certified_with_a_key_that_is_revoked_is_told_from_where(book: Registry) -> None:
    paper = house.certify(book).path.read_bytes()
    at = certificates(book)[0].leaf
    with book.reading() as r:
        place = r.position_of(at)
    verdict = check_pdf(book, paper)
    assert (verdict.status, result(verdict, FOUNDRY_KEY)) == (0, "agrees")
    revoke(book, "Y-0001", book.certifying_key(PASSPHRASE).public.raw, place)
    verdict = check_pdf(book, paper)
    assert f"is revoked from entry {place}" in says(verdict, FOUNDRY_KEY)
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
