"""Tests of ``bronzebook demo``: from nothing to a certificate checked from its own PDF."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from editions.cli.demonstration import PASSPHRASE
from editions.registry import open_registry
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number


def run(*words: str) -> Result:
    return CliRunner().invoke(bronzebook, list(words))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    """The demonstration in a folder that was not there, made once."""
    folder = tmp_path_factory.mktemp("demonstration") / "new" / "demo"
    return folder, run("demo", str(folder), "--json")


def test_the_folder_holds_all_that_was_promised(made: tuple[Path, Result]) -> None:
    folder, done = made
    assert done.exit_code == 0, done.output
    for name in ("registry.db", "certificates", "site", "keys"):
        assert (folder / name).exists(), name
    papers = list((folder / "certificates").iterdir())
    told = json.loads(done.stdout)
    assert told["site"] == f"{folder / 'site'} ({len(papers)} records)"
    assert len(papers) == 14
    for paper in papers:
        assert (folder / "site" / "C" / paper.stem / "index.html").is_file()
    assert (folder / "site" / "checkpoint").read_text().startswith("record.quillmere.example\n")


def test_it_says_what_to_open_and_the_passphrase(made: tuple[Path, Result]) -> None:
    folder, done = made
    told = json.loads(done.stdout)
    assert (told["status"], told["verdict"]) == (0, "this certificate stands")
    assert str(folder / "certificates" / told["checked"]) in done.stderr
    assert PASSPHRASE in done.stderr
    # What is told to be run is run.
    for command in ("show T-0104", "audit"):
        assert f"bronzebook --registry {folder} {command}" in done.stderr
        assert run("--registry", str(folder), *command.split()).exit_code == 0


def test_its_book_is_sound_and_its_certificate_stands(made: tuple[Path, Result]) -> None:
    folder, done = made
    paper = folder / "certificates" / json.loads(done.stdout)["checked"]
    audited = run("--registry", str(folder), "audit", "--json")
    assert json.loads(audited.stdout)["faults"] == []
    assert run("--registry", str(folder), "verify", str(paper)).exit_code == 0
    keys = folder / "keys" / "public.txt"
    assert run("verify", str(paper), "--key", str(keys)).exit_code == 5


def test_its_replaced_certificate_does_not_stand(made: tuple[Path, Result]) -> None:
    folder, _ = made
    checked = run("--registry", str(folder), "verify", "3/5", "--work", "seed", "--json")
    assert checked.exit_code == 0
    stands, replaced = json.loads(checked.stdout)
    assert stands["standing"] == "this certificate stands"
    by = show_number(stands["number"])
    assert replaced["standing"] == f"this certificate was replaced by {by}"


def test_nothing_is_waiting_to_be_drawn_and_more_can_be_issued(made: tuple[Path, Result]) -> None:
    folder, _ = made
    waiting = run("--registry", str(folder), "waiting")
    assert waiting.exit_code == 0
    assert "P-0012" in waiting.stdout
    assert "drawn" not in waiting.stdout


@pytest.mark.parametrize("there", ["a file", "a folder with something in it"])
def test_it_is_not_made_over_something_else(tmp_path: Path, there: str) -> None:
    place = tmp_path / "place"
    if there == "a file":
        place.write_text("mine")
    else:
        place.mkdir()
        (place / "mine").write_text("mine")
    done = run("demo", str(place))
    what = "is a file" if there == "a file" else "is not empty"
    assert done.exit_code == 2
    assert done.stderr == (
        f"{place} {what}; the demonstration wants a folder of its own.\n"
        "Name one that is new or empty: bronzebook demo FOLDER.\n"
    )
    assert done.stdout == ""


def test_one_certificate_is_signed_with_the_artists_key_and_one_in_ink(
    made: tuple[Path, Result],
) -> None:
    registry = open_registry(made[0])
    with registry.reading() as reading:
        signed = [one for one in reading.all_of(Certificate) if one.proofs]
    registry.close()
    assert sorted(proof.method for one in signed for proof in one.proofs) == ["ink", "key"]
    assert all(one.pdf and not one.pending for one in signed)
