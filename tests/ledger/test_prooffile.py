"""Proof files: they prove their own entry, and no touched one proves anything."""

from __future__ import annotations

import base64
import dataclasses
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.encodings import LARGEST
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import LIMIT, VerifierKey
from editions.ledger.prooffile import MOST_HASHES, ProofFile
from editions.ledger.tree import leaf_hash
from tests.ledger.naive import NaiveTree

ORIGIN = "book.example"
KEY, OTHER = PrivateKey(bytes(range(32))), PrivateKey(bytes(range(1, 33)))
TRUSTED = VerifierKey(ORIGIN, KEY.public.raw)
ENTRIES = [b"entry %d" % number for number in range(12)]
TREE = NaiveTree(ENTRIES)
CHECKPOINT = Checkpoint(ORIGIN, 12, TREE.root(12))
NOTE = sign_checkpoint(CHECKPOINT, KEY)
PROOF = ProofFile(5, tuple(TREE.inclusion(5, 0, 12)), NOTE)
TEXT = str(PROOF)
LEAF = leaf_hash(ENTRIES[5])

# The example of C2SP tlog-proof, without its line of extra data; its signatures are abridged there.
PUBLISHED = """c2sp.org/tlog-proof@v1
index 73894
gSKyXoYZUgZ6jduWYrkDOARinOMGJveXjgMkBTcdPlQ=
B95lDa8R83lS8n0eG+o0buTxRKQTYFi//1U8anccXmA=
EKNzoDWG8LGC0Yp9o+sv3qllpMP9uHQ9B20KNL+Q1zs=
RoopEkOdqkYqMB4MJXrbt/hMjOxsVn0IrWjpz1ZMMes=
AHCioX9nLjsrse6YhjRRmk1WUEirVOLLRoOQ6vfO5vk=

example.com/fancylog
109482
sFodV/vSp5O8n9a8QpW6PRY97tfOSW5bsc2Xl/EQi08=

— example.com/fancylog hI2DJw[...]1roloI=
"""


def test_the_published_example_is_read_and_written_the_same() -> None:
    proof = ProofFile.parse(PUBLISHED)
    assert proof.index == 73894
    assert len(proof.hashes) == 5
    assert proof.hashes[0] == base64.b64decode("gSKyXoYZUgZ6jduWYrkDOARinOMGJveXjgMkBTcdPlQ=")
    assert proof.checkpoint_note.startswith("example.com/fancylog\n109482\n")
    assert str(proof) == PUBLISHED


def test_every_entry_is_proved_by_its_file_and_by_no_other() -> None:
    for index in range(12):
        proof = ProofFile(index, tuple(TREE.inclusion(index, 0, 12)), NOTE)
        assert ProofFile.parse(str(proof)) == proof
        for other in range(12):
            if other == index:
                assert proof.check(leaf_hash(ENTRIES[other]), TRUSTED) == CHECKPOINT
            else:
                with pytest.raises(Contradiction, match="does not lead to the root"):
                    proof.check(leaf_hash(ENTRIES[other]), TRUSTED)


@given(
    index=st.integers(0, LARGEST - 1),
    hashes=st.lists(st.binary(min_size=32, max_size=32), max_size=6),
    note=st.text(st.characters(codec="utf-8"), max_size=40),
)
def test_a_proof_file_returns_through_text(index: int, hashes: list[bytes], note: str) -> None:
    proof = ProofFile(index, tuple(hashes), note)
    assert ProofFile.parse(str(proof)) == proof


@given(text=st.text(alphabet="index 01=A\n", max_size=60))
def test_any_text_is_refused_or_written_again_the_same(text: str) -> None:
    for whole in (
        text,
        f"c2sp.org/tlog-proof@v1\n{text}",
        f"c2sp.org/tlog-proof@v1\nindex 0\n{text}",
    ):
        try:
            proof = ProofFile.parse(whole)
        except Unreadable:
            continue
        assert str(proof) == whole
        with pytest.raises(BronzebookError):
            proof.check(LEAF, TRUSTED)


