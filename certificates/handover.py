"""Following the keys of a book from one that is known: what a site publishes as ``rotations.txt``.

The file is a row of countersigned texts (:mod:`certificates.countersign`), in the order of the
book.  A key is followed where a key that is trusted by then countersigned it: the log key before
it, or a certifying key of the foundry.  A site is believed in nothing else: a text that nobody
trusted has signed is passed over, and a host can at worst keep one back.

>>> read_handovers(b"")
()
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from certificates.countersign import Countersigned, read_countersigned
from editions.errors import BronzebookError, FileUnusable, NotKnown
from editions.ledger.notes import VerifierKey

PATH = "rotations.txt"
LIMIT = 1 << 18

_EACH = re.compile(r"(?=^bronzebook-countersign-1\n)", re.MULTILINE)


def read_handovers(data: bytes) -> tuple[Countersigned, ...]:
    """The countersigned texts of a site, each with a signature that holds by the key it names.

    Raises:
        FileUnusable: If it is too large, or no row of such texts.
    """
    if len(data) > LIMIT:
        raise FileUnusable(f"{PATH} is larger than {LIMIT} bytes.", "Look at another mirror.")
    try:
        texts = filter(None, _EACH.split(data.decode()))
        return tuple(map(read_countersigned, texts))
    except (UnicodeDecodeError, BronzebookError):
        raise FileUnusable(
            f"{PATH} is no row of countersigned keys.", "Look at another mirror."
        ) from None


def followed(
    log: VerifierKey, handovers: Iterable[Countersigned], vouching: Iterable[bytes] = ()
) -> tuple[VerifierKey, ...]:
    """The log key that is known and those that follow it, the oldest first.

    Args:
        log: The log key that is known.
        handovers: What :func:`read_handovers` gave.
        vouching: Raw certifying keys of the foundry that are trusted too.
    """
    keys, trusted = [log], {log.public, *vouching}
    for one in handovers:
        if one.book != log.name or one.by not in trusted or one.use not in ("log", "foundry"):
            continue
        key = VerifierKey.parse(one.key)
        if one.use == "log" and key.name == log.name and key not in keys:
            keys.append(key)
        trusted.add(key.public)
    return tuple(keys)


def shown_at(fetch: Callable[[str], bytes]) -> tuple[Countersigned, ...]:
    """What a site publishes of the keys that followed others; a site need not have the file.

    Raises:
        FileUnusable: What it publishes cannot be read, or the site cannot be reached.
    """
    try:
        return read_handovers(fetch(PATH))
    except NotKnown:
        return ()


def every_log(
    logs: Sequence[VerifierKey], handovers: Sequence[Countersigned], vouching: Iterable[bytes] = ()
) -> tuple[VerifierKey, ...]:
    """All log keys that are known, and those that follow any of them, each once."""
    trusted = tuple(vouching)
    found = (key for log in logs for key in followed(log, handovers, trusted))
    return tuple(dict.fromkeys((*logs, *found)))
