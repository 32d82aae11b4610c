"""The files beside a record's page: what may be taken home and checked without this site.

=============================  ==================================================================
``/C/NUMBER/credential.json``  the certificate as a credential with its proofs, as on the paper
``/C/NUMBER/certificate.tlog-proof``  that its entry lies in the book (C2SP tlog-proof)
``/C/NUMBER/record.json``      what the page shows, as data
``/C/NUMBER/certificate.pdf``  the paper itself, only where the artist publishes papers
=============================  ==================================================================

Each function makes one of them for a number in its kept form, or raises ``NotKnown``.  Whoever has
the PDF can show it as if the paper were theirs; so it is nowhere unless the artist wants it so.

>>> address("ABC", RECORD)
'/C/ABC/record.json'
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import replace

from editions.errors import NotKnown
from editions.pages import keeping
from editions.pages.values import RecordView
from editions.pages.watching import BROKEN
from editions.registry.reading import DAMAGED
from editions.trade.certificates import Certificate
from editions.trade.runs import Run
from editions.trade.saying import plain

if TYPE_CHECKING:
    from editions.pages.view import Room

CREDENTIAL = "credential.json"
PROOF = "certificate.tlog-proof"
RECORD = "record.json"
PAPER = "certificate.pdf"
# The artist's word for publishing papers, among a run's ``publishes``.
PAPERS = "papers"


def address(number: str, name: str) -> str:
    """The address of a file beside a record's page, from the root of the site."""
    return f"/C/{number}/{name}"


def offered(paper: keeping.Paper, run: Run | None, *, proved: bool) -> Iterator[str]:
    """The names of the files that lie beside a page.

    Args:
        paper: The foundry's copy of the PDF.
        run: The run, whose artist chooses what is published.
        proved: Whether the book has a proof of the issuing entry.
    """
    if paper.kept:
        yield CREDENTIAL
    if proved:
        yield PROOF
    yield RECORD
    if paper.kept and run and PAPERS in run.declared.publishes:
        yield PAPER


def draws_on(room: Room, view: RecordView) -> None:
    """Tell who watches which files a record draws on, and whether something is wrong with it."""
    reading, home = room.desk.reading, room.home
    reading.saw_files(home.certificates / f"{view.number}.pdf", home.public_keys)
    if view.picture:
        digest = view.picture.digest
        reading.saw_files(home.photographs / digest[:2] / digest)
    if view.proof.contradictions:
        reading.saw((BROKEN,))


def credential(room: Room, number: str) -> bytes:
    """The credential as the paper carries it.

    Raises:
        NotKnown: If there is no such certificate, or no whole copy of its paper here.
    """
    attached = _paper(room, _known(room, number)).attached
    if CREDENTIAL not in attached:
        raise NotKnown(f"No credential of {number} is at hand.")
    return attached[CREDENTIAL]


def proof(room: Room, number: str) -> bytes:
    """The proof file of the issuing entry, to the checkpoint under which it was issued.

    Raises:
        NotKnown: If there is no such certificate, or no proof of it can be made.
    """
    stored = room.prover.issuing(_known(room, number))
    proved = room.desk.attempt(number, lambda: stored and room.prover.proof_file(stored))
    if proved is None:
        raise NotKnown(f"No proof of {number} can be made.")
    return str(proved).encode()


def record(room: Room, number: str) -> bytes:
    """What the page shows, as JSON.

    Raises:
        NotKnown: If there is no such certificate, or its record cannot be read.
    """
    certificate = _known(room, number)
    try:
        view = room.view(certificate)
    except DAMAGED:
        room.desk.reading.saw((BROKEN,))
        raise NotKnown(f"The record of {number} cannot be read.") from None
    draws_on(room, view)
    return to_json(view)


def certificate(room: Room, number: str) -> bytes:
    """The PDF, where the artist publishes papers and a whole copy is here.

    Raises:
        NotKnown: If not.
    """
    known = _known(room, number)
    paper = _paper(room, known)
    if PAPER not in offered(paper, room.desk.get(known.run, Run), proved=False):
        raise NotKnown(f"The paper of {number} is not published.")
    return paper.data


def _known(room: Room, number: str) -> Certificate:
    """The certificate of a number; one that cannot be read has no files."""
    try:
        return room.certificate(number)
    except DAMAGED:
        room.desk.reading.saw((BROKEN,))
        raise NotKnown(f"No certificate {number} can be read here.") from None


def _paper(room: Room, known: Certificate) -> keeping.Paper:
    room.desk.reading.saw_files(room.home.certificates / f"{known.code}.pdf")
    return room.paper(known)


def papers(room: Room) -> Iterator[str]:
    """The numbers whose paper the artist publishes, in order."""
    for run in room.desk.reading.all_of(Run):
        if PAPERS in run.declared.publishes:
            found = room.desk.reading.linked("run", run.code)
            yield from (one.code for one in found if isinstance(one, Certificate))


FILES: dict[str, tuple[Callable[[Room, str], bytes], str]] = {
    CREDENTIAL: (credential, "application/vc"),
    PROOF: (proof, "text/plain; charset=utf-8"),
    RECORD: (record, "application/json"),
    PAPER: (certificate, "application/pdf"),
}
"""By name, what makes the file of a record, and its media type."""


def to_json(view: RecordView) -> bytes:
    """A view as JSON; what the page carries for its script is left out: it has its own files."""
    shown = msgspec.json.encode(replace(view, carried=None), enc_hook=plain)
    return msgspec.json.format(shown) + b"\n"


def from_json(data: bytes) -> RecordView:
    """The view of a record's JSON.

    Raises:
        msgspec.ValidationError: If it is not one.
    """
    return msgspec.json.decode(data, type=RecordView)
