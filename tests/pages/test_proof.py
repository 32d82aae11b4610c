"""A book that was tampered with still gets its page, and the page says so."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import pytest
from markupsafe import escape
from sqlalchemy import text

from certificates import checks
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import leaf_hash
from editions.pages import keeping, site
from editions.pages.render import render_record
from editions.pages.tongues import english
from editions.pages.view import record_view, room
from editions.registry import Registry, open_registry
from editions.registry.proving import RECORD
from editions.trade.certificates import Certificate
from tests.store.books import tamper

NODES = {checks.INCLUSION, checks.GROWTH, RECORD}
NOTES = {checks.CHECKPOINT, checks.GROWTH, RECORD}
RESULTS = {"agrees", "contradicts", "not checked"}


def contradicted(registry: Registry, number: str) -> set[str]:
    """The names of the checks that contradict; the page itself must say so too."""
    view = record_view(registry, number)
    assert {check.result for check in view.proof.checks} <= RESULTS
    page = render_record(registry, number).decode()
    found = {check.name for check in view.proof.contradictions}
    assert ("This record contradicts itself" in page) == bool(found)
    for check in view.proof.contradictions:
        name = check.name[0].upper() + check.name[1:]
        assert f"<b>{escape(name)}</b> <small>contradicts</small>" in page
    return found


def asked(registry: Registry, question: str, **values: object) -> list[tuple[object, ...]]:
    with registry.engine.connect() as connection:
        return [tuple(row) for row in connection.execute(text(question), values)]


def position(registry: Registry, kind: str) -> int:
    found = asked(registry, "SELECT max(position) FROM entries WHERE kind = :k", k=kind)[0][0]
    assert isinstance(found, int)
    return found


def change_byte(registry: Registry, at: int, index: int | None = None) -> None:
    raw = asked(registry, "SELECT bytes FROM entries WHERE position = :p", p=at)[0][0]
    assert isinstance(raw, bytes)
    place = len(raw) // 2 if index is None else index
    changed = bytes([*raw[:place], raw[place] ^ 1, *raw[place + 1 :]])
    tamper(registry, "UPDATE entries SET bytes = :raw WHERE position = :p", raw=changed, p=at)


def test_a_sound_book_agrees_on_every_line(book: Registry, number: str) -> None:
    view = record_view(book, number)
    assert [check.result for check in view.proof.checks] == ["agrees"] * 9
    assert contradicted(book, number) == set()


def test_the_leaf_and_root_shown_are_those_of_the_proof_that_the_paper_carries(
    book: Registry, number: str
) -> None:
    with book.reading() as reading:
        certificate = reading.get(number, Certificate)
        proof: ProofFile = reading.proof(certificate.leaf)
        raw = reading.entry(certificate.leaf)
        key = VerifierKey.parse(reading.book.log_key)
    checkpoint = proof.check(leaf_hash(raw), key)
    shown = record_view(book, number).proof
    assert shown.leaf == hashlib.sha256(b"\x00" + raw).hexdigest()
    assert (shown.index, shown.size) == (proof.index, checkpoint.size)
    assert shown.root == checkpoint.root.hex()


@pytest.mark.parametrize("index", [0, 1, None, -1])
def test_one_byte_of_the_issuing_entry_is_found(
    book: Registry, number: str, index: int | None
) -> None:
    change_byte(book, position(book, "certificate_issued"), index)
    found = contradicted(book, number)
    assert {checks.ENTRY, checks.PAPER, checks.INCLUSION, RECORD} == found


@pytest.mark.parametrize(
    "kind",
    [
        "book_opened", "work_entered", "run_declared", "mold_made", "heat_analysed", "step_done",
        "mark_found", "approval_given", "model_entered",
    ],
)  # fmt: skip
def test_one_byte_of_an_older_entry_is_found(book: Registry, number: str, kind: str) -> None:
    at = asked(book, "SELECT min(position) FROM entries WHERE kind = :k", k=kind)[0][0]
    assert isinstance(at, int)
    change_byte(book, at)
    assert contradicted(book, number) == {RECORD}


def test_an_entry_that_the_page_does_not_draw_on_leaves_it_alone(
    book: Registry, number: str
) -> None:
    change_byte(book, position(book, "piece_measured"))
    assert contradicted(book, number) == set()


@pytest.mark.parametrize(
    ("statement", "expected"),
    [
        (
            "UPDATE nodes SET hash = zeroblob(32) WHERE level > 0",
            NODES,
        ),
        (
            "UPDATE nodes SET hash = x'00' WHERE level > 0",
            NODES,
        ),
        ("DELETE FROM nodes WHERE level > 0", NODES),
        ("DELETE FROM nodes", NODES),
        ("UPDATE checkpoints SET note = 'none'", NOTES),
        ("UPDATE checkpoints SET note = ''", NOTES),
        ("DELETE FROM checkpoints", NOTES),
        (
            "UPDATE checkpoints SET note = replace(note, '—', '-')",
            NOTES,
        ),
        ("DELETE FROM touches", {RECORD}),
        (
            "UPDATE entries SET leaf = zeroblob(32) WHERE kind = 'certificate_issued'",
            {checks.ENTRY},
        ),
        ("DELETE FROM entries WHERE kind = 'certificate_issued'", {checks.ENTRY, RECORD}),
        ("DELETE FROM entries", {checks.ENTRY, RECORD}),
    ],
)
def test_tampering_with_the_books_tables_is_found(
    book: Registry, number: str, statement: str, expected: set[str]
) -> None:
    tamper(book, statement)
    assert expected <= contradicted(book, number)


def test_the_checkpoint_of_issue_altered_alone_is_found(book: Registry, number: str) -> None:
    size = record_view(book, number).proof.size
    tamper(book, "UPDATE checkpoints SET note = replace(note, :a, :b) WHERE size = :s",
           a=f"\n{size}\n", b="\n9999\n", s=size)  # fmt: skip
    assert contradicted(book, number) == {checks.CHECKPOINT}


def test_a_checkpoint_signed_anew_for_another_root_is_found(book: Registry, number: str) -> None:
    """As the thief of the log key would: the signature holds, the tree does not."""
    size = record_view(book, number).proof.size or 0
    with book.reading() as reading:
        origin = reading.book.origin
    forged = sign_checkpoint(Checkpoint(origin, size, bytes(32)), book.log_key())
    tamper(book, "UPDATE checkpoints SET note = :n WHERE size = :s", n=forged, s=size)
    assert contradicted(book, number) == {checks.INCLUSION, checks.GROWTH}


def test_a_checkpoint_dropped_so_that_a_later_one_covers_the_entry_is_found(
    book: Registry, number: str
) -> None:
    size = record_view(book, number).proof.size
    tamper(book, "DELETE FROM checkpoints WHERE size = :s", s=size)
    assert contradicted(book, number) == {checks.CHECKPOINT}


def test_entries_that_lie_under_no_checkpoint_are_found(book: Registry, number: str) -> None:
    size = record_view(book, number).proof.size
    tamper(book, "DELETE FROM checkpoints WHERE size > :s", s=size)
    assert contradicted(book, number) == {RECORD}


@pytest.mark.parametrize("code", ["P-0001", "R-0001", "H-0001", "M-0001", "D-0001", "Y-0002"])
def test_a_row_that_is_gone_is_found_and_the_rest_still_told(
    book: Registry, number: str, code: str
) -> None:
    tamper(book, "DELETE FROM subjects WHERE code = :code", code=code)
    assert contradicted(book, number) == {RECORD}


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('"standing":"stands"', '"standing":"withdrawn"', {RECORD}),
        ('"title":"Heron, settling"', '"title":"Heron, landing"', {checks.PAPER, RECORD}),
        ('"designation":"3/8"', '"designation":"1/8"', {checks.PAPER, RECORD}),
    ],
)
def test_a_row_of_the_tables_that_says_otherwise_than_the_entries_is_found(
    book: Registry, number: str, old: str, new: str, expected: set[str]
) -> None:
    tamper(book, "UPDATE subjects SET state = replace(state, :old, :new) WHERE code = :code",
           old=old, new=new, code=number)  # fmt: skip
    assert contradicted(book, number) == expected


@pytest.mark.parametrize("state", ["", "{", "[]", "{}", '{"code": 7}'])
@pytest.mark.parametrize(
    "code", ["number", "P-0001", "R-0001", "H-0001", "M-0001", "BOOK", "Y-0002"]
)
def test_a_row_that_cannot_be_read_is_told_from_the_entries(
    book: Registry, number: str, code: str, state: str
) -> None:
    row = number if code == "number" else code
    tamper(book, "UPDATE subjects SET state = :state WHERE code = :code", state=state, code=row)
    assert contradicted(book, number) == {RECORD}
    assert record_view(book, number).statement.title == "Heron, settling"


def test_rows_that_are_gone_are_found(book: Registry, number: str) -> None:
    tamper(book, "DELETE FROM subjects WHERE code IN ('P-0001', 'R-0001', 'H-0001', 'M-0001')")
    assert contradicted(book, number) == {RECORD}


def test_a_record_of_which_nothing_can_be_read_answers_with_a_warning(
    book: Registry, number: str
) -> None:
    change_byte(book, position(book, "certificate_issued"), 0)
    tamper(book, "UPDATE subjects SET state = '' WHERE code = :code", code=number)
    with room(book) as here:
        page = site.record(here, number, english()).decode()
    assert "This record cannot be read" in page
    assert "Do not rely on this address" in page


def test_a_code_of_the_wrong_kind_in_a_row_is_found(book: Registry, number: str) -> None:
    tamper(book, "UPDATE subjects SET state = replace(state, '\"piece\":\"P-0001\"', "
           "'\"piece\":\"Y-0001\"') WHERE code = :code", code=number)  # fmt: skip
    assert contradicted(book, number) == {checks.PAPER, RECORD}


def test_a_log_key_that_is_no_key_is_told(book: Registry, number: str) -> None:
    tamper(book, "UPDATE subjects SET state = replace(state, '+', '-') WHERE code = 'BOOK'")
    found = contradicted(book, number)
    assert {checks.CHECKPOINT, checks.GROWTH, RECORD, keeping.KEYS} <= found
    proof = record_view(book, number).proof
    assert proof.log_key == ""
    # The certifying key is the one that the certificate itself was issued under.
    own = next(key for key in book.public_keys() if key.use == "foundry")
    assert proof.certifying_key == own.fingerprint()


def test_another_pdf_than_the_one_drawn_is_found(book: Registry, number: str) -> None:
    (book.home.certificates / f"{number}.pdf").write_bytes(b"%PDF-1.7 another")
    assert contradicted(book, number) == {keeping.FILE}


def test_another_photograph_than_the_one_sealed_is_found_and_not_shown(
    book: Registry, number: str
) -> None:
    picture = record_view(book, number).picture
    assert picture is not None
    path = book.home.photographs / picture.digest[:2] / picture.digest
    path.chmod(0o600)
    path.write_bytes(b"another picture")
    assert contradicted(book, number) == {keeping.PHOTOGRAPH}
    assert f"/photo/{picture.digest}" not in render_record(book, number).decode()


def test_other_keys_beside_the_registry_are_found(book: Registry, number: str) -> None:
    other = str(VerifierKey("book.harrow-lane.example", PrivateKey(bytes(32)).public.raw))
    book.home.public_keys.write_text(f"log {other}\nfoundry {other}\n")
    assert contradicted(book, number) == {keeping.KEYS}


def _drop_pdf(registry: Registry, number: str) -> str:
    (registry.home.certificates / f"{number}.pdf").unlink()
    return keeping.FILE


def _drop_photograph(registry: Registry, number: str) -> str:
    picture = record_view(registry, number).picture
    assert picture is not None
    (registry.home.photographs / picture.digest[:2] / picture.digest).unlink()
    return keeping.PHOTOGRAPH


def _drop_keys(registry: Registry, _: str) -> str:
    registry.home.public_keys.write_bytes(b"\xff\xfe")
    return keeping.KEYS


@pytest.mark.parametrize("drop", [_drop_pdf, _drop_photograph, _drop_keys])
def test_a_file_that_is_not_at_hand_is_not_a_contradiction(
    book: Registry, number: str, drop: Callable[[Registry, str], str]
) -> None:
    name = drop(book, number)
    results = {check.name: check.result for check in record_view(book, number).proof.checks}
    assert results[name] == "not checked"
    assert contradicted(book, number) == set()


def test_the_same_book_opened_again_proves_the_same(book: Registry, number: str) -> None:
    before = record_view(book, number).proof
    book.close()
    again = open_registry(book.home.folder, clock=book.clock)
    assert record_view(again, number).proof == before
    with again.reading() as reading:
        key = VerifierKey.parse(reading.book.log_key)
        assert open_checkpoint(reading.checkpoint(), key).size > (before.size or 0)
    again.close()
