"""A certificate that waits for the artist's side to sign, and the same drawn with their proof."""

from __future__ import annotations

from typing import Any

from certificates.asking import ask_for
from certificates.attach import read_attachments
from certificates.credential import from_bytes
from certificates.issue import issue
from certificates.requests import read_request, sign_request
from certificates.verify import Verdict
from editions.ledger.canonical import canonical
from editions.ledger.keys import PrivateKey
from editions.registry import Registry
from editions.registry.acts.keys import admit_key
from editions.registry.acts.parties import give_authority
from editions.trade.certificates import Certificate
from editions.trade.runs import Run
from tests.certificates.test_verify import with_files
from tests.registry import builders
from tests.registry.builders import PASSPHRASE

ARTIST = "Y-0002"
NAME, FOUNDRY = "Ilse Varga", builders.FOUNDRY
KEY, OTHER = PrivateKey(b"\x07" * 32), PrivateKey(b"\x08" * 32)
SIGNED = "2026-11-25T09:00:00Z"
SCAN = b"%PDF-1.7 a scan of a signed sheet"


def admit(registry: Registry, party: str = ARTIST, key: PrivateKey = KEY) -> None:
    with registry.writing() as w:
        admit_key(w, party, key.public.raw, document="compared in the studio")


def prepared(registry: Registry, *signers: str, wanted: str = "all") -> str:
    """A finished piece of a run whose certificates its signers have to sign."""
    with registry.reading() as r:
        work = r.get("R-0001", Run).declared.work
    run = builders.a_run(registry, work, signers=signers or (ARTIST,), signers_wanted=wanted)
    return builders.a_piece(registry, run, to="approved in colour", number="4/8")


def pending(registry: Registry, *signers: str, wanted: str = "all") -> str:
    """The number of a certificate that waits for signatures."""
    piece = prepared(registry, *signers, wanted=wanted)
    assert issue(registry, [piece], passphrase=PASSPHRASE) == ()
    return certificates(registry)[-1].code


def certificates(registry: Registry) -> tuple[Certificate, ...]:
    with registry.reading() as r:
        return r.all_of(Certificate)


def replied(registry: Registry, number: str, party: str = ARTIST, key: PrivateKey = KEY) -> bytes:
    return sign_request(read_request(ask_for(registry, [number], party)), key, SIGNED)


def drawn(registry: Registry) -> bytes:
    (made,) = issue(registry, (), passphrase=PASSPHRASE)
    return made.path.read_bytes()


def result(verdict: Verdict, name: str) -> str:
    return next(check.result for check in verdict.checks if check.name == name)


def says(verdict: Verdict, name: str) -> str:
    return next(check.says for check in verdict.checks if check.name == name)


def with_credential(paper: bytes, change: Any) -> bytes:
    document = from_bytes(read_attachments(paper)["credential.json"])
    change(document)
    return with_files(paper, credential=canonical(document))


def heirs(registry: Registry) -> tuple[str, str]:
    """Two heirs who share the authority for the artist, each with a key."""
    made = []
    for name, key in (("Jolan Varga", KEY), ("Pal Varga", OTHER)):
        code = builders.a_party(registry, "estate", name=name)
        with registry.writing() as w:
            give_authority(w, code, ARTIST, capacity="heirs", document="will", begins="2020")
        admit(registry, code, key)
        made.append(code)
    return made[0], made[1]
