"""A new certifying key for the foundry, in the place of the one it has.

1. The new key is made and locked in ``keys/certifying-next.key``.
2. One writing admits it and ends the old one.  The old key countersigns; where it is lost or was
   betrayed, another key does that the book holds: an artist's, an estate's, a spare of the foundry.
3. The files change places: the old key stays as ``keys/certifying-OLD.key``, OLD its key id.

Stopped after any step, the next run goes on from there.  How the log key changes is
:mod:`editions.registry.rotating_log`.
"""

from __future__ import annotations

from certificates.countersign import Countersigned, countersign
from certificates.keyfile import PublicKeyEntry, write_keys
from editions.errors import KeyUnusable, Refused
from editions.ledger.keys import PrivateKey, key_id, lock_private
from editions.ledger.locked import public_of
from editions.registry.acts.keys import admit_key, countersigning, end_key, key_text
from editions.registry.keys import all_keys
from editions.registry.opening import Registry
from editions.registry.writing import Entered, Writing
from editions.store.files import write_durably, write_once
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number

_BY_ANOTHER = frozenset({"lost", "compromised"})


def prepare_rotation(registry: Registry, passphrase: str, *, key_cost: int | None = None) -> str:
    """Make the next certifying key, if there is none yet; the text to have countersigned.

    Args:
        registry: The registry.
        passphrase: Locks the new key; at least 8 characters.
        key_cost: The scrypt cost N of its envelope; the stated default when absent.
    """
    path = registry.home.next_certifying_key
    if not path.exists():
        if len(passphrase) < 8:
            raise KeyUnusable("The passphrase is shorter than 8 characters.", "Choose a longer.")
        costs = {} if key_cost is None else {"cost": key_cost}
        private = PrivateKey.generate(registry.random)
        locked = lock_private(private, passphrase, registry.random, **costs)
        write_once(path, locked.encode(), mode=0o600)
    with registry.reading() as reading:
        return countersigning(reading, reading.book.foundry, _next(registry))


def rotate_foundry_key(
    registry: Registry,
    *,
    because: str = "rotated",
    passphrase: str | None = None,
    countersigned: Countersigned | None = None,
    from_position: int | None = None,
    by: str | None = None,
) -> tuple[Entered, ...]:
    """Put the next certifying key, made by :func:`prepare_rotation`, in the place of the old one.

    Args:
        registry: The registry.
        because: ``rotated``, ``expired`` or ``succession``; ``lost`` or ``compromised``.
        passphrase: That of the old key, with which it countersigns; not where it is lost.
        countersigned: The word of another key in the book, where the old one cannot speak.
        from_position: From where in the log the old key signs nothing; from now on when absent.
        by: The party who records.

    Raises:
        Refused: If nobody countersigned, or a rule of the trade forbids it.
        KeyUnusable: If there is no next key, or the passphrase is wrong.
    """
    raw = _next(registry)
    with registry.reading() as reading:
        told = any(one.verifier.public == raw for one in all_keys(reading))
        text = countersigning(reading, reading.book.foundry, raw)
    made: tuple[Entered, ...] = ()
    if not told:
        if countersigned is None and passphrase is not None and because not in _BY_ANOTHER:
            countersigned = countersign(text, registry.certifying_key(passphrase))
        if countersigned is None:
            raise Refused(
                "Nobody has countersigned the new key.",
                "Have its text countersigned with another key in the book: key countersign.",
            )
        with registry.writing(by) as writing:
            made = _enter(writing, registry, raw, because, countersigned, from_position)
    _change_files(registry, raw)
    return made


def left_by_the_old(registry: Registry) -> tuple[str, ...]:
    """Certificates issued and not drawn that name a key which certifies no more.

    They cannot be finished: each is withdrawn and issued anew.
    """
    with registry.reading() as reading:
        foundry = reading.book.foundry
        standing = {
            one.held.key
            for one in all_keys(reading)
            if one.party == foundry and one.held.use == "foundry" and one.held.ended is None
        }
        waiting = reading.all_of(Certificate, only_open=True)
    return tuple(
        show_number(one.code)
        for one in waiting
        if one.foundry_key is not None and one.foundry_key not in standing
    )


def _enter(
    writing: Writing,
    registry: Registry,
    raw: bytes,
    because: str,
    countersigned: Countersigned,
    from_position: int | None,
) -> tuple[Entered, ...]:
    foundry = writing.book.foundry
    old = public_of(registry.home.certifying_key.read_text())
    # A key that cannot be trusted any more must not vouch, so it ends first.
    if because in _BY_ANOTHER:
        end_key(writing, foundry, old, because=because, from_position=from_position)
        admit_key(writing, foundry, raw, countersigned=countersigned)
    else:
        admit_key(writing, foundry, raw, countersigned=countersigned)
        end_key(writing, foundry, old, because=because, from_position=from_position)
    return tuple(writing.entered)


def _next(registry: Registry) -> bytes:
    try:
        return public_of(registry.home.next_certifying_key.read_text())
    except OSError:
        raise KeyUnusable(
            "No next certifying key was made.", "Make it: bronzebook key rotate."
        ) from None


def _change_files(registry: Registry, raw: bytes) -> None:
    home = registry.home
    with registry.reading() as reading:
        entry = PublicKeyEntry(use="foundry", key=key_text(reading, reading.book.foundry, raw))
    known = registry.public_keys()
    if entry not in known:
        write_durably(home.public_keys, write_keys((entry, *known)).encode())
    if home.certifying_key.exists():
        old = public_of(home.certifying_key.read_text())
        home.certifying_key.rename(home.old_certifying_key(key_id(old).hex()))
    home.next_certifying_key.rename(home.certifying_key)
