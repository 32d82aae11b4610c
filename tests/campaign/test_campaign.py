"""A book tampered with in every way; what must be found is found, and the table says by whom.

The short form runs here; ``--full-campaign`` tampers with each table apart and with many more whole
databases.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.registry import open_registry
from editions.store.tables import metadata
from tests.campaign.rewriting import book_of
from tests.campaign.rows import TABLES, faults_of
from tests.campaign.run import Campaign, run
from tests.campaign.story import Told, tell
from tests.campaign.tally import Tally


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return tell(tmp_path_factory.mktemp("told") / "book")


@pytest.fixture(scope="module")
def campaign(
    told: Told, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> Campaign:
    full = request.config.getoption("--full-campaign")
    done = run(told, tmp_path_factory.mktemp("work"), full=full)
    print(f"\n{done.tally}")
    return done


def test_the_book_is_sound_before_anybody_tampers_with_it(told: Told) -> None:
    assert faults_of(told.folder / "registry.db") == ()
    assert len({claim.size for claim in told.claims}) > 4
    assert told.papered < told.seen.size < told.size


def test_every_table_is_tampered_with(campaign: Campaign) -> None:
    assert {table.name for table in TABLES} == set(metadata.tables)
    assert {f"rows of {table.name}" for table in TABLES} <= campaign.tally.rows.keys()


def test_nothing_that_must_be_found_is_missed(campaign: Campaign) -> None:
    assert campaign.missed == []


def test_the_guards_refuse_every_change_to_the_book(campaign: Campaign) -> None:
    counts = campaign.tally.rows["guards in place"]
    assert counts["refused"] == counts["tried"] > 9000


def test_the_audit_alone_names_every_row_that_was_tampered_with(campaign: Campaign) -> None:
    rows = {name: row for name, row in campaign.tally.rows.items() if name.startswith("rows of")}
    assert all(row["audit"] == row["tried"] > 0 for row in rows.values())
    assert sum(row["tried"] for row in rows.values()) > 15_000


def test_a_tree_recomputed_without_the_log_key_is_found_by_the_audit(campaign: Campaign) -> None:
    for row in ("tree recomputed, every entry", "tree recomputed, in a database"):
        counts = campaign.tally.rows[row]
        assert counts["audit"] == counts["tried"] > 0


@pytest.mark.parametrize("form", ["log key used, every entry", "log key used, in a database"])
def test_with_the_log_key_papers_and_witness_find_what_they_cover_and_no_more(
    campaign: Campaign, form: str
) -> None:
    papered = campaign.tally.rows[f"{form}, before the last certificate"]
    assert papered["paper"] == papered["witness"] == papered["tried"] > 0
    seen = campaign.tally.rows[f"{form}, before the witness"]
    assert (seen["paper"], seen["witness"]) == (0, seen["tried"])
    assert seen["tried"] > 0


def test_in_the_unwitnessed_tail_a_signed_rewriting_is_found_by_nobody(campaign: Campaign) -> None:
    tail = campaign.tally.rows["log key used, every entry, the unwitnessed tail"]
    assert tail["nobody"] == tail["tried"] > 0


def test_with_both_keys_audit_is_silent_and_papers_held_elsewhere_contradict(
    campaign: Campaign,
) -> None:
    counts = campaign.tally.rows["both keys used, all reissued, before the last certificate"]
    assert counts["audit"] == 0
    assert counts["paper"] == counts["witness"] == counts["tried"] > 0


def test_a_book_put_back_unchanged_is_as_sound_as_before(told: Told, tmp_path: Path) -> None:
    # Or the campaign would find its own carpentry instead of the forger's.
    from tests.campaign.rewriting import rewrite

    registry = told.copied(tmp_path / "same")
    try:
        assert rewrite(registry, book_of(registry), registry.log_key())
    finally:
        registry.close()
    assert faults_of(tmp_path / "same" / "registry.db") == ()
    again = open_registry(tmp_path / "same")
    try:
        assert book_of(again) == [(at, raw) for at, (_, raw) in enumerate(book_of(again))]
    finally:
        again.close()


def test_the_table_has_a_line_for_each_kind_and_a_column_for_each_finder() -> None:
    tally = Tally()
    tally.add("rows of held", 3, audit=2, nobody=1)
    tally.add("rows of held", audit=1)
    head, line = str(tally).splitlines()
    assert [cell.strip() for cell in head.split("|")][1:4] == [
        "tried", "refused by guards", "audit alone",
    ]  # fmt: skip
    assert [cell.strip() for cell in line.split("|")] == [
        "rows of held",
        "4",
        "0",
        "3",
        "0",
        "0",
        "1",
    ]
