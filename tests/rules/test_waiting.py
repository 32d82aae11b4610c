from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.rules.waiting import inspection_due, waits
from editions.trade.casting import (
    ColourApplied,
    EarlierCastRegistered,
    PieceReleased,
    PieceStarted,
    StepDone,
)
from editions.trade.certificates import (
    Certificate,
    CertificateDrawn,
    CertificateWithdrawn,
    ProofHeld,
    SignerLine,
)
from editions.trade.heats import Heat, HeatAnalysed
from editions.trade.kinds import State
from editions.trade.molds import (
    Criterion,
    Mold,
    MoldDestroyed,
    MoldInspected,
    MoldRetired,
    MoldSection,
    MoldSentOut,
)
from editions.trade.pieces import Piece
from editions.trade.runs import Elsewhere, Leftover, NumberPromised, Run, RunClosed
from editions.trade.waxes import Wax, WaxJudged
from tests.rules.judging.shop import (
    ARTIST,
    ESTATE,
    HEAT,
    MODEL,
    MOLD,
    NUMBERS,
    RUN,
    WITNESS,
    WORK,
    Shop,
)


@pytest.fixture
def shop() -> Shop:
    return Shop()


def told(shop: Shop, code: str, run: str | None = None) -> list[tuple[str, str]]:
    """What a subject waits for and whose turn it is, given its run and its heats."""
    state = shop.states[code]
    of = shop.get(run, Run) if run else None
    heats = [one for one in shop.states.values() if isinstance(one, Heat)]
    waiting = waits(state, of, heats)
    assert all(wait.code == code for wait in waiting)
    return [(wait.what, wait.whose) for wait in waiting]


def test_a_piece_waits_for_its_waxes(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, sections=("head", "base")))
    assert told(shop, "P-0001", RUN) == [("a wax; its number", "foundry")]
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001", "head")
    says = "wax chasing (head); a wax (base); its number"
    assert told(shop, "P-0001", RUN) == [(says, "foundry")]


def test_a_shell_waits_for_its_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    assert told(shop, "P-0001", RUN) == [("its pour; its number", "foundry")]


def test_metal_waits_for_the_bench_and_then_for_the_artists_approval(shop: Shop) -> None:
    shop.cast("P-0001")
    assert told(shop, "P-0001", RUN) == [
        ("breaking out; its number", "foundry"),
        ("approval in metal, once metal-chased", ARTIST),
    ]
    shop.enter("P-0001", StepDone(step="metal_chased"))
    assert told(shop, "P-0001", RUN) == [
        ("approval in metal", ARTIST),
        ("its number", "foundry"),
    ]


