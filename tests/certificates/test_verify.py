"""Tests of checking a certificate: what agrees, what contradicts, and what was not checked."""

from __future__ import annotations

import io
from typing import Any

import msgspec
import pikepdf
import pytest

from certificates import checks
from certificates.attach import read_attachments
from certificates.claim import sign_claim
from certificates.credential import AGREEMENT
from certificates.keyfile import PublicKeyEntry
from certificates.signatures import SIGNERS, proof_name
from certificates.verify import Verdict, verify_pdf
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import fingerprint
from editions.trade.numbers import make_number
from tests.certificates.builders import (
    FOUNDRY_KEY,
    LOG_KEY,
    MINIMAL,
    NUMBER,
    ORIGIN,
    OTHER_KEY,
    STATEMENTS,
    USUAL,
    Sealed,
    entry_of,
    foundry_keys,
    paper,
    sealed,
    verifier,
)
from tests.helpers.chance import Chance

OTHER_NUMBER = make_number(Chance("another certificate"))
LOG = (PublicKeyEntry(use="log", key=verifier(LOG_KEY)),)


def result(verdict: Verdict, name: str) -> str:
    return {check.name: check.result for check in verdict.checks}[name]


def says(verdict: Verdict, name: str) -> str:
    return {check.name: check.says for check in verdict.checks}[name]


def with_files(data: bytes, **changes: bytes | None) -> bytes:
    """A certificate's PDF whose attached files are changed or taken out."""
    names = {
        "entry": "entry.json",
        "proof": "certificate.tlog-proof",
        "claim": "claim.cose",
        "keys": "keys.txt",
        "credential": "credential.json",
    }
    files = {**read_attachments(data), **{names[k]: v for k, v in changes.items()}}
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as document:
        for name, part in files.items():
            del document.attachments[name]
            if part is not None:
                document.attachments[name] = pikepdf.AttachedFileSpec(document, part)
        document.save(out)
    return out.getvalue()


@pytest.mark.parametrize("page", ["A4", "letter"])
@pytest.mark.parametrize("name", STATEMENTS)
def test_a_whole_certificate_agrees_in_everything_but_its_standing(name: str, page: Any) -> None:
    certificate = sealed(STATEMENTS[name])
    verdict = verify_pdf(paper(certificate, page), (*foundry_keys(), *LOG))
    assert {check.name: check.result for check in verdict.checks} == {
        checks.SIGNATURE: "agrees",
        checks.KEY: "agrees",
        checks.ENTRY: "agrees",
        checks.INCLUSION: "agrees",
        checks.CHECKPOINT: "agrees",
        checks.PAPER: "agrees",
        AGREEMENT: "agrees",
        SIGNERS: "agrees",
        proof_name(certificate.statement.issuer or certificate.statement.foundry): "agrees",
        checks.PAGE: "agrees",
        checks.STANDING: "not checked",
    }
    assert verdict.proved
    assert verdict.status == 5
    assert verdict.key_from == "given"
    assert verdict.number == NUMBER
    assert verdict.statement == STATEMENTS[name]
    assert verdict.claim == certificate.claim
    assert (verdict.standing, verdict.standing_as_of) == ("not checked", None)
    assert verdict.contradicted == ()


def test_with_no_key_a_paper_proves_that_it_agrees_with_itself_and_says_so() -> None:
    verdict = verify_pdf(paper(sealed()), ())
    assert verdict.proved
    assert verdict.status == 5
    assert verdict.key_from == "paper"
    assert result(verdict, checks.KEY) == "not checked"
    assert "The key came with the paper" in says(verdict, checks.KEY)
    assert fingerprint(FOUNDRY_KEY.public.raw) in says(verdict, checks.KEY)
    assert "independent place" in says(verdict, checks.KEY)


def test_a_book_of_one_entry_proves_it_too() -> None:
    assert verify_pdf(paper(sealed(before=0, after=0)), foundry_keys()).status == 5


def test_a_foundry_key_alone_proves_the_paper_with_the_book_key_it_carries() -> None:
    verdict = verify_pdf(paper(sealed()), foundry_keys())
    assert verdict.status == 5
    assert "that the paper carries" in says(verdict, checks.CHECKPOINT)


