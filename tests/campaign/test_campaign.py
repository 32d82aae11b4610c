"""A book tampered with in every way; what must be found is found, and the table says by whom.

The short form runs here, and its table ends pytest's own report; ``--full-campaign`` tampers with
each table apart, with every row on PostgreSQL too, and with many more whole databases.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from editions.registry import open_registry
from editions.store.tables import metadata
from tests.campaign import forging, rows, run
from tests.campaign.hands import faults_of
from tests.campaign.rewriting import book_of, rewrite
from tests.campaign.run import ON_POSTGRESQL, Campaign, Part
from tests.campaign.story import Told, moved, tell
from tests.campaign.tally import CAMPAIGN, Tally
from tests.helpers.stores import PostgreSQLStores

Done = Callable[[Part, Told], Campaign]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return tell(tmp_path_factory.mktemp("told") / "book")


@pytest.fixture
def on_postgresql(told: Told, tmp_path: Path, postgresql_stores: PostgreSQLStores) -> Told:
    return moved(told, tmp_path / "moved", postgresql_stores)


@pytest.fixture
def done(
    tmp_path: Path,
    request: pytest.FixtureRequest,
    record_property: Callable[[str, object], None],
) -> Done:
    """Runs a part of the campaign; nothing may be missed, and its rows go into the table."""

    def run_part(part: Part, told: Told) -> Campaign:
        full = request.config.getoption("--full-campaign")
        ended = run.run(part, told, tmp_path, full=full)
        printed = Tally()
        printed.take(ended.tally.rows, ON_POSTGRESQL if told.stores else "")
        record_property(CAMPAIGN, printed.plain())
        assert ended.missed == []
        return ended

    return run_part


def faults_in(told: Told, work: Path) -> tuple[str, ...]:
    registry = told.copied(work / "sound")
    try:
        return faults_of(registry)
    finally:
        registry.close()


def assert_guarded(campaign: Campaign) -> None:
    counts = campaign.tally.rows["guards in place"]
    assert counts["refused"] == counts["tried"] > 0


def assert_named_by_the_audit(campaign: Campaign) -> None:
    assert {f"rows of {name}" for name in metadata.tables} == campaign.tally.rows.keys()
    assert all(row["audit"] == row["tried"] > 0 for row in campaign.tally.rows.values())


def assert_found_as_far_as_covered(campaign: Campaign, form: str) -> None:
    papered = campaign.tally.rows[f"{form}, before the last certificate"]
    assert papered["paper"] == papered["witness"] == papered["tried"] > 0
    seen = campaign.tally.rows[f"{form}, before the witness"]
    assert (seen["paper"], seen["witness"]) == (0, seen["tried"])
    assert seen["tried"] > 0


def test_the_book_is_sound_before_anybody_tampers_with_it(told: Told, tmp_path: Path) -> None:
    assert faults_in(told, tmp_path) == ()
    assert len({claim.size for claim in told.claims}) > 4
    assert told.papered < told.seen.size < told.size


def test_the_guards_refuse_every_change_to_the_book(done: Done, told: Told) -> None:
    campaign = done(run.guards, told)
    assert_guarded(campaign)
    assert campaign.tally.rows["guards in place"]["tried"] > 9000


def test_the_audit_alone_names_every_row_that_was_tampered_with(done: Done, told: Told) -> None:
    campaign = done(run.rows, told)
    assert_named_by_the_audit(campaign)
    assert sum(row["tried"] for row in campaign.tally.rows.values()) > 15_000


def test_whatever_entry_is_rewritten_the_tree_tells_papers_and_witness(
    done: Done, told: Told
) -> None:
    campaign = done(run.trees, told)
    recomputed = campaign.tally.rows["tree recomputed, every entry"]
    assert recomputed["root"] == recomputed["tried"] > 1500
    assert_found_as_far_as_covered(campaign, "log key used, every entry")
    tail = campaign.tally.rows["log key used, every entry, the unwitnessed tail"]
    assert tail["nobody"] == tail["tried"] > 0


def test_whole_databases_rewritten_are_found_by_audit_papers_and_witness(
    done: Done, told: Told
) -> None:
    campaign = done(run.databases, told)
    recomputed = campaign.tally.rows["tree recomputed, in a database"]
    assert recomputed["audit"] == recomputed["tried"] > 0
    assert_found_as_far_as_covered(campaign, "log key used, in a database")
    assert campaign.tally.rows["log key used, in a database, the unwitnessed tail"]["nobody"] > 0


def test_with_both_keys_audit_is_silent_and_papers_held_elsewhere_contradict(
    done: Done, told: Told
) -> None:
    campaign = done(run.papers, told)
    counts = campaign.tally.rows["both keys used, all reissued, before the last certificate"]
    assert counts["audit"] < counts["tried"]
    assert counts["paper"] == counts["witness"] == counts["tried"] > 0


@pytest.mark.postgresql
def test_on_postgresql_guards_audit_papers_and_witness_find_the_same(
    done: Done, on_postgresql: Told, tmp_path: Path
) -> None:
    assert faults_in(on_postgresql, tmp_path) == ()
    assert_guarded(done(run.guards, on_postgresql))
    assert_named_by_the_audit(done(run.rows, on_postgresql))
    assert_found_as_far_as_covered(
        done(run.databases, on_postgresql), "log key used, in a database"
    )


def test_a_book_put_back_unchanged_is_as_sound_as_before(told: Told, tmp_path: Path) -> None:
    # Or the campaign would find its own carpentry instead of the forger's.
    registry = told.copied(tmp_path / "same")
    try:
        assert rewrite(registry, book_of(registry), registry.log_key())
        assert faults_of(registry) == ()
    finally:
        registry.close()
    again = open_registry(tmp_path / "same")
    try:
        assert book_of(again) == [(at, raw) for at, (_, raw) in enumerate(book_of(again))]
    finally:
        again.close()


def test_a_campaign_that_finds_nothing_says_what_it_missed_and_ends_with_one(
    told: Told, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(rows, "faults_of", lambda _: ())
    monkeypatch.setattr(forging, "verify_consistency", lambda *_: None)
    monkeypatch.setattr(forging, "is_followed", lambda *_: True)
    few = told._replace(size=told.papered)
    blind = [run.run(part, few, tmp_path, full=False) for part in (run.rows, run.trees)]
    for campaign in blind:
        assert any("changed" in line for line in campaign.missed)
        assert any("swapped" in line for line in campaign.missed)
    monkeypatch.setattr(run, "tell", lambda _: told)
    monkeypatch.setattr(run, "run_all", lambda *_, **__: blind[0])
    assert run.main(full=False) == 1
    assert f"missed: {blind[0].missed[0]}" in capsys.readouterr().out
    monkeypatch.setattr(run, "run_all", lambda *_, **__: Campaign(blind[0].tally, []))
    assert run.main(full=False) == 0


def test_the_table_has_a_line_for_each_kind_and_a_column_for_each_finder() -> None:
    tally, whole = Tally(), Tally()
    tally.add("rows of held", 3, audit=2, nobody=1)
    tally.add("rows of held", audit=1)
    whole.take(tally.plain(), "PostgreSQL: ")
    head, line = str(whole).splitlines()
    assert [cell.strip() for cell in head.split("|")][1:5] == [
        "tried", "refused by guards", "the signed root", "audit alone",
    ]  # fmt: skip
    cells = [cell.strip() for cell in line.split("|")]
    assert cells == ["PostgreSQL: rows of held", "4", "0", "0", "3", "0", "0", "1"]
