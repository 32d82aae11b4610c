"""A record page checks itself in a real browser: over HTTP and from a kept file."""

from __future__ import annotations

import base64
import json
import re
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from certificates.claim import code_text
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tiles import tile_bytes, tiles_for
from editions.ledger.tree import Frontier, leaf_hash
from editions.pages.render import render_record
from editions.store import queries
from editions.store.photographs import read as read_photograph
from tests.certificates.test_cose import VECTOR, VECTOR_SIGNED
from tests.ledger.eight_leaves import CONSISTENCY, INCLUSION, LEAVES, OVER, ROOTS
from tests.pages.builders import Gallery, cast, opened

pytestmark = pytest.mark.browser

# RFC 8032, section 7.1, test 1: the public key of the seed that the COSE example is signed with.
VECTOR_PUBLIC = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
DATA = re.compile(r'(<script type="application/json" id="carried">)(.*?)(</script>)', re.DOTALL)


class Place(NamedTuple):
    """A site of files given by path, and where it is."""

    files: dict[str, bytes]
    address: str


@pytest.fixture
def place() -> Iterator[Place]:
    files: dict[str, bytes] = {}

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            found = files.get(self.path)
            self.send_response(200 if found is not None else 404)
            kind = "text/html" if self.path.startswith("/C/") else "application/octet-stream"
            self.send_header("Content-Type", kind)
            self.end_headers()
            self.wfile.write(found or b"")

        def log_message(self, _: str, *args: object) -> None:
            """Nothing is logged."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield Place(files, f"http://127.0.0.1:{server.server_port}")
    server.shutdown()
    server.server_close()


class Subject(NamedTuple):
    """A record's page, another's data, and the site's checkpoint and tiles."""

    number: str
    page: str
    other: dict[str, Any]
    abroad: dict[str, Any]
    files: dict[str, bytes]

    @property
    def data(self) -> dict[str, Any]:
        return carried(self.page)


def carried(page: str) -> dict[str, Any]:
    found = DATA.search(page)
    assert found is not None
    return dict(json.loads(found[2]))


def put(page: str, data: dict[str, Any]) -> str:
    text = json.dumps(data).replace("<", "\\u003c")
    return DATA.sub(lambda found: found[1] + text + found[3], page)


@pytest.fixture(scope="module")
def subject(shown: Gallery, tmp_path_factory: pytest.TempPathFactory) -> Subject:
    registry, number = shown.shop.registry, shown.numbers["stands"]
    foreign = opened(tmp_path_factory.mktemp("abroad") / "registry", title="Another heron")
    abroad = foreign.certify(cast(foreign))
    with registry.reading() as reading:
        read = queries.node_reader(reading.connection)
        files = {f"/{t.path}": tile_bytes(t, read) for t in tiles_for(0, reading.size)}
        files["/checkpoint"] = reading.checkpoint().encode()
    page = render_record(registry, number).decode()
    picture = re.search(r'src="(/photo/[^"]+)"', page)
    assert picture is not None
    digest = picture[1].removeprefix("/photo/").removesuffix(".jpg")
    files[picture[1]] = read_photograph(registry.home.photographs, digest)
    other = carried(render_record(registry, shown.numbers["contested"]).decode())
    strange = carried(render_record(foreign.registry, abroad).decode())
    foreign.registry.close()
    return Subject(number, page, other, strange, files)


def visit(browser: Chrome, address: str) -> dict[str, tuple[str, str]]:
    """Open a page and wait for its last check; each check's result and words."""
    browser.get("about:blank")
    browser.get(address)
    return results(browser)


def results(browser: Chrome) -> dict[str, tuple[str, str]]:
    def rows(_: Chrome) -> list[list[str]]:
        found = browser.execute_script(
            "return [...document.querySelectorAll('#check li')].map(li => [li.querySelector('b')"
            ".textContent, li.querySelector('.result').textContent, li.textContent])"
        )
        return found if found and found[-1][0] == "Whose key it is" else []

    found = WebDriverWait(browser, 20, 0.05).until(rows)
    return {name: (result, says) for name, result, says in found}