def test_a_forger_who_makes_a_whole_book_with_another_key_is_found_by_the_key() -> None:
    forged = paper(sealed(key=OTHER_KEY))
    assert verify_pdf(forged, ()).status == 5
    verdict = verify_pdf(forged, foundry_keys())
    assert verdict.status == 3
    assert not verdict.proved
    assert "none of the foundry's keys" in says(verdict, checks.SIGNATURE)


def test_a_certificate_of_another_book_is_not_known_here() -> None:
    verdict = verify_pdf(paper(sealed()), foundry_keys(OTHER_KEY, "elsewhere.example"))
    assert verdict.status == 4
    assert not verdict.proved
    assert result(verdict, checks.SIGNATURE) == "not checked"
    assert "are those of “elsewhere.example”, another book" in says(verdict, checks.SIGNATURE)
    assert result(verdict, checks.KEY) == "not checked"


def test_several_keys_may_be_given_as_after_a_rotation() -> None:
    keys = (*foundry_keys(OTHER_KEY), *foundry_keys())
    assert verify_pdf(paper(sealed()), keys).status == 5


def test_a_given_book_key_is_used_instead_of_the_one_carried() -> None:
    other = PublicKeyEntry(use="log", key=verifier(OTHER_KEY))
    verdict = verify_pdf(paper(sealed()), (*foundry_keys(), other))
    assert verdict.status == 4
    assert result(verdict, checks.CHECKPOINT) == "not checked"
    assert "may have changed its key" in says(verdict, checks.CHECKPOINT)


def test_a_signature_over_another_claim_contradicts() -> None:
    certificate = sealed()
    other = sign_claim(msgspec.structs.replace(certificate.claim, title="Another"), FOUNDRY_KEY)
    mixed = certificate.seal.claim[:-64] + other[-64:]
    verdict = verify_pdf(paper(certificate.replaced(claim=mixed)), foundry_keys())
    assert verdict.status == 3
    assert result(verdict, checks.SIGNATURE) == "contradicts"


@pytest.mark.parametrize(
    ("claimed", "name"),
    [
        ({"number": OTHER_NUMBER}, checks.ENTRY),
        ({"leaf": bytes(32)}, checks.ENTRY),
        ({"index": 4}, checks.INCLUSION),
        ({"size": 40}, checks.INCLUSION),
        ({"size": 14}, checks.CHECKPOINT),
        ({"root": bytes(range(32))}, checks.INCLUSION),
        ({"root": bytes(range(32))}, checks.CHECKPOINT),
        ({"origin": "another.example"}, checks.CHECKPOINT),
        ({"paper": "raw_metal"}, checks.PAPER),
        ({"artist": "Ilse Vargas"}, checks.PAPER),
        ({"title": "Sitting Woman"}, checks.PAPER),
        ({"designation": "4/8"}, checks.PAPER),
        ({"designation": None}, checks.PAPER),
        ({"cast": "2025"}, checks.PAPER),
        ({"issued": "2026-11-25"}, checks.PAPER),
        ({"number": OTHER_NUMBER}, checks.PAPER),
    ],
    ids=str,
)
def test_a_claim_that_differs_from_its_entry_contradicts(
    claimed: dict[str, Any], name: str
) -> None:
    certificate = sealed(**claimed)
    for keys in ((), foundry_keys()):
        verdict = verify_pdf(paper(certificate), keys)
        assert verdict.status == 3
        assert not verdict.proved
        assert result(verdict, name) == "contradicts"
        assert checks.PAGE not in {check.name for check in verdict.checks}


