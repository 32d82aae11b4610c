"""Verifying whatever someone holds: told apart by what it is, checked alone, then asked about.

A certificate's PDF, a picture of it, the text of its code, the page of its record as it was kept,
its number, or a number of the edition with the work: :func:`verify` takes them all.  A paper is
first checked alone.  Then whoever is there is asked about it: a registry, a published site, notes
that were taken along; where nobody is, its standing is left unchecked.  :func:`verify_papers` takes
several at once and holds them side by side besides::

    from editions import open_registry, verify

    with_registry = verify(open_registry("book"), Path("certificate.pdf"))
    alone = verify(None, Path("certificate.pdf"), keys=keys)
    alone[0].status, alone[0].standing       # 5, "not checked"
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import replace

from certificates.afar import Away, from_afar, on_site, remembering
from certificates.checks import GROWTH
from certificates.claim import Claim
from certificates.keyfile import PublicKeyEntry
from certificates.site_keys import keys_shown, with_later
from certificates.verify import Verdict, verify_code, verify_pdf, verify_picture, verify_record
from editions.errors import FileUnusable, RegistryUnusable, Unreadable
from editions.ledger.notes import VerifierKey
from editions.trade.text import shown

if TYPE_CHECKING:
    from certificates.carried import Carried
    from certificates.comparing import Comparison, Witness
    from editions.registry import Registry

__all__ = ["Away", "verify", "verify_papers"]

LARGEST = 64_000_000
MOST_PAPERS = 100

_PDF = b"%PDF-"
_PAGE = b"<!doctype html"
_BRING = "Bring the certificate's PDF, a picture of it, or the text of its code."


class Examined(msgspec.Struct, frozen=True, kw_only=True):
    """Several papers: the verdict on each by its name, in the order given, and all together."""

    verdicts: tuple[tuple[str, Verdict], ...]
    comparison: Comparison

    @property
    def status(self) -> int:
        """The worst that was found: 3, then 4, then 5."""
        found = [verdict.status for _, verdict in self.verdicts]
        return worst([*found, 3] if self.comparison.contradicted else found)


def worst(statuses: Sequence[int]) -> int:
    """The status of several: a contradiction outweighs all, then what is not known."""
    return max(statuses, key=(0, 5, 4, 3).index)


def verify(
    registry: Registry | None,
    what: str | bytes | Path,
    *,
    work: str | None = None,
    away: Away | None = None,
) -> tuple[Verdict, ...]:
    """Check what someone holds, and say how it stands as far as somebody can be asked.

    Args:
        registry: The registry to ask; without one nothing of the store is loaded.
        what: A PDF or a picture, as a path or its bytes; or the text of a code, a record's
            address, a certificate's number, or, with ``work``, a designation such as ``3/8``.
        work: The work's code, for a designation.
        away: Where there is no registry: keys, a site or a status note.

    Returns:
        One verdict; several where a number of the edition had several papers.

    Raises:
        Unreadable: If the text is nothing of this.
        FileUnusable: If the bytes are no certificate's.
        NotKnown: If the registry does not know the number.
        RegistryUnusable: If only a registry could answer.
    """
    asked = away or Away()
    if isinstance(what, Path):
        what = read_held(what)
    if isinstance(what, bytes):
        return (_paper(registry, what, asked)[0],)
    if work is not None:
        return _designation(_needed(registry, what, asked), what, work)
    if "#" in what:
        return (_paper(registry, what, asked)[0],)
    address = what.casefold().startswith(("http://", "https://"))
    return (_number(registry, what.rstrip("/").rpartition("/")[2] if address else what, asked),)


def read_held(path: Path, largest: int = LARGEST) -> bytes:
    """The bytes of a file that someone holds: a paper, a picture, keys, a note.

    Raises:
        FileUnusable: If it is no file, cannot be read, or has more than ``largest`` bytes.
    """
    named = shown(str(path), 200)
    try:
        # Asked first: opening a pipe would wait for ever, and a device never ends.
        if not path.is_file():
            what = "is not a file" if path.exists() else "does not exist"
            raise FileUnusable(f"{named} {what}.", "Check its path.")
        with path.open("rb") as file:
            data = file.read(largest + 1)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "its name cannot be read"
        raise FileUnusable(f"{named} cannot be read: {reason}.", "Check its path.") from fault
    if len(data) > largest:
        size = f"{largest // 1_000_000} MB" if largest >= 1_000_000 else f"{largest // 1000} kB"
        raise FileUnusable(f"{named} is larger than {size}, which none is.", "Is it the right one?")
    return data


def verify_papers(
    registry: Registry | None, papers: Sequence[tuple[str, str | bytes]], away: Away | None = None
) -> Examined:
    """Check several papers, and hold those of one book side by side.

    Args:
        registry: The registry to ask, or None.
        papers: Each by a name to call it, and its PDF, picture, or code's text.
        away: As for :func:`verify`.

    Raises:
        Unreadable: If one of them is only a number, or they are too many.
        FileUnusable: If one of them is no certificate's.
    """
    from certificates.comparing import compare
    from certificates.sameness import Held, one_object

    if len(papers) > MOST_PAPERS:
        raise Unreadable(f"At most {MOST_PAPERS} papers are held side by side.", "Bring fewer.")
    asked = remembering(away or Away())
    verdicts: list[tuple[str, Verdict]] = []
    witnesses: list[Witness] = []
    mute: list[str] = []
    same: list[Held] = []
    for name, held in papers:
        if isinstance(held, str) and "#" not in held:
            raise Unreadable(f"{shown(held)} cannot be held beside a paper.", _BRING)
        verdict, alone = _paper(registry, held, asked)
        verdicts.append((name, verdict))
        same.append(Held(name, verdict, _replaced_by(held) if alone.proved else None))
        if alone.proved and alone.claim is not None:
            witnesses.append(_witness(name, held, alone.claim, verdict))
        else:
            mute.append(name)
    found = compare(witnesses, mute)
    found = replace(found, checks=(*found.checks, *one_object(same)))
    return Examined(verdicts=tuple(verdicts), comparison=found)


def _paper(registry: Registry | None, held: str | bytes, away: Away) -> tuple[Verdict, Verdict]:
    """The verdict on a paper or its code, and the verdict on it alone."""
    if registry is None:
        away, alone = _alone_with_site(held, away)
    else:
        alone = _alone(held, registry.public_keys())
    if registry is not None:
        from certificates.standing import ask

        pdf = held if isinstance(held, bytes) and _is_pdf(held) else None
        return ask(registry, alone, pdf), alone
    if not away.somebody:
        return alone, alone
    return from_afar(alone, _carried(held), away), alone


def _alone_with_site(held: str | bytes, away: Away) -> tuple[Away, Verdict]:
    """The verdict on what is held alone; a code carries no key, so its site's stand in for one."""
    carries = isinstance(held, bytes) and (_is_pdf(held) or _is_page(held))
    shown_there = not away.keys and away.site is not None and not carries
    keys = keys_shown(away.site) if shown_there else away.keys
    away = replace(away, keys=with_later(keys, away.site))
    alone = _alone(held, away.keys)
    # What a site shows vouches for no more than what came with a paper.
    return away, replace(alone, key_from="paper") if shown_there and keys else alone