def contradicted(checks: dict[str, tuple[str, str]]) -> set[str]:
    return {name for name, (result, _) in checks.items() if result == "contradicts"}


def complaints(browser: Chrome) -> list[str]:
    return [str(entry["message"]) for entry in browser.get_log("browser")]  # type: ignore[no-untyped-call]


def shown_at(place: Place, subject: Subject, page: str) -> str:
    place.files.update(subject.files)
    place.files["/icon.svg"] = b""
    place.files[f"/C/{subject.number}"] = page.encode()
    return f"{place.address}/C/{subject.number}"


def test_a_good_record_agrees_and_asks_for_the_fingerprint(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    checks = visit(browser, shown_at(place, subject, subject.page))
    assert {name for name, (result, _) in checks.items() if result == "not checked"} == {
        "Whose key it is"
    }, checks
    assert contradicted(checks) == set()
    fingerprint = "".join(re.findall(r"[0-9A-F]{4}", checks["Whose key it is"][1]))
    assert fingerprint.lower() in browser.execute_script(
        "return document.querySelector('#proof .print').textContent.replaceAll(' ', '').toLowerCase()"  # noqa: E501
    )
    assert "now compare the fingerprint" in browser.find_element("css selector", ".sum").text
    assert not browser.find_element("id", "alarm").is_displayed()
    assert complaints(browser) == []
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(e => e.name)"
    )
    assert any(name.endswith("/checkpoint") for name in asked)
    assert all(name.startswith(place.address) for name in asked)


