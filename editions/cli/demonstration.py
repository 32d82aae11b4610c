"""Making the demonstration: the story told, certificates issued, the record published, one checked.

It stands here because it uses rooms that never use one another.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec

from certificates.issue import issue, replace_lost, reserve
from certificates.standing import check_pdf
from certificates.verify import Verdict
from editions.errors import Unreadable
from editions.exchange import demo_story
from editions.registry import Registry, begin, open_registry

PASSPHRASE = "molten but patient"  # noqa: S105 - of an invented foundry, told to everyone
_SOONER = 2**14  # the demonstration's key guards nothing; a true one costs eight times as much


class Made(msgspec.Struct, frozen=True):
    """What a demonstration made, and the verdict on the certificate it checked."""

    registry: Path
    certificates: Path
    site: Path
    keys: Path
    checked: Path
    verdict: Verdict
    records: int


def demonstrate(folder: Path, say: Callable[[str], None]) -> Made:
    """Make the demonstration in a folder that is new or empty.

    Args:
        folder: Then holds ``registry.db``, ``certificates``, ``site`` and ``keys``.
        say: Told what is being done, a line each.

    Raises:
        Unreadable: If the folder is not empty.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        what = "is not empty" if folder.is_dir() else "is a file"
        raise Unreadable(
            f"{folder} {what}; the demonstration wants a folder of its own.",
            "Name one that is new or empty: bronzebook demo FOLDER.",
        )
    say(f"{demo_story.FOUNDRY} of {demo_story.TOWN} begins its book.")
    _tell_story(folder, say)
    registry = open_registry(folder)
    try:
        return _finish(registry, folder, say)
    finally:
        registry.close()


def _tell_story(folder: Path, say: Callable[[str], None]) -> None:
    clock = demo_story.StoryClock()
    registry = begin(
        folder,
        foundry=demo_story.FOUNDRY,
        foundry_place=demo_story.TOWN,
        address=demo_story.ADDRESS,
        passphrase=PASSPHRASE,
        clock=clock,
        key_cost=_SOONER,
    )

    def certify(pieces: Sequence[str]) -> None:
        issue(registry, pieces, passphrase=PASSPHRASE)

    try:
        demo_story.tell(demo_story.Shop(registry, clock, certify), say)
    finally:
        registry.close()


def _finish(registry: Registry, folder: Path, say: Callable[[str], None]) -> Made:
    from editions.pages.publish import publish

    say("3/8 of Heron, Folding is finished, and 5/8 is reserved for its buyer.")
    (third,) = issue(registry, ["T-0104"], passphrase=PASSPHRASE)
    reserve(registry, "R-0002", "5/8", passphrase=PASSPHRASE)
    _signed_by_the_artist(registry, say)
    _replace_a_lost_one(registry, say)
    published = publish(registry, folder / "site")
    say("The record is published; one certificate is checked from its own PDF.")
    return Made(
        registry=folder / "registry.db",
        certificates=registry.home.certificates,
        site=folder / "site",
        keys=registry.home.public_keys.parent,
        checked=third.path,
        verdict=check_pdf(registry, third.path.read_bytes()),
        records=published.records,
    )


def _signed_by_the_artist(registry: Registry, say: Callable[[str], None]) -> None:
    """Two casts of a small run that its artist signs: one with her key, one in ink."""
    from certificates.asking import ask_for, pending_of, sign_in_ink, take_reply
    from certificates.requests import read_request, sign_request
    from editions.ledger.keys import PrivateKey
    from editions.registry.acts.keys import admit_key

    artist = demo_story.SIGNING_ARTIST
    say("The artist signs the certificates of Wren, Listening: one with her own key, one in ink.")
    key = PrivateKey.generate(registry.random)
    with registry.writing() as w:
        admit_key(w, artist, key.public.raw, document="fingerprint compared in the studio")
        demo_story.wrens(w)
    issue(registry, demo_story.WRENS, passphrase=PASSPHRASE)
    by_key, in_ink = pending_of(registry)
    moment = registry.clock().strftime("%Y-%m-%dT%H:%M:%SZ")
    request = read_request(ask_for(registry, [by_key.code], artist))
    take_reply(registry, sign_request(request, key, moment))
    sign_in_ink(registry, in_ink.code, artist, demo_story.signed_sheet())
    issue(registry, passphrase=PASSPHRASE)


def _replace_a_lost_one(registry: Registry, say: Callable[[str], None]) -> None:
    from editions.trade.pieces import Piece

    with registry.reading() as reading:
        lost = reading.get(reading.resolve("S-03"), Piece).certificates[-1]
    say("The certificate of 3/5 of Seed, Standing was lost; another replaces it.")
    replace_lost(registry, lost, "lost", passphrase=PASSPHRASE)
