"""A holder's no: a refusal to sign one certificate, signed, so that nobody can say it for them.

What is signed names the certificate by its place in the book, and the reason, where one is given,
by a salted digest: the book keeps the digest, the reason stays in the reply, between the two of
them, and whoever has the reply can show that it was given::

    bronzebook-refusal-1
    book record.example
    certificate 4MH8PV0PDA7
    leaf 3c1d…64 hex digits…
    made 2026-11-25T09:00:00Z
    reason 9f86…64 hex digits, or none

>>> reason_digest("0" * 64, "The run is of 6.") == reason_digest("1" * 64, "The run is of 6.")
False
"""

from __future__ import annotations

import hashlib
import os

import msgspec

from certificates.integrity import require_moment
from certificates.signers import Place
from editions.errors import Unreadable
from editions.ledger.encodings import from_base64, to_base64
from editions.ledger.keys import SIGNATURE, PrivateKey, PublicKey, Random
from editions.trade.text import clean

REASON_LIMIT = 2_000
_SALT = 32


class Refusal(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One refusal in a reply; the reason and its salt are there together, or neither is."""

    number: str
    made: str
    signature: str
    reason: str | None = None
    salt: str | None = None

    @property
    def digest(self) -> str | None:
        """What the signature commits to of the reason; None where none is given."""
        return None if self.reason is None else reason_digest(self.salt or "", self.reason)


def reason_digest(salt: str, reason: str) -> str:
    """The SHA-256 of a salt's text, a line's end and the reason, in hex."""
    return hashlib.sha256(f"{salt}\n{reason}".encode()).hexdigest()


def refusal_text(place: Place, number: str, made: str, digest: str | None) -> str:
    """The text that a refusal signs."""
    return (
        f"bronzebook-refusal-1\nbook {place.origin}\ncertificate {number}\nleaf {place.leaf}\n"
        f"made {made}\nreason {digest or 'none'}\n"
    )


def refuse(
    place: Place,
    number: str,
    private: PrivateKey,
    made: str,
    reason: str | None = None,
    random: Random = os.urandom,
) -> Refusal:
    """The signed refusal of one certificate.

    Raises:
        Unreadable: The moment is none, or the reason is too long or holds what cannot be seen.
    """
    reason = (clean(reason, REASON_LIMIT) or None) if reason else None
    salt = random(_SALT).hex() if reason else None
    digest = reason_digest(salt, reason) if reason and salt else None
    require_moment(made)
    signature = private.sign(refusal_text(place, number, made, digest).encode())
    return Refusal(
        number=number, made=made, signature=to_base64(signature), reason=reason, salt=salt
    )


def require_form(refusal: Refusal) -> None:
    """Require that a refusal is one that :func:`refuse` could have made, but for its signature.

    Raises:
        Unreadable: It is not.
    """
    require_moment(refusal.made)
    from_base64(refusal.signature, SIGNATURE)
    reason, salt = refusal.reason, refusal.salt
    if (reason is None) != (salt is None):
        raise Unreadable("A refusal's reason and its salt stand together.")
    if reason is not None and (not reason or clean(reason, REASON_LIMIT) != reason):
        raise Unreadable("A refusal's reason is not as it is kept.")
    if salt is not None and (len(salt) != 2 * _SALT or set(salt) - set("0123456789abcdef")):
        raise Unreadable(f"A refusal's salt is {_SALT} bytes in hex.")


def require_refused(
    place: Place, number: str, made: str, digest: str | None, signature: str, key: bytes
) -> None:
    """Check a refusal's signature.

    Raises:
        Contradiction: The key did not sign it, or it was altered.
        Unreadable: The signature is none.
    """
    text = refusal_text(place, number, made, digest)
    PublicKey(key).verify(from_base64(signature, SIGNATURE), text.encode())
