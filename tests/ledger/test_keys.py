"""Ed25519 keys against RFC 8032, against forged keys and signatures, and as files."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Contradiction, KeyUnusable, Unreadable
from editions.ledger.keys import (
    PrivateKey,
    PublicKey,
    dump_private,
    fingerprint,
    key_id,
    load_private,
    note_id,
    public_text,
    read_public_text,
)
from tests.helpers.chance import Chance
from tests.ledger.curve import NEUTRAL, ORDER, PRIME, point, times_eight

# RFC 8032, 7.1: tests 1, 2, 3 and SHA(abc): secret, public, message, signature.
PUBLISHED = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e3970"
            "1cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613"
            "d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760"
            "984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
    (
        "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
        "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
        (
            "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23"
            "a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
        ),
        (
            "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b58909351fc9ac90b3ecfdfbc7c6"
            "6431e0303dca179c138ac17ad9bef1177331a704"
        ),
    ),
]

# The eight points of small order: y = 0, 1, -1, and the y of order 8 with its opposite (Chalkias,
# Garillot and Nikolaenko, "Taming the many EdDSAs", 2020, table 1).
SMALL_ORDER = [
    "0000000000000000000000000000000000000000000000000000000000000000",
    "0100000000000000000000000000000000000000000000000000000000000000",
    "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
    "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
    "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
]

KEY = PrivateKey(bytes(range(32)))


@pytest.mark.parametrize(("secret", "public", "message", "signature"), PUBLISHED)
def test_keys_and_signatures_are_those_of_the_standard(
    secret: str, public: str, message: str, signature: str
) -> None:
    key = PrivateKey(bytes.fromhex(secret))
    assert key.public.raw.hex() == public
    assert key.sign(bytes.fromhex(message)).hex() == signature
    PublicKey(bytes.fromhex(public)).verify(bytes.fromhex(signature), bytes.fromhex(message))


def test_a_signature_with_any_bit_flipped_is_refused() -> None:
    signature = KEY.sign(b"text")
    for bit in range(512):
        wrong = (int.from_bytes(signature, "big") ^ (1 << bit)).to_bytes(64, "big")
        with pytest.raises(Contradiction):
            KEY.public.verify(wrong, b"text")


@pytest.mark.parametrize("message", [b"", b"tex", b"Text", b"text\n", b"text" * 2])
def test_a_signature_of_another_message_is_refused(message: bytes) -> None:
    with pytest.raises(Contradiction, match="does not hold"):
        KEY.public.verify(KEY.sign(b"text"), message)


@pytest.mark.parametrize("length", [0, 1, 32, 63, 65, 128])
def test_a_signature_of_another_length_is_refused(length: int) -> None:
    with pytest.raises(Contradiction):
        KEY.public.verify((KEY.sign(b"text") * 2)[:length], b"text")


def test_a_second_signature_made_from_the_first_is_refused() -> None:
    # RFC 8032, 5.1.7: S must be below the order of the base point, or S + L would hold as well.
    signature = KEY.sign(b"text")
    larger = int.from_bytes(signature[32:], "little") + ORDER
    with pytest.raises(Contradiction):
        KEY.public.verify(signature[:32] + larger.to_bytes(32, "little"), b"text")


def test_another_key_does_not_verify(chance: Chance) -> None:
    for _ in range(20):
        with pytest.raises(Contradiction):
            PrivateKey.generate(chance).public.verify(KEY.sign(b"text"), b"text")


@pytest.mark.parametrize("text", SMALL_ORDER)
def test_a_key_under_which_anybody_could_sign_is_refused(text: str) -> None:
    raw = bytes.fromhex(text)
    assert times_eight(point(raw)) == NEUTRAL
    for sign in (0, 0x80):
        with pytest.raises(KeyUnusable, match="anybody could sign"):
            PublicKey(raw[:31] + bytes([raw[31] | sign]))


@pytest.mark.parametrize("y", [PRIME, PRIME + 1])
def test_such_a_key_in_another_spelling_is_refused(y: int) -> None:
    # y = 0 and y = 1, written as p and p + 1: the only two of the eight that fit 255 bits twice.
    with pytest.raises(KeyUnusable, match="anybody could sign"):
        PublicKey(y.to_bytes(32, "little"))


def test_a_proper_key_has_a_large_order() -> None:
    assert times_eight(point(KEY.public.raw)) != NEUTRAL


@pytest.mark.parametrize("length", [0, 31, 33, 64])
def test_a_key_of_another_length_is_refused(length: int) -> None:
    with pytest.raises(KeyUnusable, match="32 bytes"):
        PublicKey(b"\x07" * length)
    with pytest.raises(KeyUnusable, match="32 bytes"):
        PrivateKey(b"\x07" * length)


def test_a_generated_key_takes_32_bytes_of_chance() -> None:
    assert PrivateKey.generate(Chance("a")).seed == Chance("a")(32)
    assert PrivateKey.generate().seed != PrivateKey.generate().seed


def test_a_private_key_is_never_shown() -> None:
    for shown in (repr(KEY), str(KEY), f"{KEY}"):
        assert KEY.seed.hex() not in shown.lower()
        assert "000102" not in shown
        assert fingerprint(KEY.public.raw) in shown


def test_public_keys_are_compared_by_their_bytes() -> None:
    assert PublicKey(KEY.public.raw) == KEY.public
    assert len({PublicKey(KEY.public.raw), KEY.public}) == 1
    assert PrivateKey(b"\x09" * 32).public != KEY.public
    assert KEY.public != KEY.public.raw


def test_a_fingerprint_is_the_sha_256_in_groups_of_four() -> None:
    raw = bytes.fromhex(PUBLISHED[0][1])
    shown = fingerprint(raw)
    assert shown.replace(" ", "").lower() == hashlib.sha256(raw).hexdigest()
    assert [len(group) for group in shown.split(" ")] == [4] * 16
    assert shown == shown.upper()
    assert key_id(raw) == hashlib.sha256(raw).digest()[:8]


# Public keys as text

# C2SP signed-note; the key of the Go checksum database, golang.org/x/mod and cmd/go; the key of the
# example in the documentation of golang.org/x/mod/sumdb/note.
TEXTS = [
    "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
    "sum.golang.org+033de0ae+Ac4zctda0e5eza+HJyk9SxEdh+s3Ux18htTTAD8OuAn8",
    "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
]


@pytest.mark.parametrize("text", TEXTS)
def test_published_keys_are_read_and_written_the_same(text: str) -> None:
    name, raw = read_public_text(text)
    assert public_text(name, raw) == text
    assert note_id(name, raw).hex() == text.split("+")[1]


@given(
    name=st.text(st.characters(codec="utf-8"), max_size=20),
    seed=st.binary(min_size=32, max_size=32),
)
def test_a_public_key_as_text_returns_the_key(name: str, seed: bytes) -> None:
    raw = PrivateKey(seed).public.raw
    try:
        text = public_text(name, raw)
    except Unreadable:
        assert not name or "+" in name or any(c.isspace() or c < " " or c == "\x7f" for c in name)
        return
    assert read_public_text(text) == (name, raw)


@pytest.mark.parametrize(
    "name",
    ["", "a b", "a+b", "a\n", "\ta", "a\u00a0b", "a\u2003", "\u3000", "a\x00", "\x7f", "\ud800"],
)
def test_a_name_that_no_key_can_have_is_refused(name: str) -> None:
    with pytest.raises(Unreadable, match="cannot be the name of a key"):
        public_text(name, KEY.public.raw)


def test_a_name_has_at_most_255_characters() -> None:
    assert read_public_text(public_text("a" * 255, KEY.public.raw))[0] == "a" * 255
    with pytest.raises(Unreadable):
        public_text("a" * 256, KEY.public.raw)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "example.com/foo",
        "example.com/foo+530d903a",
        "example.com/foo+530d903a+",
        "+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        # Another name, another id, the id in capitals, the type 0x04, cut, lengthened, spaced.
        "example.com/fop+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530d903b+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530D903A+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530d903a+BOkyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2",
        "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2kAAAA",
        "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k\n",
        " example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2é",
        "\ud800+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
    ],
)
def test_what_is_not_the_text_of_a_key_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable):
        read_public_text(text)


def test_a_key_text_with_a_key_anybody_could_sign_under_is_refused() -> None:
    with pytest.raises(KeyUnusable):
        public_text("book.example", bytes(32))


# The plain file


@given(seed=st.binary(min_size=32, max_size=32))
def test_a_plain_file_returns_the_key(seed: bytes) -> None:
    text = dump_private(PrivateKey(seed))
    assert load_private(text).seed == seed
    assert text.count("\n") == 1
    assert text.endswith("\n")


def test_a_plain_file_with_any_bit_flipped_or_cut_short_is_refused() -> None:
    data = dump_private(KEY).encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises(KeyUnusable):
            load_private(wrong.decode("latin-1"))
    for end in range(len(data)):
        with pytest.raises(KeyUnusable):
            load_private(data[:end].decode())


def test_a_plain_file_with_anything_added_is_refused() -> None:
    text = dump_private(KEY)
    for wrong in (
        text + "\n",
        " " + text,
        text + text,
        text.replace("\n", "\r\n"),
        text + "\ud800",
    ):
        with pytest.raises(KeyUnusable):
            load_private(wrong)
