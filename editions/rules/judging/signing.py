"""Judges of signing: who is asked to sign a certificate, and who has signed it.

The signers are those whom the run names and who may speak for the artist on the day of issue; where
one no longer may (the artist died, an authority ended), those who hold the authority then step in.
"""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.entitlement import covers
from editions.rules.judging.keys import keys_of, newest_key, signs_on
from editions.trade.book import Book
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateIssued,
    InkSigned,
    ProofReceived,
    RefusalTold,
    SignatureRefused,
    SignerLine,
    SignerRole,
)
from editions.trade.dates import certainly_before, say_when
from editions.trade.kinds import BOOK
from editions.trade.numbers import show_number
from editions.trade.paper import Paper
from editions.trade.parties import Party
from editions.trade.runs import Declaration, Run
from editions.trade.works import Work

# What the artist's side vouches for is the run of casts made here; not a promise, nor a find.
SIGNED_PAPERS: frozenset[Paper] = frozenset({"finished", "raw_metal"})


def signers_of(desk: Desk, declared: Declaration, on: str) -> tuple[SignerLine, ...]:
    """Who is to sign a certificate of a run issued on a day, each with the key that signs then.

    Raises:
        Refused: If signatures are wanted and nobody may give them.
    """
    if not declared.signers:
        return ()
    artist = known(desk, known(desk, declared.work, Work).artist, Party)
    roles = {code: _role(desk, code, artist, on) for code in declared.signers}
    if not all(roles.values()):
        heirs = (one for one in artist.authorities if one.artist == artist.code and covers(one, on))
        roles |= {one.holder: one.capacity for one in heirs if not roles.get(one.holder)}
    found = tuple(_line(desk, code, role, on) for code, role in roles.items() if role)
    if not found:
        raise Refused(
            f"Nobody may sign for {artist.shown} on {say_when(on)}.",
            "Enter the authority of who acts for the artist now.",
        )
    return found


def _role(desk: Desk, code: str, artist: Party, on: str) -> SignerRole | None:
    if code == artist.code:
        return None if artist.died and certainly_before(artist.died, on) else "artist"
    held = known(desk, code, Party).authorities
    covering = [one for one in held if one.artist == artist.code and one.holder == code]
    return next((one.capacity for one in covering if covers(one, on)), None)


def _line(desk: Desk, code: str, role: SignerRole, on: str) -> SignerLine:
    party = known(desk, code, Party)
    held = newest_key(desk, party, "artist", on)
    return SignerLine(party=code, name=party.shown, role=role, key=held.key if held else None)


@judges(CertificateIssued)
def _asked(draft: Draft, facts: CertificateIssued, desk: Desk) -> tuple[str, ...]:
    _certified_with(facts, desk)
    run = known(desk, facts.run, Run) if facts.run else None
    asked = run is not None and facts.statement.paper in SIGNED_PAPERS
    wanted = run.declared.signers_wanted if run and asked else "none"
    signers = signers_of(desk, run.declared, draft.on) if run and asked else ()
    if (facts.signers_wanted, facts.signers) != (wanted, signers):
        raise Refused(
            f"Certificate {show_number(facts.number)} asks for other signatures than its run.",
            "A certificate is signed by whom its run names.",
        )
    return ()


def _certified_with(facts: CertificateIssued, desk: Desk) -> None:
    if facts.foundry_key is None:
        return
    foundry = known(desk, known(desk, BOOK, Book).foundry, Party)
    standing = [k.key for k in keys_of(desk, foundry) if k.use == "foundry" and k.ended is None]
    if facts.foundry_key not in standing:
        raise Refused(
            "The key that would certify is none of the foundry's that stand.",
            "See: bronzebook key list.",
        )


