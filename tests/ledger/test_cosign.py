"""Cosignatures: a real one, the standard's own example, and everything that is not quite one."""

from __future__ import annotations

import base64
import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.cosign import Cosigned, CosignerKey, cosign, gather, open_cosigned
from editions.ledger.keys import PrivateKey
from editions.ledger.moments import LATEST, to_moment
from editions.ledger.notes import (
    MOST_SIGNATURES,
    NoteLine,
    OpenedNote,
    VerifierKey,
    open_note,
    put_together,
    sign_note,
    take_apart,
)
from tests.ledger.cosigned_elsewhere import EXAMPLE, EXAMPLE_TIME, REAL, REAL_LOG, REAL_WITNESS
from tests.ledger.published import LOG, ORIGIN, OTHER, WITNESS

NAME = "witness.example"
LOG_KEY = VerifierKey(ORIGIN, LOG.public.raw)
KEY = CosignerKey(NAME, WITNESS.public.raw)
CHECKPOINT = Checkpoint(ORIGIN, 12, bytes(range(32)))
NOTE = sign_checkpoint(CHECKPOINT, LOG)
TIME = 1_795_521_600
COSIGNED = cosign(NOTE, NAME, WITNESS, TIME)


def with_line(note: str, signature: bytes, key: CosignerKey = KEY) -> str:
    text, lines = take_apart(note)
    return put_together(text, [*lines, NoteLine(key.name, key.id, signature)])


# Against what others made


def test_a_real_checkpoint_opens_with_the_keys_of_its_log_and_of_a_witness() -> None:
    log, witness = VerifierKey.parse(REAL_LOG), CosignerKey.parse(REAL_WITNESS)
    assert (str(log), str(witness)) == (REAL_LOG, REAL_WITNESS)
    assert open_note(REAL, [witness, log]).signed_by == (log.name, witness.name)
    cosigned = open_cosigned(REAL, witness)
    assert cosigned.checkpoint == open_checkpoint(REAL, log)
    assert cosigned.checkpoint.size == 1_432_088_532
    assert cosigned.time == 0x6A122120
    assert put_together(*take_apart(REAL)) == REAL


@pytest.mark.parametrize(
    "wrong",
    [
        REAL.replace("1432088532", "1432088533"),
        REAL.replace("2net5wAAAABqEiEg", "2net5wAAAABqEiEh"),
        REAL.replace("U7WM79", "U7WM78"),
    ],
)
def test_the_real_checkpoint_altered_is_refused(wrong: str) -> None:
    assert wrong != REAL
    with pytest.raises(Contradiction, match=r"cosignature of remora\.n621\.de does not hold"):
        open_cosigned(wrong, CosignerKey.parse(REAL_WITNESS))


def test_a_line_has_the_form_of_the_standards_example() -> None:
    text, lines = take_apart(EXAMPLE)
    line = lines[1]
    assert line.id.hex() == "8d66cf3f"
    assert len(line.signature) == 72
    assert int.from_bytes(line.signature[:8], "big") == EXAMPLE_TIME
    ours = take_apart(cosign(EXAMPLE, NAME, WITNESS, EXAMPLE_TIME))[1][2]
    assert ours.signature[:8] == line.signature[:8]
    # What is signed, word for word as the standard shows it.
    message = (
        b"cosignature/v1\ntime 1679315147\nexample.com/behind-the-sofa\n20852163\n"
        b"CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"
    )
    WITNESS.public.verify(ours.signature[8:], message)
    assert message.endswith(text.encode())


def test_the_key_id_is_that_of_the_standard() -> None:
    # C2SP tlog-cosignature: SHA-256(name || newline || 0x04 || key), its first four bytes.
    whole = hashlib.sha256(b"witness.example\n\x04" + WITNESS.public.raw).digest()
    assert KEY.id == whole[:4]
    assert VerifierKey(NAME, WITNESS.public.raw).id != KEY.id
    encoded = base64.b64encode(b"\x04" + WITNESS.public.raw).decode()
    assert str(KEY) == f"{NAME}+{KEY.id.hex()}+{encoded}"


# Ours


@given(
    name=st.from_regex(r"[!-*,-~\u00e9]{1,20}", fullmatch=True),
    seed=st.binary(min_size=32, max_size=32),
    time=st.integers(0, LATEST),
)
def test_what_is_cosigned_is_opened(name: str, seed: bytes, time: int) -> None:
    private = PrivateKey(seed)
    key = CosignerKey(name, private.public.raw)
    assert CosignerKey.parse(str(key)) == key
    note = cosign(NOTE, name, private, time)
    assert open_cosigned(note, key) == Cosigned(CHECKPOINT, time)
    assert open_cosigned(note, key).seen == to_moment(time)
    assert open_checkpoint(note, LOG_KEY) == CHECKPOINT
    assert note.startswith(NOTE)


