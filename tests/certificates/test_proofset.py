"""The proofs of a credential: whose are there, and each fault in its own words."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.base58 import to_did, to_method
from certificates.credential import from_bytes, of_document, to_bytes
from certificates.integrity import Document, document_hash, read_proof, require_signed, sign
from certificates.proofset import (
    NOBODY,
    STRANGER,
    Known,
    ProofFound,
    add_proof,
    check_proof,
    check_proofs,
    lacking,
    with_proof,
)
from certificates.signers import Signer
from editions.errors import BronzebookError, Contradiction, KeyUnusable, Refused, Unreadable
from editions.ledger.canonical import parse
from editions.ledger.keys import fingerprint
from tests.certificates.builders import FOUNDRY_KEY, MINIMAL, OTHER_KEY, USUAL
from tests.certificates.credentials import (
    ARTIST,
    ARTIST_KEY,
    HEIR_KEYS,
    HEIRS,
    INK,
    LATER,
    NOON,
    altered,
    signed,
    unsigned,
)

KNOWN = Known(
    foundry=frozenset({FOUNDRY_KEY.public.raw}),
    holders=frozenset({ARTIST_KEY.public.raw, *(key.public.raw for key in HEIR_KEYS)}),
)
OF_BOTH = (FOUNDRY_KEY.public.raw, ARTIST_KEY.public.raw)


def results(document: Document, known: Known = KNOWN) -> list[str]:
    return [found.result for found in check_proofs(document, known)]


def only(document: Document, at: int, known: Known = KNOWN) -> ProofFound:
    return check_proofs(document, known)[at]


def faulty(document: Document, at: int = 1, known: Known = KNOWN) -> str:
    """What is said of one proof, which must contradict and hold nothing."""
    found = only(document, at, known)
    assert found.result == "contradicts"
    assert not found.holds
    return found.says


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def test_both_proofs_hold_and_say_whose_they_are() -> None:
    foundry, artist = check_proofs(signed(), KNOWN)
    assert (foundry.by, foundry.role, foundry.result) == (
        "Hollow Oak Foundry",
        "foundry",
        "agrees",
    )
    assert (artist.by, artist.role, artist.result) == ("Ilse Varga", "artist", "agrees")
    assert artist.key == ARTIST_KEY.public.raw
    assert fingerprint(ARTIST_KEY.public.raw) in artist.says
    assert NOON in artist.says


def test_a_key_that_only_the_credential_names_is_to_be_compared() -> None:
    for found in check_proofs(signed()):
        assert (found.result, found.holds) == ("not checked", True)
        assert "Compare it with an independent place" in found.says
        assert fingerprint(found.key or b"") in found.says


def test_keys_known_of_one_side_say_nothing_of_the_other() -> None:
    assert results(signed(), Known(foundry=KNOWN.foundry)) == ["agrees", "not checked"]
    assert results(signed(), Known(holders=KNOWN.holders)) == ["not checked", "agrees"]


def test_no_two_roles_share_their_known_keys() -> None:
    swapped = Known(foundry=KNOWN.holders, holders=KNOWN.foundry)
    assert results(signed(), swapped) == ["contradicts", "contradicts"]


def test_the_order_in_which_signers_sign_does_not_show() -> None:
    one = signed(keys=(FOUNDRY_KEY, ARTIST_KEY))
    other = signed(keys=(ARTIST_KEY, FOUNDRY_KEY))
    assert to_bytes(one) == to_bytes(other)


def test_a_proof_not_there_is_named() -> None:
    foundry, artist = check_proofs(signed(keys=(FOUNDRY_KEY,)), KNOWN)
    assert foundry.result == "agrees"
    assert (artist.result, artist.holds) == ("not checked", False)
    assert artist.says == "There is no proof of Ilse Varga, artist."
    assert results(unsigned()) == ["not checked", "not checked"]


def test_one_who_signs_in_ink_is_said_to() -> None:
    found = only(unsigned(holders=(INK,)), 1)
    assert (found.by, found.result, found.key) == ("Ottó Varga", "not checked", None)
    assert "signs in ink" in found.says


@pytest.mark.parametrize("at", [0, 1])
def test_a_proof_taken_away_is_missed_and_the_other_stands(at: int) -> None:
    document = signed()
    document["proof"].pop(at)
    found = check_proofs(document, KNOWN)
    assert sorted(one.result for one in found) == ["agrees", "not checked"]
    assert "There is no proof of" in found[1].says
    assert lacking(document, found)


def test_no_proof_but_those_of_the_named_signers_counts() -> None:
    document = signed()
    document["proof"].append(sign(document, OTHER_KEY, NOON))
    found = only(document, 2)
    assert (found.by, found.role, found.key) == (STRANGER, None, None)
    assert "a key that this credential does not name" in faulty(document, 2)
    assert fingerprint(OTHER_KEY.public.raw) in found.says
    assert results(document)[:2] == ["agrees", "agrees"]


def test_a_proof_that_is_there_twice_counts_once() -> None:
    document = signed()
    for again in (document["proof"][1], sign(document, ARTIST_KEY, LATER)):
        doubled = document | {"proof": [*document["proof"], again]}
        assert "more than one proof of Ilse Varga" in faulty(doubled, 2)
        assert results(doubled) == ["agrees", "agrees", "contradicts"]


def test_values_of_two_proofs_swapped_break_both() -> None:
    document = signed()
    one, two = document["proof"]
    one["proofValue"], two["proofValue"] = two["proofValue"], one["proofValue"]
    assert "does not hold" in faulty(document, 0)
    assert "does not hold" in faulty(document, 1)


def test_proofs_of_two_certificates_swapped_break_on_both() -> None:
    one, two = signed(MINIMAL), signed(USUAL)
    one["proof"][1], two["proof"][1] = two["proof"][1], one["proof"][1]
    for document in (one, two):
        assert "made over other words" in faulty(document)
        assert only(document, 0).result == "agrees"


def test_a_proof_over_other_words_says_so_where_another_proof_holds() -> None:
    document = signed(keys=(FOUNDRY_KEY,))
    other = altered(
        document, "credentialSubject", "assertions", "authorship", "says", "title", to="Other"
    )
    document["proof"].append(sign(other, ARTIST_KEY, NOON))
    says = faulty(document)
    assert "Another proof holds over these same words" in says
    assert "Ilse Varga, artist" in says


def test_words_changed_under_every_proof_break_every_proof() -> None:
    document = altered(
        signed(), "credentialSubject", "assertions", "authorship", "says", "title", to="Other"
    )
    for at in (0, 1):
        assert "these are not the words that were signed" in faulty(document, at)


def forged(**changes: Any) -> Document:
    """The usual credential with options of the artist's proof changed after signing."""
    document = signed()
    document["proof"][1] |= changes
    return document