def test_the_scanned_code_is_checked_rather_than_what_the_page_carries(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    page = put(subject.page, subject.data | {"claim": ""})
    address = shown_at(place, subject, page)
    assert visit(browser, address)["Claim"][0] == "not checked"
    text = code_text(
        "https://book.example", subject.number, base64.b64decode(subject.data["claim"])
    )
    checks = visit(browser, f"{address}#{text.partition('#')[2]}")
    assert contradicted(checks) == set()
    assert "the code that was scanned" in checks["Claim"][1]
    other = code_text(
        "https://book.example", subject.number, base64.b64decode(subject.other["claim"])
    )
    assert "Claim" in contradicted(visit(browser, f"{address}#{other.partition('#')[2]}"))
    cut = text.partition("#")[2][:-9]
    assert "Claim" in contradicted(visit(browser, f"{address}#{cut}"))


def flipped(coded: str, at: int) -> str:
    data = bytearray(base64.b64decode(coded))
    data[at] ^= 1
    return base64.b64encode(bytes(data)).decode()


def _hash_changed(data: dict[str, Any]) -> dict[str, Any]:
    proof = ProofFile.parse(data["proof"])
    hashes = (bytes(32), *proof.hashes[1:])
    return data | {"proof": str(ProofFile(proof.index, hashes, proof.checkpoint_note))}


def _signed_by_another(data: dict[str, Any]) -> dict[str, Any]:
    proof = ProofFile.parse(data["proof"])
    checkpoint = Checkpoint.parse(proof.checkpoint_note.partition("\n\n")[0] + "\n")
    note = sign_checkpoint(checkpoint, PrivateKey(bytes(range(32))))
    return data | {"proof": str(ProofFile(proof.index, proof.hashes, note))}


def _entry_changed(data: dict[str, Any]) -> dict[str, Any]:
    entry = base64.b64decode(data["entry"]).replace(b"Heron, settling", b"Heron, settled!")
    assert entry != base64.b64decode(data["entry"])
    return data | {"entry": base64.b64encode(entry).decode()}


Forge = Callable[[Subject], str]
FORGED: dict[str, tuple[Forge, str, str]] = {
    "the claim of another certificate": (
        lambda s: put(s.page, s.data | {"claim": s.other["claim"]}),
        "Claim",
        "The claim is that of certificate",
    ),
    "a flipped bit of the signature": (
        lambda s: put(s.page, s.data | {"claim": flipped(s.data["claim"], -1)}),
        "Signature of the foundry",
        "The signature does not hold",
    ),
    "an entry with another title": (
        lambda s: put(s.page, _entry_changed(s.data)),
        "Entry",
        "does not hash to the leaf",
    ),
    "another hash in the proof": (
        lambda s: put(s.page, _hash_changed(s.data)),
        "Inclusion",
        "does not lead to the place and root",
    ),
    "a checkpoint signed by another key": (
        lambda s: put(s.page, _signed_by_another(s.data)),
        "Checkpoint",
        "not signed by the book’s key",
    ),
    "another title on the page": (
        lambda s: s.page.replace("<h1><bdi>Heron, settling", "<h1><bdi>Heron, rising"),
        "Words of this page",
        "As title this page shows “Heron, rising”",
    ),
    "another fingerprint on the page": (
        lambda s: re.sub(r'(<dd class="print"><code>)[0-9A-F]{4}', r"\g<1>0000", s.page),
        "Words of this page",
        "As fingerprint this page shows",
    ),
    "the claim of another registry": (
        lambda s: put(s.page, s.data | {"claim": s.abroad["claim"]}),
        "Claim",
        "The claim is that of certificate",
    ),
    "the key of another foundry": (
        lambda s: put(s.page, s.data | {"foundry": str(_key_of("book.harrow-lane.example"))}),
        "Signature of the foundry",
        "names another key",
    ),
}


def _key_of(name: str) -> VerifierKey:
    return VerifierKey(name, PrivateKey(bytes(range(32))).public.raw)


@pytest.mark.parametrize("over", ["http", "file"])
@pytest.mark.parametrize("forgery", FORGED)
def test_each_forgery_is_named_for_what_it_is(
    browser: Chrome, place: Place, subject: Subject, tmp_path: Path, forgery: str, over: str
) -> None:
    forge, check, words = FORGED[forgery]
    page = forge(subject)
    assert page != subject.page
    address = shown_at(place, subject, page)
    if over == "file":
        kept = tmp_path / "kept.html"
        kept.write_text(page, encoding="utf-8")
        address = kept.as_uri()
    checks = visit(browser, address)
    assert check in contradicted(checks), checks
    assert words in checks[check][1]
    assert browser.find_element("id", "alarm").is_displayed()
    assert "Do not rely" in browser.find_element("css selector", ".sum").text


@pytest.fixture
def kept(browser: Chrome, place: Place, subject: Subject, tmp_path: Path) -> Path:
    """The page as its button keeps it."""
    allow = {"behavior": "allow", "downloadPath": str(tmp_path)}
    browser.execute_cdp_cmd("Browser.setDownloadBehavior", allow)
    visit(browser, shown_at(place, subject, subject.page))
    browser.find_element("css selector", ".keep button").click()
    file = tmp_path / f"{subject.number}.html"
    WebDriverWait(browser, 20, 0.05).until(lambda _: file.exists() and file.stat().st_size)
    assert complaints(browser) == []
    return file


def test_a_kept_page_checks_itself_from_disk_without_a_network(
    browser: Chrome, kept: Path, subject: Subject
) -> None:
    checks = visit(browser, kept.as_uri())
    assert contradicted(checks) == set()
    passed = {name for name, (result, _) in checks.items() if result == "not checked"}
    assert passed == {"The book today", "Whose key it is"}
    assert complaints(browser) == []
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(e => e.name)"
    )
    assert all(name.startswith("data:") for name in asked)
    width = "return document.querySelector('figure img').naturalWidth"
    assert browser.execute_script(width) == 400
    assert browser.execute_script("return document.querySelectorAll('.keep').length") == 0
    text = kept.read_text("utf-8")
    assert "connect-src" not in text.split("<title>")[0]
    assert carried(text)["claim"] == subject.data["claim"]


