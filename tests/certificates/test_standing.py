"""Tests of asking a registry about what someone holds; above all after its book was rewritten."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from PIL import Image

from certificates import checks
from certificates.attach import read_attachments
from certificates.checks import GROWTH, agrees
from certificates.claim import code_text, peek_claim
from certificates.designated import check_designation
from certificates.issue import replace_lost, reserve, withdraw
from certificates.standing import (
    FILE,
    check_code,
    check_number,
    check_pdf,
    check_picture,
)
from certificates.verify import Verdict, with_standing
from editions.errors import Contradiction, FileUnusable, NotKnown, Unreadable
from editions.ledger.keys import PrivateKey
from editions.registry import Registry
from editions.registry.acts.numbers import promise_number
from editions.registry.auditing import audit
from editions.registry.proving import RECORD
from editions.trade.numbers import show_number
from tests.certificates import builders, house
from tests.certificates.house import PASSPHRASE, RUN, certify
from tests.helpers.chance import Chance
from tests.helpers.stores import Stores
from tests.registry.builders import ADDRESS
from tests.store.books import tamper

STRANGER = PrivateKey(hashlib.sha256(b"a log key of the forger's own").digest())


def contradicted(verdict: Verdict) -> set[str]:
    return {check.name for check in verdict.contradicted}


def said(verdict: Verdict, name: str) -> str:
    return next(check.says for check in verdict.checks if check.name == name)


def read(path: Path) -> bytes:
    return path.read_bytes()


def larger_run(entry: dict[str, Any]) -> None:
    entry["facts"]["declared"]["size"] = 12


def another_number(entry: dict[str, Any]) -> None:
    entry["facts"]["statement"]["title"] = "Heron, rising"


def nothing(_: dict[str, Any]) -> None:
    """Change nothing."""


def test_a_certificate_just_drawn_agrees_in_everything(registry: Registry) -> None:
    verdict = check_pdf(registry, read(certify(registry).path))
    assert {check.result for check in verdict.checks} == {"agrees"}
    assert [check.name for check in verdict.checks][-5:] == [
        checks.ENTRY, checks.PAPER, GROWTH, FILE, checks.STANDING,
    ]  # fmt: skip
    assert (verdict.status, verdict.proved, verdict.standing) == (
        0,
        True,
        "this certificate stands",
    )
    assert verdict.standing_as_of == "2026-03-02 07:00 UTC"


def test_a_run_made_larger_in_a_book_signed_anew_is_told_by_the_paper_alone(
    registry: Registry,
) -> None:
    paper = read(certify(registry).path)
    number = check_pdf(registry, paper).number
    house.rewrite(registry, house.first(registry, "run_declared"), larger_run)
    # The forger did it well: the book agrees with itself in everything, and says what he wants.
    assert audit(registry).faults == ()
    assert check_number(registry, number).status == 0
    verdict = check_pdf(registry, paper)
    assert verdict.status == 3
    assert contradicted(verdict) == {GROWTH}
    assert said(verdict, GROWTH).startswith("The book was rewritten since this paper was printed")
    # What the paper itself proves is kept apart, and so is how it stands.
    assert said(verdict, checks.SIGNATURE).startswith("The code is signed with the key")
    assert verdict.standing == "this certificate stands"
    assert not verdict.proved


def test_another_title_in_the_issuing_entry_is_told_by_code_and_paper(registry: Registry) -> None:
    paper = read(certify(registry).path)
    house.rewrite(registry, house.first(registry, "certificate_issued"), another_number)
    assert audit(registry).faults == ()
    verdict = check_pdf(registry, paper)
    assert verdict.status == 3
    assert contradicted(verdict) == {checks.ENTRY, GROWTH}
    assert "under another entry" in said(verdict, checks.ENTRY)
    code = check_code(registry, code_of(paper))
    assert code.status == 3
    assert contradicted(code) == {checks.ENTRY, GROWTH}


def test_a_book_signed_anew_with_another_key_does_not_pass_for_this_one(registry: Registry) -> None:
    paper = read(certify(registry).path)
    house.rewrite(registry, house.first(registry, "run_declared"), larger_run, key=STRANGER)
    assert any("checkpoint" in fault for fault in audit(registry).faults)
    verdict = check_pdf(registry, paper)
    assert verdict.status == 3
    assert GROWTH in contradicted(verdict)
    assert check_number(registry, verdict.number).status == 3


def test_a_certificate_cut_off_from_the_book_contradicts_the_registry(registry: Registry) -> None:
    paper = read(certify(registry).path)
    house.rewrite(registry, 0, nothing, until=house.first(registry, "certificate_issued"))
    assert audit(registry).faults == ()
    verdict = check_pdf(registry, paper)
    assert (verdict.status, contradicted(verdict)) == (3, {checks.STANDING})
    assert "has issued no certificate" in said(verdict, checks.STANDING)


def test_each_paper_is_a_witness_to_what_came_before_it(book: Registry) -> None:
    early = read(certify(book).path)
    later = read(certify(book, house.finished(book, "4/8")).path)
    between = max(i for i, kind in enumerate(house.kinds(book)) if kind == "colour_applied")
    house.rewrite(book, between, lambda entry: entry["facts"].update(words="black"))
    assert check_pdf(book, early).status == 0
    assert contradicted(check_pdf(book, later)) == {GROWTH}


@pytest.mark.parametrize("kind", ["certificate_issued", "colour_applied", "mark_found"])
def test_one_byte_changed_without_signing_anew_is_found_by_a_number_alone(
    registry: Registry, kind: str
) -> None:
    issued = certify(registry)
    position = house.first(registry, kind)
    with registry.reading() as r:
        entry = house.stored(r, position)
    raw = entry.replace(b'"kind"', b'"kine"', 1)
    tamper(registry, "UPDATE entries SET bytes = :raw WHERE position = :at", raw=raw, at=position)
    assert any(f"entry {position}" in fault for fault in audit(registry).faults)
    for verdict in (check_number(registry, issued.number), check_pdf(registry, read(issued.path))):
        assert verdict.status == 3
        assert contradicted(verdict) & {checks.ENTRY, RECORD}


@pytest.mark.parametrize(
    ("statement", "found"),
    [
        ("UPDATE checkpoints SET note = 'gone'", checks.CHECKPOINT),
        ("UPDATE checkpoints SET note = replace(note, '—', '-')", checks.CHECKPOINT),
        ("UPDATE checkpoints SET note = ''", checks.CHECKPOINT),
        ("DELETE FROM checkpoints", checks.CHECKPOINT),
        ("DELETE FROM nodes", checks.INCLUSION),
        ("DELETE FROM entries WHERE kind = 'certificate_issued'", checks.ENTRY),
        ("UPDATE subjects SET state = replace(state, 'Heron', 'Stork')", checks.PAPER),
        ("UPDATE entries SET subject = 'P-0001', leaf = substr(leaf, 1, 31)", checks.ENTRY),
    ],
)
def test_whatever_table_is_changed_a_number_alone_finds_it(
    registry: Registry, statement: str, found: str
) -> None:
    issued = certify(registry)
    tamper(registry, statement)
    verdict = check_number(registry, issued.number)
    assert verdict.status == 3
    assert found in contradicted(verdict)
    assert audit(registry).faults


@pytest.mark.parametrize("state", ["", "{", "[]", '{"code": 1}', '{"code": "P-0001"}'])
def test_a_damaged_row_is_a_contradiction_in_one_line(registry: Registry, state: str) -> None:
    issued = certify(registry)
    tamper(registry, "UPDATE subjects SET state = :s WHERE letter = ''", s=state)
    for check in (check_number, check_of_file):
        with pytest.raises(Contradiction, match=f"{issued.number} is damaged"):
            check(registry, issued.number)
    assert any(fault.startswith("subjects") for fault in audit(registry).faults)


def check_of_file(registry: Registry, number: str) -> Verdict:
    """Check the PDF that was drawn for a number."""
    return check_pdf(registry, read(registry.home.certificates / f"{number}.pdf"))


def test_a_pdf_changed_on_disk_is_told_by_audit_and_by_its_check(registry: Registry) -> None:
    issued = certify(registry)
    whole = read(issued.path)
    issued.path.write_bytes(whole.replace(b"%%EOF", b"%ours\n%%EOF"))
    (fault,) = audit(registry).faults
    assert fault == f"certificates {issued.number}: the PDF is not the one that was drawn"
    verdict = check_pdf(registry, read(issued.path))
    assert verdict.status == 3
    assert FILE in contradicted(verdict)
    issued.path.unlink()
    (fault,) = audit(registry).faults
    assert "the PDF is missing" in fault
    issued.path.write_bytes(whole)
    assert audit(registry).faults == ()


def test_a_withdrawn_certificate_is_proved_and_does_not_stand(registry: Registry) -> None:
    issued = certify(registry)
    withdraw(registry, issued.number, "cast destroyed", reason="a fire in the barn")
    verdict = check_pdf(registry, read(issued.path))
    assert (verdict.status, verdict.proved) == (3, True)
    assert contradicted(verdict) == {checks.STANDING}
    assert "withdrawn (cast destroyed), as of 2026-03-02" in said(verdict, checks.STANDING)
    assert "fire" not in str(verdict)
    assert check_number(registry, issued.number).status == 3


def test_a_lost_certificate_answers_replaced_and_its_heir_stands(registry: Registry) -> None:
    lost = certify(registry)
    (heir,) = replace_lost(registry, lost.number, passphrase=PASSPHRASE)
    assert contradicted(check_pdf(registry, read(lost.path))) == {checks.STANDING}
    by = show_number(heir.number)
    assert check_number(registry, lost.number).standing.endswith(f"was replaced by {by}")
    assert check_pdf(registry, read(heir.path)).status == 0
    by_work = check_designation(registry, "3 of 8", "K-0001")
    assert [(verdict.number, verdict.status) for verdict in by_work] == [
        (heir.number, 0),
        (lost.number, 3),
    ]


def test_a_number_that_was_never_issued_is_not_known(registry: Registry) -> None:
    certify(registry)
    with pytest.raises(NotKnown):
        check_number(registry, builders.NUMBER)


@pytest.mark.parametrize(
    ("designation", "work", "error", "words"),
    [
        ("three", "K-0001", Unreadable, "cannot be read as a number"),
        ("3/8", "K-0009", NotKnown, "K-0009"),
        ("3/8", "P-0001", NotKnown, "not a work"),
        ("5/8", "K-0001", NotKnown, "no certificate of 5/8"),
        ("3/9", "K-0001", NotKnown, "can be 3/9: there is no such number. R-0001: run of 8"),
        ("9/8", "K-0001", NotKnown, "there is no such number"),
        ("AP I/IV", "K-0001", NotKnown, "AP I/IV"),
    ],
)
def test_a_designation_that_has_no_certificate_is_refused_in_words(
    book: Registry, designation: str, work: str, error: type[Exception], words: str
) -> None:
    certify(book)
    with pytest.raises(error, match=words):
        check_designation(book, designation, work)


def test_a_number_that_was_given_and_not_certified_is_told_as_that(registry: Registry) -> None:
    said = f"3/8 of {RUN} was given to {house.PIECE}, and no certificate"
    with pytest.raises(NotKnown, match=said):
        check_designation(registry, "3/8", "K-0001")


def test_a_certificate_of_another_book_is_not_known_here(book: Registry) -> None:
    foreign = builders.paper(builders.sealed())
    verdict = check_pdf(book, foreign)
    assert (verdict.status, verdict.proved) == (4, False)
    assert "has issued no certificate" in said(verdict, checks.STANDING)


def test_a_certificate_that_claims_this_book_with_other_keys_contradicts(
    plain_stores: Stores, book: Registry, tmp_path: Path
) -> None:
    # Same address, other keys: a registry that gives itself out for this one.
    other = house.built(plain_stores.fresh(), tmp_path / "other", random=Chance("other"))
    verdict = check_pdf(book, read(certify(other).path))
    assert verdict.status == 3
    assert {checks.SIGNATURE, checks.STANDING} <= contradicted(verdict)
    other.close()


def code_of(pdf: bytes) -> str:
    """The text of a paper's code, put together from the signed claim that it carries."""
    cose = read_attachments(pdf)["claim.cose"]
    return code_text(ADDRESS, peek_claim(cose)[0].number, cose)