# Every option of a proof changed by itself: each is told in its own words.
@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"created": LATER}, "made over other words, or was altered itself"),
        ({"created": "soon"}, "is not a moment"),
        ({"type": "Ed25519Signature2020"}, "a DataIntegrityProof is needed"),
        ({"cryptosuite": "ecdsa-jcs-2019"}, "cryptosuite “ecdsa-jcs-2019”; only eddsa-jcs-2022"),
        ({"proofPurpose": "authentication"}, "asserts nothing without assertionMethod"),
        ({"expires": LATER}, "an option that is not read here: “expires”"),
        ({"@context": ["https://www.w3.org/ns/credentials/v2"]}, "under another context"),
        ({"@context": None}, "under another context"),
        ({"verificationMethod": to_method(FOUNDRY_KEY.public.raw)}, "more than one proof of"),
        ({"verificationMethod": to_did(ARTIST_KEY.public.raw)}, "two halves"),
        ({"verificationMethod": "https://record.example/keys#1"}, "not a did:key"),
        ({"verificationMethod": to_method(OTHER_KEY.public.raw)}, "does not name"),
        ({"verificationMethod": to_method(bytes(32))}, "anybody could sign"),
        ({"proofValue": "z"}, "0 bytes, not 64"),
        ({"proofValue": None}, "lacks its field proofValue"),
    ],
    ids=str,
)
def test_each_fault_of_a_proof_has_its_own_reason(changes: dict[str, Any], says: str) -> None:
    document = forged(**changes)
    assert says in faulty(document)
    assert only(document, 0).result == "agrees"


def test_a_proof_without_a_context_is_under_another_context() -> None:
    document = signed()
    del document["proof"][1]["@context"]
    assert "under another context" in faulty(document)


@pytest.mark.parametrize("proof", [None, "text", 1, []])
def test_what_is_no_proof_is_said_to_be_none(proof: object) -> None:
    document = signed()
    document["proof"].append(proof)
    assert "not an object" in faulty(document, 2)


def test_faulty_proofs_do_not_hide_each_others_reasons() -> None:
    document = forged(created=LATER)
    document["proof"][0]["type"] = "Ed25519Signature2020"
    assert "DataIntegrityProof is needed" in faulty(document, 0)
    assert "these are not the words that were signed" in faulty(document, 1)


def test_the_whole_signed_again_by_a_stranger_of_the_same_name_is_found() -> None:
    impostor = Signer(name=ARTIST.name, role="artist", key=OTHER_KEY.public.raw)
    document = unsigned(holders=(impostor,))
    document = add_proof(add_proof(document, FOUNDRY_KEY, NOON), OTHER_KEY, NOON)
    says = faulty(document)
    assert "in the name of Ilse Varga, artist, but with none of the keys known" in says
    assert results(document, NOBODY) == ["not checked", "not checked"]


def test_a_foundry_of_the_same_name_with_another_key_is_found() -> None:
    document = add_proof(unsigned(foundry=OTHER_KEY), OTHER_KEY, NOON)
    assert "in the name of Hollow Oak Foundry" in faulty(document, 0)