def test_a_kept_page_that_was_altered_contradicts(browser: Chrome, kept: Path) -> None:
    text = kept.read_text("utf-8")
    kept.write_text(text.replace("<bdi>Ilse Varga</bdi>", "<bdi>Ilse Verga</bdi>"), "utf-8")
    assert "Words of this page" in contradicted(visit(browser, kept.as_uri()))
    kept.write_text(
        text.replace("data:image/jpeg;base64,/9j/4AAQ", "data:image/jpeg;base64,/9j/4AAR")
    )
    assert "Photograph" in contradicted(visit(browser, kept.as_uri()))
    script = re.sub("refuse = ", "refuse  = ", text, count=1)
    kept.write_text(script, "utf-8")
    browser.get(kept.as_uri())
    assert not browser.find_element("id", "check").is_displayed()
    assert any("Content Security Policy" in line for line in complaints(browser))


def test_a_book_that_shrank_or_was_rewritten_is_found(
    browser: Chrome, place: Place, subject: Subject, shown: Gallery
) -> None:
    address = shown_at(place, subject, subject.page)
    key = shown.shop.registry.log_key()
    now = Checkpoint.parse(subject.files["/checkpoint"].decode().partition("\n\n")[0] + "\n")
    frontier, nodes = Frontier(0, ()).grown([leaf_hash(b"%d" % at) for at in range(now.size)])
    kept = {(node.level, node.index): node.hash for node in nodes}
    cases = [
        (3, bytes(32), {}, "has shrunk"),
        (now.size, bytes(32), {}, "is not that of today’s checkpoint"),
        (
            now.size,
            frontier.root(),
            {
                f"/{tile.path}": tile_bytes(tile, lambda places: [kept[one] for one in places])
                for tile in tiles_for(0, now.size)
            },
            "The book was rewritten",
        ),
    ]
    for size, root, tiles, says in cases:
        place.files.update(tiles)
        note = sign_checkpoint(Checkpoint(now.origin, size, root), key)
        place.files["/checkpoint"] = note.encode()
        result, words = visit(browser, address)["The book today"]
        assert (result, says in words) == ("contradicts", True), words


def test_without_tiles_or_a_checkpoint_it_says_that_it_did_not_bridge(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    address = shown_at(place, subject, subject.page)
    for path in [path for path in place.files if path.startswith("/tile/")]:
        del place.files[path]
    assert "does not publish the tree" in visit(browser, address)["The book today"][1]
    del place.files["/checkpoint"]
    result, words = visit(browser, address)["The book today"]
    assert (result, "publishes no checkpoint" in words) == ("not checked", True)


NO_CRYPTOGRAPHY = "Object.defineProperty(Crypto.prototype, 'subtle', {get: () => undefined})"
NO_ED25519 = (
    "SubtleCrypto.prototype.importKey = async () => "
    "{ throw new DOMException('', 'NotSupportedError'); }"
)


@pytest.mark.parametrize(
    ("lacking", "says"), [(NO_CRYPTOGRAPHY, ""), (NO_ED25519, "cannot check Ed25519")]
)
def test_a_browser_that_cannot_check_says_so_and_gives_the_command(
    browser: Chrome, place: Place, subject: Subject, lacking: str, says: str
) -> None:
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": lacking})
    try:
        browser.get(shown_at(place, subject, subject.page))
        if says:
            checks = results(browser)
            assert says in checks["Signature of the foundry"][1]
            assert contradicted(checks) == set()
            assert checks["Entry"][0] == "agrees"
        else:
            said = browser.find_element("css selector", ".sum").text
            assert "cannot check here" in said
        command = browser.find_element("css selector", "#check code").text
        assert command == f"bronzebook verify {subject.number}.pdf --key keys.txt"
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


# The script's own functions against the standards' vectors


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
      const text = toBeSigned(parts.protectedBytes, parts.payload);
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
