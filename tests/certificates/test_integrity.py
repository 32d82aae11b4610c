"""Data Integrity proofs against the specification's own example, and whatever is not one."""

from __future__ import annotations

import copy
import hashlib
import json
from typing import Any

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st

from certificates.base58 import from_multibase, to_method, to_multibase
from certificates.integrity import (
    document_hash,
    options_hash,
    options_of,
    read_proof,
    require_moment,
    sign,
    verify,
)
from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.ledger.keys import PrivateKey

# "Data Integrity EdDSA Cryptosuites v1.0", W3C Recommendation of 15 May 2025, appendix B.3
# "Representation: eddsa-jcs-2022": the key pair, the credential without proof, the proof options,
# both hashes and the value of the proof.
PUBLIC = "z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2"
SEED = bytes.fromhex("c96ef9ea10c5e414c471723aff9de72c35fa5b70fae97e8832ecac7d2e2b8ed6")
CREATED = "2023-02-24T23:36:38Z"
CONTEXT = [
    "https://www.w3.org/ns/credentials/v2",
    "https://www.w3.org/ns/credentials/examples/v2",
]
ALUMNI: dict[str, Any] = {
    "@context": CONTEXT,
    "id": "urn:uuid:58172aac-d8ba-11ed-83dd-0b3aef56cc33",
    "type": ["VerifiableCredential", "AlumniCredential"],
    "name": "Alumni Credential",
    "description": "A minimum viable example of an Alumni Credential.",
    "issuer": "https://vc.example/issuers/5678",
    "validFrom": "2023-01-01T00:00:00Z",
    "credentialSubject": {"id": "did:example:abcdefgh", "alumniOf": "The School of Examples"},
}
OPTIONS: dict[str, Any] = {
    "type": "DataIntegrityProof",
    "cryptosuite": "eddsa-jcs-2022",
    "created": CREATED,
    "verificationMethod": f"did:key:{PUBLIC}#{PUBLIC}",
    "proofPurpose": "assertionMethod",
    "@context": CONTEXT,
}
DOCUMENT_HASH = "59b7cb6251b8991add1ce0bc83107e3db9dbbab5bd2c28f687db1a03abc92f19"
OPTIONS_HASH = "66ab154f5c2890a140cb8388a22a160454f80575f6eae09e5a097cabe539a1db"
VALUE = "z2HnFSSPPBzR36zdDgK8PbEHeXbR56YF24jwMpt3R1eHXQzJDMWS93FCzpvJpwTWd3GAVFuUfjoJdcnTMuVor51aX"
PROOF = OPTIONS | {"proofValue": VALUE}
KEY = PrivateKey(SEED)
OTHER = PrivateKey(bytes(32))


def test_both_hashes_are_those_of_the_specification() -> None:
    assert document_hash(ALUMNI).hex() == DOCUMENT_HASH
    assert options_hash(OPTIONS).hex() == OPTIONS_HASH
    assert options_of(PROOF) == OPTIONS


def test_the_proof_made_is_the_one_of_the_specification() -> None:
    assert sign(ALUMNI, KEY, CREATED) == PROOF


def test_the_proof_of_the_specification_holds() -> None:
    assert verify(ALUMNI, PROOF) == KEY.public.raw
    assert verify(ALUMNI | {"proof": PROOF}, PROOF) == KEY.public.raw
    assert verify(ALUMNI | {"proof": [PROOF, {}]}, PROOF) == KEY.public.raw


@given(
    st.dictionaries(
        st.text("abcxyz", min_size=1), st.text("äöü静 o") | st.integers(-9, 9) | st.none()
    )
)
def test_a_proof_is_what_other_libraries_make_of_the_same_steps(words: dict[str, Any]) -> None:
    # rfc8785 and cryptography called by hand, step by step as in section 3.3.1.
    options = {k: v for k, v in OPTIONS.items() if k != "@context"}
    data = b"".join(hashlib.sha256(rfc8785.dumps(part)).digest() for part in (options, words))
    signature = Ed25519PrivateKey.from_private_bytes(SEED).sign(data)
    proof = sign(words, KEY, CREATED)
    assert from_multibase(proof["proofValue"]) == signature
    assert verify(words, proof) == KEY.public.raw


