"""Auditing a registry: the book itself, and the files that it names by digest."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from msgspec.structs import replace

from editions.ledger.notes import VerifierKey
from editions.registry.opening import Registry
from editions.registry.reading import Reading
from editions.store.audit import Report
from editions.store.audit import audit as audit_book
from editions.trade.certificates import Certificate


def audit(registry: Registry) -> Report:
    """Check every leaf, node, checkpoint, held digest and table, and every file named by digest.

    The log key is the one beside the registry, not the one that the book names: a book that was
    rewritten with another key must not vouch for itself.
    """
    own = registry.log_verifier()
    with registry.reading() as reading:
        report = audit_book(reading.connection, own)
        files = tuple(_files(registry, reading, own)) if not _broken(report) else ()
    return replace(report, faults=(*report.faults, *files))


def _broken(report: Report) -> bool:
    return any(fault.startswith("subjects") for fault in report.faults)


def _files(registry: Registry, reading: Reading, own: VerifierKey) -> Iterator[str]:
    if reading.book.log_key != str(own):
        yield "keys: the book names another log key than the one beside it"
    for certificate in reading.all_of(Certificate):
        if certificate.pdf:
            path = registry.home.certificates / f"{certificate.code}.pdf"
            yield from _file(path, certificate.pdf)


def _file(path: Path, digest: str) -> Iterator[str]:
    if not path.is_file():
        yield f"certificates {path.stem}: the PDF is missing from {path.parent}"
    elif hashlib.sha256(path.read_bytes()).hexdigest() != digest:
        yield f"certificates {path.stem}: the PDF is not the one that was drawn"
