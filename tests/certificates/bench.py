"""A foundry, its site, and a forger's table: what is laid there is put to the command line.

bench.forged(repainted(pdf, b"one of twelve"))     # lies on the table
bench.everywhere(path)["registry"].said            # what each mode says of it
"""

from __future__ import annotations

import datetime
import io
import json
from pathlib import Path

import pikepdf
import pypdfium2
from click.testing import CliRunner

from certificates.asking import take_reply
from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.credential import from_bytes
from certificates.integrity import PROOF, sign
from editions.cli import bronzebook
from editions.ledger.canonical import canonical
from editions.pages.publish import publish
from editions.registry.acts.keys import end_key
from tests.certificates import asked, house
from tests.certificates.test_verify import with_files
from tests.helpers.chance import Chance
from tests.registry.builders import ADDRESS, PASSPHRASE


class Told:
    """One answer of the command line."""

    def __init__(self, status: int, said: str, checks: dict[str, tuple[str, str]]) -> None:
        self.status = status
        self.said = said
        self.checks = checks

    @property
    def against(self) -> set[str]:
        """The names of the checks that contradict."""
        return {name for name, (result, _) in self.checks.items() if result == "contradicts"}


class Bench:
    """A foundry whose clock is right, its site, and a forger's table."""

    def __init__(self, folder: Path, random: Chance | None = None) -> None:
        self.home = folder / "book"
        self.registry = house.built(self.home, self.home, random=random)
        self.registry.clock = lambda: datetime.datetime.now(datetime.UTC)
        self.keys = self.home / "keys" / "public.txt"
        self.site = folder / "site"
        self.table = folder / "table"
        self.table.mkdir()

    def certify(self, number: str = "3/8") -> Path:
        """A certificate of the cast of that number."""
        piece = house.PIECE if number == "3/8" else house.finished(self.registry, number)
        return house.certify(self.registry, piece).path

    def publish(self) -> Path:
        """The site as it is now."""
        publish(self.registry, self.site)
        return self.site

    def forged(self, data: bytes, name: str = "forged.pdf") -> Path:
        """Lay something on the table."""
        path = self.table / name
        path.write_bytes(data)
        return path

    def verify(self, what: Path | str, *words: str | Path, registry: bool = False) -> Told:
        """Put something to the command line, alone unless it is said otherwise."""
        where = ["--registry", str(self.home)] if registry else []
        line = [*where, "verify", str(what), *map(str, words), "--json"]
        done = CliRunner().invoke(bronzebook, line)
        assert done.stdout, done.stderr
        (told,) = json.loads(done.stdout)
        checks = {one["name"]: (one["result"], one["says"]) for one in told["checks"]}
        return Told(done.exit_code, told["says"], checks)

    def everywhere(self, what: Path | str) -> dict[str, Told]:
        """The answer of every mode: alone, by the foundry's keys, by its site, by its registry."""
        keys = ("--key", self.keys)
        return {
            "alone": self.verify(what),
            "keys": self.verify(what, *keys),
            "site": self.verify(what, *keys, "--site", self.publish()),
            "registry": self.verify(what, registry=True),
        }


def code_of(paper: Path, number: str) -> str:
    """The text of a code that names a number and carries the claim of a paper."""
    return code_text(ADDRESS, number, read_attachments(paper.read_bytes())["claim.cose"])


def picture(pdf: bytes) -> bytes:
    document = pypdfium2.PdfDocument(pdf)
    out = io.BytesIO()
    document[0].render(scale=150 / 72).to_pil().save(out, "PNG")
    document.close()
    return out.getvalue()


def on_the_page_of(other: Path, genuine: Path) -> bytes:
    """The page of one certificate, with everything that another carries."""
    out = io.BytesIO()
    with pikepdf.open(other) as document:
        for name, part in read_attachments(genuine.read_bytes()).items():
            del document.attachments[name]
            document.attachments[name] = pikepdf.AttachedFileSpec(document, part)
        document.save(out)
    return out.getvalue()


def repainted(pdf: bytes, words: bytes) -> bytes:
    """A certificate whose page has a white patch with other words on it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        page = document.pages[0]
        font = page.resources.Font
        name = min(font.keys()).encode()
        page.contents_add(
            b"q 1 g 60 500 200 40 re f 0 g BT %s 12 Tf 60 510 Td (%s) Tj ET Q" % (name, words)
        )
        document.save(out)
    return out.getvalue()


def over_other_words(bench: Bench) -> Path:
    """A genuine paper whose artist's proof was made over another document."""
    asked.admit(bench.registry)
    asked.pending(bench.registry)
    number = next(one.code for one in asked.certificates(bench.registry) if one.pending)
    take_reply(bench.registry, asked.replied(bench.registry, number))
    genuine = asked.drawn(bench.registry)
    document = from_bytes(read_attachments(genuine)["credential.json"])
    foundry, artist = document[PROOF]
    words = {name: value for name, value in document.items() if name != PROOF}
    resigned = sign(words | {"name": "A run of twelve"}, asked.KEY, asked.SIGNED)
    assert resigned != artist
    document[PROOF] = [foundry, resigned]
    return bench.forged(with_files(genuine, credential=canonical(document)), "other words.pdf")


def revoke(bench: Bench) -> None:
    """The certifying key was stolen before anything was signed with it."""
    key = bench.registry.certifying_key(PASSPHRASE).public.raw
    with bench.registry.writing() as w:
        end_key(w, "Y-0001", key, because="compromised", from_position=0)
