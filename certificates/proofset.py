"""The proofs of a credential: adding one, and telling whose are there, whose are not, and why.

The proofs are a set over one document: each stands alone, and each signer has at most one.  They
are kept in the order of their signers, so that one set has one form.  Checking never raises for
what a proof says; it gives a line for each proof there and for each signer whose proof is not.

A document names its signers itself, so a forger's document names the forger.  Whether a key is
whose it is said to be is told by keys known from elsewhere, :class:`Known`; without them a proof
shows only that the document agrees with itself.

>>> Known(foundry=frozenset()).of("artist") is None
True
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import msgspec

from certificates.base58 import to_did
from certificates.checks import Result
from certificates.credential import of_document, seat
from certificates.integrity import (
    CONTEXT,
    PROOF,
    Document,
    Proof,
    document_hash,
    read_proof,
    require_signed,
    sign,
)
from certificates.signers import Credential, Role, Signer
from editions.errors import BronzebookError, Contradiction, KeyUnusable, Refused
from editions.ledger.canonical import canonical
from editions.ledger.keys import PrivateKey, fingerprint
from editions.trade.saying import marked, said

STRANGER = "somebody not named"

MORE = marked("{count} more of these have to sign: {names}.")
_STRANGE = marked(
    "The proof is by a key that this credential does not name: {did}, fingerprint {fingerprint}."
)
_OTHER_CONTEXT = marked(
    "The proof of {signer} was made under another context than the credential's."
)
_BY_OWN_KEY = marked(
    "Signed by {signer} (dated {time} by the signer) with a key that this credential itself names:"
    " {fingerprint}. Compare it with an independent place."
)
_BY_NO_KNOWN_KEY = marked(
    "Signed in the name of {signer}, but with none of the keys known for it: {fingerprint}."
    " Anybody can make a key and give it a name."
)
_SIGNED = marked("Signed by {signer} (dated {time} by the signer) with the key {fingerprint}.")
_OVER_OTHER_WORDS = marked(
    "The signature of {signer} does not hold. Another proof holds over these same words, so this"
    " one was made over other words, or was altered itself."
)
_DOES_NOT_HOLD = marked(
    "The signature of {signer} does not hold: these are not the words that were signed, or the"
    " proof was altered."
)


class Known(msgspec.Struct, frozen=True, kw_only=True):
    """Raw public keys known from elsewhere; None where nobody said whose keys they are."""

    foundry: Collection[bytes] | None = None
    holders: Collection[bytes] | None = None

    def of(self, role: Role) -> Collection[bytes] | None:
        """The keys that may sign in this role."""
        return self.foundry if role == "foundry" else self.holders


NOBODY = Known()


class ProofFound(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be said of one proof, or of one that is not there.

    ``by`` and ``role`` are the signer's, ``key`` the raw public key: both None for a stranger or
    for one who signs in ink.  ``holds`` says that the signature is right over these words, which
    is less than ``agrees`` where the key is not known from elsewhere.
    """

    by: str
    role: Role | None
    result: Result
    says: str
    key: bytes | None = None
    holds: bool = False


def add_proof(document: Document, private: PrivateKey, created: str) -> Document:
    """The document with a new proof by one of its signers.

    Raises:
        KeyUnusable: The document does not name this key.
        Refused: This signer's proof is there already.
        Unreadable: The document is not a credential, or the moment none.
    """
    if of_document(document).signer(private.public.raw) is None:
        raise KeyUnusable(
            "The certificate does not name this key among its signers: "
            f"{fingerprint(private.public.raw)}.",
            "Is it the key whose fingerprint the foundry was given?",
        )
    return with_proof(document, sign(document, private, created))


def with_proof(document: Document, proof: Document) -> Document:
    """The document with a proof that came back, in its place.

    Raises:
        Unreadable: The document is not a credential, or the proof none of the right form.
        Contradiction: The proof is not by a signer of this document, or not over its words.
        Refused: This signer's proof is there already.
    """
    credential, proofs = of_document(document), list(document.get(PROOF, ()))
    found = check_proof(credential, document, proof)
    if not found.holds:
        raise Contradiction(str(found.says))
    if any(seat(credential, other) == seat(credential, proof) for other in proofs):
        raise Refused(f"The proof of {found.by} is there already.", "A proof is made once.")
    ordered = sorted([*proofs, proof], key=lambda each: seat(credential, each))
    return document | {PROOF: ordered}


def check_proof(
    credential: Credential, document: Document, proof: object, known: Known = NOBODY
) -> ProofFound:
    """What is to be said of one proof over a document."""
    return _found(credential, document, proof, document_hash(document), known)


