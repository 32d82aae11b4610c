"""Hostile inputs to ``verify`` and ``import``: never a traceback, always the right exit status.

A kept list of more than a hundred and as many again made up by Hypothesis, through the command line
itself.  A refusal is one or two lines on stderr; nothing is ever written.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Callable, Iterator
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from editions.cli import bronzebook
from tests import hostile
from tests.certificates import house
from tests.certificates.builders import NUMBER

REFUSALS = {2, 4, 9}
MANY = settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow])


class Place:
    """A registry with a certificate of its own, and a folder for what is thrown at it."""

    def __init__(self, folder: Path) -> None:
        self.registry = house.built(folder / "book" / "registry.db", folder / "book")
        self.paper = house.certify(self.registry).path.read_bytes()
        self.size = house.size(self.registry)
        self.folder = folder / "thrown"
        self.folder.mkdir()


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    made = Place(tmp_path_factory.mktemp("hostile"))
    # No registry lies here, so that none is found where none is named.
    with contextlib.chdir(made.folder):
        yield made
    made.registry.close()


def call(place: Place, *words: str, data: bytes | None = None) -> Result:
    """The command line at the registry."""
    return alone("--registry", place.registry.home.database, *words, data=data)


def alone(*words: str, data: bytes | None = None) -> Result:
    """The command line with no registry."""
    return CliRunner().invoke(bronzebook, words, input=data)


def judge(done: Result, statuses: set[int]) -> None:
    """Whatever was thrown: an exit, not a fall; and a refusal in one or two lines."""
    assert isinstance(done.exception, SystemExit), done.exception
    assert done.exit_code in statuses, (done.exit_code, done.stderr)
    assert "Traceback" not in done.output
    if not done.stdout:
        lines = done.stderr.splitlines()
        assert 1 <= len(lines) <= 2, done.stderr
        assert all(line.isprintable() and len(line) < 500 for line in lines)


def thrown(place: Place, name: str, data: bytes) -> str:
    path = place.folder / name
    path.write_bytes(data)
    return str(path)


def test_the_kept_list_is_long_enough() -> None:
    files = [hostile.pdfs, hostile.pictures, hostile.odd_files, hostile.tables]
    kept = sum(len(list(make())) for make in files) + len(hostile.texts())
    assert kept >= 180
    assert len(list(hostile.tables())) >= 40


def test_every_kept_text_has_its_status(place: Place) -> None:
    for text, status in hostile.texts().items():
        judge(call(place, "verify", "--", text), {status})
        judge(call(place, "verify", "--json", "--", text), {status})


def test_every_kept_text_is_refused_without_a_registry_too(place: Place) -> None:
    for text in hostile.texts():
        judge(alone("verify", "--", text), {2, 3, 4, 7, 9})


@pytest.mark.parametrize("make", [hostile.pdfs, hostile.pictures, hostile.odd_files])
def test_every_kept_file_has_its_status(
    place: Place, make: Callable[[], Iterator[hostile.Kept]]
) -> None:
    for name, data, status in make():
        done = call(place, "verify", thrown(place, name, data))
        judge(done, {status})
    assert house.size(place.registry) == place.size


@pytest.mark.parametrize("make", [hostile.pdfs, hostile.pictures])
def test_every_kept_file_is_refused_without_a_registry_too(
    place: Place, make: Callable[[], Iterator[hostile.Kept]]
) -> None:
    for name, data, status in make():
        judge(
            alone("verify", thrown(place, name, data)),
            {status, 3} | ({5} if status == 4 else set()),
        )


def test_a_page_that_is_not_as_drawn_is_said_in_the_last_words(place: Place) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(place.paper)) as document:
        del document.docinfo["/DrawnBy"]
        document.pages[0].contents_add(b"0 0 m 9 9 l S")
        document.save(out)
    said = "go by the words given here, not by those on the page"
    assert said in alone("verify", thrown(place, "other.pdf", out.getvalue())).stderr
    tailed = {name: data for name, data, _ in hostile.pdfs()}["with a tail.pdf"]
    told = alone("verify", thrown(place, "tailed.pdf", tailed))
    assert "saved this file anew, or changed what it carries" in told.stdout
    assert said not in told.stderr
    assert said not in alone("verify", thrown(place, "sound.pdf", place.paper)).stderr


def test_no_table_of_the_kept_list_writes_anything(place: Place) -> None:
    for name, data, status in hostile.tables():
        judge(call(place, "import", thrown(place, name, data)), {status})
    assert house.size(place.registry) == place.size


def test_what_is_no_plain_file_is_never_waited_for(place: Place, tmp_path: Path) -> None:
    for path, status in hostile.not_files(tmp_path).items():
        judge(call(place, "verify", str(path)), {status, 2})
        judge(call(place, "import", str(path)), {status})
        judge(call(place, "verify", "3/8", "--key", str(path)), {2, 9})
    with (tmp_path / "large.png").open("wb") as file:
        file.truncate(65_000_000)
    judge(call(place, "verify", str(tmp_path / "large.png")), {9})
    with (tmp_path / "large.csv").open("wb") as file:
        file.truncate(21_000_000)
    judge(call(place, "import", str(tmp_path / "large.csv")), {9})


@pytest.mark.parametrize(
    ("data", "status"),
    [
        (b"", 2), (b"\0", 2), (b"\xff\xfe", 9), (b"\n\n", 2), (b"x" * 9000, 2),
        (hostile.CODE.encode(), 4), (hostile.CODE[:-9].encode(), 2), (hostile.PDF, 9),
    ],
)  # fmt: skip
def test_what_comes_on_stdin_has_its_status(place: Place, data: bytes, status: int) -> None:
    judge(call(place, "verify", "-", data=data), {status})


@pytest.mark.parametrize("words", ["", " ", "\0", "\ud800", "x" * 10_000, "K-9999", "%", "nobody"])
def test_a_work_that_is_none_has_its_status(place: Place, words: str) -> None:
    judge(call(place, "verify", "3/8", "--work", words), {2, 4})


@pytest.mark.parametrize(
    "keys",
    [b"", b"\xff" * 40, b"log x\n", b"foundry a+b+c\n", b"\0" * 70_000, b"x" * 60_000, hostile.PDF],
    ids=range(7),
)
def test_a_key_file_that_is_none_has_its_status(place: Place, keys: bytes) -> None:
    paper = thrown(place, "sound.pdf", place.paper)
    done = call(place, "verify", paper, "--key", thrown(place, "keys.txt", keys))
    judge(done, {8, 9})


PIECES = st.one_of(
    st.text(max_size=60),
    st.text(st.characters(codec=None), max_size=30),
    st.sampled_from(["https://", "/C/", "#", hostile.CODE, NUMBER, "3/8", "..", "\0"]),
    st.text("0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U", max_size=12),
)
WORDS = st.lists(PIECES, max_size=4).map("".join)


@MANY
@given(WORDS)
def test_any_text_is_verified_or_refused(place: Place, text: str) -> None:
    judge(call(place, "verify", "--", text), REFUSALS | {3})


@MANY
@given(st.data())
def test_a_paper_with_bytes_changed_never_stands(place: Place, data: st.DataObject) -> None:
    changed = bytearray(place.paper)
    places = st.integers(0, len(changed) - 1)
    turned = st.dictionaries(places, st.integers(1, 255), min_size=1, max_size=4)
    for at, bits in data.draw(turned).items():
        changed[at] ^= bits
    cut = data.draw(st.integers(0, len(changed)) | st.just(len(changed)))
    path = thrown(place, "changed.pdf", bytes(changed[:cut]))
    judge(call(place, "verify", path), {3, 9})


@MANY
@given(st.binary(max_size=300), st.sampled_from([b"", b"%PDF-1.7\n", b"\x89PNG\r\n\x1a\n", b"GIF"]))
def test_any_file_is_refused(place: Place, data: bytes, head: bytes) -> None:
    judge(call(place, "verify", thrown(place, "any.pdf", head + data)), {9})


CELLS = st.text(st.characters(codec="utf-8", exclude_characters=",;\r\n"), max_size=12)
ROWS = st.lists(st.tuples(*[CELLS | st.sampled_from(["Heron", "3/8", "P-0001", "193X"])] * 6))


@MANY
@given(st.binary(max_size=200) | ROWS.map(lambda rows: "\n".join(map(",".join, rows)).encode()))
def test_any_table_is_refused_or_rehearsed(place: Place, data: bytes) -> None:
    for head in (
        b"title,mark,cast,height,mass,code\n",
        b"mold,section,material,title,pulls,made\n",
    ):
        done = call(place, "import", "--rehearse", thrown(place, "any.csv", head + data))
        if done.exit_code != 0:
            judge(done, {6, 9})
    assert house.size(place.registry) == place.size
