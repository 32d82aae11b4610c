"""Checkpoints: three lines, their signature, and nothing else."""

from __future__ import annotations

import base64

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.encodings import LARGEST
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey, sign_note
from editions.ledger.tree import empty_root

# The example of C2SP tlog-checkpoint.
PUBLISHED = "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"

ORIGIN = "book.example"
KEY, OTHER = PrivateKey(bytes(range(32))), PrivateKey(bytes(range(1, 33)))
TRUSTED = VerifierKey(ORIGIN, KEY.public.raw)
CHECKPOINT = Checkpoint(ORIGIN, 12, bytes(range(32)))
ROOT = base64.b64encode(bytes(range(32))).decode()
NOTE = sign_checkpoint(CHECKPOINT, KEY)


def test_the_published_example_is_read_and_written_the_same() -> None:
    checkpoint = Checkpoint.parse(PUBLISHED)
    assert checkpoint.origin == "example.com/behind-the-sofa"
    assert checkpoint.size == 20852163
    assert checkpoint.root == base64.b64decode("CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=")
    assert str(checkpoint) == PUBLISHED


@given(
    origin=st.from_regex(r"[!-*,-~]{1,30}", fullmatch=True),
    size=st.integers(1, LARGEST),
    root=st.binary(min_size=32, max_size=32),
)
def test_a_checkpoint_returns_through_text_and_note(origin: str, size: int, root: bytes) -> None:
    checkpoint = Checkpoint(origin, size, root)
    assert Checkpoint.parse(str(checkpoint)) == checkpoint
    note = sign_checkpoint(checkpoint, KEY)
    assert open_checkpoint(note, VerifierKey(origin, KEY.public.raw)) == checkpoint


def test_the_empty_book_has_the_root_of_the_empty_tree() -> None:
    empty = Checkpoint(ORIGIN, 0, empty_root())
    assert Checkpoint.parse(str(empty)) == empty
    with pytest.raises(Unreadable, match="cannot belong together"):
        Checkpoint(ORIGIN, 0, bytes(32))
    with pytest.raises(Unreadable, match="cannot belong together"):
        Checkpoint(ORIGIN, 1, empty_root())


def test_every_bit_of_a_signed_checkpoint_flipped_is_refused() -> None:
    data = NOTE.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises((Unreadable, Contradiction)):
            open_checkpoint(wrong.decode(errors="surrogateescape"), TRUSTED)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "\n\n\n",
        f"{ORIGIN}\n12\n",
        f"{ORIGIN}\n12\n{ROOT}",
        f"{ORIGIN}\n12\n{ROOT}\n\n",
        f"{ORIGIN}\n12\n{ROOT}\nextension\n",
        f"\n{ORIGIN}\n12\n{ROOT}\n",
        f"\n12\n{ROOT}\n",
        f"a book\n12\n{ROOT}\n",
        f"a+b\n12\n{ROOT}\n",
        f"{ORIGIN}\n012\n{ROOT}\n",
        f"{ORIGIN}\n-12\n{ROOT}\n",
        f"{ORIGIN}\n+12\n{ROOT}\n",
        f"{ORIGIN}\n 12\n{ROOT}\n",
        f"{ORIGIN}\n12 \n{ROOT}\n",
        f"{ORIGIN}\n1_2\n{ROOT}\n",
        f"{ORIGIN}\n0\n{ROOT}\n",
        f"{ORIGIN}\n{2**53}\n{ROOT}\n",
        f"{ORIGIN}\n\n{ROOT}\n",
        f"{ORIGIN}\n12\n\n",
        f"{ORIGIN}\n12\n{ROOT[:-1]}\n",
        f"{ORIGIN}\n12\n{ROOT[:-4]}\n",
        f"{ORIGIN}\n12\n{ROOT.replace('8=', '9=')}\n",
        f"{ORIGIN}\n12\n{bytes(range(32)).hex()}\n",
        f"{ORIGIN}\r\n12\r\n{ROOT}\r\n",
    ],
)
def test_what_is_not_three_lines_is_refused_even_when_signed(text: str) -> None:
    with pytest.raises(Unreadable):
        Checkpoint.parse(text)
    if text.endswith("\n") and "\r" not in text and text != "\n":
        with pytest.raises(Unreadable):
            open_checkpoint(sign_note(text, ORIGIN, KEY), TRUSTED)


@pytest.mark.parametrize(
    ("origin", "size", "root"),
    [
        ("", 1, bytes(32)),
        ("a b", 1, bytes(32)),
        ("a\nb", 1, bytes(32)),
        (ORIGIN, -1, bytes(32)),
        (ORIGIN, 2**53, bytes(32)),
        (ORIGIN, 1, bytes(31)),
        (ORIGIN, 1, bytes(33)),
    ],
)
def test_a_checkpoint_that_could_not_be_read_back_is_not_made(
    origin: str, size: int, root: bytes
) -> None:
    with pytest.raises(Unreadable):
        Checkpoint(origin, size, root)


def test_another_key_or_another_book_is_refused() -> None:
    with pytest.raises(Contradiction, match="none of the keys"):
        open_checkpoint(NOTE, VerifierKey(ORIGIN, OTHER.public.raw))
    with pytest.raises(Contradiction, match="none of the keys"):
        open_checkpoint(NOTE, VerifierKey("else.example", KEY.public.raw))
    # The key of one book under the text of another.
    text = str(Checkpoint("else.example", 12, bytes(32)))
    with pytest.raises(Contradiction, match=r"is of the book else\.example"):
        open_checkpoint(sign_note(text, ORIGIN, KEY), TRUSTED)
