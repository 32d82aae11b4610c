"""The keys that a site publishes, for whoever brought none, and those that followed theirs.

A site's own keys vouch for nothing but the site; the log keys that follow one which is known are
believed where a known key countersigned them (:mod:`certificates.handover`).

>>> keys_shown(None), with_later((), None)
((), ())
"""

from __future__ import annotations

from collections.abc import Callable

from certificates.keyfile import PublicKeyEntry, read_keys
from editions.errors import BronzebookError

Fetch = Callable[[str], bytes]


def keys_shown(site: Fetch | None) -> tuple[PublicKeyEntry, ...]:
    """The keys that a site publishes, if it does."""
    from certificates.mirror import text_of

    try:
        return read_keys(text_of(site("keys.txt"))) if site else ()
    except BronzebookError:
        return ()


def with_later(keys: tuple[PublicKeyEntry, ...], site: Fetch | None) -> tuple[PublicKeyEntry, ...]:
    """The keys at hand, and the log keys that follow them by what a site publishes."""
    if site is None:
        return keys
    from certificates.handover import every_log, shown_at

    logs = [entry.verifier() for entry in keys if entry.use == "log"]
    vouching = [entry.verifier().public for entry in keys if entry.use == "foundry"]
    try:
        later = every_log(logs, shown_at(site), vouching)[len(logs) :]
    except BronzebookError:
        # Then the checkpoint is checked with the keys at hand, and what is missing is said there.
        later = ()
    return (*keys, *(PublicKeyEntry(use="log", key=str(key)) for key in later))
