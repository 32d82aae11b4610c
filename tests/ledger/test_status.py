"""Status notes: what they say, what they do not, and that no touched one says anything.

The form is this project's own; its dates are those of EDTF, which have tests of their own.
"""

from __future__ import annotations

import base64
import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.encodings import LARGEST
from editions.ledger.moments import LATEST, to_moment
from editions.ledger.notes import LIMIT as NOTE_LIMIT
from editions.ledger.notes import VerifierKey, open_note, sign_note
from editions.ledger.status import (
    LIMIT,
    MOST_ENDED,
    WORDS,
    Ended,
    StatusNote,
    open_status,
    sign_status,
)
from tests.ledger.published import LOG, ORIGIN, OTHER

KEY = VerifierKey(ORIGIN, LOG.public.raw)
ISSUED = "2026-11-24T10:00:00Z"
ROOT = bytes(range(32))
ROOT_TEXT = base64.b64encode(ROOT).decode()
LEAVES = sorted(hashlib.sha256(b"certificate %d" % number).digest() for number in range(6))
DATES = ["2026-11-02", "2026-08~", "2025", "../2026", "2026-XX-XX", "2026-09"]
ENDED = tuple(Ended(*line) for line in zip(LEAVES, WORDS, DATES, strict=True))
STATUS = StatusNote(Checkpoint(ORIGIN, 1042, ROOT), ISSUED, ENDED)
NOTE = sign_status(STATUS, LOG)


def status(
    size: int = 1042, issued: str = ISSUED, origin: str = ORIGIN, root: bytes = ROOT
) -> StatusNote:
    return StatusNote(Checkpoint(origin, size, root), issued, ENDED)


# What it says


def test_a_status_note_is_these_lines_and_no_others() -> None:
    assert WORDS == ("withdrawn", "replaced", "lost", "stolen", "disputed", "lapsed")
    assert str(STATUS) == (
        "bronzebook-status-1\n"
        "origin book.example\n"
        "issued 2026-11-24T10:00:00Z\n"
        "size 1042\n"
        "root AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=\n"
        f"{LEAVES[0].hex()} withdrawn 2026-11-02\n"
        f"{LEAVES[1].hex()} replaced 2026-08~\n"
        f"{LEAVES[2].hex()} lost 2025\n"
        f"{LEAVES[3].hex()} stolen ../2026\n"
        f"{LEAVES[4].hex()} disputed 2026-XX-XX\n"
        f"{LEAVES[5].hex()} lapsed 2026-09\n"
        "count 6\n"
    )


def test_a_book_of_which_all_certificates_stand_says_so() -> None:
    clear = StatusNote(Checkpoint(ORIGIN, 3, ROOT), ISSUED)
    assert str(clear).endswith(f"root {ROOT_TEXT}\ncount 0\n")
    assert StatusNote.parse(str(clear)) == clear
    assert open_status(sign_status(clear, LOG), KEY) == clear
    assert clear.standing_of(LEAVES[0]) is None


lines = st.dictionaries(
    st.binary(min_size=32, max_size=32),
    st.tuples(st.sampled_from(WORDS), st.sampled_from([*DATES, "2026-11-24~/2027-11-24~"])),
    max_size=6,
)


@given(
    origin=st.from_regex(r"[!-*,-~]{1,30}", fullmatch=True),
    size=st.integers(1, LARGEST),
    root=st.binary(min_size=32, max_size=32),
    seconds=st.integers(0, LATEST),
    ended=lines,
)
def test_a_status_returns_through_text_and_note(
    origin: str, size: int, root: bytes, seconds: int, ended: dict[bytes, tuple[str, str]]
) -> None:
    made = StatusNote(
        Checkpoint(origin, size, root),
        to_moment(seconds),
        tuple(Ended(leaf, *ended[leaf]) for leaf in sorted(ended)),  # type: ignore[arg-type]
    )
    assert StatusNote.parse(str(made)) == made
    assert open_status(sign_status(made, LOG), VerifierKey(origin, LOG.public.raw)) == made
    for leaf, (word, on) in ended.items():
        found = made.find(leaf)
        assert found is not None
        assert (made.standing_of(leaf), found.on) == (word, on)


def test_a_certificate_is_found_by_its_leaf_alone() -> None:
    assert [STATUS.standing_of(leaf) for leaf in LEAVES] == list(WORDS)
    first, last = LEAVES[0], LEAVES[-1]
    for leaf in (bytes(32), bytes([255] * 32), first[:-1], first + b"x", b"", last[::-1]):
        assert STATUS.standing_of(leaf) is None
        assert STATUS.find(leaf) is None


def test_a_note_speaks_only_of_what_was_issued_before_it() -> None:
    assert STATUS.speaks_of(1042)
    assert STATUS.speaks_of(1)
    assert not STATUS.speaks_of(1043)


# Which of two is newer


