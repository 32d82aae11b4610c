"""A certificate's page drawn again from its entry, and compared with the page in the hand.

A paper that is drawn again to the same bytes proves only that it was not touched.  The page says
whose proofs the credential carries; where a proof, or the credential, was taken out since, the page
is drawn again with what the entry lets it have carried, so that a page that was not touched is not
called changed, and one that was is still found.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING, Any, Literal

from certificates.carried import Carried
from certificates.claim import Seal
from editions.errors import BronzebookError
from editions.trade.statement import Statement

if TYPE_CHECKING:
    from certificates.attach import Drawn
    from certificates.integrity import Document

# A longer entry is no certificate that anyone drew; drawing it again would only take time.
_LONGEST = 64 * 1024
# Of more signers whose proofs are missing the page is left to the eye: 16 pages are drawn for four.
_MOST_MISSING = 4

Redrawn = Literal["same", "saved anew", "changed", "unknown"]


def redrawn(data: bytes, carried: Carried, statement: Statement | None) -> Redrawn:
    """How a PDF compares with its entry drawn again with what the PDF says it was drawn with.

    ``saved anew`` is another file with the same page; ``changed`` another page, though the file
    says that these very versions drew it; where other versions drew it nothing is known.
    """
    from certificates.attach import page_print, read_drawn

    drawn = read_drawn(data)
    papers = _drawn_again(carried, statement, drawn, carried.credential or b"")
    if data in papers:
        return "same"
    seen = page_print(data)
    if seen in map(page_print, papers):
        return "saved anew"
    if not papers or not drawn.here:
        return "unknown"
    return _with_fuller(seen, carried, statement, drawn)


def _with_fuller(
    seen: bytes, carried: Carried, statement: Statement | None, drawn: Drawn
) -> Redrawn:
    """The page compared once more, with the proofs that the credential may have lost since."""
    from certificates.attach import page_print

    found = None if statement is None else _document(carried, statement)
    missing = [] if found is None else _missing(found)
    if len(missing) > _MOST_MISSING:
        return "unknown"
    for credential in () if found is None else _fuller(found, missing):
        papers = _drawn_again(carried, statement, drawn, credential)
        if seen in map(page_print, papers):
            return "saved anew"
    return "changed"


def _document(carried: Carried, statement: Statement) -> Document | None:
    """The credential carried, or the one that the entry asks for where none is."""
    from certificates.credential import build, from_bytes
    from certificates.crediting import holders_of
    from editions.ledger.notes import VerifierKey
    from editions.trade.certificates import CertificateIssued
    from editions.trade.kinds import facts_from

    try:
        if carried.credential is not None:
            return from_bytes(carried.credential)
        issued = facts_from(carried.entry.kind, carried.entry.facts)
        if not isinstance(issued, CertificateIssued):
            return None
        key = next(one.key for one in carried.keys if one.use == "foundry")
        public = VerifierKey.parse(key).public
        return build(statement, carried.claim, public, holders_of(issued.signers))
    except BronzebookError:
        return None


def _missing(document: Document) -> list[str]:
    """The keys of those who may have signed, and of whom no proof is there."""
    from certificates.base58 import to_did
    from certificates.credential import of_document
    from certificates.integrity import PROOF

    there = {
        str(one.get("verificationMethod")).partition("#")[0] for one in document.get(PROOF, ())
    }
    keys = [to_did(one.key) for one in of_document(document).signers if one.key is not None]
    return [key for key in keys if key not in there]


def _fuller(document: Document, missing: list[str]) -> Iterator[bytes]:
    """The credential with each choice of the missing proofs; a page prints whose, and no more."""
    from certificates.credential import of_document, seat
    from certificates.integrity import PROOF
    from editions.ledger.canonical import canonical

    credential = of_document(document)
    for count in range(1, len(missing) + 1):
        for chosen in combinations(missing, count):
            proofs = [*document.get(PROOF, ()), *({"verificationMethod": key} for key in chosen)]
            proofs.sort(key=lambda one: seat(credential, one))
            yield canonical({**document, PROOF: proofs})


def _drawn_again(
    carried: Carried, statement: Statement | None, drawn: Drawn, credential: bytes
) -> tuple[bytes, ...]:
    """The paper on every sheet there is; none where it cannot be drawn."""
    from certificates.layout import SHEETS
    from certificates.pdf import draw

    by_use: dict[str, Any] = {entry.use: entry.key for entry in carried.keys}
    if len(carried.entry_bytes) > _LONGEST:
        return ()
    if statement is None or by_use.keys() != {"foundry", "log"}:
        return ()
    seal = Seal(
        claim=carried.cose,
        address=drawn.address,
        entry=carried.entry_bytes,
        proof=carried.proof_text,
        log_key=by_use["log"],
        foundry_key=by_use["foundry"],
        credential=credential,
    )
    photograph = drawn.pictures[0] if drawn.pictures else None
    try:
        return tuple(draw(statement, seal, photograph, sheet) for sheet in SHEETS)
    except BronzebookError:
        return ()
