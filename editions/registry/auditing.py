"""Auditing a registry: the book itself, the files that it names, what others signed and saw."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec.structs import replace

from editions.errors import BronzebookError
from editions.ledger.logkeys import LogKeys
from editions.registry.opening import Registry
from editions.registry.reading import Reading
from editions.registry.signed import signature_faults
from editions.registry.strikes import strike_faults
from editions.registry.witnesses import compare_witness, witness_files
from editions.store.audit import Report, Witnessed
from editions.store.audit import audit as audit_book
from editions.trade.certificates import Certificate


def audit(registry: Registry, witnesses: Mapping[str, str] | None = None) -> Report:
    """Check every leaf, node, checkpoint, held digest, table, file, signature and witness.

    The log key is the one beside the registry, not the one that the book names: a book that was
    rewritten with another key must not vouch for itself.

    Args:
        registry: The registry.
        witnesses: Memories of witnesses that were brought along, by the name they are told under;
            those in the registry's folder are compared too.
    """
    own = registry.log_verifier()
    with registry.reading() as reading:
        report = audit_book(reading.connection, own)
        more: tuple[str, ...] = ()
        if not _broken(report):
            more = (
                *_files(registry, reading, own),
                *signature_faults(reading),
                *strike_faults(reading),
            )
        brought = {**witness_files(registry.home), **(witnesses or {})}
        seen, against = _compared(reading, own, brought)
    covered = max((one.size for one in seen), default=0)
    return replace(
        report,
        tail=min(report.tail, report.entries - covered),
        witnesses=seen,
        faults=(*report.faults, *more, *against),
    )


def _compared(
    reading: Reading, own: LogKeys, texts: Mapping[str, str]
) -> tuple[tuple[Witnessed, ...], tuple[str, ...]]:
    """What witnesses saw that this book continues, and what contradicts it."""
    seen, against = list[Witnessed](), list[str]()
    for name, text in texts.items():
        try:
            seen.append(compare_witness(reading, text, own))
        except BronzebookError as fault:
            against.append(f"witness {name}: {fault.message}")
    return tuple(seen), tuple(against)


def _broken(report: Report) -> bool:
    return any(fault.startswith("subjects") for fault in report.faults)


def _files(registry: Registry, reading: Reading, own: LogKeys) -> Iterator[str]:
    if reading.log_keys() != own:
        yield "keys: the book names other log keys than those beside it"
    for certificate in reading.all_of(Certificate):
        if certificate.pdf:
            path = registry.home.certificates / f"{certificate.code}.pdf"
            yield from _file(path, certificate.pdf)


def _file(path: Path, digest: str) -> Iterator[str]:
    if not path.is_file():
        yield f"certificates {path.stem}: the PDF is missing from {path.parent}"
    elif hashlib.sha256(path.read_bytes()).hexdigest() != digest:
        yield f"certificates {path.stem}: the PDF is not the one that was drawn"