def test_a_note_with_both_kinds_of_lines_opens_with_either_and_with_both() -> None:
    assert open_note(COSIGNED, [KEY, LOG_KEY]) == OpenedNote(str(CHECKPOINT), (ORIGIN, NAME))
    assert open_note(COSIGNED, [KEY]).signed_by == (NAME,)
    assert open_note(COSIGNED, [LOG_KEY]).signed_by == (ORIGIN,)


def test_a_log_may_cosign_under_its_own_name() -> None:
    note = cosign(NOTE, ORIGIN, LOG, TIME)
    assert open_cosigned(note, CosignerKey(ORIGIN, LOG.public.raw)).time == TIME
    assert open_checkpoint(note, LOG_KEY) == CHECKPOINT


def test_a_later_cosignature_takes_the_place_of_the_earlier() -> None:
    again = cosign(COSIGNED, NAME, WITNESS, TIME + 60)
    assert again.count("— ") == 2
    assert open_cosigned(again, KEY).time == TIME + 60


def test_of_two_lines_of_a_witness_the_latest_time_counts_and_both_must_hold() -> None:
    later = take_apart(cosign(NOTE, NAME, WITNESS, TIME + 60))[1][-1].signature
    assert open_cosigned(with_line(COSIGNED, later), KEY).time == TIME + 60
    wrong = later[:-1] + bytes([later[-1] ^ 1])
    with pytest.raises(Contradiction, match="does not hold"):
        open_cosigned(with_line(COSIGNED, wrong), KEY)


def test_every_bit_of_a_cosigned_checkpoint_flipped_is_refused() -> None:
    data = COSIGNED.encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        note = wrong.decode(errors="surrogateescape")
        with pytest.raises((Unreadable, Contradiction)):
            both(note)


def both(note: str) -> None:
    open_checkpoint(note, LOG_KEY)
    open_cosigned(note, KEY)


def test_every_cosigned_checkpoint_cut_short_is_refused() -> None:
    for end in range(len(COSIGNED)):
        with pytest.raises((Unreadable, Contradiction)):
            both(COSIGNED[:end])


@given(signature=st.binary(min_size=1, max_size=100))
def test_any_other_signature_is_refused(signature: bytes) -> None:
    with pytest.raises(Contradiction):
        open_cosigned(with_line(NOTE, signature), KEY)


@pytest.mark.parametrize("time", [-1, LATEST + 1, 2**63, 2**64])
def test_no_other_time_is_signed_and_none_believed(time: int) -> None:
    with pytest.raises(Unreadable):
        cosign(NOTE, NAME, WITNESS, time)
    if LATEST < time < 2**64:
        message = f"cosignature/v1\ntime {time}\n{CHECKPOINT}".encode()
        signature = time.to_bytes(8, "big") + WITNESS.sign(message)
        with pytest.raises(Contradiction, match="has not its form"):
            open_cosigned(with_line(NOTE, signature), KEY)


def test_a_signature_of_another_type_is_no_cosignature() -> None:
    plain = sign_note(str(CHECKPOINT), NAME, WITNESS)
    with pytest.raises(Contradiction, match="none of the keys"):
        open_cosigned(plain, KEY)
    # The same bytes under the id of a cosignature.
    signature = bytes(8) + WITNESS.sign(str(CHECKPOINT).encode())
    with pytest.raises(Contradiction, match="does not hold"):
        open_cosigned(with_line(NOTE, signature), KEY)
    with pytest.raises(Contradiction, match="has not its form"):
        open_cosigned(with_line(NOTE, signature[8:]), KEY)
    # And a cosignature under the id of a plain signature.
    line = take_apart(COSIGNED)[1][-1]
    key = VerifierKey(NAME, WITNESS.public.raw)
    note = put_together(str(CHECKPOINT), [NoteLine(NAME, key.id, line.signature)])
    with pytest.raises(Contradiction, match="does not hold"):
        open_note(note, [key])


@pytest.mark.parametrize(
    "key",
    [
        CosignerKey(NAME, OTHER.public.raw),
        CosignerKey("Witness.example", WITNESS.public.raw),
        CosignerKey(ORIGIN, LOG.public.raw),
    ],
)
def test_a_witness_that_did_not_sign_is_not_believed(key: CosignerKey) -> None:
    with pytest.raises(Contradiction, match="none of the keys"):
        open_cosigned(COSIGNED, key)


