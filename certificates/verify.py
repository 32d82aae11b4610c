"""Checking a certificate from what is in the hand: a code, a PDF, a picture; nothing else is asked.

What a paper proves and how it stands today are kept apart.  A paper can prove that the foundry's
key signed its claim, that the entry behind it lies in the book, and that the book was in the state
printed on it.  It cannot prove that the key is the foundry's: that is for the eye, which compares
the fingerprint with an independent place.  And it cannot prove that nothing was withdrawn since.

======  ====================================================================
status  meaning
======  ====================================================================
3       something contradicts
4       not known here: it cannot be proved with the keys at hand
5       the paper proves itself; its standing today was not checked, or it is pending: issued and
        not yet given out
0       given by :func:`with_standing` only, once a registry was asked
======  ====================================================================

With no key given, a PDF is checked with the keys it carries: then it proves only that it agrees
with itself, and ``key_from`` says "paper".

>>> from editions.errors import BronzebookError
>>> try:
...     verify_code("https://example.com", ())
... except BronzebookError as fault:
...     print(fault.message)
This text is not the code of a certificate.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import msgspec
from msgspec.structs import replace

from certificates import checks
from certificates.checks import Check, Trusted
from certificates.claim import Claim, read_code_text, read_signed
from certificates.keyfile import PublicKeyEntry
from certificates.standings import noun
from editions.errors import BronzebookError, FileUnusable

if TYPE_CHECKING:
    from certificates.carried import Carried
    from editions.trade.statement import Statement

__all__ = [
    "Check",
    "Verdict",
    "verify_code",
    "verify_pdf",
    "verify_picture",
    "verify_record",
    "with_standing",
]

NOT_CHECKED = "not checked"

_ENTRY_AT = 2  # of the checks of a PDF

_PROVES_CODE = {checks.CODE, checks.SIGNATURE}
_PROVES_PDF = {
    checks.SIGNATURE,
    checks.ENTRY,
    checks.INCLUSION,
    checks.CHECKPOINT,
    checks.PAPER,
}


KeyFrom = Literal["given", "paper", "none"]
Seen = Literal["paper", "code", "record"]


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """All checks of one certificate, what they prove, and its standing as far as it is known.

    ``key_id`` is in hex that of the key which the claim names; empty where no claim was read.
    ``seen`` is what was read: a whole paper, a code alone, or a record looked up by its number.
    ``corrected`` are the facts on the paper that the book states otherwise since it was issued.
    """

    number: str
    checks: tuple[Check, ...]
    statement: Statement | None = None
    claim: Claim | None = None
    key_id: str = ""
    proved: bool
    key_from: KeyFrom
    seen: Seen = "paper"
    corrected: tuple[str, ...] = ()
    standing: str = NOT_CHECKED
    standing_as_of: str | None = None
    status: int

    @property
    def contradicted(self) -> tuple[Check, ...]:
        """The checks that contradict."""
        return tuple(check for check in self.checks if check.result == "contradicts")

    @property
    def noun(self) -> str:
        """What the paper is: a certificate or a reservation."""
        said = self.statement or self.claim
        return noun(said.paper if said else None)


def verify_code(text: str, keys: Sequence[PublicKeyEntry]) -> Verdict:
    """Check the text of a scanned code with the keys given.

    Raises:
        Unreadable: If it is not the code of a certificate.
    """
    code = read_code_text(text)
    signed = read_signed(code.cose)
    trusted = Trusted(keys=tuple(keys), given=bool(keys))
    made = (
        checks.number_on_code(code.number, signed.claim.number),
        checks.signature(signed, trusted),
        checks.only_claim(),
        checks.standing(),
    )
    key_from: KeyFrom = "given" if keys else "none"
    return _verdict(signed.claim, made, _PROVES_CODE, key_from, signed.kid, "code")


def verify_pdf(data: bytes, keys: Sequence[PublicKeyEntry]) -> Verdict:
    """Check a certificate's PDF with the keys given, or with its own where none is.

    Raises:
        FileUnusable: If it is not a whole certificate's PDF.
    """
    from certificates.appended import under_seal
    from certificates.carried import read_carried
    from certificates.pades import seal_checks
    from certificates.redrawing import redrawn
    from certificates.signatures import credential_checks

    drawn = under_seal(data)
    carried = read_carried(drawn)
    made, statement, told = _proofs(carried, keys, "paper")
    if statement is not None and made[_ENTRY_AT].result == "agrees":
        of = (carried.credential, carried.entry, statement, carried.claim, told)
        made[-1:-1] = credential_checks(*of)
    if not _contradicted(made):
        made.insert(-1, checks.page(redrawn(drawn, carried, statement)))
    made[-1:-1] = seal_checks(data) if drawn != data else ()
    return _of_carried(carried, made, statement, keys, "paper")


def verify_record(page: bytes, keys: Sequence[PublicKeyEntry]) -> Verdict:
    """Check what the page of a record carries, with the keys given, or with its own.

    Raises:
        FileUnusable: If it is not the page of a record.
        NotKnown: If it carries no signed claim, as that of a pending certificate.
    """
    from certificates.carried import read_page

    carried = read_page(page)
    made, statement, _ = _proofs(carried, keys, "page")
    return _of_carried(carried, made, statement, keys, "record")


def _proofs(
    carried: Carried, keys: Sequence[PublicKeyEntry], what: str
) -> tuple[list[Check], Statement | None, Trusted]:
    """The checks of claim, entry and proof; the statement; and the keys that what follows has."""
    from certificates.carried import statement_of
    from editions.ledger.envelope import leaf_of

    own = Trusted(keys=carried.keys, given=False)
    trusted = Trusted(keys=tuple(keys), given=True) if keys else own
    claim, statement = carried.claim, statement_of(carried.entry)
    signature = checks.signature(carried.signed, trusted)
    signed = signature.result == "agrees"
    made = [
        signature,
        checks.whose_key(trusted, signed=signed, what=what),
        checks.entry_behind(claim, leaf_of(carried.entry_bytes), carried.entry, carried.book),
        checks.inclusion(claim, carried.proof),
        checks.checkpoint(claim, carried.proof, trusted, own),
        checks.paper(claim, statement),
        checks.standing(),
    ]
    return made, statement, trusted if signed else own


def _of_carried(
    carried: Carried,
    made: Sequence[Check],
    statement: Statement | None,
    keys: Sequence[PublicKeyEntry],
    seen: Seen,
) -> Verdict:
    key_from: KeyFrom = "given" if keys else "paper"
    kid = carried.signed.kid
    verdict = _verdict(carried.claim, tuple(made), _PROVES_PDF, key_from, kid, seen)
    return replace(verdict, statement=statement)


def verify_picture(data: bytes, keys: Sequence[PublicKeyEntry]) -> Verdict:
    """Check the code found in a picture of a certificate.

    Raises:
        FileUnusable: If it is not a picture, holds no code, or codes of two certificates.
        Unreadable: If the code in it is not a certificate's.
    """
    from certificates.qr import read_picture

    texts = sorted(set(read_picture(data)))
    if not texts:
        raise FileUnusable(
            "No code was found in this picture.",
            "Take it straight from above, in even light, with the code filling the frame.",
        )
    verdicts = [verify_code(text, keys) for text in texts if _is_code(text)]
    if len(verdicts) > 1:
        raise FileUnusable(
            "This picture holds the codes of several certificates.", "Show one at a time."
        )
    return verdicts[0] if verdicts else verify_code(texts[0], keys)


def with_standing(verdict: Verdict, standing: str, as_of: str, *, stands: bool | None) -> Verdict:
    """The verdict once a registry has said how the certificate stands.

    Args:
        verdict: As the paper alone gave it.
        standing: The registry's word, such as "stands", "withdrawn" or "replaced".
        as_of: The moment of the registry's answer, as it is to be printed.
        stands: Whether the word means that the certificate holds today; None where it was issued
            and not yet given out, so that there is no paper of it.
    """
    said = f"The registry says: {standing}, as of {as_of}."
    made_as = {True: checks.agrees, False: checks.contradicts, None: checks.unchecked}[stands]
    check = made_as(checks.STANDING, said)
    made = tuple(check if each.name == checks.STANDING else each for each in verdict.checks)
    proved = 5 if stands is None else 0
    status = 3 if _contradicted(made) else proved if verdict.proved else 4
    return replace(verdict, checks=made, standing=standing, standing_as_of=as_of, status=status)


def _verdict(
    claim: Claim,
    made: tuple[Check, ...],
    proving: set[str],
    key_from: KeyFrom,
    kid: bytes,
    seen: Seen,
) -> Verdict:
    agreed = {check.name for check in made if check.result == "agrees"}
    contradicted = _contradicted(made)
    proved = proving <= agreed and not contradicted
    return Verdict(
        number=claim.number,
        checks=made,
        claim=claim,
        proved=proved,
        key_from=key_from,
        key_id=kid.hex(),
        seen=seen,
        status=3 if contradicted else 5 if proved else 4,
    )


def _contradicted(made: Sequence[Check]) -> bool:
    return any(check.result == "contradicts" for check in made)


def _is_code(text: str) -> bool:
    try:
        read_code_text(text)
    except BronzebookError:
        return False
    return True
