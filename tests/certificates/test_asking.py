"""Tests of asking the artist's side to sign: what goes out, what is taken back, what is drawn."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from typing import Any

import pikepdf
import pytest
from msgspec.structs import replace

from certificates import checks
from certificates.asking import ask_for, pending_of, sign_in_ink, take_reply, words_to_sign
from certificates.attach import read_attachments
from certificates.credential import AGREEMENT, from_bytes
from certificates.integrity import PROOF
from certificates.issue import issue
from certificates.proofset import STRANGER
from certificates.signatures import ENOUGH, SIGNERS, proof_name
from certificates.standing import check_pdf
from certificates.verify import verify_pdf
from editions.errors import FileUnusable, Refused
from editions.ledger.canonical import canonical
from editions.registry import Registry
from editions.registry.acts.parties import record_death
from editions.registry.auditing import audit
from tests.certificates import house
from tests.certificates.asked import (
    ARTIST,
    FOUNDRY,
    KEY,
    NAME,
    OTHER,
    SCAN,
    SIGNED,
    admit,
    certificates,
    drawn,
    heirs,
    pending,
    prepared,
    replied,
    result,
    says,
    with_credential,
)
from tests.certificates.test_verify import with_files
from tests.registry import builders
from tests.registry.builders import PASSPHRASE, state


@pytest.fixture(scope="module")
def signed_paper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Registry, bytes]]:
    """A certificate that carries the artist's proof, and its registry; nothing is written to it."""
    folder = tmp_path_factory.mktemp("signed")
    registry = house.built(folder / "registry.db", folder)
    admit(registry)
    take_reply(registry, replied(registry, pending(registry)))
    yield registry, drawn(registry)
    registry.close()


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
    assert result(verdict, checks.PAGE) == "agrees"
    assert "changed what it carries" in says(verdict, checks.PAGE)
    assert verdict.status == 5
    assert check_pdf(registry, with_credential(paper, taken_out)).status == 3


def test_a_page_that_was_changed_is_found_though_the_artists_proof_was_taken_too(
    signed_paper: tuple[Registry, bytes],
) -> None:
    registry, paper = signed_paper

    def taken_out(document: dict[str, Any]) -> None:
        del document[PROOF][1]

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(with_credential(paper, taken_out))) as document:
        document.pages[0].contents_add(b"0 0 m 9 9 l S")
        document.save(out)
    verdict = verify_pdf(out.getvalue(), registry.public_keys())
    assert (result(verdict, checks.PAGE), verdict.status) == ("contradicts", 3)


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
    assert f"Signed by key: {FOUNDRY}; {NAME}." in " ".join(words.split())


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