def _alone(held: str | bytes, keys: Sequence[PublicKeyEntry]) -> Verdict:
    if isinstance(held, str):
        return verify_code(held, keys)
    if _is_page(held):
        return verify_record(held, keys)
    return (verify_pdf if _is_pdf(held) else verify_picture)(held, keys)


def _witness(name: str, held: str | bytes, claim: Claim, verdict: Verdict) -> Witness:
    """A paper that proves itself, with what its proof shows of the tree."""
    from certificates.comparing import Seen, Witness, nodes_seen

    seen, logs = Seen(), frozenset[VerifierKey]()
    if (carried := _carried(held)) is not None:
        seen = nodes_seen(claim.leaf, claim.index, claim.size, carried.proof.hashes)
        logs = frozenset(one.verifier() for one in carried.keys if one.use == "log")
    grown = next((check for check in verdict.checks if check.name == GROWTH), None)
    return Witness(name=name, claim=claim, logs=logs, seen=seen, grown=grown)


def _replaced_by(held: str | bytes) -> str | None:
    """The number that a paper's entry says it was issued in place of."""
    carried = _carried(held)
    number = carried.entry.facts.get("replaces") if carried else None
    return number if isinstance(number, str) else None


def _designation(registry: Registry, what: str, work: str) -> tuple[Verdict, ...]:
    from certificates.designated import check_designation

    return check_designation(registry, what, work)


def _number(registry: Registry | None, text: str, away: Away) -> Verdict:
    from editions.rules.designations import read_designation
    from editions.trade.numbers import read_number

    if read_designation(text) is not None:
        raise Unreadable(f"{text} is the number of many casts.", "Say of which work: --work WORDS.")
    number = read_number(text)
    if registry is None and away.site is not None:
        return on_site(number, away, away.site)
    asked = _needed(registry, number, away)
    from certificates.standing import check_number

    return check_number(asked, number)


def _needed(registry: Registry | None, what: str, away: Away) -> Registry:
    """The registry, without which a number cannot be looked up."""
    if registry is not None:
        return registry
    if away.keys or away.status or away.revocations:
        raise Unreadable(
            f"{shown(what)} is only a number: a key or a note has nothing to check it by.",
            f"{_BRING} Or name the site of its record: --site ADDRESS.",
        )
    raise RegistryUnusable(
        f"{shown(what)} is only a number, and there is no registry here to look it up in.",
        f"{_BRING} Or name the foundry's registry: bronzebook --registry PATH verify NUMBER.",
    )


def _carried(held: str | bytes) -> Carried | None:
    """What a PDF or the page of a record carries; a code carries nothing."""
    from certificates.carried import read_carried, read_page

    if isinstance(held, str):
        return None
    if _is_page(held):
        return read_page(held)
    return read_carried(held) if _is_pdf(held) else None


def _is_page(held: str | bytes) -> bool:
    """Whether it is a page that was kept: nothing else that is held begins so."""
    return isinstance(held, bytes) and held[:64].lstrip().lower().startswith(_PAGE)


def _is_pdf(held: str | bytes) -> bool:
    return isinstance(held, bytes) and _PDF in held[:1024]