@pytest.mark.parametrize(
    ("size", "issued", "newer"),
    [
        (1042, "2026-11-24T09:59:59Z", True),
        (1041, "2026-11-24T10:00:00Z", True),
        (1, "1970-01-01T00:00:00Z", True),
        (1042, ISSUED, False),
        (1042, "2026-11-24T10:00:01Z", False),
        (1043, ISSUED, False),
        (1043, "2027-01-01T00:00:00Z", False),
    ],
)
def test_the_newer_note_is_the_later_one_of_no_fewer_entries(
    size: int, issued: str, newer: bool
) -> None:
    other = status(size, issued)
    assert STATUS.is_newer_than(other) == newer
    assert other.is_newer_than(STATUS) == (not newer and other != STATUS)


@pytest.mark.parametrize(
    ("other", "says"),
    [
        (status(1043, "2026-11-24T09:59:59Z"), "the later one speaks of fewer entries"),
        (status(1041, "2026-11-24T10:00:01Z"), "the later one speaks of fewer entries"),
        (status(root=bytes(32)), "two roots"),
        (status(root=bytes(32), issued="2027-01-01T00:00:00Z"), "two roots"),
        (status(origin="else.example"), "of two books"),
    ],
)
def test_notes_that_cannot_both_be_true_are_refused(other: StatusNote, says: str) -> None:
    for one, two in ((STATUS, other), (other, STATUS)):
        with pytest.raises(Contradiction, match=says):
            one.is_newer_than(two)


# Who signed it


def test_every_bit_of_a_status_note_flipped_is_refused() -> None:
    data = NOTE.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises((Unreadable, Contradiction)):
            open_status(wrong.decode(errors="surrogateescape"), KEY)


def test_every_status_note_cut_short_or_lengthened_is_refused() -> None:
    for end in range(len(NOTE)):
        with pytest.raises((Unreadable, Contradiction)):
            open_status(NOTE[:end], KEY)
    for more in ("\n", "x", "— \n", "\n\n"):
        with pytest.raises((Unreadable, Contradiction)):
            open_status(NOTE + more, KEY)


def test_every_line_left_out_doubled_or_swapped_is_refused_even_when_signed() -> None:
    whole = str(STATUS).splitlines(keepends=True)
    for at in range(len(whole)):
        without = whole[:at] + whole[at + 1 :]
        doubled = whole[: at + 1] + whole[at:]
        swapped = [*whole[:at], *reversed(whole[at : at + 2]), *whole[at + 2 :]]
        for wrong in (without, doubled, swapped):
            if wrong != whole:
                with pytest.raises(Unreadable):
                    open_status(sign_note("".join(wrong), ORIGIN, LOG), KEY)


def test_another_key_or_another_book_is_refused() -> None:
    with pytest.raises(Contradiction, match="none of the keys"):
        open_status(sign_status(STATUS, OTHER), KEY)
    with pytest.raises(Contradiction, match="none of the keys"):
        open_status(NOTE, VerifierKey("else.example", LOG.public.raw))
    elsewhere = str(status(origin="else.example"))
    with pytest.raises(Contradiction, match=r"status note is of the book else\.example"):
        open_status(sign_note(elsewhere, ORIGIN, LOG), KEY)


def test_a_checkpoint_is_no_status_and_a_status_no_checkpoint() -> None:
    with pytest.raises(Unreadable):
        open_status(sign_checkpoint(STATUS.checkpoint, LOG), KEY)
    with pytest.raises(Unreadable):
        open_checkpoint(NOTE, KEY)


# What is not one


