"""The functions of the page's own script against the vectors of the standards."""

from __future__ import annotations

from typing import Any

import pytest
from selenium.webdriver import Chrome

from editions.ledger.tiles import tile_bytes, tiles_for
from editions.ledger.tree import Frontier, leaf_hash
from tests.certificates.test_cose import VECTOR, VECTOR_SIGNED
from tests.ledger.eight_leaves import CONSISTENCY, INCLUSION, LEAVES, OVER, ROOTS
from tests.pages.checking import Place, Subject, shown_at, visit

pytestmark = pytest.mark.browser


# RFC 8032, section 7.1, test 1: the public key of the seed that the COSE example is signed with.
VECTOR_PUBLIC = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"


def call(browser: Chrome, code: str, *given: object) -> Any:
    setup = "const raw = h => Uint8Array.from(h.match(/../g) || [], x => parseInt(x, 16));"
    text = (
        "const given = arguments, done = arguments[arguments.length - 1]; (async () => {"
        f"{setup} {code} }})().then(done, fault => done('refused: ' + fault.message));"
    )
    return browser.execute_async_script(text, *given)


@pytest.fixture
def page(browser: Chrome, place: Place, subject: Subject) -> Chrome:
    visit(browser, shown_at(place, subject, subject.page))
    return browser


def test_the_published_cose_vector_is_taken_apart_and_verified(page: Chrome) -> None:
    """cose-wg/Examples, eddsa-examples/eddsa-sig-01.json."""
    code = """
      const parts = takeApart(raw(given[0]));
      const text = toBeSigned(parts.headers, parts.payload);
      const bad = parts.signature.slice(); bad[0] ^= 1; const key = raw(given[1]);
      return [hex(text), readUtf8(parts.payload), await signed(key, parts.signature, text),
              await signed(key, bad, text)];"""
    found = call(page, code, VECTOR, VECTOR_PUBLIC)
    assert found == [VECTOR_SIGNED.lower(), "This is the content.", True, False]
    refused = call(page, "keyNamed(takeApart(raw(given[0])))", VECTOR)
    assert refused.startswith("refused")


@pytest.mark.parametrize(
    ("text", "data"),
    [("", ""), ("MY", "f"), ("MZXQ", "fo"), ("MZXW6", "foo"), ("MZXW6YQ", "foob"),
     ("MZXW6YTB", "fooba"), ("MZXW6YTBOI", "foobar")],
)  # fmt: skip
def test_base32_reads_the_standards_vectors(page: Chrome, text: str, data: str) -> None:
    """RFC 4648, section 10, without padding."""
    assert call(page, "return readUtf8(base32(given[0]))", text) == data


@pytest.mark.parametrize("text", ["M", "MZ", "MZXW6Y", "MZX", "M1", "MZXQ=", "MZXR"])
def test_base32_that_no_encoder_writes_is_refused(page: Chrome, text: str) -> None:
    assert call(page, "return hex(base32(given[0]))", text).startswith("refused")


@pytest.mark.parametrize(
    ("data", "value"),
    [("00", 0), ("17", 23), ("1818", 24), ("1903e8", 1000), ("1a000f4240", 1000000),
     ("1b000000e8d4a51000", 1000000000000), ("20", -1), ("3903e7", -1000), ("6449455446", "IETF"),
     ("83010203", [1, 2, 3]), ("62c3bc", "ü")],
)  # fmt: skip
def test_cbor_reads_the_standards_examples(page: Chrome, data: str, value: object) -> None:
    """RFC 8949, appendix A."""
    assert call(page, "return cbor(raw(given[0]))", data) == value


@pytest.mark.parametrize(
    "data",
    ["", "1817", "190018", "5f4101ff", "8301", "a201000000", "a2020001", "0000", "f4", "62c328",
     "9bffffffffffffffff", "a201000100"],
)  # fmt: skip
def test_cbor_that_is_not_canonical_is_refused(page: Chrome, data: str) -> None:
    assert call(page, "return cbor(raw(given[0]))", data).startswith("refused")


def test_the_tree_of_eight_leaves_is_walked_as_published(page: Chrome) -> None:
    """transparency-dev/merkle, testonly/constants.go."""
    leaves = [call(page, "return hex(await leafHash(raw(given[0])))", one.hex()) for one in LEAVES]
    assert leaves == [leaf_hash(one).hex() for one in LEAVES]
    code = "return hex(await rootFrom(raw(given[0]), given[1], given[2], given[3].map(raw)))"
    for index, size, over in INCLUSION:
        path = [OVER[one] for one in over]
        assert call(page, code, leaves[index], index, size, path) == ROOTS[size]
        assert call(page, code, leaves[index], index, size, [*path, ROOTS[0]]) != ROOTS[size]
        assert call(page, code, leaves[index], size, size, path).startswith("refused")
        for at in range(len(path)):
            bad = [*path[:at], ROOTS[0], *path[at + 1 :]]
            assert call(page, code, leaves[index], index, size, bad) != ROOTS[size]


def test_the_roots_of_two_sizes_are_made_from_tiles(page: Chrome) -> None:
    _, nodes = Frontier(0, ()).grown([leaf_hash(b"%d" % at) for at in range(600)])
    kept = {(node.level, node.index): node.hash for node in nodes}
    code = """
      const read = tiles(given[1], async (path) => given[2][path] ? raw(given[2][path]) : null);
      return [hex(await rootOver(0, given[0], given[0], read)),
              hex(await rootOver(0, given[1], given[0], read))];"""
    for old, new in [
        *((old, new) for old, new, _ in CONSISTENCY),
        (255, 257),
        (256, 600),
        (300, 513),
    ]:
        files = {
            f"/{tile.path}": tile_bytes(tile, lambda places: [kept[one] for one in places]).hex()
            for tile in tiles_for(0, new)
        }
        roots = [
            Frontier(0, ()).grown([leaf_hash(b"%d" % at) for at in range(size)])[0].root().hex()
            for size in (old, new)
        ]
        assert call(page, code, old, new, files) == roots
