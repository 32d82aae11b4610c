"""What a certificate's PDF carries, read and not yet believed.

A paper carries the issuing entry, the proof that it lies in the book, the signed claim, the public
keys and the credential.  Whatever is wrong with one of them is said of the PDF; nothing here is
verified.

>>> try:
...     read_carried(b"%PDF-1.7 and no more")
... except BronzebookError as fault:
...     print(fault.message)
This is not a whole PDF: its end mark is missing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TypeVar

import msgspec

from certificates.claim import Claim, SignedClaim, read_signed
from certificates.keyfile import PublicKeyEntry, read_keys
from editions.errors import BronzebookError, FileUnusable, NotKnown
from editions.ledger.encodings import from_base64
from editions.ledger.envelope import Entry, decode
from editions.ledger.prooffile import ProofFile
from editions.trade.statement import Statement
from editions.trade.text import clean

ENTRY = "entry.json"
PROOF = "certificate.tlog-proof"
CLAIM = "claim.cose"
KEYS = "keys.txt"
CREDENTIAL = "credential.json"

# How a page says that no paper of its record was given out, and so no claim was ever signed.
_PENDING = b'<section class="banner pending"'
_LONGEST = 4000
_LONGEST_PAGE = 4 * 1024 * 1024
_ON_PAGE = re.compile(rb'<script type="application/json" id="carried">(.*?)</script>', re.DOTALL)
_FOREIGN = "Ask the foundry for the certificate's PDF, or photograph the code on the paper."

Value = TypeVar("Value")


class Carried(msgspec.Struct, frozen=True, kw_only=True):
    """What a certificate's PDF carries, read and not yet believed."""

    cose: bytes
    signed: SignedClaim
    entry_bytes: bytes
    entry: Entry
    proof_text: str
    proof: ProofFile
    keys: tuple[PublicKeyEntry, ...]
    credential: bytes | None

    @property
    def claim(self) -> Claim:
        """What the signed claim says."""
        return self.signed.claim

    @property
    def book(self) -> str:
        """The name of the book whose checkpoint is attached; nothing of it is verified."""
        return self.proof.checkpoint_note.partition("\n")[0]


class _OnPage(msgspec.Struct, frozen=True):
    """The data block of a record's page."""

    claim: bytes
    entry: str
    proof: str
    foundry: str
    log: str

    @property
    def entry_bytes(self) -> bytes:
        """The entry's bytes: written as their text, or in base64, which has no brace."""
        return self.entry.encode() if self.entry[:1] == "{" else from_base64(self.entry)


def read_carried(data: bytes) -> Carried:
    """What a certificate's PDF carries.

    Raises:
        FileUnusable: If it is not a whole certificate's PDF; the part that is wrong is named.
    """
    from certificates.attach import read_attachments

    files = read_attachments(data)
    signed = _part(files, CLAIM, read_signed)
    proof_text = _part(files, PROOF, _text)
    return Carried(
        cose=files[CLAIM],
        signed=signed,
        entry=_part(files, ENTRY, decode),
        entry_bytes=files[ENTRY],
        proof_text=proof_text,
        proof=_part(files, PROOF, lambda part: ProofFile.parse(_text(part))),
        keys=_part(files, KEYS, lambda part: read_keys(_text(part))),
        credential=files.get(CREDENTIAL),
    )


def read_page(page: bytes) -> Carried:
    """What the page of a record carries, as its own script reads it.

    Raises:
        FileUnusable: If it is not such a page, or is not whole.
        NotKnown: If it carries no signed claim, as that of a pending certificate.
    """
    found = _ON_PAGE.search(page[:_LONGEST_PAGE])
    try:
        data = msgspec.json.decode(found[1] if found else b"", type=_OnPage)
        if not data.claim:
            raise _no_claim(pending=_PENDING in page[: found.start()] if found else False)
        proof = ProofFile.parse(data.proof)
        keys = read_keys(f"foundry {data.foundry}\nlog {data.log}\n")
        signed, entry = read_signed(data.claim), decode(data.entry_bytes)
    except NotKnown:
        raise
    except (msgspec.MsgspecError, BronzebookError) as fault:
        raise _no_page(fault) from None
    return Carried(
        cose=data.claim,
        signed=signed,
        entry=entry,
        entry_bytes=data.entry_bytes,
        proof_text=data.proof,
        proof=proof,
        keys=keys,
        credential=None,
    )


def read_page_entry(page: bytes) -> tuple[bytes, ProofFile]:
    """The issuing entry on the page of a record and its proof, whatever else the page carries.

    Raises:
        FileUnusable: If it is not such a page, or is not whole.
    """
    found = _ON_PAGE.search(page[:_LONGEST_PAGE])
    try:
        data = msgspec.json.decode(found[1] if found else b"", type=_OnPage)
        return data.entry_bytes, ProofFile.parse(data.proof)
    except (msgspec.MsgspecError, BronzebookError) as fault:
        raise _no_page(fault) from None


def _no_page(fault: Exception) -> FileUnusable:
    why = fault.message if isinstance(fault, BronzebookError) else "it carries no proof"
    return FileUnusable(f"This is not the page of a record, or not whole: {why.rstrip('.')}.")


def _no_claim(*, pending: bool) -> NotKnown:
    if pending:
        return NotKnown(
            "Pending, by the word of its site: this number is issued and not yet given out, so"
            " nothing is signed that could be checked.",
            "The page says what it waits for. There is no paper of it yet: do not rely on one.",
        )
    return NotKnown(
        "This page carries no signed claim: the paper's own file was not at hand when it was made.",
        "Bring the paper, or a picture of its code.",
    )


def _part(files: dict[str, bytes], name: str, read: Callable[[bytes], Value]) -> Value:
    """One attached file, read; whatever is wrong with it is said of the PDF."""
    if name not in files:
        raise FileUnusable(f"This PDF does not carry {name}, as a certificate does.", _FOREIGN)
    try:
        return read(files[name])
    except BronzebookError as fault:
        raise FileUnusable(f"The file {name} in this PDF: {fault.message}", _FOREIGN) from fault


def _text(part: bytes) -> str:
    try:
        return part.decode("utf-8")
    except UnicodeDecodeError:
        raise FileUnusable("It is not text.") from None


def statement_of(entry: Entry) -> Statement | None:
    """The statement of an entry, if it is one and nothing in it would mislead the eye."""
    try:
        statement = msgspec.convert(entry.facts.get("statement"), Statement)
        for text in _texts(msgspec.to_builtins(statement)):
            clean(text, _LONGEST, lines=True)
    except (msgspec.ValidationError, BronzebookError):
        return None
    return statement


def _texts(value: object) -> Iterator[str]:
    """Every text within plain values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, (list, tuple)):
        for each in value:
            yield from _texts(each)
