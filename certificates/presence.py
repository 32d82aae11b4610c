"""Whose proofs a credential carries, in the words of a paper.

What is said is read from the credential alone, so that a paper drawn again says the same.  It is
drawn when enough have signed: whoever of those needed has no proof by key signed in ink.
"""

from __future__ import annotations

from certificates.base58 import to_did
from certificates.credential import of_document
from certificates.integrity import PROOF, Document
from certificates.signers import Signer


def proofs_present(document: Document) -> tuple[str, ...]:
    """Whose proofs a document carries and who signed in ink, a line each.

    Raises:
        Unreadable: It is not the credential of a certificate.
    """
    credential = of_document(document)
    proved = [one for one in credential.signers if _has_proof(one, document)]
    others = [one for one in credential.holders if one not in proved]
    said = ["Signed by key:", f"{'; '.join(one.name for one in proved) or 'nobody'}."]
    inked = credential.needed - len([one for one in proved if one.role != "foundry"])
    if inked > 0:
        of = "" if inked == len(others) else f" by {inked} of"
        said.append(f"Signed in ink{of}: {'; '.join(one.name for one in others)}.")
    return tuple(said)


def _has_proof(signer: Signer, document: Document) -> bool:
    if signer.key is None:
        return False
    did = to_did(signer.key)
    methods = [str(proof.get("verificationMethod")) for proof in document.get(PROOF, ())]
    return any(method.partition("#")[0] == did for method in methods)
