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

from certificates.attach import read_attachments
from editions.errors import BronzebookError, NotKnown
from editions.pages import keeping
from editions.pages.values import RecordView
from editions.trade.runs import Run

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


def credential(room: Room, number: str) -> bytes:
    """The credential as the paper carries it.

    Raises:
        NotKnown: If there is no such certificate, or no whole copy of its paper here.
    """
    paper = keeping.paper(room.certificate(number), room.home)
    try:
        return read_attachments(paper.data)[CREDENTIAL]
    except (BronzebookError, KeyError):
        raise NotKnown(f"No credential of {number} is at hand.") from None


def proof(room: Room, number: str) -> bytes:
    """The proof file of the issuing entry, to the checkpoint under which it was issued.

    Raises:
        NotKnown: If there is no such certificate, or no proof of it can be made.
    """
    certificate = room.certificate(number)
    try:
        return str(room.desk.reading.proof(certificate.leaf)).encode()
    except (BronzebookError, ValueError):
        raise NotKnown(f"No proof of {number} can be made.") from None


def record(room: Room, number: str) -> bytes:
    """What the page shows, as JSON.

    Raises:
        NotKnown: If there is no such certificate.
    """
    return to_json(room.view(room.certificate(number)))


def certificate(room: Room, number: str) -> bytes:
    """The PDF, where the artist publishes papers and a whole copy is here.

    Raises:
        NotKnown: If not.
    """
    known = room.certificate(number)
    run = room.desk.get(known.run, Run)
    paper = keeping.paper(known, room.home)
    if PAPER not in offered(paper, run, proved=False):
        raise NotKnown(f"The paper of {number} is not published.")
    return paper.data


FILES: dict[str, tuple[Callable[[Room, str], bytes], str]] = {
    CREDENTIAL: (credential, "application/vc"),
    PROOF: (proof, "text/plain; charset=utf-8"),
    RECORD: (record, "application/json"),
    PAPER: (certificate, "application/pdf"),
}
"""By name, what makes the file of a record, and its media type."""


def to_json(view: RecordView) -> bytes:
    """A view as JSON; what the page carries for its script is left out: it has its own files."""
    return msgspec.json.format(msgspec.json.encode(replace(view, carried=None))) + b"\n"


def from_json(data: bytes) -> RecordView:
    """The view of a record's JSON.

    Raises:
        msgspec.ValidationError: If it is not one.
    """
    return msgspec.json.decode(data, type=RecordView)
