"""What a request carries of a certificate: the entry that issues it, and the proof of its place.

The words that a holder is asked to sign are in no file that could say otherwise: they are made
again from the entry's bytes, which the signed checkpoint of the book commits to.  So a word that
was changed on its way no longer has its place in the book::

    opened = Opened(keys)                    # the log keys that came with the request
    document = opened.document(asked)        # checked: checkpoint, place, entry
    opened.signed_by                         # the log keys that vouched, to be compared

Whose the keys are, nothing here can tell: a stranger may make a book of their own.
:func:`require_known` asks for the keys that a person brought.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NoReturn

import msgspec

from certificates.claim import claim_of
from certificates.countersign import Countersigned
from certificates.credential import build
from certificates.handover import every_log
from certificates.integrity import Document
from certificates.keyfile import PublicKeyEntry
from certificates.signatures import asked_of
from editions.errors import BronzebookError, Contradiction, KeyUnusable, NotKnown, Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.envelope import decode, leaf_of
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import verify_inclusion
from editions.trade.certificates import CertificateIssued
from editions.trade.kinds import facts_from
from editions.trade.text import shown

ALTERED = "Sign nothing of it, and ask the foundry for the request once more."


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """One certificate of a request: the issuing entry's bytes, and the proof of its place."""

    entry: bytes
    proof: ProofFile


class Opened:
    """The signed states of a book that one file carries, each verified once.

    Args:
        keys: The public keys beside them.
    """

    def __init__(self, keys: Sequence[PublicKeyEntry]) -> None:
        self._logs = tuple(one.verifier() for one in keys if one.use == "log")
        self._states: dict[str, Checkpoint] = {}
        self.signed_by: dict[VerifierKey, None] = {}
        """The log keys that signed what was opened, in the order of opening."""

    def document(self, asked: Asked) -> Document:
        """The document that a holder is asked to sign, made from the entry, once that is proved.

        Raises:
            Unreadable: The entry is none that issues a certificate with a key of the foundry.
            Contradiction: The entry has no place in the book, or nobody signed that state of it.
            KeyUnusable: The entry names a key that is none.
        """
        entry, state = decode(asked.entry), self._state(asked.proof.checkpoint_note)
        leaf, proof = leaf_of(asked.entry), asked.proof
        try:
            verify_inclusion(leaf, proof.index, state.size, proof.hashes, state.root)
        except BronzebookError:
            raise Contradiction(
                "The words of this request were changed: the entry in it has no place in the"
                f" signed book {shown(state.origin, 80)}.",
                ALTERED,
            ) from None
        issued = facts_from(entry.kind, entry.facts)
        if not isinstance(issued, CertificateIssued) or entry.subject != issued.number:
            raise Unreadable("An entry of this request issues no certificate.", ALTERED)
        return _built(issued, asked, state)

    def _state(self, note: str) -> Checkpoint:
        if note not in self._states:
            self._states[note] = self._open(note)
        return self._states[note]

    def _open(self, note: str) -> Checkpoint:
        for key in self._logs:
            try:
                state = open_checkpoint(note, key)
            except Contradiction:
                continue
            self.signed_by[key] = None
            return state
        raise Contradiction(
            "The state of the book in this request is signed by none of the log keys beside it.",
            ALTERED,
        )


def _built(issued: CertificateIssued, asked: Asked, state: Checkpoint) -> Document:
    if issued.foundry_key is None:
        raise Unreadable("The entry names no key of the foundry.", "Ask for a newer certificate.")
    claim = claim_of(
        issued.statement,
        leaf=leaf_of(asked.entry),
        index=asked.proof.index,
        size=state.size,
        root=state.root,
        origin=state.origin,
    )
    holders, needed = asked_of(issued)
    foundry = VerifierKey.parse(issued.foundry_key).public
    return build(issued.statement, claim, foundry, holders, needed)


def require_known(
    signed_by: Sequence[VerifierKey],
    given: Sequence[PublicKeyEntry],
    handovers: Sequence[Countersigned] = (),
) -> None:
    """Require that a request's states are signed by log keys that a person brought, or their heirs.

    Args:
        signed_by: The log keys that signed what the request carries.
        given: The foundry's public keys, brought from elsewhere.
        handovers: The countersigned texts by which later log keys are followed.

    Raises:
        NotKnown: The keys are those of another book.
        KeyUnusable: There is no log key among them.
        Contradiction: Another key signed in the name of their book.
    """
    logs = [one.verifier() for one in given if one.use == "log"]
    if not logs:
        raise KeyUnusable(
            "There is no log key among the public keys given.",
            "Bring the foundry's whole file of public keys: public.txt, or keys.txt of its site.",
        )
    vouching = [one.verifier().public for one in given if one.use == "foundry"]
    known = every_log(logs, handovers, vouching)
    for key in signed_by:
        if key not in known:
            _stranger(key, known)


def _stranger(key: VerifierKey, known: Sequence[VerifierKey]) -> NoReturn:
    if key.name not in {one.name for one in known}:
        raise NotKnown(
            f"The request is of the book {shown(key.name, 80)}; the keys given are of"
            f" {shown(known[0].name, 80)}.",
            "Bring the public keys of the foundry that asks.",
        )
    raise Contradiction(
        f"The request is not the foundry's: its book is signed with the key"
        f" {fingerprint(key.public)}, which is none of those given.",
        ALTERED,
    )
