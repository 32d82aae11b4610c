"""What lies under which address: the one list that publishing and serving share.

======================  ========================================================
``/``                   the foundry, and how to look up a number
``/C/NUMBER/``          a record; nothing lists or links one
``/C/``, ``/photo/``    a page that asks for a number, so that no host lists the folder
``/photo/DIGEST.jpg``   the photograph of a certified piece
``/checkpoint``         the newest checkpoint, a signed note
``/keys.txt``           both public keys
``/icon.svg``           the mark of the site
``/404.html``           for every other address
======================  ========================================================
"""

from __future__ import annotations

from collections.abc import Iterator

from certificates.keyfile import PublicKeyEntry, write_keys
from editions.errors import BronzebookError, NotKnown, Unreadable
from editions.pages import keeping, render
from editions.pages.desk import DAMAGED
from editions.pages.view import Room, fingerprint_of
from editions.registry.keys import certifying_keys
from editions.store import queries
from editions.trade.certificates import Certificate
from editions.trade.numbers import read_number


def record(room: Room, number: str) -> bytes:
    """The page of a record; of one that cannot be read, the page that says so.

    Raises:
        NotKnown: If the book holds no such certificate.
    """
    try:
        return render.record_page(room.view(room.certificate(number)))
    except (NotKnown, Unreadable):
        raise
    except DAMAGED:
        # Whatever else was tampered with: the page answers, and says not to rely on it.
        return render.damaged_page(room.desk.book.foundry_name)


def front(room: Room) -> bytes:
    """The first page."""
    book = room.desk.book
    certifying, log = fingerprint_of(_certifying(room)[0]), fingerprint_of(book.log_key)
    return render.foundry_page(book, certifying, log)


def keys(room: Room) -> bytes:
    """The public keys as a checker takes them: each certifying key, the newest first; the log's."""
    certifying = (PublicKeyEntry(use="foundry", key=key) for key in _certifying(room))
    log = PublicKeyEntry(use="log", key=room.desk.book.log_key)
    return write_keys((*certifying, log)).encode()


def _certifying(room: Room) -> tuple[str, ...]:
    """Every certifying key of the foundry, the newest first; that of entry 0 if all is damaged."""
    try:
        return tuple(map(str, certifying_keys(room.desk.reading)))
    except DAMAGED:
        return (room.desk.book.certifying_key,)


def checkpoint(room: Room) -> bytes:
    """The newest checkpoint's note.

    Raises:
        NotKnown: If the book has none.
    """
    return room.desk.reading.checkpoint().encode()


def numbers(room: Room) -> Iterator[str]:
    """Every certificate's number, in order; from the codes alone, whatever the rows say."""
    for code, _ in queries.subjects_of(room.desk.reading.connection, ""):
        if _is_number(code):
            yield code


def photographs(room: Room) -> Iterator[str]:
    """The digests of the photographs that certificates print, each once, in order."""
    certificates = (room.desk.get(number, Certificate) for number in numbers(room))
    yield from sorted(
        {c.statement.photograph for c in certificates if c and c.statement.photograph}
    )


def photograph(room: Room, digest: str) -> bytes | None:
    """The bytes of a photograph, where it is kept whole."""
    data, _ = keeping.photograph(digest, room.home)
    return data


def _is_number(code: str) -> bool:
    try:
        return read_number(code) == code
    except BronzebookError:
        return False
