"""Asking about a paper where there is no registry: a site, a mirror of it, notes taken along.

The paper was checked alone; here whoever is at hand is asked how it stands, whether the book only
grew, and what became of its keys.  Each file of a site is asked for once.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import replace

from certificates.keyfile import PublicKeyEntry
from certificates.site_keys import with_later
from certificates.verify import Verdict, verify_record
from editions.errors import BronzebookError, FileUnusable
from editions.ledger.notes import VerifierKey

if TYPE_CHECKING:
    from certificates.carried import Carried
    from editions.ledger.checkpoint import Checkpoint

Fetch = Callable[[str], bytes]


class Away(msgspec.Struct, frozen=True, kw_only=True):
    """Who is asked where there is no registry.

    Attributes:
        keys: The foundry's public keys, brought along; without them a paper's own are used.
        site: Fetches the public files of a site (:func:`certificates.reach.reach`).
        status: A status note taken along.
        revocations: A note of ended keys taken along.
        now: The moment of asking, to tell an old status note from a new one.
    """

    keys: tuple[PublicKeyEntry, ...] = ()
    site: Fetch | None = None
    status: bytes | None = None
    revocations: bytes | None = None
    now: datetime.datetime | None = None

    @property
    def somebody(self) -> bool:
        """Whether anybody is asked: keys alone answer nothing."""
        return any(one is not None for one in (self.site, self.status, self.revocations))


def from_afar(verdict: Verdict, carried: Carried | None, away: Away) -> Verdict:
    """The verdict once a site and notes were asked, as far as they are there.

    Args:
        verdict: On the paper alone.
        carried: What the paper or the page carries; a code carries nothing.
        away: Who is asked.
    """
    away = remembering(away)
    keys = away.keys
    if not keys and carried is not None:
        keys = with_later(carried.keys, away.site)
    return _asked(verdict, carried, away, keys)


def on_site(number: str, away: Away, site: Fetch) -> Verdict:
    """The record that a site publishes of a number, checked as its page checks itself.

    Raises:
        NotKnown: If the site has no record of that number.
        FileUnusable: If its page carries nothing that can be checked.
    """
    from certificates.carried import read_page
    from certificates.placing import record_page

    away = remembering(away)
    page = record_page(number, away.site or site)
    given = with_later(away.keys, away.site)
    verdict = verify_record(page, given)
    if verdict.number != number:
        raise FileUnusable(f"The page of {number} carries another record, {verdict.number}.")
    carried = read_page(page)
    return _asked(verdict, carried, away, given or with_later(carried.keys, away.site))


def remembering(away: Away) -> Away:
    """The same, but each file that its site has is asked for once."""
    return away if away.site is None else replace(away, site=cache(away.site))


def _asked(
    verdict: Verdict, carried: Carried | None, away: Away, keys: tuple[PublicKeyEntry, ...]
) -> Verdict:
    from certificates import mirror
    from certificates.joining import joined
    from certificates.recorded import record_check, record_shown
    from certificates.revoked import AtHand, with_revocations

    claim = mirror.claim_of(verdict)
    logs = tuple(entry.verifier() for entry in keys if entry.use == "log")
    # A key of another book says nothing of this one, neither for nor against.
    logs = tuple(key for key in logs if key.name == claim.origin)
    shown = (carried.entry_bytes, carried.proof) if carried else None
    if away.site is not None:
        verdict = mirror.with_mirror(verdict, away.site, logs, away.now)
        if shown is None:
            found = record_shown(claim.number, away.site)
            verdict = joined(verdict, record_check(claim, found, logs))
            shown = None if isinstance(found, BronzebookError) else found
    if away.status is not None:
        verdict = mirror.with_status(verdict, away.status, logs, away.now)
    hand = AtHand(
        logs=logs,
        site=away.site,
        taken=away.revocations,
        beside=_newest(away.site, logs),
        shown=shown,
        carried=carried,
    )
    return with_revocations(verdict, claim, hand)


def _newest(site: Fetch | None, logs: tuple[VerifierKey, ...]) -> Checkpoint | None:
    """The checkpoint of a site, if it shows one that holds; whatever is wrong was told before."""
    from certificates.mirror import read_mirror

    try:
        return read_mirror(site, logs).checkpoint if site else None
    except BronzebookError:
        return None
