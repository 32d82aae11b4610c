"""What lies under which address: the one table that publishing and serving walk.

=================================  =============================================================
``/``                              the foundry, and how to look up a number
``/C/NUMBER``                      a record; nothing lists or links one
``/C/``, ``/photo/``               a page that asks for a number, so that no host lists the folder
``/C/NUMBER/…``                    what may be taken home: credential, proof, data, paper
``/photo/DIGEST.jpg``              the photograph of a certified piece
``/checkpoint``                    the newest checkpoint, a signed note
``/status``                        every certificate that no longer stands, signed and dated
``/tile/…``                        the tree itself, as files that never change (C2SP tlog-tiles)
``/keys.txt``                      the public keys
``/rotations.txt``                 the keys that followed others, countersigned
``/revocations.txt``               the keys that ended, and from which place on, signed
``/icon.svg``                      the mark of the site
``/run/``, ``/work/``, ``/artist/``  what may be known of each; none links a certificate
``/foundry/``, ``/keys/``          who the foundry is, and which keys it has had
``/standing/``                     what the status note says, in words
``/look/``                         looking up a number, or a work; its index of public facts
``/404.html``                      for every other address
``/fr/…``                          each of these pages again, in every language of the site
=================================  =============================================================

The table is in the order of publishing: keys before what they sign, pictures before the pages that
show them, tiles before the status note, the checkpoint last.  A new kind of page is a row of it.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import msgspec

from certificates.keyfile import PublicKeyEntry, write_keys
from editions.errors import NotKnown, Unreadable
from editions.ledger.keys import PrivateKey
from editions.ledger.tiles import HEIGHT, WIDTH, Tile, tile_bytes, tiles_for
from editions.pages import catalogue, downloads, house, keeping, listing, looking, render
from editions.pages.addresses import JSON, TEXT, Address
from editions.pages.numbering import counted
from editions.pages.tongues import Tongue, tongues
from editions.pages.view import Room, fingerprint_of
from editions.pages.watching import BROKEN
from editions.registry.keys import certifying_keys, handovers
from editions.registry.reading import DAMAGED
from editions.registry.revocations import holders_of_keys, signed_revocations
from editions.registry.status import signed_status
from editions.registry.witnesses import cosigned_checkpoint
from editions.trade.certificates import Certificate
from editions.trade.numbers import read_number
from editions.trade.pieces import Piece

RECORD = "/C/{}"
MakeIn = Callable[[Room, str, Tongue], bytes]
"""Makes the bytes for a member of an address in a language."""

_TILE = "tile/"
_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)


def record(room: Room, number: str, tongue: Tongue) -> bytes:
    """The page of a record; of one that cannot be read, the page that says so.

    Raises:
        NotKnown: If the book holds no such certificate.
    """
    reading = room.desk.reading
    try:
        view = room.view(room.certificate(number))
    except (NotKnown, Unreadable):
        raise
    except DAMAGED:
        # Whatever else was tampered with: the page answers, and says not to rely on it.
        reading.saw((BROKEN,))
        return render.damaged_page(room.desk.book.foundry_name, tongue, number)
    downloads.draws_on(room, view)
    return render.record_page(view, tongue)


def fetch(room: Room, wanted: Iterable[tuple[Address, str]]) -> None:
    """Read at once what the records among these pages are about."""
    found = list(dict.fromkeys(one for address, one in wanted if address.family == RECORD))
    pieces = counted(room).pieces
    reading = room.desk.reading
    reading.fetch([*found, *(pieces[one] for one in found if one in pieces)])
    issued = (room.desk.get(number, Certificate) for number in found)
    room.prover.fetch([one.leaf for one in issued if one])
    _fetch_marks(room, [room.desk.get(pieces[one], Piece) for one in found if one in pieces])


def _fetch_marks(room: Room, pieces: list[Piece | None]) -> None:
    known = [(piece, piece.run) for piece in pieces if piece and piece.run]
    marked = (
        f"{run} {number}"
        for piece, run in known
        for number in (piece.number, *(mark.number for mark in piece.marks))
    )
    room.desk.reading.fetch_marks((run for _, run in known), marked)


def front(room: Room, _: str, tongue: Tongue) -> bytes:
    """The first page."""
    certifying, log = fingerprint_of(_certifying(room)[0]), fingerprint_of(_log(room)[0])
    return render.foundry_page(room.desk.book, certifying, log, tongue)


def keys(room: Room) -> bytes:
    """The public keys as a checker takes them: each certifying and each log key, newest first."""
    certifying = (PublicKeyEntry(use="foundry", key=key) for key in _certifying(room))
    log = (PublicKeyEntry(use="log", key=key) for key in _log(room))
    return write_keys((*certifying, *log)).encode()


def rotations(room: Room) -> bytes:
    """Each key that the foundry let follow another, countersigned, in the order of the book."""
    try:
        return "".join(map(str, handovers(room.desk.reading))).encode()
    except DAMAGED:
        # The audit tells; a site without them only keeps its readers from following.
        return b""


def revocations(room: Room) -> bytes:
    """Each key that ended, why, and from which place in the log on it signs nothing; signed.

    Raises:
        NotKnown: If the keys cannot be read, or a table tells otherwise of them than the entries: a
            note that keeps one back would mislead.
    """
    reading = room.desk.reading
    try:
        note = signed_revocations(reading, room.registry.log_key())
        damaged = room.prover.damaged(holders_of_keys(reading))
    except DAMAGED:
        note, damaged = "", [BROKEN]
    if damaged:
        reading.saw((BROKEN,))
        raise NotKnown("Which keys of this book ended cannot be read.")
    return note.encode()


def _certifying(room: Room) -> tuple[str, ...]:
    """Every certifying key of the foundry, the newest first; that of entry 0 if all is damaged."""
    try:
        return tuple(map(str, certifying_keys(room.desk.reading)))
    except DAMAGED:
        return (room.desk.book.certifying_key,)


def _log(room: Room) -> tuple[str, ...]:
    """Every key of the log, the newest first; that of entry 0 if one cannot be read."""
    known = room.desk.log_keys()
    keys = [str(key) for _, key in known.keys] if known else [room.desk.book.log_key]
    return tuple(reversed(keys))


def checkpoint(room: Room) -> bytes:
    """The newest checkpoint's note, with the lines of witnesses that saw this very state.

    Raises:
        NotKnown: If the book has none.
    """
    return cosigned_checkpoint(room.desk.reading.checkpoint(), room.home).encode()


def status(room: Room, key: PrivateKey, at: datetime.datetime) -> bytes:
    """The status note, signed and dated now.

    Raises:
        Contradiction: If the newest checkpoint is not signed by the log key.
    """
    newest, origin = room.desk.reading.checkpoint(), room.desk.book.origin
    return signed_status(newest, counted(room).ended, key, origin, at).encode()


def tile(room: Room, path: str) -> bytes:
    """A tile of the tree, as wide as its path says.

    Raises:
        Unreadable: If it is not the path of a tile.
        NotKnown: If the tree does not reach so far.
        Contradiction: If nodes are missing from the store.
    """
    wanted = Tile.parse(path)
    reach = wanted.index * WIDTH + wanted.width << wanted.level * HEIGHT
    if reach > room.desk.reading.size:
        raise NotKnown("The tree does not reach so far.")
    return tile_bytes(wanted, room.prover.branches.read)


def numbers(room: Room) -> Iterator[str]:
    """Every certificate's number, in order; from the codes alone, whatever the rows say."""
    yield from counted(room).numbers


