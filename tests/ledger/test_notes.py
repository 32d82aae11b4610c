"""Signed notes against published ones, and everything that is not quite a note."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import (
    LIMIT,
    MOST_SIGNATURES,
    OpenedNote,
    VerifierKey,
    open_note,
    sign_note,
)

# C2SP signed-note; and the example in the documentation of golang.org/x/mod/sumdb/note.
PUBLISHED = [
    (
        "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "This is an example message.\n",
        (
            "— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH"
            "3mFXmRKuwHjG1Yu72IneyaQM=\n"
        ),
    ),
    (
        "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
        (
            "If you think cryptography is the answer to your problem,\n"
            "then you don't know what your problem is.\n"
        ),
        (
            "— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqd"
            "ngotpRZb6KE6RyyBwJnAM=\n"
        ),
    ),
]

TEXT = "A text.\n\nWith an empty line.\n"
NAME = "book.example"
KEY, OTHER = PrivateKey(bytes(range(32))), PrivateKey(bytes(range(1, 33)))
TRUSTED = VerifierKey(NAME, KEY.public.raw)
NOTE = sign_note(TEXT, NAME, KEY)
LINE = NOTE.rpartition("\n\n")[2]


def line_of(name: str, key: PrivateKey, text: str = TEXT) -> str:
    return sign_note(text, name, key).rpartition("\n\n")[2]


@pytest.mark.parametrize(("key", "text", "signature"), PUBLISHED)
def test_published_notes_are_opened(key: str, text: str, signature: str) -> None:
    trusted = VerifierKey.parse(key)
    assert open_note(f"{text}\n{signature}", [trusted]) == OpenedNote(text, (trusted.name,))
    assert str(trusted) == key
    with pytest.raises(Contradiction):
        open_note(f"{text.replace('is', 'was')}\n{signature}", [trusted])


@given(
    text=st.text(
        st.characters(codec="utf-8", exclude_categories=["Cc"]) | st.just("\n"), max_size=60
    ),
    name=st.from_regex(r"[!-*,-~\u00e9\u4e2d]{1,20}", fullmatch=True),
    seed=st.binary(min_size=32, max_size=32),
)
def test_what_is_signed_is_opened(text: str, name: str, seed: bytes) -> None:
    key = PrivateKey(seed)
    trusted = VerifierKey(name, key.public.raw)
    assert VerifierKey.parse(str(trusted)) == trusted
    opened = open_note(sign_note(f"{text}\n", name, key), [trusted])
    assert opened == OpenedNote(f"{text}\n", (name,))


def test_every_bit_of_a_note_flipped_is_refused() -> None:
    data = NOTE.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        # Bytes that are not UTF-8 reach the ledger only as surrogates, and are refused as such.
        with pytest.raises((Unreadable, Contradiction)):
            open_note(wrong.decode(errors="surrogateescape"), [TRUSTED])


def test_every_note_cut_short_or_lengthened_is_refused() -> None:
    for end in range(len(NOTE)):
        with pytest.raises((Unreadable, Contradiction)):
            open_note(NOTE[:end], [TRUSTED])
    for more in ("\n", " ", "x", "\nx\n", "— \n", "\n\n", LINE[:-2] + "\n", "\ud800\n"):
        with pytest.raises((Unreadable, Contradiction)):
            open_note(NOTE + more, [TRUSTED])


@given(note=st.text(alphabet="ab— =\n+A", max_size=40))
def test_any_text_raises_no_other_error(note: str) -> None:
    with pytest.raises(BronzebookError):
        open_note(note, [TRUSTED])


# Who signed


def test_lines_of_other_keys_are_ignored() -> None:
    others = [line_of("witness.example", OTHER), line_of(NAME, OTHER), line_of("else", KEY)]
    # Another type of signature under the name: an id and a length this key does not have.
    others.append(f"— {NAME} AAAAAAA=\n")
    for note in (NOTE + "".join(others), NOTE.replace(LINE, "".join(others) + LINE)):
        assert open_note(note, [TRUSTED]) == OpenedNote(TEXT, (NAME,))


def test_a_note_may_be_signed_by_two_known_keys() -> None:
    witness = VerifierKey("witness.example", OTHER.public.raw)
    note = NOTE + line_of("witness.example", OTHER)
    assert open_note(note, [witness, TRUSTED]).signed_by == (NAME, "witness.example")
    assert open_note(note, [TRUSTED]).signed_by == (NAME,)
    assert open_note(note + LINE, [TRUSTED]).signed_by == (NAME,)


def test_a_known_key_whose_signature_does_not_hold_refuses_the_note() -> None:
    witness = VerifierKey("witness.example", OTHER.public.raw)
    note = NOTE + line_of("witness.example", OTHER, "Another text.\n")
    assert open_note(note, [TRUSTED]).signed_by == (NAME,)
    with pytest.raises(Contradiction, match=r"signature of witness\.example does not hold"):
        open_note(note, [TRUSTED, witness])
    with pytest.raises(Contradiction, match="does not hold"):
        open_note(NOTE + line_of(NAME, KEY, "Another text.\n"), [TRUSTED])


@pytest.mark.parametrize(
    "keys",
    [
        [],
        [VerifierKey(NAME, OTHER.public.raw)],
        [VerifierKey("Book.example", KEY.public.raw)],
        [VerifierKey("else", OTHER.public.raw), VerifierKey("else", KEY.public.raw)],
    ],
)
def test_a_note_that_no_known_key_signed_is_refused(keys: list[VerifierKey]) -> None:
    with pytest.raises(Contradiction, match="none of the keys"):
        open_note(NOTE, keys)


# What is not a note


@pytest.mark.parametrize(
    "note",
    [
        "",
        "\n",
        "\n\n",
        "A text.\n",
        TEXT,
        LINE,
        "\n" + LINE,
        TEXT + LINE,
        NOTE.replace("\n", "\r\n"),
        NOTE.rstrip("\n"),
        NOTE + "\n",
        NOTE.replace("A text", "A\ttext"),
        NOTE.replace("A text", "A\x00text"),
        NOTE.replace("A text", "A\ud800text"),
        NOTE.replace("— ", "- "),
        NOTE.replace("— ", "—"),
        NOTE.replace("— ", "—  "),
        NOTE.replace("— ", "—\u00a0"),
        NOTE.replace(f"{NAME} ", f"{NAME}  "),
        NOTE.replace(f"— {NAME} ", f"— {NAME}\u2003"),
        NOTE.replace(f"— {NAME} ", "— a+b "),
        NOTE.replace(f"— {NAME} ", "— \ud800 "),
        NOTE.replace(f"— {NAME} ", f"— {'a' * 256} "),
        NOTE.replace(LINE, f"— {NAME} \n"),
        NOTE.replace(LINE, f"— {NAME} AAAAAA==\n"),
        NOTE.replace(LINE, f"— {NAME} AAAA\n"),
        NOTE.replace(LINE, f"— {NAME} AAAAAAAA=\n"),
        NOTE.replace(LINE, LINE[:-1] + " \n"),
        NOTE.replace(LINE, LINE[:-1] + "=\n"),
        NOTE.replace(LINE, f"— {NAME}\n"),
    ],
)
def test_what_is_not_a_signed_note_is_refused(note: str) -> None:
    with pytest.raises(Unreadable):
        open_note(note, [TRUSTED])


def test_sixteen_signatures_are_read_and_too_many_are_not() -> None:
    # C2SP signed-note: at least 16 must be accepted.
    others = [line_of(f"witness{number}.example", OTHER) for number in range(MOST_SIGNATURES)]
    assert MOST_SIGNATURES >= 16
    assert open_note(NOTE + "".join(others[:-1]), [TRUSTED]).signed_by == (NAME,)
    with pytest.raises(Unreadable, match=f"1 to {MOST_SIGNATURES}"):
        open_note(NOTE + "".join(others), [TRUSTED])


def test_a_note_too_long_is_refused_unread() -> None:
    longest = "a" * (LIMIT - len(sign_note("\n", NAME, KEY))) + "\n"
    note = sign_note(longest, NAME, KEY)
    assert len(note) == LIMIT
    assert open_note(note, [TRUSTED]).text == longest
    with pytest.raises(Unreadable, match="at most"):
        open_note("a" + note, [TRUSTED])


@pytest.mark.parametrize(
    "text", ["", "no newline", "a\tb\n", "a\r\n", "\x00\n", "\x1f\n", "\ud800\n"]
)
def test_a_text_that_no_note_can_have_is_not_signed(text: str) -> None:
    with pytest.raises(Unreadable):
        sign_note(text, NAME, KEY)


@pytest.mark.parametrize("name", ["", "a b", "a+b", "a\n", "a" * 256])
def test_nothing_is_signed_or_verified_under_a_name_that_no_key_can_have(name: str) -> None:
    with pytest.raises(Unreadable):
        sign_note(TEXT, name, KEY)
    with pytest.raises(KeyUnusable):
        VerifierKey(name, KEY.public.raw)


def test_a_verifier_key_of_no_use_is_refused() -> None:
    for public in (b"", bytes(32), KEY.public.raw[:31]):
        with pytest.raises(KeyUnusable):
            VerifierKey(NAME, public)
    with pytest.raises(KeyUnusable):
        VerifierKey.parse(str(TRUSTED)[:-1])
