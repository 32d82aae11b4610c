"""Notes of ended keys: what they say, what they do not, and that no touched one says anything.

The form is this project's own.  The note and its keys are C2SP signed-note: the key ids and the
signature of the known answer are made here again with hashlib and with pyca/cryptography.
"""

from __future__ import annotations

import base64
import hashlib

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.encodings import LARGEST
from editions.ledger.keys import PrivateKey, key_id
from editions.ledger.logkeys import LogKeys
from editions.ledger.notes import LIMIT as NOTE_LIMIT
from editions.ledger.notes import VerifierKey, sign_note
from editions.ledger.revocations import (
    LIMIT,
    MOST_KEYS,
    USES,
    WORDS,
    KeyEnd,
    Revocations,
    open_revocations,
    sign_revocations,
)
from editions.trade.parties import Ended, KeyUse
from tests.ledger.published import LOG, ORIGIN, OTHER

KEY = VerifierKey(ORIGIN, LOG.public.raw)
ROOT = bytes(range(32))
# The public keys of the seeds 0b…, 0c… and 0d… (RFC 8032, 5.1.5).
CERTIFYING, ARTIST, OLD_LOG = (
    bytes.fromhex(text)
    for text in (
        "66be7e332c7a453332bd9d0a7f7db055f5c5ef1a06ada66d98b39fb6810c473a",
        "0b513ad9b4924015ca0902ed079044d3ac5dbec2306f06948c10da8eb6e39f2d",
        "91a28a0b74381593a4d9469579208926afc8ad82c8839b7644359b9eba9a4b3a",
    )
)
TEXT = """\
bronzebook-revocations-1
origin book.example
size 1042
root AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=
artist book.example/Y-0002+0ffd9f94+AQtROtm0kkAVygkC7QeQRNOsXb7CMG8GlIwQ2o62458t lost 412
foundry book.example+9caea33d+AWa+fjMsekUzMr2dCn99sFX1xe8aBq2mbZizn7aBDEc6 compromised 380
log book.example+14c66812+AZGiigt0OBWTpNlGlXkgiSavyK2CyIObdkQ1m566mks6 rotated 0
count 3
"""
SIGNATURE = (
    "fX5Mt5it+XvIrzjuRsjMtI6FVm6SerfrWonzPT35kUuk+E1ZooWprBYixvppm0zqqkP1wkK8h4m7lL50JK9q91TmDgg="
)
ENDED = (
    KeyEnd("artist", VerifierKey(f"{ORIGIN}/Y-0002", ARTIST), "lost", 412),
    KeyEnd("foundry", VerifierKey(ORIGIN, CERTIFYING), "compromised", 380),
    KeyEnd("log", VerifierKey(ORIGIN, OLD_LOG), "rotated", 0),
)
STATE = Checkpoint(ORIGIN, 1042, ROOT)
TOLD = Revocations(STATE, ENDED)
NOTE = sign_revocations(TOLD, LOG)


# What it says


def test_a_note_of_ended_keys_is_these_lines_and_no_others() -> None:
    assert str(TOLD) == TEXT
    assert f"{TEXT}\n— {ORIGIN} {SIGNATURE}\n" == NOTE
    assert Revocations.of(STATE, reversed(ENDED)) == TOLD


def test_the_known_answer_is_made_again_by_another_library() -> None:
    # C2SP signed-note: the id is SHA-256 of name, line feed, type and key, its first 4 bytes.
    for name, raw in ((ORIGIN, CERTIFYING), (f"{ORIGIN}/Y-0002", ARTIST), (ORIGIN, OLD_LOG)):
        id_ = hashlib.sha256(f"{name}\n\1".encode() + raw).hexdigest()[:8]
        key = base64.b64encode(b"\1" + raw).decode()
        assert f" {name}+{id_}+{key} " in TEXT
    seed = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    signed = hashlib.sha256(f"{ORIGIN}\n\1".encode() + LOG.public.raw).digest()[:4]
    assert base64.b64encode(signed + seed.sign(TEXT.encode())).decode() == SIGNATURE


def test_a_book_of_which_no_key_ended_says_so() -> None:
    clear = Revocations(Checkpoint(ORIGIN, 3, ROOT))
    assert str(clear).endswith("\ncount 0\n")
    assert open_revocations(sign_revocations(clear, LOG), KEY) == clear
    assert clear.named(key_id(CERTIFYING)) is None
    assert clear.find(CERTIFYING) is None


lines = st.dictionaries(
    st.binary(min_size=32, max_size=32).map(lambda seed: PrivateKey(seed).public.raw),
    st.tuples(st.sampled_from(USES), st.sampled_from(WORDS), st.integers(0, LARGEST - 1)),
    max_size=5,
)


