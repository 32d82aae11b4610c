"""What an entry names, and which certificates draw on it."""

from __future__ import annotations

import msgspec
import pytest

from editions.errors import Unreadable
from editions.trade.book import EntryCorrected
from editions.trade.casting import PieceStarted, StepDone
from editions.trade.catalogue import KINDS
from editions.trade.certificates import CertificateIssued, SignerLine
from editions.trade.held import HeldErased
from editions.trade.kinds import Facts, Happened, facts_from, open_part
from editions.trade.runs import Declaration, NumberGiven, NumberPromised, RunDeclared, RunOffered
from editions.trade.statement import Statement
from editions.trade.strikes import BEGINNINGS, STRIKABLE, EntryStruck, names, relies
from editions.trade.waxes import WaxJudged

LEAF = "0" * 64


def entry(facts: Facts, subject: str, by: str = "Y-0001") -> Happened:
    return Happened(
        leaf=LEAF,
        at="2026-03-02T08:00:00Z",
        on="2026-03-02",
        by=by,
        subject=subject,
        facts=facts,
    )


DECLARED = Declaration(work="K-0001", authorised_by="Y-0002", signers=("Y-0003",))
RUN = entry(RunDeclared(declared=DECLARED), "R-0001", by="Y-0004")


@pytest.mark.parametrize("code", ["R-0001", "K-0001", "Y-0002", "Y-0003", "Y-0004"])
def test_an_entry_names_its_subject_its_hand_and_whatever_stands_in_its_facts(code: str) -> None:
    assert names(RUN, code)


@pytest.mark.parametrize("code", ["R-000", "R-00011", "K-0002", "Y-0001", "work"])
def test_an_entry_names_nothing_else(code: str) -> None:
    assert not names(RUN, code)


ABOUT = (
    EntryStruck(entry=LEAF, entry_kind="step_done", touches=("P-0001",), reason="slip"),
    EntryCorrected(entry=LEAF, entry_kind="step_done", changes={"coat": 3}, touches=("P-0001",)),
    HeldErased(
        entry=LEAF,
        entry_kind="step_done",
        field="note",
        authority="Y-0007",
        because="request",
        touches=("P-0001",),
    ),
)


@pytest.mark.parametrize("facts", ABOUT)
def test_what_is_about_another_entry_does_not_name_what_that_one_touched(facts: Facts) -> None:
    assert not names(entry(facts, "P-0001"), "P-0001")
    assert names(entry(facts, "P-0001", by="P-0001"), "P-0001")


def test_an_erasing_names_its_authority_and_a_correction_its_new_value() -> None:
    assert names(entry(ABOUT[2], "P-0001"), "Y-0007")
    restated = EntryCorrected(
        entry=LEAF, entry_kind="step_done", changes={"hand": "Y-0008"}, touches=("P-0001",)
    )
    assert names(entry(restated, "P-0001"), "Y-0008")


def paper(**said: object) -> Happened:
    statement = Statement(
        paper="finished",
        number="0123456789A",
        issued="2026-03-02",
        artist="Ilse Varga",
        title="Heron",
        designation="3/8",
        foundry="Harrow Lane Bronze",
    )
    facts = {"number": "0123456789A", "statement": statement, "record": LEAF, **said}
    return entry(CertificateIssued(**facts), "0123456789A")  # type: ignore[arg-type]


OF_PIECE = paper(piece="P-0001", run="R-0001")
RESERVING = paper(run="R-0001")
SIGNED = paper(run="R-0002", signers=(SignerLine(party="Y-0009", name="E. Varga", role="estate"),))
GIVEN = NumberGiven(piece="P-0001", designation="3/8")


@pytest.mark.parametrize(
    ("facts", "subject", "by"),
    [
        (StepDone(step="gated"), "P-0001", OF_PIECE),
        (PieceStarted(run="R-0001"), "P-0001", OF_PIECE),
        (RunOffered(), "R-0001", OF_PIECE),
        (RunOffered(), "R-0001", RESERVING),
        (NumberPromised(designation="3/8"), "R-0001", RESERVING),
        (NumberPromised(designation="4/8", held_for="sale"), "R-0001", RESERVING),
        (GIVEN, "R-0001", OF_PIECE),
        (GIVEN, "R-0001", RESERVING),
        (KINDS["party_entered"](roles=("estate",)), "Y-0009", SIGNED),
    ],
)
def test_a_certificate_draws_on_its_piece_its_run_its_number_and_its_signers(
    facts: Facts, subject: str, by: Happened
) -> None:
    assert relies(by, entry(facts, subject))


@pytest.mark.parametrize(
    ("facts", "subject", "by"),
    [
        (StepDone(step="gated"), "P-0002", OF_PIECE),
        (StepDone(step="gated"), "P-0001", RESERVING),
        (WaxJudged(accepted=True), "W-0001", OF_PIECE),
        (RunOffered(), "R-0002", OF_PIECE),
        (NumberPromised(designation="4/8", held_for="payment"), "R-0001", OF_PIECE),
        (NumberPromised(designation="3/8", held_for="sale"), "R-0002", OF_PIECE),
        (NumberGiven(piece="P-0002", designation="4/8"), "R-0001", OF_PIECE),
        (NumberGiven(piece="P-0002", designation="3/8"), "R-0002", OF_PIECE),
        (KINDS["party_entered"](roles=("estate",)), "Y-0008", SIGNED),
        (PieceStarted(run="R-0001"), "P-0002", OF_PIECE),
    ],
)
def test_a_certificate_draws_on_nothing_of_another_cast(
    facts: Facts, subject: str, by: Happened
) -> None:
    assert not relies(by, entry(facts, subject))


def test_what_may_be_struck_is_a_kind_of_entry_and_what_begins_does_begin() -> None:
    assert KINDS.keys() >= STRIKABLE
    assert all(KINDS[kind].starts for kind in BEGINNINGS)
    assert not any(KINDS[kind].starts for kind in STRIKABLE - BEGINNINGS)
    assert "reason" in EntryStruck.held


def test_a_strike_reads_back_and_keeps_its_reason_out_of_the_open_part() -> None:
    said = open_part(ABOUT[0])
    assert "slip" not in str(said)
    assert facts_from("entry_struck", said) == msgspec.structs.replace(ABOUT[0], reason=None)


@pytest.mark.parametrize(
    "plain",
    [
        {"entry": "0" * 63, "entry_kind": "step_done"},
        {"entry": LEAF.upper().replace("0", "A"), "entry_kind": "step_done"},
        {"entry": LEAF, "entry_kind": ""},
        {"entry": LEAF},
        {"entry": LEAF, "entry_kind": "step_done", "because": "slip"},
        {"entry": LEAF, "entry_kind": "step_done", "touches": "P-0001"},
    ],
)
def test_a_strike_of_another_form_is_unreadable(plain: dict[str, object]) -> None:
    with pytest.raises(Unreadable):
        facts_from("entry_struck", plain)