def test_every_single_bit_of_a_credential_counts() -> None:
    data = to_bytes(signed(MINIMAL))

    def proved(changed: bytes) -> bool:
        """Both proofs hold over whatever canonical JSON this is; the structure is left aside."""
        try:
            document = parse(changed)
            words = document_hash(document)
            one = read_proof(document["proof"][0])
            require_signed(one, words)
            two = read_proof(document["proof"][1])
            require_signed(two, words)
        except (BronzebookError, KeyError, TypeError, ValueError, AttributeError):
            return False
        return (one.key, two.key) == OF_BOTH

    assert proved(data)
    held = [bit for bit in range(len(data) * 8) if proved(flipped(data, bit))]
    assert held == []


@settings(max_examples=150)
@given(st.data())
def test_a_bit_flipped_anywhere_is_refused_on_reading_or_contradicts(data: st.DataObject) -> None:
    original = to_bytes(signed(MINIMAL))
    bit = data.draw(st.integers(0, len(original) * 8 - 1))
    try:
        document = from_bytes(flipped(original, bit))
    except BronzebookError:
        return
    assert "contradicts" in results(document)


def test_adding_a_proof_leaves_the_document_it_was_given() -> None:
    document = unsigned()
    before = copy.deepcopy(document)
    first = add_proof(document, FOUNDRY_KEY, NOON)
    assert document == before
    kept = copy.deepcopy(first)
    add_proof(first, ARTIST_KEY, NOON)
    assert first == kept


def test_a_key_that_is_not_named_signs_nothing() -> None:
    with pytest.raises(KeyUnusable, match="does not name this key"):
        add_proof(unsigned(), OTHER_KEY, NOON)


def test_nobody_signs_twice() -> None:
    with pytest.raises(Refused, match="is there already"):
        add_proof(signed(), ARTIST_KEY, LATER)


def test_a_document_that_is_no_credential_is_not_signed() -> None:
    with pytest.raises(Unreadable):
        add_proof(altered(unsigned(), "type", to=[]), FOUNDRY_KEY, NOON)
    with pytest.raises(Unreadable):
        add_proof(unsigned(), FOUNDRY_KEY, "today")


def test_a_proof_that_came_back_takes_its_place() -> None:
    document = signed(keys=(FOUNDRY_KEY,))
    assert with_proof(document, sign(document, ARTIST_KEY, NOON)) == signed()


def test_a_proof_that_does_not_hold_is_not_put_in() -> None:
    document = signed(keys=(FOUNDRY_KEY,))
    for other in (sign(unsigned(USUAL), ARTIST_KEY, NOON), sign(document, OTHER_KEY, NOON), {}):
        with pytest.raises(Contradiction):
            with_proof(document, other)


def test_one_proof_can_be_looked_at_alone() -> None:
    document = unsigned()
    proof = sign(document, ARTIST_KEY, NOON)
    assert check_proof(of_document(document), document, proof, KNOWN).result == "agrees"


def found_by(holders: tuple[Signer, ...], needed: int, *keys: Any) -> tuple[Document, Any]:
    document = unsigned(holders=holders, needed=needed)
    for key in keys:
        document = add_proof(document, key, NOON)
    return document, check_proofs(document, KNOWN)


@pytest.mark.parametrize(
    ("holders", "needed", "keys", "inked", "says"),
    [
        ((), 0, (FOUNDRY_KEY,), (), ""),
        ((ARTIST,), 1, (FOUNDRY_KEY, ARTIST_KEY), (), ""),
        ((ARTIST,), 1, (FOUNDRY_KEY,), (), "1 more of these have to sign: Ilse Varga, artist."),
        ((ARTIST,), 1, (FOUNDRY_KEY,), ("Ilse Varga",), ""),
        ((ARTIST,), 1, (ARTIST_KEY,), (), "The proof of Hollow Oak Foundry, the foundry"),
        (HEIRS, 2, (FOUNDRY_KEY, HEIR_KEYS[0]), (), "1 more of these have to sign: Réka Varga"),
        (HEIRS, 2, (FOUNDRY_KEY,), (), "2 more of these have to sign: Bódog Varga"),
        (HEIRS, 2, (FOUNDRY_KEY, *HEIR_KEYS), (), ""),
        (HEIRS, 1, (FOUNDRY_KEY, HEIR_KEYS[1]), (), ""),
        ((*HEIRS, INK), 2, (FOUNDRY_KEY, HEIR_KEYS[1]), ("Ottó Varga",), ""),
        ((INK,), 1, (FOUNDRY_KEY,), (), "1 more of these have to sign: Ottó Varga, executor"),
        ((INK,), 1, (FOUNDRY_KEY,), ("Somebody Else",), "1 more of these have to sign"),
    ],
)
def test_what_a_certificate_waits_for_is_said(
    holders: Any, needed: int, keys: Any, inked: Any, says: str
) -> None:
    document, found = found_by(holders, needed, *keys)
    waits = lacking(document, found, inked)
    assert waits.startswith(says)
    assert bool(waits) == bool(says)


def test_a_proof_that_contradicts_leaves_the_certificate_waiting() -> None:
    document = forged(created=LATER)
    assert "1 more" in lacking(document, check_proofs(document, KNOWN))
    impostor = Known(foundry=KNOWN.foundry, holders=frozenset())
    assert "1 more" in lacking(signed(), check_proofs(signed(), impostor))