@given(
    origin=st.from_regex(r"[!-*,-~]{1,30}", fullmatch=True),
    size=st.integers(1, LARGEST),
    root=st.binary(min_size=32, max_size=32),
    ended=lines,
)
def test_ended_keys_return_through_text_and_note(
    origin: str, size: int, root: bytes, ended: dict[bytes, tuple[KeyUse, Ended, int]]
) -> None:
    told = []
    for raw, (use, word, start) in ended.items():
        key = VerifierKey(f"{origin}/Y-1" if use == "artist" else origin, raw)
        told.append(KeyEnd(use, key, word, start % size))
    made = Revocations.of(Checkpoint(origin, size, root), told)
    assert Revocations.parse(str(made)) == made
    assert (
        open_revocations(sign_revocations(made, LOG), VerifierKey(origin, LOG.public.raw)) == made
    )
    for raw, (use, word, _) in ended.items():
        found = made.find(raw)
        assert found is not None
        assert (found.use, found.because, found.betrayed) == (use, word, word == "compromised")
        assert made.named(key_id(raw)) == (found if use == "foundry" else None)


def test_a_certifying_key_is_found_by_its_id_and_no_other_key_is() -> None:
    assert TOLD.named(key_id(CERTIFYING)) == ENDED[1]
    for raw in (ARTIST, OLD_LOG, OTHER.public.raw):
        assert TOLD.named(key_id(raw)) is None
    assert TOLD.find(ARTIST) == ENDED[0]
    assert TOLD.find(OTHER.public.raw) is None


def test_a_note_speaks_only_of_what_was_entered_before_it() -> None:
    assert TOLD.speaks_of(1042)
    assert TOLD.speaks_of(1)
    assert not TOLD.speaks_of(1043)


# Who signed it


def test_every_bit_of_a_note_of_ended_keys_flipped_is_refused() -> None:
    data = NOTE.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises((Unreadable, Contradiction)):
            open_revocations(wrong.decode(errors="surrogateescape"), KEY)


def test_every_note_of_ended_keys_cut_short_or_lengthened_is_refused() -> None:
    for end in range(len(NOTE)):
        with pytest.raises((Unreadable, Contradiction)):
            open_revocations(NOTE[:end], KEY)
    for more in ("\n", "x", "— \n", "\n\n"):
        with pytest.raises((Unreadable, Contradiction)):
            open_revocations(NOTE + more, KEY)


def test_every_line_left_out_doubled_or_swapped_is_refused_even_when_signed() -> None:
    whole = TEXT.splitlines(keepends=True)
    for at in range(len(whole)):
        without = whole[:at] + whole[at + 1 :]
        doubled = whole[: at + 1] + whole[at:]
        swapped = [*whole[:at], *reversed(whole[at : at + 2]), *whole[at + 2 :]]
        for wrong in (without, doubled, swapped):
            if wrong != whole:
                with pytest.raises(Unreadable):
                    open_revocations(sign_note("".join(wrong), ORIGIN, LOG), KEY)


def test_another_key_or_another_book_is_refused() -> None:
    with pytest.raises(Contradiction, match="none of the keys"):
        open_revocations(sign_revocations(TOLD, OTHER), KEY)
    with pytest.raises(Contradiction, match="none of the keys"):
        open_revocations(NOTE, VerifierKey("else.example", LOG.public.raw))
    elsewhere = str(Revocations(Checkpoint("else.example", 3, ROOT)))
    with pytest.raises(Contradiction, match=r"ended keys is of the book else\.example"):
        open_revocations(sign_note(elsewhere, ORIGIN, LOG), KEY)


def test_of_the_keys_of_a_log_the_one_of_its_size_must_have_signed() -> None:
    keys = LogKeys(((0, VerifierKey(ORIGIN, OLD_LOG)), (1042, KEY)))
    assert open_revocations(NOTE, keys) == TOLD
    later = LogKeys(((0, KEY), (1042, VerifierKey(ORIGIN, OLD_LOG))))
    with pytest.raises(Contradiction, match="none of the keys"):
        open_revocations(NOTE, later)


@pytest.mark.parametrize("start", [1041, 7, 0])
def test_a_note_signed_with_a_key_that_it_says_had_ended_is_refused(start: int) -> None:
    own = Revocations(STATE, (KeyEnd("log", KEY, "compromised", start),))
    with pytest.raises(Contradiction, match="that it says had ended"):
        open_revocations(sign_revocations(own, LOG), KEY)


def test_a_checkpoint_is_no_note_of_ended_keys_and_that_no_checkpoint() -> None:
    with pytest.raises(Unreadable):
        open_revocations(sign_checkpoint(STATE, LOG), KEY)
    with pytest.raises(Unreadable):
        open_checkpoint(NOTE, KEY)


# What is not one


