"""The files beside the book: whether they are those that its entries name by digest."""

from __future__ import annotations

import hashlib
from functools import cached_property

from certificates.attach import read_attachments
from certificates.checks import Check, agrees, contradicts, unchecked
from certificates.keyfile import read_keys
from editions.errors import BronzebookError, Contradiction
from editions.ledger.logkeys import LogKeys
from editions.registry.homes import Home
from editions.store import photographs
from editions.trade.book import Book
from editions.trade.certificates import Certificate

FILE = "Certificate file"
PHOTOGRAPH = "Photograph"
KEYS = "Keys"


class Paper:
    """The foundry's copy of a PDF: its bytes where a file is there, and whether it is the one."""

    def __init__(self, data: bytes = b"", *, kept: bool = False) -> None:
        self.data = data
        self.kept = kept

    @cached_property
    def attached(self) -> dict[str, bytes]:
        """The files in the PDF that was drawn; none where that is not at hand."""
        if not self.kept:
            return {}
        try:
            return read_attachments(self.data)
        except BronzebookError:
            return {}


def paper(certificate: Certificate, home: Home) -> Paper:
    """The foundry's copy of a certificate's PDF, read and hashed once."""
    if certificate.pdf is None:
        return Paper()
    try:
        data = (home.certificates / f"{certificate.code}.pdf").read_bytes()
    except OSError:
        return Paper()
    return Paper(data, kept=hashlib.sha256(data).hexdigest() == certificate.pdf)


def drawn(certificate: Certificate, copy: Paper) -> Check:
    """Whether the PDF that the foundry keeps is the one whose digest is in the book."""
    if certificate.pdf is None:
        return unchecked(FILE, "The paper was issued and is not drawn yet.")
    if copy.kept:
        return agrees(FILE, "The foundry’s copy of the PDF is the one that was drawn.")
    if copy.data:
        return contradicts(FILE, "The foundry’s copy of the PDF is not the one that was drawn.")
    return unchecked(FILE, "The foundry’s copy of the PDF is not at hand to compare with.")


def photograph(digest: str, home: Home) -> tuple[bytes | None, Check]:
    """The photograph with this digest, where it is kept whole."""
    try:
        data = photographs.read(home.photographs, digest)
    except Contradiction:
        return None, contradicts(PHOTOGRAPH, "The photograph kept is not the one on the paper.")
    except BronzebookError:
        return None, unchecked(PHOTOGRAPH, "The photograph on the paper is not at hand.")
    return data, agrees(PHOTOGRAPH, "The photograph shown is the one whose digest was sealed.")


def keys(book: Book, log: LogKeys | None, home: Home) -> Check:
    """Whether the keys that the book names are those that lie beside the registry."""
    try:
        beside = {entry.key for entry in read_keys(home.public_keys.read_text())}
    except (OSError, ValueError, BronzebookError):
        return unchecked(KEYS, "The foundry’s key file is not at hand to compare with.")
    named = {str(key) for _, key in log.keys} if log else {book.log_key}
    if {*named, book.certifying_key} <= beside:
        return agrees(KEYS, "The keys shown here are those that the foundry keeps.")
    return contradicts(KEYS, "The book names other keys than those that the foundry keeps.")
