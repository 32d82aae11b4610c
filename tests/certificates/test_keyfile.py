"""Tests of public keys as text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.keyfile import PublicKeyEntry, read_keys, write_keys
from editions.errors import KeyUnusable
from editions.ledger.keys import PrivateKey, fingerprint
from tests.certificates.builders import FOUNDRY_KEY, LOG_KEY, verifier

# C2SP signed-note, the verifier key of its example.
EXAMPLE = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"

ENTRIES = st.builds(
    lambda use, seed: PublicKeyEntry(use=use, key=verifier(PrivateKey(seed))),
    st.sampled_from(["foundry", "log"]),
    st.binary(min_size=32, max_size=32),
)


@given(st.lists(ENTRIES, min_size=1, max_size=5).map(tuple))
def test_keys_read_back_from_their_text(keys: tuple[PublicKeyEntry, ...]) -> None:
    assert read_keys(write_keys(keys)) == keys


@given(st.text(max_size=120) | st.text("foundrylg \n+ab=", max_size=60))
def test_a_text_is_refused_or_writes_back_the_same(text: str) -> None:
    try:
        keys = read_keys(text)
    except KeyUnusable:
        return
    assert write_keys(keys).rstrip("\n") == text.rstrip("\n")


def test_the_published_key_is_read_with_its_name() -> None:
    entry = read_keys(f"log {EXAMPLE}\n")[0]
    assert entry.verifier().name == "example.com/foo"
    assert str(entry.verifier()) == EXAMPLE


def test_a_key_tells_its_fingerprint_as_a_paper_prints_it() -> None:
    entry = PublicKeyEntry(use="foundry", key=verifier(FOUNDRY_KEY))
    assert entry.fingerprint() == fingerprint(FOUNDRY_KEY.public.raw)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        EXAMPLE,
        f"artist {EXAMPLE}\n",
        f"log  {EXAMPLE}\n",
        f"log {EXAMPLE}\n\n",
        f"log {EXAMPLE}\r\n",
        f"log {EXAMPLE} \n",
        f"log {EXAMPLE[:-1]}\n",
        f"log {EXAMPLE.replace('530d903a', '530D903A')}\n",
        f"log {EXAMPLE.replace('530d903a', '530d903b')}\n",
        f"# a comment\nlog {EXAMPLE}\n",
        "log \n",
        "log a+b\n",
        "log a+b+c+d\n",
        "log " + "x" * 70_000,
    ],
    ids=lambda text: repr(text[:30]),
)
def test_what_is_no_key_file_is_refused(text: str) -> None:
    with pytest.raises(KeyUnusable):
        read_keys(text)


def test_the_line_that_cannot_be_read_is_named() -> None:
    with pytest.raises(KeyUnusable, match="Line 2"):
        read_keys(f"log {verifier(LOG_KEY)}\nlog nothing\n")