HEX = LEAVES[0].hex()
LINE = f"{HEX} withdrawn 2026-11-02"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("bronzebook-status-1", "bronzebook-status-2"),
        ("bronzebook-status-1\n", ""),
        ("bronzebook-status-1", "\nbronzebook-status-1"),
        ("origin book.example", "origin a book"),
        ("origin book.example", "origin "),
        ("origin book.example", "origin"),
        ("origin ", "origin  "),
        ("origin ", "Origin "),
        ("origin ", "book "),
        (f"issued {ISSUED}", "issued 2026-11-24"),
        (f"issued {ISSUED}", "issued 2026-11-24T10:00:00+01:00"),
        (f"issued {ISSUED}", "issued 2026-02-30T10:00:00Z"),
        ("size 1042", "size 01042"),
        ("size 1042", "size -1"),
        ("size 1042", "size 0"),
        ("size 1042", f"size {2**53}"),
        ("size 1042", "size 1042 "),
        (ROOT_TEXT, ROOT_TEXT[:-4]),
        (ROOT_TEXT, ROOT_TEXT.replace("8=", "9=")),
        (ROOT_TEXT, ROOT.hex()),
        (HEX, HEX.upper()),
        (HEX, HEX[:-1]),
        (HEX, HEX + "00"),
        (HEX, LEAVES[1].hex()),
        (HEX, "f" * 64),
        ("withdrawn", "Withdrawn"),
        ("withdrawn", "stands"),
        ("withdrawn", "void"),
        ("withdrawn", ""),
        (LINE, HEX),
        (LINE, f"{HEX} withdrawn"),
        (LINE, f"{HEX} withdrawn "),
        (LINE, f"{HEX}  withdrawn 2026-11-02"),
        (LINE, f"{HEX} withdrawn  2026-11-02"),
        (LINE, f"{HEX} withdrawn 2026-11-02 "),
        (LINE, f"{HEX} withdrawn 2026-11-02 4MH8PV0PDA7"),
        (LINE, f"{HEX} withdrawn 2026-11-31"),
        (LINE, f"{HEX} withdrawn 2026-13"),
        (LINE, f"{HEX} withdrawn 24.11.2026"),
        (LINE, f"{HEX} withdrawn 2026-xx-xx"),
        (LINE, f"{HEX} withdrawn 2027/2026"),
        (LINE, f"{HEX} withdrawn today"),
        (LINE, f"{HEX}\twithdrawn 2026-11-02"),
        (LINE, ""),
        ("count 6", "count 5"),
        ("count 6", "count 7"),
        ("count 6", "count 05"),
        ("count 6", "count"),
        ("count 6\n", ""),
        ("count 6\n", "count 6"),
        ("count 6\n", "count 6\n\n"),
        ("count 6\n", "count 6\ncount 6\n"),
        ("count 6\n", "count 6\nmore\n"),
        ("\n", "\r\n"),
    ],
)
def test_what_has_not_the_form_is_refused_even_when_signed(old: str, new: str) -> None:
    text = str(STATUS).replace(old, new)
    assert text != str(STATUS)
    with pytest.raises(Unreadable):
        StatusNote.parse(text)
    if text.endswith("\n") and not {"\r", "\t"} & set(text):
        with pytest.raises((Unreadable, Contradiction)):
            open_status(sign_note(text, ORIGIN, LOG), KEY)


@pytest.mark.parametrize("text", ["", "\n", "bronzebook-status-1", "bronzebook-status-1\n" * 8])
def test_what_is_no_status_at_all_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        StatusNote.parse(text)


@given(text=st.text(alphabet="ab0 \n-1", max_size=60))
def test_any_text_raises_no_other_error(text: str) -> None:
    for wrong in (text, f"bronzebook-status-1\n{text}\ncount 0\n"):
        with pytest.raises(BronzebookError):
            StatusNote.parse(wrong)


@pytest.mark.parametrize(
    "ended",
    [
        (Ended(bytes(31), "lost", "2026"),),
        (Ended(bytes(32), "gone", "2026"),),  # type: ignore[arg-type]
        (Ended(bytes(32), "lost", "2026 "),),
        (Ended(bytes(32), "lost", "2026-xx"),),
        (Ended(bytes(32), "lost", "soon"),),
        (Ended(bytes(32), "lost", "2026"), Ended(bytes(32), "stolen", "2026")),
        tuple(reversed(ENDED)),
    ],
)
def test_a_status_that_could_not_be_read_back_is_not_made(ended: tuple[Ended, ...]) -> None:
    with pytest.raises(Unreadable):
        StatusNote(STATUS.checkpoint, ISSUED, ended)


# Its size


def many(count: int) -> tuple[Ended, ...]:
    on = "2026-11-24~/2027-11-24~"
    return tuple(Ended(number.to_bytes(32, "big"), "withdrawn", on) for number in range(count))


def test_a_hundred_thousand_certificates_are_the_most() -> None:
    most = StatusNote(STATUS.checkpoint, ISSUED, many(MOST_ENDED))
    note = sign_status(most, LOG)
    assert NOTE_LIMIT < len(note) < LIMIT
    opened = open_status(note, KEY)
    assert opened == most
    assert opened.standing_of((MOST_ENDED - 1).to_bytes(32, "big")) == "withdrawn"
    # Where other notes are read, such a long one is refused.
    with pytest.raises(Unreadable, match=f"at most {NOTE_LIMIT}"):
        open_note(note, [KEY])
    with pytest.raises(Unreadable, match="at most 100000"):
        StatusNote(STATUS.checkpoint, ISSUED, many(MOST_ENDED + 1))
    one_more = str(most).replace(
        "count 100000\n", f"{MOST_ENDED:064x} withdrawn 2026\ncount 100001\n"
    )
    with pytest.raises(Unreadable, match="at most 100000"):
        StatusNote.parse(one_more)


def test_a_text_that_is_far_too_long_is_refused_unread() -> None:
    for read in (StatusNote.parse, lambda text: open_status(text, KEY)):
        with pytest.raises(Unreadable, match="at most 16777216"):
            read("\n" * (LIMIT + 1))