def test_a_difference_is_said_in_both_versions() -> None:
    verdict = verify_pdf(paper(sealed(title="Sitting Woman")), foundry_keys())
    assert says(verdict, checks.PAPER) == (
        "The code gives “Sitting Woman” as title, the entry “Standing Woman with Lowered Eyes”"
    )


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "wax_pulled"},
        {"subject": OTHER_NUMBER},
        {"facts": {"number": OTHER_NUMBER, "statement": msgspec.to_builtins(USUAL)}},
        {"facts": {"statement": msgspec.to_builtins(USUAL)}},
        {"facts": {"number": NUMBER}},
        {"facts": {"number": NUMBER, "statement": None}},
        {"facts": {"number": NUMBER, "statement": {"artist": "Ilse Varga"}}},
        {"facts": {"number": NUMBER, "statement": {**msgspec.to_builtins(USUAL), "price": 1}}},
        {"facts": {"number": NUMBER, "statement": {**msgspec.to_builtins(USUAL), "mass": "1"}}},
        {
            "facts": {
                "number": NUMBER,
                "statement": {
                    **msgspec.to_builtins(USUAL),
                    "mass": {"value": "1e9", "unit": "kg"},
                },
            }
        },
        {
            "facts": {
                "number": NUMBER,
                "statement": {**msgspec.to_builtins(USUAL), "colour": "a\u202eb"},
            }
        },
        {
            "facts": {
                "number": NUMBER,
                "statement": {**msgspec.to_builtins(USUAL), "remarks": ["\u0007"]},
            }
        },
        {
            "facts": {
                "number": NUMBER,
                "statement": {**msgspec.to_builtins(USUAL), "colour": "x" * 5000},
            }
        },
    ],
    ids=lambda changes: str(changes)[:60],
)
def test_an_entry_that_issues_no_such_certificate_contradicts(changes: dict[str, Any]) -> None:
    certificate = sealed(entry=entry_of(USUAL, **changes))
    verdict = verify_pdf(paper(certificate), foundry_keys())
    assert verdict.status == 3
    assert not verdict.proved


def test_a_statement_that_leaves_out_what_is_not_recorded_is_read() -> None:
    plain = msgspec.to_builtins(MINIMAL)
    kept = {k: v for k, v in plain.items() if v not in (None, [])}
    facts = {"number": NUMBER, "statement": kept, "record": "0" * 64}
    verdict = verify_pdf(paper(sealed(MINIMAL, entry=entry_of(MINIMAL, facts=facts))), ())
    assert verdict.status == 5
    assert verdict.statement == MINIMAL


def test_an_entry_exchanged_for_another_contradicts() -> None:
    data = with_files(paper(sealed()), entry=entry_of(MINIMAL))
    verdict = verify_pdf(data, foundry_keys())
    assert result(verdict, checks.ENTRY) == "contradicts"
    assert verdict.status == 3


def test_a_proof_exchanged_for_that_of_another_entry_contradicts() -> None:
    other = sealed(before=4, after=8)
    data = with_files(paper(sealed()), proof=other.seal.proof.encode())
    verdict = verify_pdf(data, foundry_keys())
    assert "The proof is for entry 4, the code names 5." in says(verdict, checks.INCLUSION)
    assert verdict.status == 3


def test_a_checkpoint_signed_by_another_key_contradicts() -> None:
    certificate = sealed()
    claim = certificate.claim
    note = sign_checkpoint(Checkpoint(ORIGIN, claim.size, claim.root), OTHER_KEY)
    proof = with_checkpoint(certificate, note)
    verdict = verify_pdf(with_files(paper(certificate), proof=proof), foundry_keys())
    assert result(verdict, checks.INCLUSION) == "agrees"
    assert result(verdict, checks.CHECKPOINT) == "contradicts"
    assert verdict.status == 3


def with_checkpoint(certificate: Sealed, note: str) -> bytes:
    """The certificate's proof with another checkpoint beneath it."""
    head, _, _ = certificate.seal.proof.partition("\n\n")
    return f"{head}\n\n{note}".encode()


def test_a_paper_that_carries_no_key_of_its_book_contradicts() -> None:
    keys = f"log {verifier(LOG_KEY, 'another.example')}\nfoundry {verifier(FOUNDRY_KEY)}\n"
    verdict = verify_pdf(with_files(paper(sealed()), keys=keys.encode()), ())
    assert "carries no key of the book" in says(verdict, checks.CHECKPOINT)
    assert verdict.status == 3