def test_each_step_of_finishing_waits_for_the_one_before(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.approve("P-0001", "metal")
    assert told(shop, "P-0001", RUN) == [("its colour", "patineur")]
    shop.enter("P-0001", ColourApplied(words="brown"))
    assert told(shop, "P-0001", RUN) == [("approval in colour", ARTIST)]
    shop.approve("P-0001", "colour")
    assert told(shop, "P-0001", RUN) == [("its certificate; its release", "foundry")]
    shop.certify("P-0001", NUMBERS[0])
    assert told(shop, "P-0001", RUN) == [("its release", "foundry")]
    shop.enter("P-0001", PieceReleased())
    assert told(shop, "P-0001", RUN) == []


def test_a_section_cast_again_puts_the_piece_back_to_waiting(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.approve("P-0001", "metal")
    shop.scrap("P-0001", "whole")
    assert told(shop, "P-0001", RUN)[0] == ("a wax", "foundry")


def test_a_piece_whose_run_asks_for_nothing_waits_for_its_papers(shop: Shop) -> None:
    shop.run("R-0009", needs=(), colour="none", numerals="none")
    shop.cast("P-0001", run="R-0009")
    assert told(shop, "P-0001", "R-0009") == [("breaking out", "foundry")]
    shop.enter("P-0001", StepDone(step="metal_chased"))
    assert told(shop, "P-0001", "R-0009") == [("its certificate; its release", "foundry")]
    assert told(shop, "P-0001") == []


def test_a_unique_cast_and_a_trial_wait_for_no_number(shop: Shop) -> None:
    shop.run("R-0009", edition_class="unique", size=1, proofs=())
    shop.cast("P-0001", run="R-0009")
    shop.trial("P-0002")
    for piece, run in (("P-0001", "R-0009"), ("P-0002", RUN)):
        assert not any("its number" in what for what, _ in told(shop, piece, run))


def test_a_run_that_asks_for_an_analysis_waits_for_the_laboratory(shop: Shop) -> None:
    shop.run("R-0009", needs=("analysis",))
    shop.finish("P-0001", "3/8", run="R-0009")
    assert told(shop, "P-0001", "R-0009") == []
    assert told(shop, HEAT, "R-0009") == [("its analysis", "laboratory")]
    shop.enter(
        HEAT,
        HeatAnalysed(
            method="spark OES",
            percentages={"Cu": "94.5"},
            verdict="indeterminate",
            edition="ASTM B584-14",
        ),
    )
    assert told(shop, "P-0001", "R-0009") == [("its certificate; its release", "foundry")]
    assert told(shop, HEAT, "R-0009") == []


def test_what_is_gone_waits_for_nothing(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001")
    shop.enter("P-0002", EarlierCastRegistered(work=WORK, run=RUN))
    assert told(shop, "P-0001", RUN) == told(shop, "P-0002", RUN) == []


def test_a_heat_in_the_crucible_waits_for_its_pour(shop: Shop) -> None:
    assert told(shop, HEAT) == [("its pour", "foundry")]
    shop.cast("P-0001")
    assert told(shop, HEAT) == []


def test_a_wax_waits_to_be_judged_then_for_a_run_then_for_a_piece(shop: Shop) -> None:
    shop.pull("W-0001", run=None)
    assert told(shop, "W-0001") == [("the word whether it is accepted", "foundry")]
    shop.enter("W-0001", WaxJudged(accepted=True))
    assert told(shop, "W-0001") == [("a run", "foundry")]
    shop.pull("W-0002")
    shop.enter("W-0002", WaxJudged(accepted=True))
    assert told(shop, "W-0002", RUN) == told(shop, "W-0002") == [("a piece", "foundry")]


def test_a_wax_that_is_gone_waits_for_nothing(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=False))
    assert told(shop, "W-0001", RUN) == []


def test_a_wax_of_a_closed_run_waits_for_its_fate(shop: Shop) -> None:
    left = (Leftover(wax="W-0001", fate="kept"),)
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=True))
    shop.enter(RUN, RunClosed(how="by declaration", left=left))
    assert told(shop, "W-0001", RUN) == []
    # A spare found after the closing: only a replay could hold it.
    spare = replace(shop.get("W-0001", Wax), fate="in stock")
    (wait,) = waits(spare, shop.get(RUN, Run))
    assert wait.what == "its fate, the run being closed"


@pytest.mark.parametrize(
    ("pulls", "inspected", "due"), [(19, 0, False), (20, 0, True), (40, 21, False), (41, 21, True)]
)
def test_an_inspection_is_due_twenty_pulls_after_the_last(
    pulls: int, inspected: int, due: bool
) -> None:
    section = MoldSection(name="head", pulls=pulls, inspected_at_pull=inspected)
    assert inspection_due(section) is due
    assert not inspection_due(replace(section, retired="2026"))


def test_a_mold_waits_for_a_look_a_repair_or_its_return(shop: Shop) -> None:
    for at in range(20):
        shop.pull(f"W-{at:04}")
    assert told(shop, MOLD) == [("an inspection of whole, 20 pulls after the last", "foundry")]
    worn = (Criterion(name="tears", grade="failing"),)
    shop.enter(MOLD, MoldInspected(section="whole", criteria=worn))
    assert told(shop, MOLD) == [("repair or retirement of whole", "foundry")]
    shop.enter(MOLD, MoldSentOut())
    assert told(shop, MOLD) == [("its return; repair or retirement of whole", "foundry")]


