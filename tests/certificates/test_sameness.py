"""Papers of one bronze, or of one number, held side by side: said so, and which of them holds."""

from __future__ import annotations

from msgspec.structs import replace

from certificates.checks import Check
from certificates.sameness import ONE, Held, one_object
from certificates.verify import Verdict, verify_pdf, with_standing
from editions.trade.numbers import make_number
from tests.certificates.builders import USUAL, foundry_keys, paper, sealed
from tests.certificates.test_telling import of_code
from tests.helpers.chance import Chance

CHANCE = Chance("papers of one bronze")
OLD, NEW = (make_number(CHANCE) for _ in range(2))
AS_OF = "2026-12-01 08:00 UTC"


def of(number: str, **said: object) -> Verdict:
    """The verdict on a whole paper of that number, for one cast unless something else is said."""
    statement = replace(USUAL, number=number, **said)
    return verify_pdf(paper(sealed(statement)), foundry_keys())


def asked(verdict: Verdict, word: str) -> Verdict:
    return with_standing(verdict, f"this certificate {word}", AS_OF, stands=word == "stands")


def only(*papers: Held) -> Check:
    (check,) = one_object(papers)
    assert check.name == ONE
    return check


def test_two_papers_of_one_bronze_are_not_two_bronzes() -> None:
    check = only(Held("a.pdf", of(OLD)), Held("b.pdf", of(NEW)))
    assert check.says.startswith("a.pdf and b.pdf are for one bronze, 3/8 of “")
    assert "not for 2. At most one of them stands" in check.says
    assert check.result == "not checked"


def test_the_one_that_replaces_the_other_is_named_without_anybody_asked() -> None:
    check = only(Held("new.pdf", of(NEW), OLD), Held("old.pdf", of(OLD)))
    assert "new.pdf was issued in place of old.pdf: go by that one." in check.says


def test_a_paper_that_replaces_another_one_says_nothing_of_this() -> None:
    elsewhere = make_number(CHANCE)
    check = only(Held("new.pdf", of(NEW), elsewhere), Held("old.pdf", of(OLD)))
    assert "At most one" in check.says


def test_the_one_that_stands_is_named_where_somebody_was_asked() -> None:
    old, new = asked(of(OLD), "was replaced"), asked(of(NEW), "stands")
    check = only(Held("old.pdf", old), Held("new.pdf", new))
    assert (check.result, check.says.endswith("new.pdf is the one that stands.")) == (
        "agrees",
        True,
    )


def test_none_and_two_that_stand_are_left_to_the_foundry() -> None:
    for word, said in (("stands", "2 of them stand"), ("was withdrawn", "None of them stands")):
        check = only(Held("a", asked(of(OLD), word)), Held("b", asked(of(NEW), word)))
        assert check.result == "not checked"
        assert f"{said}: ask the foundry" in check.says


def test_one_paper_twice_is_one_paper() -> None:
    assert "are one paper" in only(Held("a.pdf", of(OLD)), Held("b.pdf", of(OLD))).says


def test_one_number_on_two_casts_is_said_and_not_explained() -> None:
    check = only(Held("a.pdf", of(OLD)), Held("b.pdf", of(NEW, piece="P-0099")))
    assert check.result == "not checked"
    assert "name different casts" in check.says


def test_a_code_and_a_paper_are_of_one_number_and_no_piece_is_claimed() -> None:
    code = of_code()
    assert code.claim is not None
    check = only(Held("b.png", code), Held("a.pdf", of(NEW)))
    assert "are for one number, 3/8 of" in check.says


def test_papers_of_different_numbers_or_of_none_are_not_told_as_one() -> None:
    others = [Held("a", of(OLD)), Held("b", of(NEW, designation="4/8"))]
    assert not tuple(one_object(others))
    none = [Held("a", of(OLD, designation=None)), Held("b", of(NEW, designation=None))]
    assert not tuple(one_object(none))
