"""``verify A B …``: papers of a book that was really rewritten; with registry, site, or neither."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner, Result

from certificates.examining import MOST_PAPERS, Away, verify_papers
from editions.cli import bronzebook
from editions.errors import Unreadable
from editions.pages.publish import publish
from editions.registry import Registry
from tests.certificates import builders, house


class Drawer(NamedTuple):
    """A registry in a folder, and three papers of different times beside it."""

    registry: Registry
    home: Path
    early: Path
    middle: Path
    late: Path

    def verify(self, *words: str | Path, registry: bool = True) -> Result:
        """Run the command in another folder, with the registry or without."""
        where = ["--registry", str(self.home)] if registry else []
        return CliRunner().invoke(bronzebook, [*where, "verify", *map(str, words)])


@pytest.fixture
def drawer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Drawer]:
    home = tmp_path / "book"
    registry = house.built(home, home)
    kept = [tmp_path / f"{name}.pdf" for name in ("early", "middle", "late")]
    for path, number in zip(kept, ("3/8", "4/8", "5/8"), strict=True):
        another(registry, number, path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    yield Drawer(registry, home, *kept)
    registry.close()


def another(registry: Registry, number: str, path: Path) -> None:
    """Certify one more cast, and keep its paper."""
    piece = house.PIECE if number == "3/8" else house.finished(registry, number)
    path.write_bytes(house.certify(registry, piece).path.read_bytes())


def rewrite_the_second_colour(registry: Registry) -> None:
    """Change an entry that the early paper does not cover and the two others do."""
    places = [at for at, kind in enumerate(house.kinds(registry)) if kind == "colour_applied"]
    house.rewrite(registry, places[1], lambda entry: entry["facts"].update(words="black"))


def together(result: Result) -> dict[str, tuple[str, str]]:
    lines = [line.split("\t") for line in result.stdout.splitlines()]
    return {line[2]: (line[1], line[3]) for line in lines if line[0] == "together"}


def order(result: Result) -> list[str]:
    lines = [line.split("\t") for line in result.stdout.splitlines()]
    return [line[1] for line in lines if line[0] == "papers"]


def test_papers_of_a_book_that_only_grew_agree_in_the_order_of_their_states(
    drawer: Drawer,
) -> None:
    result = drawer.verify(drawer.late, drawer.early, drawer.middle)
    assert result.exit_code == 0, result.output
    assert [Path(name).name for name in order(result)] == ["early.pdf", "middle.pdf", "late.pdf"]
    result_, says = together(result)["these papers together"]
    assert result_ == "agrees"
    assert "3 states of one book" in says


def test_the_first_paper_that_a_rewritten_book_contradicts_is_named_by_its_registry(
    drawer: Drawer,
) -> None:
    rewrite_the_second_colour(drawer.registry)
    result = drawer.verify("late.pdf", "middle.pdf", "early.pdf")
    assert result.exit_code == 3
    says = together(result)["the first paper that contradicts"][1]
    assert "middle.pdf, certificate" in says
    assert "since early.pdf still agrees" in says
    assert "So does one more of these papers." in says
    assert result.stderr.startswith("Something contradicts. The book was rewritten. middle.pdf")


def test_it_is_named_by_the_tiles_of_its_site_too(drawer: Drawer, tmp_path: Path) -> None:
    rewrite_the_second_colour(drawer.registry)
    publish(drawer.registry, tmp_path / "site")
    keys = drawer.home / "keys" / "public.txt"
    words = ("early.pdf", "middle.pdf", "late.pdf", "--site", tmp_path / "site", "--key", keys)
    result = drawer.verify(*words, "--json", registry=False)
    assert result.exit_code == 3
    told = json.loads(result.stdout)
    assert told["together"]["first"] == "middle.pdf"
    assert [one["status"] for one in told["papers"]] == [5, 3, 3]
    assert told["status"] == 3


def test_alone_a_paper_from_before_and_one_from_after_contradict_each_other(
    drawer: Drawer, tmp_path: Path
) -> None:
    other = house.built(tmp_path / "other", tmp_path / "other")
    another(other, "3/8", tmp_path / "one.pdf")
    another(other, "4/8", tmp_path / "two.pdf")
    house.rewrite(other, 5, lambda entry: entry.update(on="2026-03-01"))
    another(other, "5/8", tmp_path / "after.pdf")
    other.close()
    result = drawer.verify("after.pdf", "two.pdf", "one.pdf", registry=False)
    assert result.exit_code == 3
    found, says = together(result)["these papers together"]
    assert found == "contradicts"
    assert says.startswith("two.pdf and after.pdf show different entries within the first 4")


def test_alone_papers_of_a_sound_book_say_how_far_they_agree(drawer: Drawer) -> None:
    """Nodes of 32 entries lie in both proofs: the papers have 44 and 62 entries."""
    result = drawer.verify("middle.pdf", "late.pdf", registry=False)
    assert result.exit_code == 5
    found, says = together(result)["these papers together"]
    assert found == "not checked"
    assert says.startswith("middle.pdf covers 44 entries, late.pdf 62: the first 32 are the")
    result = drawer.verify("early.pdf", "late.pdf", registry=False)
    assert "nothing in their proofs overlaps" in together(result)["these papers together"][1]


def test_two_papers_for_one_bronze_are_told_as_that_and_which_one_holds(drawer: Drawer) -> None:
    from certificates.issue import replace_lost
    from certificates.verify import verify_pdf

    number = verify_pdf(drawer.early.read_bytes(), ()).number
    (new,) = replace_lost(drawer.registry, number, passphrase=house.PASSPHRASE)
    (drawer.early.parent / "new.pdf").write_bytes(new.path.read_bytes())
    alone = together(drawer.verify("early.pdf", "new.pdf", registry=False))["how many bronzes"]
    assert alone[0] == "agrees"
    assert "are for one bronze, 3/8 of “" in alone[1]
    assert "new.pdf was issued in place of early.pdf" in alone[1]
    asked = drawer.verify("early.pdf", "new.pdf", "late.pdf")
    assert "new.pdf is the one that stands." in together(asked)["how many bronzes"][1]
    rows = [line.split("\t") for line in asked.stdout.splitlines() if line.startswith("papers\t")]
    assert [row[-1] for row in rows] == ["does not stand", "stands", "stands"]


def test_a_book_that_was_cut_off_contradicts_the_paper_it_had_issued(drawer: Drawer) -> None:
    house.rewrite(drawer.registry, 0, lambda _: None, until=len(house.kinds(drawer.registry)) - 9)
    result = drawer.verify("early.pdf", "middle.pdf", "late.pdf")
    assert result.exit_code == 3
    assert "has issued no certificate" in result.stdout


def test_a_paper_that_does_not_prove_itself_is_no_witness(drawer: Drawer, tmp_path: Path) -> None:
    (tmp_path / "strange.pdf").write_bytes(builders.paper(builders.sealed()))
    keys = drawer.home / "keys" / "public.txt"
    result = drawer.verify("strange.pdf", "early.pdf", "--key", keys, registry=False)
    assert result.exit_code == 4
    assert together(result)["the book of these papers"][0] == "not checked"
    assert order(result) == ["early.pdf", "strange.pdf"]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["early.pdf", "early.pdf"], "named twice"),
        (["early.pdf", "late.pdf", "--work", "K-0001"], "one designation"),
        (["early.pdf", "0123456789A"], "cannot be held beside a paper"),
        (["early.pdf", "3/8"], "cannot be held beside a paper"),
    ],
)
def test_what_cannot_be_held_side_by_side_is_refused(
    drawer: Drawer, words: list[str], message: str
) -> None:
    result = drawer.verify(*words)
    assert result.exit_code == 2
    assert message in result.stderr


def test_more_papers_than_anybody_holds_are_refused() -> None:
    with pytest.raises(Unreadable, match="side by side"):
        verify_papers(None, [("a", b"")] * (MOST_PAPERS + 1), Away())