def test_every_bit_of_a_proof_file_flipped_is_refused() -> None:
    data = TEXT.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises((Unreadable, Contradiction)):
            ProofFile.parse(wrong.decode(errors="surrogateescape")).check(LEAF, TRUSTED)


def test_every_proof_file_cut_short_is_refused() -> None:
    for end in range(len(TEXT)):
        with pytest.raises((Unreadable, Contradiction)):
            ProofFile.parse(TEXT[:end]).check(LEAF, TRUSTED)


@pytest.mark.parametrize(
    ("found", "put"),
    [
        ("c2sp.org/tlog-proof@v1\n", ""),
        ("c2sp.org/tlog-proof@v1\n", "\n"),
        ("@v1", "@v2"),
        ("@v1\n", "@v1\nextra AAAA\n"),
        ("index 5\n", ""),
        ("index 5", "index 05"),
        ("index 5", "index  5"),
        ("index 5", "index -5"),
        ("index 5", "index 5 "),
        ("index 5", "Index 5"),
        ("index 5", f"index {LARGEST}"),
        ("index 5\n", "index 5\nAAAA\n"),
        ("index 5\n", "index 5\n!\n"),
        ("\n", "\r\n"),
    ],
)
def test_what_is_not_a_proof_file_is_refused(found: str, put: str) -> None:
    assert found in TEXT
    with pytest.raises(Unreadable):
        ProofFile.parse(TEXT.replace(found, put))


@pytest.mark.parametrize(
    "text", ["", "\n\n", "c2sp.org/tlog-proof@v1", "c2sp.org/tlog-proof@v1\n\n"]
)
def test_a_fragment_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="not a proof file"):
        ProofFile.parse(text)


def test_another_index_book_or_key_is_refused() -> None:
    for index in {*range(13)} - {5}:
        with pytest.raises(Contradiction):
            dataclasses.replace(PROOF, index=index).check(LEAF, TRUSTED)
    with pytest.raises(Contradiction, match="none of the keys"):
        PROOF.check(LEAF, VerifierKey(ORIGIN, OTHER.public.raw))
    smaller = sign_checkpoint(Checkpoint(ORIGIN, 5, TREE.root(5)), KEY)
    with pytest.raises(Contradiction, match="none at position 5"):
        dataclasses.replace(PROOF, checkpoint_note=smaller).check(LEAF, TRUSTED)


def test_too_many_hashes_and_too_long_a_text_are_refused() -> None:
    most = ProofFile(0, (bytes(32),) * MOST_HASHES, NOTE)
    assert ProofFile.parse(str(most)) == most
    line = base64.b64encode(bytes(32)).decode() + "\n"
    with pytest.raises(Unreadable, match="at most 53 hashes"):
        ProofFile.parse(str(most).replace("index 0\n", f"index 0\n{line}"))
    with pytest.raises(Unreadable, match="at most"):
        ProofFile.parse(TEXT + "a" * LIMIT)


@pytest.mark.parametrize(
    ("index", "hashes"),
    [(-1, ()), (LARGEST, ()), (0, (bytes(31),)), (0, (bytes(33),)), (0, (b"",))],
)
def test_a_proof_file_that_could_not_be_read_back_is_not_made(
    index: int, hashes: tuple[bytes, ...]
) -> None:
    with pytest.raises(Unreadable):
        ProofFile(index, hashes, NOTE)


def test_checking_a_proof_loads_neither_ciphers_nor_a_database() -> None:
    program = (
        "import sys; import editions.ledger.prooffile, editions.ledger.envelope;"
        "heavy = [name for name in sys.modules if name.startswith(('sqlalchemy', 'click', 'rich',"
        " 'cryptography.hazmat.primitives.ciphers', 'cryptography.hazmat.primitives.kdf',"
        " 'cryptography.x509', 'rfc8785'))];"
        "print(heavy)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == "[]"