def rasterised(pdf: bytes, dpi: int = 150) -> bytes:
    document = pypdfium2.PdfDocument(pdf)
    picture = document[0].render(scale=dpi / 72).to_pil()
    document.close()
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_a_picture_of_the_paper_and_the_text_of_its_code_say_the_same(
    book: Registry, page: str
) -> None:
    paper = read(certify(book, page=page).path)
    seen, typed = check_picture(book, rasterised(paper)), check_code(book, code_of(paper))
    assert seen == with_standing(typed, typed.standing, seen.standing_as_of or "", stands=True)
    assert (seen.status, seen.proved) == (0, True)
    assert check_code(book, code_of(paper).lower()).status == 0
    assert agrees(checks.ENTRY, "The registry holds the very entry that the paper names.") in (
        seen.checks
    )


def test_half_a_picture_holds_no_code(book: Registry) -> None:
    whole = Image.open(io.BytesIO(rasterised(read(certify(book).path))))
    out = io.BytesIO()
    whole.crop((0, 0, whole.width, whole.height // 3)).save(out, "PNG")
    with pytest.raises(FileUnusable, match="No code was found"):
        check_picture(book, out.getvalue())


def test_a_damaged_code_never_stands(book: Registry) -> None:
    text = code_of(read(certify(book).path))
    # The last characters are those of the signature; the claim before it can still be read.
    assert contradicted(check_code(book, text[:-40] + "A" * 40)) == {checks.SIGNATURE}
    for damaged in (text[:-1], text[:-40], text.replace("#", "#A")):
        with pytest.raises(Unreadable):
            check_code(book, damaged)


def test_a_reservation_is_looked_up_as_what_it_is(registry: Registry) -> None:
    with registry.writing() as w:
        promise_number(w, RUN, "5/8")
    (made,) = reserve(registry, RUN, "5/8", passphrase=PASSPHRASE)
    verdict = check_number(registry, made.number)
    assert verdict.status == 0
    assert verdict.statement is not None
    assert verdict.statement.paper == "reservation"
    assert (verdict.noun, verdict.standing) == ("reservation", "this reservation stands")
    assert check_designation(registry, "5/8", "K-0001") == (verdict,)
    assert all("certificate" not in check.says for check in verdict.checks)