def check_proofs(document: Document, known: Known = NOBODY) -> tuple[ProofFound, ...]:
    """Every proof of a document in its order, then every signer whose proof is not there.

    Args:
        document: A credential.
        known: Keys known from elsewhere; a proof by another key in that role contradicts.

    Raises:
        Unreadable: The document is not a credential.
    """
    credential, words = of_document(document), document_hash(document)
    found, seen = [], set[bytes | None]()
    for proof in document.get(PROOF, ()):
        one = _found(credential, document, proof, words, known)
        found.append(_again(one) if one.key and one.key in seen else one)
        seen.add(one.key)
    return (*found, *_absent(credential, seen))


def lacking(document: Document, found: Collection[ProofFound], inked: Collection[str] = ()) -> str:
    """What a certificate still waits for, as a sentence; empty where nothing is lacking.

    Args:
        document: A credential.
        found: What :func:`check_proofs` gave.
        inked: Names of holders whose signature in ink the book holds.

    Raises:
        Unreadable: The document is not a credential.
    """
    credential = of_document(document)
    holding = {one.key for one in found if one.holds}
    if credential.foundry.key not in holding:
        return f"The proof of {credential.foundry.said} is lacking."
    open_ = [h for h in credential.holders if not _has_signed(h, holding, inked)]
    more = credential.needed - (len(credential.holders) - len(open_))
    if more <= 0:
        return ""
    who = "; ".join(holder.said for holder in open_)
    return said(MORE, count=more, names=who)


def _has_signed(holder: Signer, holding: Collection[bytes | None], inked: Collection[str]) -> bool:
    return holder.name in inked or (holder.key is not None and holder.key in holding)


def _found(
    credential: Credential, document: Document, proof: object, words: bytes, known: Known
) -> ProofFound:
    """One proof looked at alone; whatever is wrong with it is said in its own words."""
    try:
        read = read_proof(proof)
    except BronzebookError as fault:
        return _stranger(fault.message)
    signer = credential.signer(read.key)
    if signer is None:
        about = {"did": to_did(read.key), "fingerprint": fingerprint(read.key)}
        return _stranger(said(_STRANGE, **about))
    if canonical(read.options.get(CONTEXT)) != canonical(document[CONTEXT]):
        return _by(signer, "contradicts", said(_OTHER_CONTEXT, signer=signer.said))
    if not _is_signed(read, words):
        return _by(signer, "contradicts", _why_not(signer, document, words))
    return _known(signer, read, known)


def _known(signer: Signer, read: Proof, known: Known) -> ProofFound:
    """A right signature, told with what is known of its key from elsewhere."""
    keys, print_ = known.of(signer.role), fingerprint(read.key)
    about = {"signer": signer.said, "time": read.created, "fingerprint": print_}
    if keys is None:
        return _by(signer, "not checked", said(_BY_OWN_KEY, **about), holds=True)
    if read.key not in keys:
        says = said(_BY_NO_KNOWN_KEY, signer=signer.said, fingerprint=print_)
        return _by(signer, "contradicts", says)
    return _by(signer, "agrees", said(_SIGNED, **about), holds=True)


def _why_not(signer: Signer, document: Document, words: bytes) -> str:
    """A signature that fails, told with what the other proofs show of the words."""
    if any(_holds(proof, words) for proof in document.get(PROOF, ())):
        return said(_OVER_OTHER_WORDS, signer=signer.said)
    return said(_DOES_NOT_HOLD, signer=signer.said)


def _holds(proof: object, words: bytes) -> bool:
    try:
        return _is_signed(read_proof(proof), words)
    except BronzebookError:
        return False


def _is_signed(read: Proof, words: bytes) -> bool:
    try:
        require_signed(read, words)
    except Contradiction:
        return False
    return True


def _again(found: ProofFound) -> ProofFound:
    says = f"There is more than one proof of {found.by}; a signer has one."
    return msgspec.structs.replace(found, result="contradicts", says=says, holds=False)


def _absent(credential: Credential, seen: Collection[bytes | None]) -> Iterator[ProofFound]:
    """A line for each signer who has no proof here."""
    for signer in credential.signers:
        if signer.key is None:
            says = (
                f"{signer.said}, signs in ink. No proof can show it: see the paper, and the "
                "digest of its scan in the book."
            )
            yield _by(signer, "not checked", says)
        elif signer.key not in seen:
            yield _by(signer, "not checked", f"There is no proof of {signer.said}.")


def _by(signer: Signer, result: Result, says: str, *, holds: bool = False) -> ProofFound:
    return ProofFound(
        by=signer.name, role=signer.role, result=result, says=says, key=signer.key, holds=holds
    )


def _stranger(says: str) -> ProofFound:
    return ProofFound(by=STRANGER, role=None, result="contradicts", says=says)
