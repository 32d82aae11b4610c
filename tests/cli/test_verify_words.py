"""What ``verify`` says first: the sentence that is quoted, for each kind of thing someone holds."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.issue import issue, reserve
from editions import verify
from editions.errors import NotKnown, RegistryUnusable, Unreadable
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.numbers import end_promise, promise_number
from editions.trade.certificates import Certificate
from tests.cli.conftest import Call, Shop
from tests.helpers.chance import Chance
from tests.registry import builders

PASSPHRASE = builders.PASSPHRASE


@pytest.fixture
def paper(registry: Registry, shop: Shop) -> Path:
    """The PDF of a certificate that stands."""
    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    (issued,) = issue(registry, [shop.numbered], passphrase=PASSPHRASE)
    return issued.path


@pytest.fixture
def keys(book: Path) -> str:
    return str(book / "keys" / "public.txt")


@pytest.fixture
def alone(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Call:
    """The command line where there is no registry."""
    empty = tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    monkeypatch.delenv("BRONZEBOOK_REGISTRY")
    return call


@pytest.fixture
def reserved(registry: Registry, shop: Shop) -> Path:
    """The paper that reserves 5/8."""
    with registry.writing() as w:
        promise_number(w, shop.run, "5/8")
    return reserve(registry, shop.run, "5/8", passphrase=PASSPHRASE)[0].path


def picture(pdf: Path, folder: Path) -> Path:
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    path = folder / "page.png"
    document[0].render(scale=150 / 72).to_pil().save(path)
    document.close()
    return path


def test_the_verdict_stands_above_the_checks_and_in_json(call: Call, paper: Path) -> None:
    result = call("verify", str(paper))
    assert result.output.index("Everything agrees") < result.output.index("checks\t")
    assert result.output.index("Everything agrees") < result.output.index("title\t")
    (told,) = json.loads(call("verify", str(paper), "--json").stdout)
    assert told["says"].startswith("Everything agrees: this certificate stands, as of ")
    assert told["seen"] == "paper"


def test_a_picture_or_a_code_with_a_key_never_lets_the_paper_prove_itself(
    alone: Call, paper: Path, tmp_path: Path, keys: str
) -> None:
    """A page may be painted around a genuine code: the code is all that was read."""
    code = code_text(
        builders.ADDRESS, paper.stem, read_attachments(paper.read_bytes())["claim.cose"]
    )
    for what in (str(picture(paper, tmp_path)), code):
        result = alone("verify", what, "--key", keys)
        assert result.exit_code == 5
        assert result.stderr.startswith("The code is signed by the foundry for this certificate.")
        assert "The paper proves itself" not in result.output
        assert "A code can be copied: compare every word" in result.stderr


def test_a_number_looked_up_says_that_no_paper_was_seen(call: Call, paper: Path) -> None:
    assert "Whoever knows a number can print it" in call("verify", paper.stem).stderr


def test_a_number_looked_up_gives_every_fact_that_the_paper_prints(
    call: Call, registry: Registry, paper: Path
) -> None:
    from certificates.wording import facts_of

    said = call("verify", paper.stem).stdout
    with registry.reading() as r:
        statement = r.get(paper.stem, Certificate).statement
    for fact in facts_of(statement):
        for line in fact.lines:
            assert line in said, fact.label
    assert {"edition", "metal", "colour", "approvals"} <= {
        line.partition("\t")[0] for line in said.splitlines()
    }


def test_a_reservation_is_called_one_in_every_form(
    call: Call, reserved: Path, tmp_path: Path
) -> None:
    image = picture(reserved, tmp_path)
    for words in ([str(reserved)], [reserved.stem], [str(image)], ["5/8", "--work", "heron"]):
        result = call("verify", *words)
        assert result.exit_code == 0, result.output
        assert "this reservation stands" in result.stderr
        assert "reservation as checked" in result.stdout
        assert "certificate" not in result.stdout + result.stderr


def test_a_reservation_lapses_with_the_promise_it_was_printed_for(
    call: Call, registry: Registry, shop: Shop, reserved: Path
) -> None:
    with registry.writing() as w:
        end_promise(w, shop.run, "5/8")
    result = call("verify", str(reserved))
    assert result.exit_code == 3
    assert "but it does not stand: this reservation lapsed" in result.stderr


def test_facts_that_were_corrected_since_are_part_of_the_verdict(
    call: Call, registry: Registry, shop: Shop, paper: Path
) -> None:
    with registry.writing() as w:
        correct_entry(w, f"{shop.work}#1", {"title": "Heron, fishing"})
    for what in (str(paper), paper.stem):
        result = call("verify", what)
        assert result.exit_code == 0
        assert "stands" in result.stderr.splitlines()[0]
        assert "One fact on the paper was corrected since" in result.stderr.splitlines()[0]
        assert "Heron, fishing" in result.stdout


@pytest.mark.parametrize("brought", ["--key", "--status"])
def test_a_number_has_nothing_that_a_key_or_a_note_could_check(
    alone: Call, paper: Path, keys: str, brought: str
) -> None:
    result = alone("verify", paper.stem, brought, keys)
    assert result.exit_code == 2
    assert "is only a number" in result.stderr
    assert "Bring the certificate's PDF, a picture of it, or the text of its code." in result.stderr
    assert "begin" not in result.stderr


@pytest.mark.parametrize("brought", [(), ("--key",), ("--site",)])
def test_a_number_of_the_edition_is_looked_up_by_a_registry_alone(
    alone: Call, keys: str, tmp_path: Path, brought: tuple[str, ...]
) -> None:
    away = {"--key": keys, "--site": str(tmp_path)}
    words = [word for one in brought for word in (one, away[one])]
    result = alone("verify", "3/8", "--work", "heron", *words)
    assert result.exit_code == 7
    assert "Only a registry can look up “3/8” by its work" in result.stderr
    assert "No registry is named" not in result.stderr


def test_a_number_alone_where_there_is_no_registry(alone: Call, paper: Path) -> None:
    result = alone("verify", paper.stem)
    assert result.exit_code == 7
    assert "no registry here to look it up in" in result.stderr
    assert "begin" not in result.stderr


def test_a_paper_is_no_file_of_keys(alone: Call, paper: Path) -> None:
    result = alone("verify", str(paper), "--key", str(paper))
    assert result.exit_code == 9
    assert "is a paper, not a file of keys" in result.stderr


def test_a_file_too_large_to_be_keys_is_said_in_its_own_size(
    alone: Call, paper: Path, tmp_path: Path
) -> None:
    (tmp_path / "many").write_bytes(b"x" * 70_000)
    result = alone("verify", str(paper), "--key", str(tmp_path / "many"))
    assert result.exit_code == 9
    assert "is larger than 65 kB" in result.stderr


def test_another_foundry_s_keys_are_named_as_such(alone: Call, paper: Path, tmp_path: Path) -> None:
    where, random = tmp_path / "other", Chance("other")
    builders.a_registry(where, random=random).close()
    lines = (where / "keys" / "public.txt").read_text().replace("book.kilnlane", "book.elsewhere")
    result = alone("verify", str(paper), "--key", str(renamed(tmp_path / "keys", lines)))
    assert result.exit_code == 4, result.output
    assert result.stderr.startswith("It is not proved. The code names a key")
    assert "the keys given are those of “book.elsewhere.example”, another book." in result.stderr


def renamed(path: Path, lines: str) -> Path:
    """Keys under another name, with the ids that belong to it."""
    from editions.ledger.keys import PrivateKey, public_text

    name = lines.split(" ", 1)[1].partition("+")[0]
    made = public_text(name, PrivateKey(b"\x05" * 32).public.raw)
    path.write_text(f"foundry {made}\nlog {made}\n")
    return path


def test_one_function_checks_whatever_someone_holds(
    registry: Registry, shop: Shop, paper: Path
) -> None:
    for what in (paper, paper.read_bytes(), paper.stem, f"{builders.ADDRESS}/C/{paper.stem}"):
        (verdict,) = verify(registry, what)
        assert (verdict.number, verdict.status) == (paper.stem, 0)
    assert [one.number for one in verify(registry, "3/8", work=shop.work)] == [paper.stem]
    (alone,) = verify(None, paper)
    assert (alone.status, alone.standing) == (5, "not checked")
    with registry.reading() as r:
        assert r.get(paper.stem, Certificate).standing == "stands"


def test_it_raises_only_errors_of_ours(registry: Registry, tmp_path: Path) -> None:
    for what, fault in (("3/8", Unreadable), ("nonsense", Unreadable)):
        with pytest.raises(fault):
            verify(registry, what)
    with pytest.raises(RegistryUnusable):
        verify(None, "GR04WFRAFF6")
    with pytest.raises(NotKnown):
        verify(registry, "8/8", work="K-0001")
