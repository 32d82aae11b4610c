"""A new key for the log, in the place of one that is to rest, was lost, or was stolen.

1. The new key is made, ``keys/log-next.key``, mode 0600.
2. One writing admits it and ends the old one; the new key signs the checkpoint of that writing and
   every one after it.  The old key countersigns; where it is lost or was stolen, the certifying key
   does, or any other key that the book holds.
3. The files change places: the old key stays as ``keys/log-OLD.key``, OLD its key id.

Stopped after any step, the next run goes on from there.  Whoever knows the old key, or the
certifying key, follows by the countersigned text, which is published as ``rotations.txt``.  A thief
of the old key can still sign states of the book up to the change: a fork, as before, which
certificates and witnesses expose.
"""

from __future__ import annotations

from certificates.countersign import Countersigned, countersign
from certificates.keyfile import PublicKeyEntry, write_keys
from editions.errors import KeyUnusable, Refused
from editions.ledger.keys import PrivateKey, dump_private, key_id, load_private
from editions.registry.acts.keys import admit_key, countersigning, end_key, key_text
from editions.registry.opening import Registry
from editions.registry.writing import Entered
from editions.store.files import write_durably, write_once


def prepare_log_rotation(registry: Registry) -> str:
    """Make the next log key, if there is none yet; the text to have countersigned."""
    path = registry.home.next_log_key
    if not path.exists():
        private = PrivateKey.generate(registry.random)
        write_once(path, dump_private(private).encode(), mode=0o600)
    with registry.reading() as reading:
        foundry = reading.book.foundry
        return countersigning(reading, foundry, _next(registry).public.raw, "log")


def rotate_log_key(
    registry: Registry,
    *,
    because: str = "rotated",
    passphrase: str | None = None,
    countersigned: Countersigned | None = None,
    by: str | None = None,
) -> tuple[Entered, ...]:
    """Put the next log key, made by :func:`prepare_log_rotation`, in the place of the old one.

    Args:
        registry: The registry.
        because: ``rotated``, then the old key countersigns; else the certifying key does.
        passphrase: That of the certifying key, where it countersigns.
        countersigned: The word of another key in the book instead.
        by: The party who records.

    Raises:
        Refused: If nobody countersigned, or a rule of the trade forbids it.
        KeyUnusable: If there is no next key, or a key or its passphrase cannot be used.
    """
    raw = _next(registry).public.raw
    with registry.reading() as reading:
        keys, foundry = reading.log_keys(), reading.book.foundry
        text = countersigning(reading, foundry, raw, "log")
    made: tuple[Entered, ...] = ()
    if keys.newest.public != raw:
        signed = countersigned or _vouched(registry, text, because, passphrase)
        with registry.writing(by) as w:
            admit_key(w, foundry, raw, countersigned=signed, use="log")
            end_key(w, foundry, keys.newest.public, because=because, use="log")
        made = tuple(w.entered)
    _change_files(registry, raw)
    return made


def _vouched(registry: Registry, text: str, because: str, passphrase: str | None) -> Countersigned:
    if because == "rotated":
        return countersign(text, registry.log_key())
    if passphrase is None:
        raise Refused(
            "Nobody has countersigned the new log key.",
            "Give the certifying key's passphrase, or have another key countersign.",
        )
    return countersign(text, registry.certifying_key(passphrase))


def _next(registry: Registry) -> PrivateKey:
    try:
        return load_private(registry.home.next_log_key.read_text())
    except OSError:
        raise KeyUnusable(
            "No next log key was made.", "Make it: bronzebook key rotate-log."
        ) from None


def _change_files(registry: Registry, raw: bytes) -> None:
    home = registry.home
    with registry.reading() as reading:
        entry = PublicKeyEntry(use="log", key=key_text(reading, reading.book.foundry, raw))
    known = registry.public_keys()
    if entry not in known:
        others = [key for key in known if key.use != "log"]
        logs = [key for key in known if key.use == "log"]
        write_durably(home.public_keys, write_keys((*others, entry, *logs)).encode())
    if home.log_key.exists():
        old = load_private(home.log_key.read_text()).public.raw
        home.log_key.rename(home.old_log_key(key_id(old).hex()))
    home.next_log_key.rename(home.log_key)
