"""Those outside follow the log's key, by what a key that they know has countersigned."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from certificates.checks import CHECKPOINT
from certificates.countersign import countersign, countersign_text
from certificates.examining import Away, verify
from certificates.handover import every_log, followed, read_handovers, shown_at
from certificates.keyfile import write_keys
from certificates.reach import reach
from editions.errors import BronzebookError, FileUnusable, KeyUnusable
from editions.ledger.keys import PrivateKey, public_text
from editions.ledger.logkeys import LogKeys
from editions.ledger.notes import VerifierKey
from editions.ledger.status import open_status
from editions.pages.publish import publish
from editions.registry import Registry
from tests.certificates.house import certify
from tests.certificates.rotating import FOUNDRY, ORIGIN, STRANGER, keys, rotate, size
from tests.registry.builders import PASSPHRASE
from tests.store.books import tamper

# Followed from outside


def published(book: Registry, folder: Path) -> Path:
    publish(book, folder)
    return folder


def test_whoever_knows_the_first_key_follows_to_the_last(book: Registry, tmp_path: Path) -> None:
    first = keys(book).first
    site = published(book, tmp_path / "site")
    assert shown_at(reach(str(site))) == ()
    (site / "rotations.txt").unlink()
    assert shown_at(reach(str(site))) == ()
    for _ in range(3):
        rotate(book)
    # The folder was published under the older keys, and is this book's site still.
    published(book, site)
    found = followed(first, shown_at(reach(str(site))))
    assert found == tuple(key for _, key in keys(book).keys)
    assert open_status((site / "status").read_text(), found[-1]).checkpoint.size == size(book)
    assert (site / "keys.txt").read_text().index(str(found[-1])) < (
        (site / "keys.txt").read_text().index(str(first))
    )


def test_a_lost_key_is_followed_by_who_knows_the_certifying_key(
    book: Registry, tmp_path: Path
) -> None:
    first, certifying = keys(book).first, book.certifying_key(PASSPHRASE).public.raw
    book.home.log_key.unlink()
    rotate(book, "lost")
    shown = shown_at(reach(str(published(book, tmp_path / "site"))))
    assert followed(first, shown) == (first,)
    assert followed(first, shown, [STRANGER.public.raw]) == (first,)
    assert followed(first, shown, [certifying])[-1] == keys(book).newest
    assert every_log([first], shown, [certifying]) == tuple(key for _, key in keys(book).keys)


@pytest.mark.parametrize("because", ["rotated", "lost"])
def test_a_paper_from_before_is_checked_with_a_site_from_after(
    book: Registry, tmp_path: Path, because: str
) -> None:
    paper = certify(book).path.read_bytes()
    known = book.public_keys()
    if because == "lost":
        book.home.log_key.unlink()
    rotate(book, because)
    site = reach(str(published(book, tmp_path / "site")))
    given = verify(None, paper, away=Away(keys=known, site=site))[0]
    assert given.status == 0, given.checks
    own = verify(None, paper, away=Away(site=site))[0]
    assert own.status == 5, own.checks


@pytest.mark.parametrize("because", ["rotated", "lost"])
def test_a_paper_from_after_is_checked_with_keys_from_before(
    book: Registry, tmp_path: Path, because: str
) -> None:
    known = book.public_keys()
    if because == "lost":
        book.home.log_key.unlink()
    rotate(book, because)
    paper = certify(book).path.read_bytes()
    alone = verify(None, paper, away=Away(keys=known))[0]
    assert alone.status == 4
    (said,) = (check.says for check in alone.checks if check.name == CHECKPOINT)
    assert "may have changed its key: a site or a registry can tell" in said
    site = reach(str(published(book, tmp_path / "site")))
    asked = verify(None, paper, away=Away(keys=known, site=site))[0]
    assert asked.status == 0, asked.checks


def test_keys_beside_a_registry_without_the_logs_are_refused(book: Registry) -> None:
    kept = [key for key in book.public_keys() if key.use != "log"]
    book.home.public_keys.write_text(write_keys(kept))
    with pytest.raises(KeyUnusable, match="No log key is among the public keys"):
        book.log_verifier()


def test_of_a_damaged_book_the_newest_key_beside_it_must_have_signed_all(book: Registry) -> None:
    old = keys(book).newest
    tamper(book, "UPDATE subjects SET state = '{' WHERE code = 'BOOK'")
    assert keys(book) == LogKeys.only(old)


def vouched(by: PrivateKey, key: PrivateKey, *, book: str = ORIGIN, use: str = "log") -> str:
    text = countersign_text(book, FOUNDRY, use, public_text(book, key.public.raw))
    return str(countersign(text, by))


A, B, C = (PrivateKey(bytes([number]) * 32) for number in (1, 2, 3))
KNOWN = VerifierKey(ORIGIN, A.public.raw)


@pytest.mark.parametrize(
    ("texts", "reached"),
    [
        ([vouched(A, B)], [A, B]),
        ([vouched(A, B), vouched(B, C)], [A, B, C]),
        ([vouched(B, C), vouched(A, B)], [A, B]),
        ([vouched(B, C)], [A]),
        ([vouched(A, B, book="else.example")], [A]),
        ([vouched(A, B, use="artist"), vouched(B, C)], [A]),
        ([vouched(A, B, use="foundry"), vouched(B, C)], [A, C]),
        ([vouched(A, B), vouched(A, B)], [A, B]),
        ([], [A]),
    ],
)
def test_only_what_a_trusted_key_countersigned_is_followed(
    texts: list[str], reached: list[PrivateKey]
) -> None:
    found = followed(KNOWN, read_handovers("".join(texts).encode()))
    assert [key.public for key in found] == [key.public.raw for key in reached]


def test_every_bit_of_a_handover_flipped_is_refused_or_not_followed() -> None:
    data = vouched(A, B).encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        try:
            found = followed(KNOWN, read_handovers(bytes(wrong)))
        except FileUnusable:
            continue
        assert found == (KNOWN,), bit


@pytest.mark.parametrize("data", [b"x", b"\xff", b"bronzebook-countersign-1\n", b"x" * 300_000])
def test_what_is_no_row_of_keys_is_refused(data: bytes) -> None:
    with pytest.raises(FileUnusable):
        read_handovers(data)


def test_a_row_of_keys_reads_back(book: Registry, tmp_path: Path) -> None:
    rotate(book)
    rotate(book)
    data = (published(book, tmp_path / "site") / "rotations.txt").read_bytes()
    assert "".join(map(str, read_handovers(data))).encode() == data


def test_keys_of_a_log_follow_one_another_under_one_name() -> None:
    other = VerifierKey("else.example", B.public.raw)
    wrong: list[Callable[[], object]] = [
        lambda: LogKeys(()),
        lambda: LogKeys(((1, KNOWN),)),
        lambda: LogKeys(((0, KNOWN), (0, KNOWN))),
        lambda: LogKeys(((0, KNOWN), (5, other))),
    ]
    for make in wrong:
        with pytest.raises(BronzebookError):
            make()
    two = LogKeys(((0, KNOWN), (5, VerifierKey(ORIGIN, B.public.raw))))
    assert [two.at(at).public for at in (-1, 0, 4)] == [A.public.raw] * 3
    assert two.at(5) == two.at(99) == two.newest