def test_the_owner_of_a_mold_that_is_out_is_waited_for(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    owned = replace(shop.get(MOLD, Mold), owner=ARTIST)
    assert waits(owned)[0].whose == ARTIST


def test_a_retired_or_destroyed_mold_waits_for_nothing(shop: Shop) -> None:
    worn = (Criterion(name="tears", grade="failing"),)
    shop.enter(MOLD, MoldInspected(section="whole", criteria=worn))
    shop.enter(MOLD, MoldRetired())
    assert told(shop, MOLD) == []
    shop.enter(MOLD, MoldSentOut())
    shop.enter(MOLD, MoldDestroyed(witness=WITNESS, evidence="cut up"))
    assert told(shop, MOLD) == []


def test_a_promise_waits_for_its_cast(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8", held_for="sale"))
    shop.enter(RUN, NumberPromised(designation="4/8"))
    says = "the cast of 3/8 (sale); the cast of 4/8 (promise)"
    assert told(shop, RUN) == [(says, "foundry")]
    shop.cast("P-0001", "3/8")
    assert told(shop, RUN) == [("the cast of 4/8 (promise)", "foundry")]


def test_a_run_that_gave_its_last_number_waits_to_be_closed(shop: Shop) -> None:
    away = (Elsewhere(designation="1/2", where="cast in 1998"),)
    shop.run("R-0009", size=2, elsewhere=away)
    shop.cast("P-0001", "AP I/IV", run="R-0009")
    assert told(shop, "R-0009") == []
    shop.cast("P-0002", "2/2", run="R-0009")
    assert told(shop, "R-0009") == [("its closing", ARTIST)]
    shop.enter("R-0009", RunClosed(how="complete"))
    assert told(shop, "R-0009") == []


def test_a_run_without_a_size_never_waits_to_be_closed(shop: Shop) -> None:
    shop.run("R-0009", size=None)
    shop.cast("P-0001", "AP I/IV", run="R-0009")
    assert told(shop, "R-0009") == []


def test_a_certificate_waits_to_be_drawn(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.finish("P-0002", "4/8")
    for piece, number in (("P-0001", NUMBERS[0]), ("P-0002", NUMBERS[1])):
        shop.certify(piece, number)
        assert told(shop, number) == [("its drawing", "foundry")]
        assert shop.get(number, Certificate).index().open
    shop.enter(NUMBERS[0], CertificateDrawn(pdf="a" * 64, page="A4", claim="b" * 64, size=40_000))
    shop.enter(NUMBERS[1], CertificateWithdrawn(because="issued in error"))
    for number in NUMBERS[:2]:
        assert told(shop, number) == []
        assert not shop.get(number, Certificate).index().open


def test_a_certificate_waits_for_each_who_is_still_to_sign(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", NUMBERS[0])
    asked = tuple(SignerLine(party=code, name=code, role="artist") for code in (ARTIST, ESTATE))
    issued = replace(shop.get(NUMBERS[0], Certificate), signers=asked, signers_wanted="all")
    assert [(one.what, one.whose) for one in waits(issued)] == [
        ("a signature", ARTIST),
        ("a signature", ESTATE),
    ]
    one = replace(issued, proofs=(ProofHeld(party=ARTIST, method="ink", on="2026-03-02"),))
    assert [wait.whose for wait in waits(one)] == [ESTATE]
    assert [wait.what for wait in waits(replace(one, signers_wanted="any"))] == ["its drawing"]
    assert waits(replace(one, standing="withdrawn")) == ()


@pytest.mark.parametrize("code", [ARTIST, WORK, MODEL])
def test_other_subjects_wait_for_nothing(shop: Shop, code: str) -> None:
    assert waits(shop.states[code]) == ()
    assert waits(State(code=code)) == ()


def test_a_wait_is_said_in_one_line(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    first = waits(shop.get("P-0001", Piece), shop.get(RUN, Run))[0]
    assert str(first) == "P-0001 waits for breaking out (foundry)"


def test_colour_that_nobody_has_to_approve_metal_for_waits_for_the_chasing(shop: Shop) -> None:
    shop.run("R-0009", needs=())
    shop.cast("P-0001", "3/8", run="R-0009")
    assert told(shop, "P-0001", "R-0009") == [
        ("breaking out", "foundry"),
        ("its colour, once metal-chased", "patineur"),
    ]
