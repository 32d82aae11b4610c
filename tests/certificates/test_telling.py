"""A verdict's sentence: one for each way that something was read, believed and asked about."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from certificates import checks
from certificates.checks import GROWTH, agrees, contradicts, unchecked
from certificates.claim import code_text
from certificates.telling import advice, sentence
from certificates.verify import Verdict, verify_code, verify_pdf, with_standing
from tests.certificates.builders import (
    ADDRESS,
    NUMBER,
    RESERVATION,
    foundry_keys,
    paper,
    sealed,
)

AS_OF = "2026-12-01T08:30:00Z"


def of_paper(*, given: bool = True) -> Verdict:
    return verify_pdf(paper(sealed()), foundry_keys() if given else ())


def of_code(*, given: bool = True) -> Verdict:
    text = code_text(ADDRESS, NUMBER, sealed().seal.claim)
    return verify_code(text, foundry_keys() if given else ())


def test_what_proves_itself_is_called_by_what_was_read() -> None:
    assert sentence(of_paper()).startswith("The paper proves itself. How it stands today")
    assert sentence(of_paper(given=False)).startswith("The paper agrees with itself, by the key")
    assert sentence(of_code()).startswith("The code is signed by the foundry for this certificate.")
    assert sentence(of_code(given=False)).startswith("It is not proved. The code names a key")


def test_a_reservation_is_never_a_certificate() -> None:
    stands = with_standing(
        verify_pdf(paper(sealed(RESERVATION)), foundry_keys()), "it", AS_OF, stands=True
    )
    assert stands.noun == "reservation"
    text = code_text(ADDRESS, NUMBER, sealed(RESERVATION).seal.claim)
    assert "for this reservation" in sentence(verify_code(text, foundry_keys()))


def test_how_it_stands_is_said_with_its_moment_as_people_write_it() -> None:
    stands = with_standing(of_paper(), "this certificate stands", AS_OF, stands=True)
    assert sentence(stands) == (
        "Everything agrees: this certificate stands, as of 2026-12-01 08:30 UTC."
    )
    ended = with_standing(of_code(), "this certificate was withdrawn", AS_OF, stands=False)
    assert sentence(ended) == (
        "The code is the foundry's, but it does not stand: this certificate was withdrawn,"
        " as of 2026-12-01 08:30 UTC. Do not rely on it."
    )


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (0, ""),
        (1, " One more check contradicts."),
        (3, " 3 more checks contradict."),
    ],
)
def test_the_first_contradiction_is_quoted_and_the_others_counted(more: int, says: str) -> None:
    made = tuple(contradicts(f"check {at}", f"Reason {at}.") for at in range(more + 1))
    verdict = replace(of_paper(), checks=made, status=3, proved=False)
    assert sentence(verdict) == (
        f"Something contradicts. Reason 0.{says} Do not rely on this paper before the foundry has"
        " explained it."
    )


def test_what_stands_by_the_paper_s_own_key_says_whose_word_that_is() -> None:
    own = of_paper(given=False)
    made = (*own.checks[:-1], unchecked(GROWTH, "No tiles."), agrees(checks.STANDING, "It says."))
    asked = replace(
        own, checks=made, standing="this certificate stands", standing_as_of=AS_OF, status=5
    )
    assert sentence(asked).endswith(
        "this certificate stands by the word of the same key, as of 2026-12-01 08:30 UTC. No tiles."
    )


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (("mass: 1 kg",), "One fact on the paper was corrected since: mass: 1 kg."),
        (("a", "b"), "2 facts on the paper were corrected since: a; b."),
    ],
)
def test_facts_corrected_since_end_the_sentence(facts: tuple[str, ...], says: str) -> None:
    assert sentence(replace(of_paper(), corrected=facts)).endswith(says)


def test_what_is_left_to_do_goes_by_what_was_read() -> None:
    assert "The key came with the paper" in " ".join(advice(of_paper(given=False)))
    assert "A code can be copied" in " ".join(advice(of_code()))
    assert "--key FILE" in " ".join(advice(of_code(given=False)))
    changed = replace(of_paper(), checks=(unchecked(checks.PAGE, "Other versions."),))
    assert "The page itself could not be compared" in " ".join(advice(changed))
    compared = replace(of_paper(), checks=(contradicts(checks.PAGE, "It was changed since."),))
    assert "could not be compared" not in " ".join(advice(compared))
    assert all("authentic" not in line for line in advice(of_paper()))
