"""The claim: what the foundry signs, small enough for the printed code.

A claim names the issuing entry's leaf and a checkpoint that covers it, and repeats what a person
would compare first: number, artist, title, designation, dates.  The leaf commits to every word of
the paper; the claim only points.  Its bytes are a canonical CBOR map with the integer keys below.

===  ===========  ==================================================
0    version      unsigned, 1
1    number       text, 11 characters
2    leaf         32 bytes
3    index        unsigned, below ``size``
4    size         unsigned, 1 to 2^53 - 1
5    root         32 bytes
6    origin       text, 1 to 80 ASCII characters
7    paper        unsigned, place in ``PAPERS``
8    artist       text, at most 48 characters and 96 bytes
9    title        text, at most 48 characters and 96 bytes
10   designation  text, at most 24 characters and 48 bytes, or absent
11   cast         text (EDTF), at most 24 bytes, or absent
12   issued       text (EDTF), at most 24 bytes
===  ===========  ==================================================

The code's text is ``HTTPS://HOST/C/NUMBER#BASE32``: an address in capitals and the signed claim in
unpadded base32 (RFC 4648), which a phone opens as an address and a checker reads offline.

>>> cut("Standing figure with one arm raised against the evening wind")
'Standing figure with one arm raised against the…'
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import msgspec

from certificates import cose as sign1
from certificates.base32 import from_base32, to_base32
from editions.errors import BronzebookError, Unreadable
from editions.ledger.keys import PrivateKey
from editions.trade.dates import read_when
from editions.trade.numbers import read_number
from editions.trade.paper import PAPERS, Paper
from editions.trade.text import clean

if TYPE_CHECKING:
    from editions.trade.statement import Statement

VERSION = 1
CODE_LIMIT = 4096
NAME_CHARACTERS = 48
DESIGNATION_CHARACTERS = 24

_BIGGEST = 2**53 - 1
_NAMES = (
    ("artist", NAME_CHARACTERS),
    ("title", NAME_CHARACTERS),
    ("designation", DESIGNATION_CHARACTERS),
)
_ORIGIN = re.compile(r"[!-*,-~]{1,80}")
_DATE_BYTES = 24
_BASE = re.compile(r"(https?)://([a-z0-9]([a-z0-9.-]{0,98}[a-z0-9])?(:[0-9]{1,5})?)", re.ASCII)
_RECORD = re.compile(rf"({_BASE.pattern})/c/([0-9a-z]{{11}})", re.ASCII | re.IGNORECASE)
_WHOLE = "Is it the code or the file of a certificate, and is it whole?"


class Claim(msgspec.Struct, frozen=True, kw_only=True):
    """What the foundry signs of a certificate, in the order of its bytes."""

    number: str
    leaf: bytes
    index: int
    size: int
    root: bytes
    origin: str
    paper: Paper
    artist: str
    title: str
    designation: str | None = None
    cast: str | None = None
    issued: str


_FIELDS = Claim.__struct_fields__


class Seal(msgspec.Struct, frozen=True, kw_only=True):
    """All that a PDF carries beside its statement, so that it proves itself.

    ``claim`` is the signed claim, ``address`` the base of the public record
    (``https://record.example``), ``entry`` the issuing entry's bytes, ``proof`` the text of a
    tlog-proof file, and both keys are verifier-key texts of signed notes.  ``credential`` is the
    credential with its proofs; empty on the papers of another time, which carried none.
    """

    claim: bytes
    address: str
    entry: bytes
    proof: str
    log_key: str
    foundry_key: str
    credential: bytes = b""


class CodeText(msgspec.Struct, frozen=True, kw_only=True):
    """A scanned code taken apart; ``address`` is the record's, in capitals."""

    address: str
    number: str
    cose: bytes

    def __str__(self) -> str:
        return f"{self.address}#{to_base32(self.cose)}"


def claim_of(
    statement: Statement, *, leaf: bytes, index: int, size: int, root: bytes, origin: str
) -> Claim:
    """The claim of a statement at its place in the book, long names cut to fit the code."""
    designation = statement.designation
    return Claim(
        number=statement.number,
        leaf=leaf,
        index=index,
        size=size,
        root=root,
        origin=origin,
        paper=statement.paper,
        artist=cut(statement.artist),
        title=cut(statement.title),
        designation=None if designation is None else cut(designation, DESIGNATION_CHARACTERS),
        cast=statement.cast,
        issued=statement.issued,
    )


def cut(text: str, characters: int = NAME_CHARACTERS) -> str:
    """The text, or its beginning and an ellipsis, within ``characters`` and twice as many bytes."""
    if _fits(text, characters):
        return text
    kept = text[: characters - 1]
    # A letter is never parted from its accent.
    while len(kept.encode()) > 2 * characters - 3 or unicodedata.combining(text[len(kept)]):
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def to_bytes(claim: Claim) -> bytes:
    """The claim's canonical CBOR.

    Raises:
        Unreadable: If a field is outside its grammar or limits.
    """
    _judge(claim)
    values = msgspec.structs.asdict(claim) | {"paper": PAPERS.index(claim.paper)}
    numbered = {key: values[name] for key, name in enumerate(_FIELDS, 1)}
    return sign1.canonical({0: VERSION} | {k: v for k, v in numbered.items() if v is not None})


def from_bytes(data: bytes) -> Claim:
    """The claim in canonical CBOR; the inverse of :func:`to_bytes`.

    Raises:
        Unreadable: If a key is unknown or missing, a type or limit is wrong, or the form is not
            canonical.
    """
    numbered = sign1.read_cbor(data)
    if not isinstance(numbered, dict) or set(map(type, numbered)) != {int}:
        raise Unreadable("This is not a claim: no map of numbered fields.", _WHOLE)
    version, *fields = map(numbered.get, range(len(_FIELDS) + 1))
    if type(version) is not int or version != VERSION:
        raise Unreadable("This claim is of another version.", "A newer bronzebook may read it.")
    if len(numbered) + fields.count(None) != len(fields) + 1:
        raise Unreadable(f"The claim holds {_strange(numbered)}.", _WHOLE)
    values = dict(zip(_FIELDS, fields, strict=True))
    claim = _convert(values)
    _judge(claim)
    return claim


def sign_claim(claim: Claim, key: PrivateKey) -> bytes:
    """The claim as a COSE_Sign1 message by the foundry's certifying key."""
    return sign1.sign(to_bytes(claim), key)


class SignedClaim(msgspec.Struct, frozen=True, kw_only=True):
    """A signed claim taken apart once: what it says, the key it names; not verified yet."""

    claim: Claim
    kid: bytes
    parts: sign1.Signed

    def check(self, public: bytes) -> None:
        """Check the signature against the public key of 32 bytes whose id it names.

        Raises:
            Contradiction: If the signature does not hold.
        """
        sign1.check_signature(self.parts, public)


def read_signed(cose: bytes) -> SignedClaim:
    """A signed message taken apart; **nothing is verified**.

    Raises:
        Unreadable: If it is not a signed claim.
    """
    parts = sign1.take_apart(cose)
    kid = sign1.key_named(parts)
    return SignedClaim(claim=from_bytes(parts.payload), kid=kid, parts=parts)


def open_claim(cose: bytes, public: bytes) -> Claim:
    """The claim of a signed message, its signature verified with a public key of 32 bytes.

    Raises:
        Unreadable: If it is not a signed claim.
        Contradiction: If it is signed by another key, or the signature does not hold.
    """
    signed = sign1.take_apart(cose)
    sign1.verify(signed, public)
    return from_bytes(signed.payload)


def peek_claim(cose: bytes) -> tuple[Claim, bytes]:
    """The claim and the id of the key it names; **nothing is verified**.

    Raises:
        Unreadable: If it is not a signed claim.
    """
    signed = read_signed(cose)
    return signed.claim, signed.kid


def record_address(address_base: str, number: str) -> str:
    """The address of a certificate's record in capitals, as the code carries it.

    Raises:
        Unreadable: If the base is not ``http(s)://host`` or ``http(s)://host:port``.
    """
    base = address_base.strip().lower().removesuffix("/")
    if not _BASE.fullmatch(base):
        raise Unreadable(
            f"The address {address_base[:80]!r} cannot be printed in a code.",
            "It must be http:// or https:// and a host, such as https://record.example.",
        )
    return f"{base.upper()}/C/{read_number(number)}"


def code_text(address_base: str, number: str, cose: bytes) -> str:
    """The text of the printed code: the record's address, and the signed claim after ``#``."""
    address = record_address(address_base, number)
    return str(CodeText(address=address, number=read_number(number), cose=cose))


def read_code_text(text: str) -> CodeText:
    """A scanned code's text, taken apart; what is accepted prints to the same text, in capitals.

    Raises:
        Unreadable: If it is too long, or not the code of a certificate.
    """
    if len(text) > CODE_LIMIT:
        raise Unreadable(f"A code has at most {CODE_LIMIT} characters; this has {len(text)}.")
    address, sign, coded = text.strip().partition("#")
    found = _RECORD.fullmatch(address)
    if not found or not coded.isalnum():
        raise Unreadable(
            _why_not(bool(found) and not sign), "Scan the square code on a certificate."
        )
    number = read_number(found[6])
    address = f"{found[1].upper()}/C/{number}"
    return CodeText(address=address, number=number, cose=from_base32(coded.upper()))


def _why_not(bare: bool) -> str:
    if bare:
        return "This is the address of a certificate without its signed claim: it proves nothing."
    return "This text is not the code of a certificate."


def _strange(numbered: dict[int, object]) -> str:
    """What a claim may not hold: a field that is none of its own, or one that says nothing."""
    unknown = [key for key in numbered if not 0 <= key <= len(_FIELDS)]
    return f"an unknown field, number {min(unknown)}" if unknown else "a field that is empty"


def _convert(values: dict[str, Any]) -> Claim:
    paper: Any = values.get("paper")
    known = type(paper) is int and 0 <= paper < len(PAPERS)
    values["paper"] = PAPERS[paper] if known else None
    try:
        return msgspec.convert(values, Claim, strict=True, builtin_types=(bytes,))
    except msgspec.ValidationError as fault:
        raise Unreadable(f"The claim cannot be read: {fault}.", _WHOLE) from None


def _judge(claim: Claim) -> None:
    if len(claim.leaf) != 32 or len(claim.root) != 32:
        raise Unreadable("The claim's leaf and root must have 32 bytes each.", _WHOLE)
    if not 0 <= claim.index < claim.size <= _BIGGEST:
        raise Unreadable("The claim's place lies outside its checkpoint.", _WHOLE)
    if not _ORIGIN.fullmatch(claim.origin):
        raise Unreadable("The claim's origin is not the name of a book.", _WHOLE)
    _judge_kept("number", claim.number, read_number)
    for name, date in (("issued", claim.issued), ("cast", claim.cast)):
        if date is not None and not _is_plain_date(date):
            _judge_kept(name, date[: _DATE_BYTES + 1], read_when)
            _judge_length(name, date, _DATE_BYTES)
    for name, limit in _NAMES:
        text = getattr(claim, name)
        if text is not None:
            if not _is_plain_text(text):
                _judge_kept(name, text, clean)
            _judge_length(name, text, limit)


def _is_plain_date(text: str) -> bool:
    """Whether it is a year or a day of the calendar, as nearly every date is."""
    try:
        return datetime.date.fromisoformat(f"{text}-01-01"[:10]).isoformat()[: len(text)] == text
    except ValueError:
        return False


def _is_plain_text(text: str) -> bool:
    """Whether it is kept as it stands: in ASCII only what is unprintable may not be kept."""
    return text.isascii() and text.isprintable() and text == text.strip()


def _judge_kept(name: str, text: str, read: Callable[[str], str]) -> None:
    """Refuse what its own reader refuses, or would keep in another form."""
    try:
        same = read(text) == text
    except BronzebookError:
        same = False
    if not same:
        raise Unreadable(f"The claim's field '{name}' is not as it is kept.", _WHOLE)


def _judge_length(name: str, text: str, characters: int) -> None:
    if not text or not _fits(text, characters):
        raise Unreadable(f"The claim's field '{name}' is empty or too long.", _WHOLE)


def _fits(text: str, characters: int) -> bool:
    return len(text) <= characters and len(text.encode()) <= 2 * characters
