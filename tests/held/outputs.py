"""Everything that a registry prints, publishes, serves, signs, files and logs unasked.

Left out is what opens held facts on purpose (``show --held``, ``held open``), the database itself,
and the originals of photographs, which stay in the foundry's own folder.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from sqlalchemy import select

from editions.pages.serve import create_app
from editions.registry import Registry
from editions.store import connection
from editions.store.tables import held, metadata
from editions.trade.certificates import Certificate
from tests.certificates.seals import SECRET, seal_certificate
from tests.held.planting import GUESSABLE, OTHERS, House, codes

Outputs = dict[str, bytes]

PLAIN = (
    ["waiting"],
    ["waiting", "--json"],
    ["find", "heron"],
    ["find", "heron", "--json"],
    ["key", "list"],
    ["audit"],
    ["audit", "--json"],
    ["completion", "bash"],
)
# What a passer-by might try first: a word that somebody may have confided must find nothing.
GUESSES = (*GUESSABLE, *OTHERS)
# What a seal has of its own: its signature, how long that is, the moment of it, and what a PDF is
# known again by.
_SEALED = re.compile(
    rb"<[0-9A-Fa-f]{32,}>|/ByteRange \[[0-9 ]+\] *|(?<=startxref\n)\d+|\d{14}Z"
    rb"|(?<=:ModifyDate=\")[0-9T:+-]+"
)
_WRITTEN = re.compile(rb"(\[\d+),\d{19}(?=\])")
ADDRESSES = (
    "/", "/C/", "/photo/", "/checkpoint", "/keys.txt", "/rotations.txt", "/revocations.txt",
    "/status", "/healthz", "/icon.svg", "/tile/0/000", "/tile/0/001", "/C/NOTHING",
    "/no/such/page",
)  # fmt: skip


def outputs(house: House) -> Outputs:
    """Each output under its name, what the telling printed included."""
    registry = house.opened()
    with house.at_work(), closing(registry):
        with registry.reading() as r:
            numbers = [one.code for one in r.all_of(Certificate)]
        found = dict(_site(house))
        _ask(house, codes(registry), numbers)
        found |= house.printed
        found |= {f"served {path}": answer for path, answer in _served(registry, numbers)}
        found |= dict(_files(house.folder))
        found |= dict(_tables(registry))
    found["the log"] = "\n".join(house.log.lines).encode()
    return found


def compared(name: str, data: bytes) -> bytes:
    """What of an output is compared with that of another telling: all, but for a seal's own."""
    return _SEALED.sub(b"", data) if name.endswith("-sealed.pdf") else data


def _site(house: House) -> Iterator[tuple[str, bytes]]:
    site = house.folder.with_name("site")
    shutil.rmtree(site, ignore_errors=True)
    house.call("publish", str(site))
    house.call("publish", str(site), "--json")
    for file in sorted(site.rglob("*")):
        if file.is_file():
            yield f"site {file.relative_to(site)}", file.read_bytes()
            yield f"site {file.relative_to(site)}, its name", str(file).encode()


def _ask(house: House, subjects: list[str], numbers: list[str]) -> None:
    for words in PLAIN:
        house.call(*words)
    site, keys = house.folder.with_name("site"), house.folder / "keys" / "public.txt"
    house.call("witness", str(site), "--memory", str(site.with_name("seen")), "--key", str(keys))
    for guess in GUESSES:
        house.ask("find", guess)
    for code in subjects:
        house.call("show", code)
        house.call("show", code, "--json")
    for number in numbers:
        paper = house.folder / "certificates" / f"{number}.pdf"
        house.call("certificate", "show", number)
        house.ask("verify", number, "--json")
        house.ask("verify", str(paper))
        house.ask("verify", str(paper), "--site", str(site))
        house.ask("request", "words", number)
    _seal(house, numbers[0])
    house.ask("show", "--", "Y-10", env={"_BRONZEBOOK_COMPLETE": "bash_complete",
              "COMP_WORDS": "bronzebook show ", "COMP_CWORD": "2"})  # fmt: skip


def _seal(house: House, number: str) -> None:
    """A copy of one paper that PDF readers show as sealed; the seal is one for all tellings."""
    given = house.folder.with_name("seal.p12")
    if not given.exists():
        given.write_bytes(seal_certificate())
    env = {"BRONZEBOOK_SEAL_PASSPHRASE": SECRET}
    done = house.ask("certificate", "seal", number, "--with", str(given), env=env)
    assert done.exit_code == 0, done.output
    house.ask("verify", str(house.folder / "certificates" / f"{number}-sealed.pdf"))


def _served(registry: Registry, numbers: list[str]) -> Iterator[tuple[str, bytes]]:
    client = create_app(registry).test_client()
    for address in (*ADDRESSES, *(f"/C/{number}" for number in numbers)):
        answer = client.get(address)
        headers = "".join(f"{name}: {value}\n" for name, value in answer.headers if name != "Date")
        yield address, f"{answer.status}\n{headers}\n".encode() + answer.data


def _files(folder: Path) -> Iterator[tuple[str, bytes]]:
    """What lies beside the database: keys, papers, whatever a command wrote."""
    for file in sorted(folder.rglob("*")):
        name = str(file.relative_to(folder))
        if file.is_file() and not name.startswith(("registry.db", "photographs")):
            # What was published is known again by when its files were written, which is today.
            yield f"file {name}", _WRITTEN.sub(rb"\1", file.read_bytes())


def _tables(registry: Registry) -> Iterator[tuple[str, bytes]]:
    """Every table but the one that holds: the book's own bytes, and its index."""
    with connection.reading(registry.engine) as seen:
        for table in metadata.sorted_tables:
            if table is not held:
                rows = seen.execute(select(table).order_by(*table.primary_key.columns)).all()
                yield f"table {table.name}", repr(rows).encode()