LINE = TEXT.splitlines()[5]
TYPED = LINE.split(" ")[1]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("bronzebook-revocations-1", "bronzebook-revocations-2"),
        ("bronzebook-revocations-1\n", ""),
        ("bronzebook-revocations-1", "\nbronzebook-revocations-1"),
        ("origin book.example", "origin a book"),
        ("origin book.example", "origin else.example"),
        ("origin book.example", "origin "),
        ("origin book.example", "origin"),
        ("origin ", "Origin "),
        ("origin ", "book "),
        ("size 1042", "size 01042"),
        ("size 1042", "size -1"),
        ("size 1042", "size 0"),
        ("size 1042", "size 412"),
        ("size 1042", f"size {2**53}"),
        ("size 1042", "size 1042 "),
        ("AAECAwQF", "AAECAwQ"),
        ("Hh8=", "Hh9="),
        ("\nfoundry ", "\nhouse "),
        ("\nfoundry ", "\nFoundry "),
        ("\nfoundry ", "\nlog "),
        ("\nfoundry ", "\nartist "),
        ("\nartist ", "\nfoundry "),
        ("\nlog ", "\nartist "),
        ("book.example/Y-0002+", "else.example/Y-0002+"),
        ("book.example/Y-0002+", "book.examples+"),
        (TYPED, TYPED[:-1]),
        (TYPED, TYPED.upper()),
        (TYPED, TYPED.replace("9caea33d", "9caea33e")),
        (TYPED, f"{ORIGIN}+9caea33d"),
        (TYPED, CERTIFYING.hex()),
        ("compromised", "Compromised"),
        ("compromised", "revoked"),
        ("compromised", "superseded"),
        ("compromised", ""),
        ("compromised 380", "380 compromised"),
        ("compromised 380", "compromised"),
        ("compromised 380", "compromised "),
        ("compromised 380", "compromised 0380"),
        ("compromised 380", "compromised -1"),
        ("compromised 380", "compromised 3.8"),
        ("compromised 380", "compromised 1042"),
        ("compromised 380", "compromised 99999999999999999"),
        ("compromised 380", "compromised 380 2026-11-02"),
        ("compromised 380", "compromised  380"),
        ("compromised 380", "compromised 380 "),
        ("compromised 380", "compromised\t380"),
        ("compromised 380", "compromised \u0663\u0668\u0660"),
        (LINE, ""),
        (LINE, f" {LINE}"),
        (LINE, f"{LINE}\n{LINE}"),
        ("count 3", "count 2"),
        ("count 3", "count 4"),
        ("count 3", "count 03"),
        ("count 3", "count"),
        ("count 3\n", ""),
        ("count 3\n", "count 3"),
        ("count 3\n", "count 3\n\n"),
        ("count 3\n", "count 3\nmore\n"),
        ("\n", "\r\n"),
    ],
)
def test_what_has_not_the_form_is_refused_even_when_signed(old: str, new: str) -> None:
    text = TEXT.replace(old, new)
    assert text != TEXT
    with pytest.raises(Unreadable):
        Revocations.parse(text)
    if text.endswith("\n") and not {"\r", "\t"} & set(text):
        with pytest.raises((Unreadable, Contradiction)):
            open_revocations(sign_note(text, ORIGIN, LOG), KEY)


@pytest.mark.parametrize("text", ["", "\n", "bronzebook-revocations-1", "count 0\n" * 8])
def test_what_is_no_note_at_all_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        Revocations.parse(text)


@given(text=st.text(alphabet="ab0 \n-1", max_size=60))
def test_any_text_raises_no_other_error(text: str) -> None:
    for wrong in (text, f"bronzebook-revocations-1\n{text}\ncount 0\n"):
        with pytest.raises(BronzebookError):
            Revocations.parse(wrong)


ONE, TWO = ENDED[1], KeyEnd("foundry", VerifierKey(ORIGIN, OTHER.public.raw), "lost", 3)


@pytest.mark.parametrize(
    "ended",
    [
        tuple(reversed(ENDED)),
        (ONE, ONE),
        (ONE, KeyEnd("foundry", ONE.key, "lost", 3)),
        (ONE, KeyEnd("log", ONE.key, "compromised", 380)),
        (KeyEnd("foundry", ONE.key, "compromised", 1042),),
        (KeyEnd("foundry", ONE.key, "compromised", -1),),
        (KeyEnd("foundry", ONE.key, "gone", 3),),  # type: ignore[arg-type]
        (KeyEnd("host", ONE.key, "lost", 3),),  # type: ignore[arg-type]
        (KeyEnd("artist", ONE.key, "lost", 3),),
        (KeyEnd("foundry", ENDED[0].key, "lost", 3),),
    ],
)
def test_a_note_that_could_not_be_read_back_is_not_made(ended: tuple[KeyEnd, ...]) -> None:
    with pytest.raises(Unreadable):
        Revocations(STATE, ended)


def test_two_keys_of_one_use_stand_side_by_side() -> None:
    both = Revocations.of(STATE, (TWO, ONE))
    assert Revocations.parse(str(both)) == both
    assert both.find(OTHER.public.raw) == TWO


# Its size


def test_a_note_that_is_too_large_is_refused_before_it_is_read() -> None:
    assert LIMIT > NOTE_LIMIT
    for large in ("x" * (LIMIT + 1), f"{TEXT}{'x' * LIMIT}"):
        with pytest.raises(Unreadable, match="at most"):
            Revocations.parse(large)
        with pytest.raises(Unreadable, match="at most"):
            open_revocations(large, KEY)
    with pytest.raises(Unreadable, match="at most 10000 keys"):
        Revocations(STATE, ENDED[1:2] * (MOST_KEYS + 1))