@pytest.mark.parametrize(
    "note",
    [
        "",
        str(CHECKPOINT),
        sign_note("A text.\n", ORIGIN, LOG),
        sign_note(f"{CHECKPOINT}extension\n", ORIGIN, LOG),
    ],
)
def test_only_the_note_of_a_checkpoint_is_cosigned(note: str) -> None:
    with pytest.raises(Unreadable):
        cosign(note, NAME, WITNESS, TIME)


def test_other_texts_that_a_witness_signed_are_no_checkpoints() -> None:
    text = "A text.\n"
    message = f"cosignature/v1\ntime {TIME}\n{text}".encode()
    line = NoteLine(NAME, KEY.id, TIME.to_bytes(8, "big") + WITNESS.sign(message))
    note = put_together(text, [line])
    assert open_note(note, [KEY]).text == text
    with pytest.raises(Unreadable, match="three lines"):
        open_cosigned(note, KEY)


def test_a_full_note_is_not_made_fuller() -> None:
    note = NOTE
    for number in range(MOST_SIGNATURES - 1):
        note = cosign(note, f"w{number}", WITNESS, TIME)
    assert open_checkpoint(note, LOG_KEY) == CHECKPOINT
    with pytest.raises(Unreadable, match="1 to 32"):
        cosign(note, NAME, WITNESS, TIME)
    assert cosign(note, "w3", WITNESS, TIME).count("— ") == MOST_SIGNATURES


# Gathering


def test_the_lines_of_several_witnesses_are_gathered_on_one_note() -> None:
    second = CosignerKey("second.example", OTHER.public.raw)
    copies = [COSIGNED, cosign(NOTE, second.name, OTHER, TIME + 1), COSIGNED]
    note = gather(NOTE, copies, [KEY, second])
    assert note.startswith(NOTE)
    assert note.count("— ") == 3
    assert open_note(note, [LOG_KEY, KEY, second]).signed_by == (ORIGIN, NAME, second.name)
    assert gather(note, copies, [KEY, second]) == note
    assert gather(NOTE, copies, [second]).count("— ") == 2
    assert gather(NOTE, [], [KEY]) == gather(NOTE, copies, []) == NOTE


def test_what_is_gathered_is_verified() -> None:
    other = cosign(sign_checkpoint(Checkpoint(ORIGIN, 13, bytes(32)), LOG), NAME, WITNESS, TIME)
    with pytest.raises(Contradiction, match="not of the same checkpoint"):
        gather(NOTE, [other], [KEY])
    stolen = take_apart(other)[1][-1].signature
    with pytest.raises(Contradiction, match="does not hold"):
        gather(NOTE, [with_line(NOTE, stolen)], [KEY])
    full = NOTE
    for number in range(MOST_SIGNATURES - 1):
        full = cosign(full, f"w{number}", WITNESS, TIME)
    with pytest.raises(Unreadable, match="1 to 32"):
        gather(full, [COSIGNED], [KEY])


# Keys


@pytest.mark.parametrize(
    "text",
    [
        "",
        NAME,
        f"{NAME}+{KEY.id.hex()}",
        f"{NAME}+{KEY.id.hex()}+",
        str(KEY) + "\n",
        str(KEY)[:-1],
        str(KEY).replace(NAME, "else.example"),
        str(KEY).replace(KEY.id.hex(), "00000000"),
        str(KEY).replace(KEY.id.hex(), KEY.id.hex().upper()),
        str(VerifierKey(NAME, WITNESS.public.raw)),
        # The right id of a type that is not Ed25519 (C2SP tlog-cosignature: 0x06 is ML-DSA-44).
        f"{NAME}+{KEY.id.hex()}+{base64.b64encode(bytes([6]) + WITNESS.public.raw).decode()}",
        f"+{KEY.id.hex()}+{base64.b64encode(bytes([4]) + WITNESS.public.raw).decode()}",
        f"{NAME}+{KEY.id.hex()}+{base64.b64encode(bytes([4]) + bytes(32)).decode()}",
    ],
)
def test_what_is_not_the_key_of_a_witness_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable):
        CosignerKey.parse(text)


@pytest.mark.parametrize(
    ("name", "public"),
    [
        ("", WITNESS.public.raw),
        ("a b", WITNESS.public.raw),
        ("a+b", WITNESS.public.raw),
        (NAME, bytes(31)),
        (NAME, bytes(32)),
    ],
)
def test_a_key_that_cannot_be_is_not_made(name: str, public: bytes) -> None:
    with pytest.raises(KeyUnusable):
        CosignerKey(name, public)


@given(text=st.text(alphabet="ab+=/1\n ", max_size=60))
def test_any_text_of_a_key_raises_no_other_error(text: str) -> None:
    with pytest.raises(BronzebookError):
        CosignerKey.parse(text)