@judges(CertificateDrawn)
def _complete(draft: Draft, _: CertificateDrawn, desk: Desk) -> tuple[str, ...]:
    certificate = known(desk, draft.subject, Certificate)
    if certificate.pending:
        raise Refused(
            f"Certificate {show_number(certificate.code)} is pending: "
            f"{len(certificate.proofs)} of {certificate.needed} signatures are in the book.",
            "It is drawn when the last has come.",
        )
    return ()


@judges(ProofReceived)
def _proved(draft: Draft, facts: ProofReceived, desk: Desk) -> tuple[str, ...]:
    _by_key(draft, facts, desk)
    return ()


@judges(SignatureRefused)
def _refused(draft: Draft, facts: SignatureRefused, desk: Desk) -> tuple[str, ...]:
    certificate = _by_key(draft, facts, desk)
    _not_refused(
        certificate, [one.party for one in certificate.refused if not one.how], facts.party
    )
    return ()


@judges(RefusalTold)
def _told(draft: Draft, facts: RefusalTold, desk: Desk) -> tuple[str, ...]:
    certificate, _ = _signing(draft, facts.party, desk)
    _not_refused(certificate, [one.party for one in certificate.refused], facts.party)
    return ()


def _not_refused(certificate: Certificate, already: list[str], party: str) -> None:
    if party in already:
        raise Refused(
            f"That {party} refuses to sign {show_number(certificate.code)} is in the book.",
            "Nothing is left to do.",
        )


def _by_key(draft: Draft, facts: ProofReceived | SignatureRefused, desk: Desk) -> Certificate:
    """The certificate, which waits for this signer's word by this very key."""
    certificate, signer = _signing(draft, facts.party, desk)
    party = known(desk, facts.party, Party)
    if facts.key != signer.key:
        raise Refused(
            f"{show_number(certificate.code)} does not name that key of {party.shown}.",
            "The key that was asked is named in the request.",
        )
    held = next((one for one in keys_of(desk, party) if one.key == facts.key), None)
    if held is None or not signs_on(held, draft.on):
        raise Refused(
            f"The key of {party.shown} does not sign on {say_when(draft.on)}: it ended, or its term"
            " is over.",
            "Withdraw the certificate and issue it anew, or take a signature in ink.",
        )
    return certificate


@judges(InkSigned)
def _inked(draft: Draft, facts: InkSigned, desk: Desk) -> tuple[str, ...]:
    _signing(draft, facts.party, desk)
    return ()


def _signing(draft: Draft, code: str, desk: Desk) -> tuple[Certificate, SignerLine]:
    """The certificate, which still waits, and the signer, who has not signed it yet."""
    certificate = known(desk, draft.subject, Certificate)
    number = show_number(certificate.code)
    if certificate.standing != "stands":
        raise Refused(
            f"Certificate {number} was {certificate.standing}; nobody signs it.",
            f"See: bronzebook certificate show {certificate.code}.",
        )
    if certificate.pdf is not None:
        raise Refused(
            f"Certificate {number} is drawn; nothing is added to it.", "Its paper stays as it is."
        )
    not_before(draft, certificate.issued, "it was issued")
    signer = certificate.signer(code)
    if signer is None:
        asked = ", ".join(one.name for one in certificate.signers) or "nobody"
        raise Refused(
            f"Certificate {number} asks {asked} to sign, not {code}.",
            "Name one of those who are asked.",
        )
    if any(proof.party == code for proof in certificate.proofs):
        raise Refused(f"{signer.name} has signed {number} already.", "Nothing is left to do.")
    _still_speaks(draft, certificate, code, desk)
    return certificate, signer


def _still_speaks(draft: Draft, certificate: Certificate, code: str, desk: Desk) -> None:
    run = known(desk, certificate.run or "", Run)
    artist = known(desk, known(desk, run.declared.work, Work).artist, Party)
    if _role(desk, code, artist, draft.on) is None:
        raise Refused(
            f"{code} may no longer sign for {artist.shown} on {say_when(draft.on)}.",
            "Withdraw the certificate and issue it anew: who acts now is asked then.",
        )
