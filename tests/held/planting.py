"""A foundry's day in which something is said in confidence wherever the command line can hold it.

The story is the same whatever is confided: two books that were told different confidences, by the
same clock and the same chance, differ in what they hold and in nothing else.
"""

from __future__ import annotations

import io
import logging
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from copy import copy, deepcopy
from itertools import count
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from certificates.holder import write_card
from certificates.requests import read_request, sign_request
from editions.cli import bronzebook
from editions.ledger.envelope import decode
from editions.ledger.keys import PrivateKey
from editions.registry import Registry, open_registry
from editions.store import queries
from editions.trade.catalogue import KINDS
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock
from tests.registry.builders import PASSPHRASE, a_registry

ROUNDS = 6
KEY = PrivateKey(b"\x07" * 32)  # the artist's

# Half of what is confided could be guessed: prices, names, numbers, a yes or a no.
GUESSABLE = (
    "4500", "yes", "no", "7", "A", "1962", "Maria", "Tomas Brandl", "+43 1 555 0147", "12,000",
    "3/8", "cash", "0", "Ostrel", "EUR 900", "true",
)  # fmt: skip
OTHERS = ("1", "maybe", "X", "28,500.00", "Jolan", "2026", "null", "+1 212 555 0199 ext. 4", "by")


class Confiding:
    """What is said in confidence, one thing after another.

    With ``silent`` every other option is left out altogether.
    """

    def __init__(self, words: tuple[str, ...], phrase: str, *, silent: bool = False) -> None:
        self.words = words
        self.phrase = phrase
        self.silent = silent
        self.told = count()

    def must(self) -> str:
        """The next thing to say."""
        n = next(self.told)
        return f"{self.phrase} {n}" if n % 2 else self.words[n // 2 % len(self.words)]

    def __call__(self, option: str) -> list[str]:
        said = self.must()
        return [] if self.silent and next(self.told) % 3 else [option, said]


def story(n: int, say: Confiding, folder: Path) -> Iterator[list[str]]:
    """One round of commands, in which every held field is said that a command can hold."""
    yield ["party", "add", "hand", "--private-name", say.must(), "--code", f"Y-1{n}",
           *say("--contact")]  # fmt: skip
    yield ["work", "add", "Y-0002", f"Heron {n}", "--code", f"K-1{n}", *say("--note")]
    yield ["model", "add", f"K-1{n}", "original", "--code", f"D-1{n}", *say("--note")]
    yield [
        "run", "declare", f"K-1{n}", "--size", "8", "--model", f"D-1{n}", "--code", f"R-1{n}",
        "--alloy", "C87300", *(["--signer", "Y-0002"] if n == 0 else []), *say("--note"),
    ]  # fmt: skip
    yield ["run", "amend", f"R-1{n}", "--size", "9", *say("--reason")]
    yield from _molds_and_waxes(n, say)
    yield from _casting(n, say)
    yield from _scrapping(n, say)
    yield from _finishing(n, say)
    yield ["photo", "add", f"T-{n}01", str(photograph(folder, say.must()))]
    yield ["correct", f"K-1{n}#1", f"note={say.must()}", "--reason", say.must()]
    yield [
        "held", "erase", f"Y-1{n}#1", "contact", "--authority", "Y-0002", "--because", "request",
        *say("--reason"),
    ]  # fmt: skip


def _molds_and_waxes(n: int, say: Confiding) -> Iterator[list[str]]:
    for mold in (f"M-1{n}", f"M-2{n}"):
        yield ["mold", "add", f"D-1{n}", "--material", "silicone", "--code", mold, *say("--note")]
    yield ["mold", "inspect", f"M-1{n}", "--tears", "sound", *say("--note")]
    yield ["mold", "out", f"M-2{n}", "--place", "the other yard", *say("--to")]
    yield ["mold", "back", f"M-2{n}"]
    yield ["mold", "retire", f"M-2{n}", *say("--reason")]
    for wax in (f"W-1{n}", f"W-2{n}"):
        words = ["wax", "pull", f"M-1{n}", "--run", f"R-1{n}", "--code", wax]
        yield [*words, *say("--note")]
    yield ["wax", "judge", f"W-2{n}", "--reject", say.must()]
    yield ["strike", f"W-2{n}#2", "--reason", say.must()]
    yield ["wax", "judge", f"W-2{n}", "--reject", say.must()]


def _casting(n: int, say: Confiding) -> Iterator[list[str]]:
    piece = f"T-{n}01"
    yield ["piece", "start", f"R-1{n}", "--tag", piece, "--code", f"P-1{n}", *say("--note")]
    yield ["piece", "take", piece, f"W-1{n}"]
    yield ["step", "fired", piece, "--how", "not recorded", *say("--note")]
    yield ["heat", "open", f"26-{n}", "--alloy", "C87300", "--code", f"H-1{n}", *say("--note")]
    yield ["heat", "pour", f"26-{n}", piece]
    yield ["piece", "defect", piece, "pinhole", *say("--note")]


def _scrapping(n: int, say: Confiding) -> Iterator[list[str]]:
    piece = f"T-{n}02"
    yield ["mold", "add", f"D-1{n}", "--material", "silicone", "--sections", "head,body",
           "--code", f"M-3{n}", *say("--note")]  # fmt: skip
    yield ["piece", "start", f"R-1{n}", "--tag", piece, "--sections", "head,body", *say("--note")]
    for section, code in (("head", f"W-3{n}"), ("body", f"W-4{n}")):
        yield ["wax", "pull", f"M-3{n}", section, "--run", f"R-1{n}", "--code", code]
        yield ["piece", "take", piece, section, code]
    yield ["step", "fired", piece, "--how", "not recorded"]
    yield ["heat", "pour", f"26-{n}", piece]
    proof = ["--evidence", "remelted on the scale"]
    yield ["piece", "scrap", piece, "--section", "head", *proof, *say("--reason")]
    yield ["piece", "scrap", piece, *proof, *say("--reason")]


def _finishing(n: int, say: Confiding) -> Iterator[list[str]]:
    piece, run, by = f"T-{n}01", f"R-1{n}", ["--by", "Y-0002", "--how", "in person"]
    yield ["approve", piece, "metal", *by, *say("--note")]
    layer = f"{say.must()}; {say.must()}; brush"
    yield ["recipe", "write", f"Brown {n}", "--words", "warm brown", "--layer", layer,
           "--code", f"C-1{n}"]  # fmt: skip
    yield ["colour", piece, "--recipe", f"C-1{n}", "--words", "brown", *say("--differs")]
    yield ["approve", piece, "colour", *by]
    yield ["mark", "add", piece, f"Varga {n}", "--place", "base", *say("--note")]
    yield ["run", "offer", run, *say("--where")]
    yield ["number", "promise", run, "5/9", *say("--to")]
    yield ["number", "unpromise", run, "5/9", *say("--reason")]
    yield ["number", "give", piece, "3/9"]
    yield ["piece", "register", f"K-1{n}", "--tag", f"X-{n}", *say("--owner"), *say("--note")]


def ending(n: int, number: str, say: Confiding) -> Iterator[list[str]]:
    """What is said after a certificate: the piece leaves, and the paper ends."""
    yield ["piece", "release", f"T-{n}01", *say("--to"), *say("--note")]
    if n % 2:
        yield ["certificate", "withdraw", number, "--because", "error", *say("--reason")]
    else:
        yield ["certificate", "report", number, "--because", "stolen", *say("--reported-by")]


def photograph(folder: Path, said: str) -> Path:
    """A picture whose file says something, and whose published derivative does not."""
    file = folder / "front.jpg"
    written = io.BytesIO()
    Image.linear_gradient("L").resize((40, 30)).convert("RGB").save(
        written, "JPEG", comment=said.encode()
    )
    file.write_bytes(written.getvalue())
    return file


class _Log(logging.Handler):
    """Keeps whatever is logged."""

    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        # The machine's time zone is looked up by a library once in a run, by the first telling.
        if record.name != "tzlocal":
            self.lines.append(self.format(record))


class House:
    """A registry in a folder and the command line in it; all that it prints and logs is kept."""

    def __init__(self, folder: Path, where: str | None = None) -> None:
        self.folder = folder
        self.where = where or str(folder)
        self.chance, self.clock = Chance("held"), Clock()
        self.printed: dict[str, bytes] = {}
        self.log = _Log()
        a_registry(self.where, folder, now=self.clock, random=self.chance).close()
        self.environment = {
            "BRONZEBOOK_REGISTRY": self.where,
            "BRONZEBOOK_HOME": str(folder),
            "BRONZEBOOK_PASSPHRASE": PASSPHRASE,
        }

    def ask(self, *words: str, env: Mapping[str, str] | None = None) -> Result:
        """Call a command; what it printed and how it ended is kept, in order."""
        done = CliRunner().invoke(bronzebook, list(words), env={**self.environment, **(env or {})})
        place = f"{len(self.printed):03} {' '.join(words[:2])}"
        ended = f"\nended with {done.exit_code}, and said:\n".encode()
        self.printed[place] = done.stdout_bytes + ended + done.stderr_bytes
        return done

    def call(self, *words: str) -> str:
        """Call a command that must succeed; returns what it printed."""
        done = self.ask(*words)
        assert done.exit_code == 0, (words, done.output, done.exception)
        return done.stdout

    def opened(self) -> Registry:
        """The registry, opened by the same clock."""
        return open_registry(self.where, home=self.folder, clock=self.clock, random=self.chance)

    def copied(self, to: Path) -> House:
        """The same house elsewhere, as it stands."""
        other = copy(self)
        shutil.copytree(self.folder, to)
        other.folder, other.where, other.printed = to, str(to), {}
        other.clock, other.chance = deepcopy((self.clock, self.chance))
        other.environment = self.environment | {"BRONZEBOOK_REGISTRY": str(to)}
        other.environment["BRONZEBOOK_HOME"] = str(to)
        return other

    def move(self, to: Path) -> None:
        """Make room for another house at the same address."""
        self.folder = self.folder.rename(to)
        self.where = str(to)

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """The command line has this house's clock and chance, not the machine's."""
        defaults: dict[str, object] = open_registry.__kwdefaults__ or {}
        with pytest.MonkeyPatch.context() as patch:
            patch.setitem(defaults, "clock", self.clock)
            patch.setitem(defaults, "random", self.chance)
            patch.setattr(root := logging.getLogger(), "level", logging.DEBUG)
            root.addHandler(self.log)
            yield
            root.removeHandler(self.log)


def told(folder: Path, say: Confiding, *, rounds: int = ROUNDS, where: str | None = None) -> House:
    """The whole story in a new registry."""
    house = House(folder, where)
    with house.at_work():
        artist = ["party", "add", "artist", "--name", "Ilse Varga", "--born", "1931"]
        house.call(*artist, *say("--contact"))
        letters = folder / "letters"
        letters.mkdir()
        (letters / "card").write_text(write_card("Ilse Varga", KEY))
        house.call("key", "admit", "Y-0002", str(letters / "card"), "--document", "in the studio")
        for n in range(rounds):
            for words in story(n, say, folder.parent):
                house.call(*words)
            certified = house.call("certify", f"T-{n}01")
            number = certified.split("\t")[0] if n else asked(house, letters, say)
            for words in ending(n, number, say):
                house.call(*words)
    return house


def asked(house: House, letters: Path, say: Confiding) -> str:
    """The artist is asked to sign the first certificate, says no, and then does; its number."""
    request, reply = letters / "request", letters / "reply"
    house.call("request", "make", "--run", "R-10", "--for", "Y-0002", "--to", str(request))
    waits = decode(read_request(request.read_bytes()).asked[0].entry).subject
    said = ["--by", "Y-0002", "--how", "by-telephone", *say("--note")]
    house.call("certificate", "refused", waits, *said)
    house.call("request", "read", str(request))
    reply.write_bytes(sign_request(read_request(request.read_bytes()), KEY, "2026-03-02T09:00:00Z"))
    return house.call("request", "take", str(reply)).split("\t")[0]


def codes(registry: Registry) -> list[str]:
    """The code of every subject, without the other names that some answer to."""
    with registry.reading() as r:
        return sorted(code for code in r.known() if not code.startswith(("T-", "X-", "heat ")))


def fields_held() -> set[tuple[str, str]]:
    """Every held field of every kind of entry."""
    return {(kind, field) for kind, facts in KINDS.items() for field in facts.held}


Confided = tuple[int, str, str, bytes, bytes]
"""Position and kind of an entry, held field, salt, value as it is kept."""


def confided(registry: Registry) -> list[Confided]:
    """Everything that is held and says something."""
    found: list[Confided] = []
    with registry.reading() as r:
        for one in queries.stored_entries(r.connection):
            kind = decode(one.raw).kind
            kept = queries.held_values(r.connection, one.position)
            found += [(one.position, kind, f, salt, v) for f, (salt, v) in kept.items()]
    return [one for one in found if one[4] != b"null"]