def test_every_single_bit_of_a_signed_document_counts() -> None:
    data = json.dumps(ALUMNI | {"proof": PROOF}, ensure_ascii=False).encode()
    held = []
    for bit in range(len(data) * 8):
        changed = bytearray(data)
        changed[bit // 8] ^= 1 << bit % 8
        try:
            document = json.loads(changed)
            verify(document, document["proof"])
        except (BronzebookError, ValueError, KeyError):
            continue
        held.append(bit)
    # JSON is read loosely here, spaces and all, so that only the proof stands guard.
    assert held == []


@pytest.mark.parametrize("name", sorted(ALUMNI))
def test_a_word_of_the_document_changed_or_gone_breaks_the_proof(name: str) -> None:
    with pytest.raises(Contradiction):
        verify(ALUMNI | {name: "other"}, PROOF)
    with pytest.raises(Contradiction):
        verify({k: v for k, v in ALUMNI.items() if k != name}, PROOF)


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("type", "Ed25519Signature2020", "is of the type “Ed25519Signature2020”"),
        ("cryptosuite", "ecdsa-jcs-2019", "made with the cryptosuite “ecdsa-jcs-2019”"),
        ("cryptosuite", "eddsa-rdfc-2022", "made with the cryptosuite “eddsa-rdfc-2022”"),
        ("proofPurpose", "authentication", "for the purpose “authentication”"),
        ("created", "yesterday", "is not a moment"),
        ("created", "2023-02-30T00:00:00Z", "is not a moment"),
        ("verificationMethod", "https://vc.example/issuers/5678#key-0", "not a did:key"),
        ("verificationMethod", f"did:key:{PUBLIC}", "two halves"),
        ("proofValue", VALUE[1:], "not in base58btc"),
        ("proofValue", VALUE[:-3], "bytes, not 64"),
        ("proofValue", to_multibase(bytes(65)), "65 bytes, not 64"),
        ("proofValue", "z0" + VALUE[2:], "no letter of base58"),
        ("expires", "2099-01-01T00:00:00Z", "option that is not read here: “expires”"),
        ("domain", "vc.example", "option that is not read here: “domain”"),
        ("previousProof", "urn:uuid:1", "option that is not read here: “previousProof”"),
    ],
)
def test_a_proof_of_another_form_is_refused_and_says_why(name: str, value: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        verify(ALUMNI, PROOF | {name: value})


@pytest.mark.parametrize("name", sorted(set(PROOF) - {"@context"}))
@pytest.mark.parametrize("value", [None, 1, ["text"], {}])
def test_a_field_that_is_missing_or_no_text_is_refused(name: str, value: object) -> None:
    with pytest.raises(Unreadable, match=f"lacks its field {name}"):
        verify(ALUMNI, PROOF | {name: value})
    with pytest.raises(Unreadable, match=f"lacks its field {name}"):
        verify(ALUMNI, {k: v for k, v in PROOF.items() if k != name})


@pytest.mark.parametrize("proof", [None, [], "text", [PROOF], 1])
def test_what_is_no_object_is_no_proof(proof: object) -> None:
    with pytest.raises(Unreadable, match="not an object"):
        verify(ALUMNI, proof)


def test_a_proof_under_a_key_that_is_none_is_refused() -> None:
    with pytest.raises(KeyUnusable):
        read_proof(PROOF | {"verificationMethod": to_method(bytes(32))})


def test_another_date_or_another_key_breaks_the_signature() -> None:
    for change in (
        {"created": "2023-02-24T23:36:39Z"},
        {"verificationMethod": to_method(OTHER.public.raw)},
        {"proofValue": sign(ALUMNI, OTHER, CREATED)["proofValue"]},
    ):
        with pytest.raises(Contradiction, match="does not hold"):
            verify(ALUMNI, PROOF | change)


@pytest.mark.parametrize(
    "context",
    [[], None, "https://www.w3.org/ns/credentials/v2", CONTEXT[::-1], CONTEXT[1:], [*CONTEXT, "x"]],
    ids=str,
)
def test_a_proof_under_another_context_is_refused(context: object) -> None:
    with pytest.raises(Contradiction):
        verify(ALUMNI, PROOF | {"@context": context})


def test_a_proof_whose_context_does_not_begin_the_documents_says_so() -> None:
    with pytest.raises(Contradiction, match="another context"):
        verify(ALUMNI, PROOF | {"@context": CONTEXT[1:]})
    with pytest.raises(Contradiction, match="another context"):
        verify({k: v for k, v in ALUMNI.items() if k != "@context"}, PROOF)


def test_a_context_that_only_goes_on_leaves_the_proof_standing() -> None:
    # Section 3.3.2, step 4: the proof's context begins the document's and then replaces it.
    assert verify(ALUMNI | {"@context": [*CONTEXT, "urn:more"]}, PROOF) == KEY.public.raw


def test_a_single_context_is_signed_as_it_is_written() -> None:
    words = {"@context": "urn:one", "a": "b"}
    proof = sign(words, KEY, CREATED)
    assert proof["@context"] == "urn:one"
    assert verify(words, proof) == KEY.public.raw
    assert verify({"@context": ["urn:one", "urn:two"], "a": "b"}, proof) == KEY.public.raw


def test_signing_leaves_the_document_as_it_was() -> None:
    before = copy.deepcopy(ALUMNI)
    sign(ALUMNI, KEY, CREATED)
    assert before == ALUMNI


@pytest.mark.parametrize("words", [{"a": 0.5}, {"a": 2**53}, {"a": "e\u0301"}, {"é": 1}])
def test_a_document_that_two_readers_could_read_apart_is_not_signed(words: dict[str, Any]) -> None:
    with pytest.raises(Unreadable):
        sign(words, KEY, CREATED)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-11-24",
        "2026-11-24T12:00:00",
        "2026-11-24T12:00:00+00:00",
        "2026-11-24T12:00:00.5Z",
        "2026-11-24 12:00:00Z",
        "2026-11-24T24:30:00Z",
        "2026-13-24T12:00:00Z",
        "２026-11-24T12:00:00Z",
        "2026-11-24T12:00:00Z\n",
    ],
)
def test_a_moment_has_one_form(text: str) -> None:
    require_moment(CREATED)
    with pytest.raises(Unreadable):
        require_moment(text)
    with pytest.raises(Unreadable):
        sign(ALUMNI, KEY, text)