def photographs(room: Room) -> Iterator[str]:
    """The digests of the photographs that certificates or pages show, each once, in order."""
    yield from sorted({*counted(room).photographs, *_filed(room)})


def _filed(room: Room) -> frozenset[str]:
    """The photographs filed with works and runs that have a page."""
    return room.once("filed photographs", lambda: frozenset(listing.photographs(room)))


def _kept(room: Room, digest: str) -> Path:
    return room.home.photographs / digest[:2] / digest


def _picture(room: Room, name: str) -> bytes:
    """A photograph by its digest.

    Raises:
        NotKnown: If no certificate or page shows it, or it is not kept whole.
    """
    if name in counted(room).printed or name in _filed(room):
        room.desk.reading.saw_files(_kept(room, name))
        data, _ = keeping.photograph(name, room.home)
        if data is not None:
            return data
    raise NotKnown("No such photograph.")


def _digest(name: str) -> str:
    if not _DIGEST.fullmatch(name):
        raise Unreadable("Not the name of a photograph.")
    return name


def _tiles(room: Room) -> Iterator[str]:
    for each in tiles_for(0, room.desk.reading.size):
        yield each.path.removeprefix(_TILE)


def _code(letter: str) -> Callable[[str], str]:
    """What reads a code of this letter as it was typed in an address."""
    return partial(listing.read_member, letter)


