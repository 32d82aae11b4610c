"""Beginning and opening a registry."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from certificates.keyfile import PublicKeyEntry, read_keys, write_keys
from editions.errors import BronzebookError, KeyUnusable, RegistryUnusable, Unreadable
from editions.ledger.keys import (
    PrivateKey,
    dump_private,
    load_private,
    lock_private,
    public_text,
    unlock_private,
)
from editions.ledger.logkeys import LogKeys
from editions.registry.homes import Home, home_of, refuse_network_share
from editions.registry.reading import DAMAGED, Reading
from editions.registry.writing import Clock, Random, Writing
from editions.store import connection as connecting
from editions.store import schema
from editions.store.backups import back_up
from editions.store.files import make_folder, write_durably, write_once
from editions.trade.book import FORMAT, BookOpened
from editions.trade.kinds import BOOK
from editions.trade.parties import PartyEntered


def _now() -> datetime.datetime:
    return datetime.datetime.now(datetime.UTC)


class Registry:
    """A book, its files, its clock and its source of random bytes."""

    def __init__(self, home: Home, engine: connecting.Engine, clock: Clock, random: Random) -> None:
        self.home = home
        self.engine = engine
        self.clock = clock
        self.random = random

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """One moment of the book."""
        with connecting.reading(self.engine) as connection:
            yield Reading(connection)

    @contextmanager
    def writing(self, by: str | None = None, *, rehearse: bool = False) -> Iterator[Writing]:
        """A batch under the writers' lock; committed at the end, given up on any error.

        Args:
            by: The party who records; the foundry itself when absent.
            rehearse: Judge and fold everything, then give it up.
        """
        keys = self._log_keys_here()
        with connecting.writing(self.engine) as connection:
            writing = Writing(connection, self.clock, self.random, by)
            yield writing
            if rehearse:
                connecting.give_up(connection)
            elif writing.entered:
                writing.seal(writing.book.origin, _sealing(writing, keys))

    def _log_keys_here(self) -> tuple[PrivateKey, ...]:
        """The log key, and the next one while the key changes.

        Raises:
            KeyUnusable: If neither is where it belongs.
        """
        next_ = self.home.next_log_key
        later = (load_private(next_.read_text()),) if next_.exists() else ()
        if later and not self.home.log_key.exists():
            return later
        return (self.log_key(), *later)

    def log_key(self) -> PrivateKey:
        """The key that signs checkpoints.

        Raises:
            KeyUnusable: If it is not where it belongs.
        """
        try:
            return load_private(self.home.log_key.read_text())
        except OSError:
            raise KeyUnusable(
                f"The log key {self.home.log_key} cannot be read.", "Restore it from the safe copy."
            ) from None

    def certifying_key(self, passphrase: str) -> PrivateKey:
        """The key that signs certificates, unlocked.

        Raises:
            KeyUnusable: If it is not where it belongs, or the passphrase is wrong.
        """
        try:
            text = self.home.certifying_key.read_text()
        except OSError:
            raise KeyUnusable(
                f"The certifying key {self.home.certifying_key} cannot be read.",
                "Restore it from the safe copy.",
            ) from None
        return unlock_private(text, passphrase)

    def public_keys(self) -> tuple[PublicKeyEntry, ...]:
        """The public keys beside the registry, for the foundry's certificates and for the log.

        Raises:
            KeyUnusable: If the file is missing or cannot be read.
        """
        try:
            return read_keys(self.home.public_keys.read_text())
        except OSError:
            raise KeyUnusable(
                f"The public keys {self.home.public_keys} cannot be read.",
                "Restore them from the safe copy.",
            ) from None

    def log_verifier(self) -> LogKeys:
        """The public keys that checkpoints must be signed by: those beside the registry.

        A book that was rewritten with another key must not vouch for itself: where it names other
        keys than those beside it, the newest of these has to have signed everything.
        """
        beside = [key.verifier() for key in self.public_keys() if key.use == "log"]
        if not beside:
            raise KeyUnusable(
                f"No log key is among the public keys {self.home.public_keys}.",
                "Restore them from the safe copy.",
            )
        try:
            with self.reading() as reading:
                named = reading.log_keys()
        except DAMAGED:
            return LogKeys.only(beside[0])
        same = {key for _, key in named.keys} == set(beside)
        return named if same else LogKeys.only(beside[0])

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def _sealing(writing: Writing, keys: Sequence[PrivateKey]) -> PrivateKey:
    """The key that the book, with what was just entered, says its checkpoints are signed by."""
    wanted = writing.log_keys().newest.public
    for key in keys:
        if key.public.raw == wanted:
            return key
    raise KeyUnusable(
        "The log key beside the registry is not the one that this book names.",
        "Restore it from the safe copy; if its change was stopped: bronzebook key rotate-log.",
    )


def open_registry(
    where: str | Path,
    *,
    home: str | Path | None = None,
    clock: Clock = _now,
    random: Random = os.urandom,
) -> Registry:
    """Open the registry that a folder, a ``registry.db`` or a PostgreSQL URL names.

    Raises:
        RegistryUnusable: If there is none, or it is foreign, newer or older.
        MachineRefused: If it lies on a network share.
    """
    place = home_of(where, home)
    engine = _engine_at(place)
    try:
        schema.check(engine)
    except BronzebookError:
        engine.dispose()
        raise
    return Registry(place, engine, clock, random)


class Upgraded(NamedTuple):
    """The revision before and after, and the copy that was made first; none was if there is none.

    A PostgreSQL database is backed up by its own tools.
    """

    before: str
    after: str
    backup: Path | None


def upgrade(where: str | Path, *, home: str | Path | None = None, clock: Clock = _now) -> Upgraded:
    """Bring an older registry to this program's revision; the book itself is not touched.

    Raises:
        RegistryUnusable: If there is none, or it is foreign or newer.
        MachineRefused: If no backup can be made; then nothing was changed.
    """
    place = home_of(where, home)
    engine = _engine_at(place)
    try:
        before, after = schema.revisions(engine)
        copy: Path | None = None
        if before != after and not connecting.is_url(place.database):
            day = clock().astimezone().date()
            copy = back_up(Path(place.database), place.backups, before, day)
        return Upgraded(*schema.upgrade(engine), copy)
    finally:
        engine.dispose()


def _engine_at(place: Home) -> connecting.Engine:
    if not connecting.is_url(place.database):
        _require_file(Path(place.database))
    return connecting.engine_for(place.database)


def _require_file(path: Path) -> None:
    if not path.is_file():
        raise RegistryUnusable(
            f"No registry at {path}.", "Begin one: bronzebook begin, or check the path."
        )
    refuse_network_share(path)


def begin(  # noqa: PLR0913 - each is something that a new registry must be told
    where: str | Path,
    *,
    foundry: str,
    address: str,
    passphrase: str,
    foundry_place: str = "",
    home: str | Path | None = None,
    clock: Clock = _now,
    random: Random = os.urandom,
    key_cost: int | None = None,
) -> Registry:
    """Begin a registry: its database, its two keys, and entry 0.

    Args:
        where: A folder, a ``.db`` file in it, or a PostgreSQL URL.
        foundry: The foundry's public name.
        address: The public address of the record pages, at a host's root: ``https://HOST``.
        passphrase: Locks the certifying key; at least 8 characters.
        foundry_place: The town, as printed on certificates.
        home: The folder of the files; that of the database when absent.
        clock: Gives the present time.
        random: Gives random bytes.
        key_cost: The scrypt cost N of the key's envelope; the stated default when absent.

    Raises:
        RegistryUnusable: If a registry is there already.
        Unreadable: If the address or the passphrase will not do.
    """
    base = read_address(address)
    if len(passphrase) < 8:
        raise Unreadable("The passphrase is shorter than 8 characters.", "Choose a longer one.")
    place = home_of(where, home)
    _refuse_what_is_there(place)
    for folder in (place.log_key.parent, place.photographs, place.certificates):
        make_folder(folder)
    log, certifying = _make_keys(place, base, passphrase, random, key_cost)
    engine = connecting.engine_for(place.database)
    schema.build(engine)
    registry = Registry(place, engine, clock, random)
    opened = BookOpened(
        format=FORMAT,
        origin=base.removeprefix("https://").removeprefix("http://"),
        address=base,
        log_key=log,
        certifying_key=certifying,
        foundry="Y-0001",
        foundry_name=foundry,
        foundry_place=foundry_place,
    )
    with registry.writing(by="Y-0001") as writing:
        writing.enter(opened, BOOK)
        entered = PartyEntered(roles=("foundry",), name=foundry, place=foundry_place)
        writing.enter(entered, "Y-0001")
    return registry


def read_address(text: str) -> str:
    """The public address: ``https://HOST`` or ``http://HOST``, nothing after the host.

    Raises:
        Unreadable: If it has a path, a query, or no host.
    """
    from urllib.parse import urlsplit

    address = text.strip().rstrip("/")
    parts = urlsplit(address)
    plain = parts.scheme in ("http", "https") and parts.netloc and not parts.path
    if not plain or parts.query or parts.fragment or parts.username or not address.isascii():
        raise Unreadable(
            f"The address {text!r} is not a host's root.", "Write it as https://book.example."
        )
    return f"{parts.scheme}://{parts.netloc.lower()}"


def _refuse_what_is_there(place: Home) -> None:
    if connecting.is_url(place.database):
        engine = connecting.engine_for(place.database)
        taken = schema.has_tables(engine)
        engine.dispose()
        if taken:
            raise RegistryUnusable("That database is not empty.", "Give an empty one.")
    else:
        path = Path(place.database)
        if path.exists():
            raise RegistryUnusable(f"{path} is there already.", "Choose another place.")
        refuse_network_share(path)
        path.parent.mkdir(parents=True, exist_ok=True)


def _make_keys(
    place: Home, base: str, passphrase: str, random: Random, cost: int | None
) -> tuple[str, str]:
    origin = base.split("://", 1)[1]
    log, certifying = PrivateKey.generate(random), PrivateKey.generate(random)
    costs = {} if cost is None else {"cost": cost}
    write_once(place.log_key, dump_private(log).encode(), mode=0o600)
    locked = lock_private(certifying, passphrase, random, **costs)
    write_once(place.certifying_key, locked.encode(), mode=0o600)
    log_text = public_text(origin, log.public.raw)
    certifying_text = public_text(origin, certifying.public.raw)
    public = (
        PublicKeyEntry(use="foundry", key=certifying_text),
        PublicKeyEntry(use="log", key=log_text),
    )
    write_durably(place.public_keys, write_keys(public).encode())
    return log_text, certifying_text
