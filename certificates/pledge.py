"""What the artist's or the estate's signature asserts, in plain words, and what it does not.

The words are for the holder who is asked to sign, before signing: first the promises that are
theirs alone to make, then what they do not vouch for, with what the foundry says of the cast, so
that nothing in the document they sign is hidden from them.
"""

from __future__ import annotations

from collections.abc import Iterator

from certificates.credential import of_document
from certificates.integrity import Document
from certificates.signers import Credential
from certificates.wording import facts_of, heading, proofs_said
from editions.ledger.keys import fingerprint
from editions.trade.numbers import show_number
from editions.trade.paper import Paper
from editions.trade.statement import RunLine, Statement

ASSERTS = "Your signature asserts, as your own word:"
NOT_ASSERTS = "Your signature does not assert:"
FOUNDRY_SAYS = "The foundry states in the same certificate, and answers for it alone:"

_CLASSES = {
    "original": "The run is an original edition.",
    "multiple": "The run is a multiple.",
    "unique": "The work is a unique cast.",
}
_PLACES: dict[Paper, str] = {
    "finished": "The number {}, for which this certificate is, is one of that run.",
    "raw_metal": "The number {}, for which this certificate is, is one of that run.",
    "reservation": "The number {} is one of that run, and reserved; no cast of it is certified.",
    "from_object": "The number {} is that of the bronze examined.",
}
_NOT: tuple[str, ...] = (
    "how, where, when or of what metal the bronze was cast: that is the foundry's to say;",
    "its measurements, marks, colour, molds or approvals: those too are the foundry's statements;",
    "who owns the cast, what it is worth, or what has become of it since;",
    "that this certificate still stands on a later day: the registry answers for that.",
)


def plain_words(document: Document) -> tuple[str, ...]:
    """What a holder who signs a document asserts and does not, a line each.

    Raises:
        Unreadable: The document is not the credential of a certificate.
    """
    credential = of_document(document)
    return tuple(" ".join(line.split()) for line in _lines(credential))


def _lines(credential: Credential) -> Iterator[str]:
    statement, place = credential.statement, credential.place
    yield f"{heading(statement)} {show_number(statement.number)}, dated {statement.issued}."
    yield f"The place it names is entry {place.index} of the book {place.origin}, {place.leaf}."
    yield ASSERTS
    yield from (f"- {line}" for line in _asserted(statement))
    yield NOT_ASSERTS
    yield from (f"- {line}" for line in _NOT)
    yield FOUNDRY_SAYS
    yield from (f"- {line}" for line in _of_the_foundry(statement))
    yield from _who(credential)


def _asserted(statement: Statement) -> Iterator[str]:
    life = f" ({statement.artist_life})" if statement.artist_life else ""
    yield f"The work “{statement.title}” is by {statement.artist}{life}."
    if statement.run is None:
        yield "No run is stated: your signature promises nothing of how many casts there are."
    else:
        yield from _of_the_run(statement.run)
    if statement.designation and statement.run is None:
        yield f"The number is {statement.designation}, of no run that is stated here."
    elif statement.designation:
        yield _PLACES[statement.paper].format(statement.designation)
    if statement.designation_note:
        yield f"Of the number: {statement.designation_note}."


def _of_the_run(run: RunLine) -> Iterator[str]:
    scale = f", at the scale {run.scale}" if run.scale else ""
    if run.size is None:
        yield f"The run {run.code}{scale}; its size is not stated, and you promise none."
    else:
        yield f"The run {run.code} is of {run.size} numbered casts{scale}."
    if run.proofs:
        yield f"Outside the numbers: {', '.join(proofs_said(p) for p in run.proofs)}."
    else:
        yield "No proofs outside the numbers are stated."
    if run.edition_class:
        yield _CLASSES[run.edition_class]
    if not run.says:
        yield "No promise about further casts or other runs is stated; you make none here."
    for said in run.says:
        yield f"“{said.text}” (as declared by {said.by})"


def _of_the_foundry(statement: Statement) -> Iterator[str]:
    for fact in facts_of(statement):
        if fact.label != "Edition":
            yield f"{fact.label}: {'; '.join(fact.lines)}"


def _who(credential: Credential) -> Iterator[str]:
    yield f"{credential.needed} of {len(credential.holders)} named here have to sign:"
    for signer in credential.holders:
        how = f"key {fingerprint(signer.key)}" if signer.key else "in ink"
        yield f"- {signer.said}: {how}"
    foundry = credential.foundry
    yield f"For the foundry: {foundry.name}, key {fingerprint(foundry.key or b'')}"
