"""``bronzebook held``: erase, open, check; and nothing held where it was not asked for."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import a_party, a_wax

ROOT = Path(__file__).parents[2]


@pytest.fixture
def hand(registry: Registry) -> str:
    return a_party(registry, private_name="Tomas Brandl", contact="a barn at the mill")


def files(book: Path) -> bytes:
    return b"".join(file.read_bytes() for file in sorted(book.glob("registry.db*")))


@pytest.mark.sqlite
def test_a_field_is_erased_and_where_copies_lie_is_said(call: Call, book: Path, hand: str) -> None:
    copies = book / "backups"
    copies.mkdir()
    (copies / "registry-0001-2026-03-02.db").write_bytes(b"an older copy")
    assert b"a barn at the mill" in files(book)
    done = call(
        "held", "erase", f"{hand}#1", "contact",
        "--authority", hand, "--because", "request", "--reason", "he asked",
    )  # fmt: skip
    assert done.exit_code == 0
    assert done.stdout.startswith(f"{hand}  held erased  {hand}#1 contact")
    assert "still holds it: " in done.stderr
    assert "registry-0001-2026-03-02.db" in done.stderr
    assert "openings handed out" in done.stderr
    assert "not legal advice" in done.stderr
    assert "keeper's" not in done.stderr
    assert b"a barn at the mill" not in files(book)
    assert call("audit").exit_code == 0
    shown = call("show", hand, "--held")
    assert "held erased" in shown.stdout
    assert "Tomas Brandl" in shown.stdout
    assert "mill" not in shown.stdout


def test_an_erasing_is_told_as_json(call: Call, hand: str) -> None:
    done = call(
        "held", "erase", f"{hand}#1", "private-name",
        "--authority", "data protection office", "--because", "court-order", "--json",
    )  # fmt: skip
    (entry,) = json.loads(done.stdout)
    assert (entry["code"], entry["kind"]) == (hand, "held_erased")


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["Y-0004#1", "name"], 6, "not a held field"),
        (["Y-0004#9", "contact"], 4, "there is no Y-0004#9"),
        (["Y-0099#1", "contact"], 4, "Y-0099"),
        (["Y-0004#1", "contact", "--because", "spite"], 2, "request, court-order, error"),
        (["Y-0004#1", "contact", "--authority", "Y-0099"], 4, "Y-0099"),
        (["Y-0004#1"], 2, "FIELD"),
    ],
)
def test_what_cannot_be_erased_is_said_in_a_line(
    call: Call, registry: Registry, hand: str, words: list[str], status: int, says: str
) -> None:
    words = [word.replace("Y-0004", hand) for word in words]
    given = ["--authority", "Y-0001", "--because", "request"]
    done = call("held", "erase", *given, *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says.replace("Y-0004", hand) in done.stderr
    with registry.reading() as r:
        assert len(r.history(hand)) == 1


@pytest.mark.parametrize("missing", ["--authority", "--because"])
def test_what_nobody_can_be_asked_for_is_missing(call: Call, hand: str, missing: str) -> None:
    given = {"--authority": "Y-0001", "--because": "request"}
    del given[missing]
    words = [word for pair in given.items() for word in pair]
    done = call("held", "erase", f"{hand}#1", "contact", *words)
    assert done.exit_code == 2
    assert f"{missing} is missing" in done.stderr


def test_what_must_be_kept_is_refused_and_the_way_out_is_told(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.reading() as r:
        place = [one.facts.kind for _, one in r.history(shop.run)].index("run_declared") + 1
    words = ["held", "erase", f"{shop.run}#{place}", "note"]
    words += ["--authority", "Y-0001", "--because", "request"]
    done = call(*words)
    assert done.exit_code == 6
    assert "New York ACAL §14.06" in done.stderr
    assert "25 years" in done.stderr
    assert "not legal advice" in done.stderr
    assert call(*words, "--no-duty").exit_code == 6
    assert call(*words, "--no-duty", "--reason", "the shop is in Bavaria").exit_code == 0
    again = call(*words, "--no-duty", "--reason", "the shop is in Bavaria")
    assert (again.exit_code, "erased already" in again.stderr) == (6, True)


def test_on_a_terminal_erasing_is_asked_for_once_more(
    at_terminal: object, registry: Registry, hand: str
) -> None:
    words = ("held", "erase", f"{hand}#1", "contact")
    answers = f"{hand}\nrequest\nn\n"
    shown = at_terminal(*words, answers=answers)  # type: ignore[operator]
    assert f"Erase contact of {hand}#1 for good" in shown.text
    assert shown.status != 0
    with registry.reading() as r:
        assert len(r.history(hand)) == 1
    shown = at_terminal(*words, answers=f"{hand}\nrequest\ny\n")  # type: ignore[operator]
    assert shown.status == 0


def test_files_are_cleared_on_their_own(call: Call, book: Path, hand: str) -> None:
    done = call("held", "clear")
    assert done.exit_code == 0
    assert "hold nothing of what was erased" in done.stderr


def test_a_field_is_opened_and_checked_without_the_registry(
    call: Call, book: Path, hand: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "opened.json"
    done = call("held", "open", f"{hand}#1", "contact", "--to", str(to))
    assert (done.exit_code, done.stdout.strip()) == (0, str(to))
    assert to.stat().st_mode & 0o777 == 0o600
    keys = tmp_path / "public.txt"
    shutil.copy(book / "keys" / "public.txt", keys)
    monkeypatch.setenv("BRONZEBOOK_REGISTRY", str(tmp_path / "nowhere"))
    for words in (["held", "check"], ["verify"]):
        checked = call(*words, str(to), "--key", str(keys))
        assert checked.exit_code == 5
        assert "contact\ta barn at the mill" in checked.stdout
        lines = [line.split("\t") for line in checked.stdout.splitlines()]
        assert [line[1] for line in lines if line[0] == "checks"] == [
            "agrees",
            "agrees",
            "agrees",
            "not checked",
        ]
        assert "when it was recorded" in checked.stderr
    alone = call("held", "check", str(to))
    assert alone.exit_code == 5
    assert "independent place" in alone.stdout


def test_opening_again_writes_the_same_and_never_over_another_file(
    call: Call, hand: str, tmp_path: Path
) -> None:
    to = tmp_path / "opened.json"
    assert call("held", "open", f"{hand}#1", "contact", "--to", str(to)).exit_code == 0
    assert call("held", "open", f"{hand}#1", "contact", "--to", str(to)).exit_code == 0
    other = call("held", "open", f"{hand}#1", "private_name", "--to", str(to))
    assert (other.exit_code, "already with other content" in other.stderr) == (3, True)
    nowhere = call("held", "open", f"{hand}#1", "contact", "--to", str(tmp_path / "no" / "x"))
    assert nowhere.exit_code == 10


def test_what_was_corrected_since_is_told_to_who_opens(
    call: Call, registry: Registry, hand: str, tmp_path: Path
) -> None:
    with registry.writing() as w:
        (made,) = correct_entry(w, f"{hand}#1", {"contact": "the new barn"})
    done = call("held", "open", f"{hand}#1", "contact", "--to", str(tmp_path / "a.json"))
    assert f"held open {made.leaf[:16]} held_value" in done.stderr
    to = tmp_path / "b.json"
    assert call("held", "open", made.leaf[:16], "held_value", "--to", str(to)).exit_code == 0
    assert "held value\tthe new barn" in call("held", "check", str(to)).stdout


def test_a_field_left_empty_is_shown_as_nothing_said(
    call: Call, registry: Registry, tmp_path: Path
) -> None:
    code = a_party(registry, contact="barn 3")
    to = tmp_path / "opened.json"
    call("held", "open", f"{code}#1", "private_name", "--to", str(to))
    done = call("held", "check", str(to), "--json")
    assert (done.exit_code, json.loads(done.stdout)["value"]) == (5, None)
    assert "private name\tnothing was said" in call("held", "check", str(to)).stdout


def test_an_altered_opening_contradicts(call: Call, book: Path, hand: str, tmp_path: Path) -> None:
    to = tmp_path / "opened.json"
    call("held", "open", f"{hand}#1", "contact", "--to", str(to))
    forged = tmp_path / "forged.json"
    forged.write_bytes(to.read_bytes().replace(b"at the mill", b"at the lake"))
    done = call("held", "check", str(forged), "--key", str(book / "keys" / "public.txt"))
    assert done.exit_code == 3
    assert "This is not what the entry sealed as contact" in done.stdout
    assert "Something contradicts" in done.stderr
    foreign = tmp_path / "keys.txt"
    other = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"  # C2SP's own
    foreign.write_text(f"log {other}\n")
    done = call("held", "check", str(to), "--key", str(foreign))
    assert done.exit_code == 4
    assert "not proved" in done.stderr


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "not an opening"), (b"%PDF-1.7\n", "not an opening"), (b'{"entry":"', "not an opening")],
)
def test_a_file_that_is_no_opening_is_said(
    call: Call, tmp_path: Path, content: bytes, says: str
) -> None:
    to = tmp_path / "opened.json"
    to.write_bytes(content)
    done = call("held", "check", str(to))
    assert (done.exit_code, done.stdout) == (9, "")
    assert says in done.stderr


def test_a_file_of_keys_that_is_none_is_said(call: Call, hand: str, tmp_path: Path) -> None:
    to, keys = tmp_path / "opened.json", tmp_path / "keys.txt"
    call("held", "open", f"{hand}#1", "contact", "--to", str(to))
    keys.write_bytes(b"\xff\xfe")
    assert call("held", "check", str(to), "--key", str(keys)).exit_code == 9
    keys.write_text("log nothing\n")
    assert call("held", "check", str(to), "--key", str(keys)).exit_code == 8
    assert call("held", "check", str(tmp_path / "none.json")).exit_code == 9


def test_checking_an_opening_loads_no_database(call: Call, hand: str, tmp_path: Path) -> None:
    to = tmp_path / "opened.json"
    call("held", "open", f"{hand}#1", "contact", "--to", str(to))
    probe = (
        "import sys\nfrom editions.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    print(end.code, *sys.modules)"
    )
    own = {name: text for name, text in os.environ.items() if not name.startswith("BRONZEBOOK_")}
    done = subprocess.run(
        [sys.executable, "-c", probe, "held", "check", str(to)],
        env=own | {"PYTHONPATH": str(ROOT)}, cwd=tmp_path,
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    status, *loaded = done.stdout.splitlines()[-1].split()
    assert status == "5"
    assert not {name.partition(".")[0] for name in loaded} & {"sqlalchemy", "reportlab", "flask"}


OLDER_GUARD = (
    "CREATE TRIGGER held_no_delete BEFORE DELETE ON held"
    " BEGIN SELECT RAISE(ABORT, 'the book is append-only'); END"
)


@pytest.mark.sqlite
def test_an_upgrade_of_a_sqlite_registry_says_where_its_copy_is(
    call: Call, book: Path, registry: Registry, hand: str
) -> None:
    done = call("upgrade", "--json")
    assert json.loads(done.stdout)["backup"] is None
    assert "Nothing to do" in done.stderr
    with registry.engine.begin() as owner:
        for statement in (
            "DROP TRIGGER held_no_delete",
            OLDER_GUARD,
            "DROP TABLE erasures",
            "UPDATE alembic_version SET version_num = '0001'",
        ):
            owner.exec_driver_sql(statement)
    older = call("show", hand)
    assert (older.exit_code, "bronzebook upgrade" in older.stderr) == (7, True)
    done = call("upgrade")
    assert done.exit_code == 0
    (copy,) = (book / "backups").iterdir()
    assert f"backup\t{copy}" in done.stdout
    assert b"a barn at the mill" in copy.read_bytes()
    erased = call(
        "held", "erase", f"{hand}#1", "contact", "--authority", hand, "--because", "request"
    )
    assert str(copy) in erased.stderr
    assert call("audit").exit_code == 0
    assert a_wax(registry, note="after") > "W-0001"