def _wanted(room: Room, _: str, tongue: Tongue) -> bytes:
    return render.number_wanted_page(room.desk.book.foundry_name, tongue)


def _missing(room: Room, _: str, tongue: Tongue) -> bytes:
    return render.missing_page(room.desk.book.foundry_name, tongue)


def _dated_now(room: Room, _: str) -> bytes:
    return status(room, room.registry.log_key(), room.registry.clock())


def _told(path: str, make: MakeIn, *rest: Any, **facts: Any) -> Iterator[Address]:
    """An address that exists in every language of the site, English first."""
    for tongue in tongues():
        made = Address(f"{tongue.path}{path}", partial(_made_in, make, tongue), *rest, **facts)
        yield msgspec.structs.replace(made, root=tongue.path)


def _made_in(make: MakeIn, tongue: Tongue, room: Room, member: str) -> bytes:
    return make(room, member, tongue)


def addresses() -> tuple[Address, ...]:
    """The table: every address of the site, those of pages once a language."""
    return (
        Address("/keys.txt", lambda room, _: keys(room), media=TEXT),
        Address("/rotations.txt", lambda room, _: rotations(room), media=TEXT),
        Address("/photo/{}.jpg", _picture, photographs, _digest, "image/jpeg", "fixed"),
        *_told(RECORD, record, numbers, read_number, looks_up=True),
        *_taken_home(),
        *_told("/C/", _wanted),
        *_told("/photo/", _wanted),
        *_told("/run/{}/", catalogue.run_page, listing.runs, _code("R")),
        *_told("/work/{}/", catalogue.work_page, listing.works, _code("K")),
        *_told("/artist/{}/", catalogue.artist_page, listing.artists, _code("Y")),
        *_told("/foundry/", house.foundry_page),
        *_told("/keys/", house.keys_page),
        *_told("/look/index.json", looking.index, media=JSON),
        *_told("/look/", looking.look_page),
        Address("/icon.svg", lambda *_: render.icon(), media="image/svg+xml"),
        *_told("/404.html", _missing, status=404),
        *_told("/", front),
        Address(
            "/tile/{}",
            lambda room, rest: tile(room, _TILE + rest),
            _tiles,
            media="application/octet-stream",
            keep="fixed",
            once=True,
        ),
        Address("/revocations.txt", lambda room, _: revocations(room), media=TEXT),
        *_told("/standing/", house.standing_page, keep="dated"),
        Address("/status", _dated_now, media=TEXT, keep="dated"),
        Address("/checkpoint", lambda room, _: checkpoint(room), media=TEXT),
    )


def _taken_home() -> Iterator[Address]:
    """What may be taken home of a record; it has no language of the site."""
    for name, (make, media) in downloads.FILES.items():
        members = downloads.papers if name == downloads.PAPER else numbers
        path = downloads.address("{}", name)
        yield Address(path, make, members, read_number, media, looks_up=True)


ADDRESSES = addresses()
