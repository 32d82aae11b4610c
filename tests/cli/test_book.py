"""Commands for the book itself: begin, upgrade, audit, import, publish, serve, completion, demo."""

from __future__ import annotations

import json
import os
import signal
import socket
import sqlite3
import subprocess
from pathlib import Path
from urllib.request import urlopen

import pytest

from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.store import schema
from tests.cli.conftest import Call, Shop
from tests.helpers.children import INTERRUPTIBLE
from tests.registry import builders

SECRET = "lost wax, found bronze"
HEADING = "title,artist,size,declared\n"


def _begin(call: Call, where: Path, *words: str, secret: str = SECRET) -> tuple[int, str, str]:
    result = call(
        "begin", str(where), "--foundry", "Kiln Lane Bronze", "--address", "https://book.example",
        *words, env={"BRONZEBOOK_PASSPHRASE": secret, "BRONZEBOOK_HOME": ""},
    )  # fmt: skip
    return result.exit_code, result.stdout, result.stderr


def test_a_registry_is_begun_and_tells_its_keys(call: Call, tmp_path: Path) -> None:
    status, out, said = _begin(call, tmp_path / "new", "--place", "Harrow")
    assert status == 0, said
    assert (tmp_path / "new" / "registry.db").is_file()
    assert "address\thttps://book.example\n" in out
    assert out.count("\t") == 6
    assert "Keep a copy of" in said
    assert SECRET not in out + said
    again, out, said = _begin(call, tmp_path / "new")
    assert again == 7
    assert "is there already" in said


def test_what_was_begun_is_json_when_asked(call: Call, tmp_path: Path) -> None:
    _, out, _ = _begin(call, tmp_path / "new", "--json")
    told = json.loads(out)
    assert told["foundry"] == "Y-0001 Kiln Lane Bronze"
    # SHA-256 in 16 groups of 4, as a paper prints a fingerprint.
    assert [len(group) for group in told["certifying_key"].split(" ")] == [4] * 16


@pytest.mark.parametrize(
    ("words", "secret", "status", "message"),
    [
        (("--address", "https://book.example/records"), SECRET, 2, "is not a host's root"),
        (("--address", "ftp://book.example"), SECRET, 2, "is not a host's root"),
        ((), "short", 2, "shorter than 8 characters"),
        (("--foundry", "a\x07b"), SECRET, 2, "control character"),
    ],
)
def test_a_registry_that_cannot_be_begun_leaves_nothing(
    call: Call, tmp_path: Path, words: tuple[str, ...], secret: str, status: int, message: str
) -> None:
    found, _, said = _begin(call, tmp_path / "new", *words, secret=secret)
    assert found == status
    assert message in said
    assert not (tmp_path / "new").exists()


def test_a_place_that_cannot_be_written_is_said(call: Call, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    status, _, said = _begin(call, tmp_path / "file" / "new")
    assert status == 10
    assert len(said.splitlines()) == 2


def test_a_registry_of_today_needs_no_upgrade(call: Call) -> None:
    result = call("upgrade")
    assert result.exit_code == 0, result.stderr
    assert "Nothing to do." in result.stderr
    lines = dict(line.split("\t") for line in result.stdout.splitlines())
    assert lines["revision before"] == lines["revision now"] == max(schema.known_revisions())


def test_what_is_no_registry_is_not_upgraded(call: Call, tmp_path: Path) -> None:
    sqlite3.connect(tmp_path / "other.db").execute("CREATE TABLE other (x)").connection.close()
    result = call("--registry", str(tmp_path / "other.db"), "upgrade")
    assert result.exit_code == 7
    assert "not a registry" in result.stderr
    assert call("--registry", str(tmp_path / "none.db"), "upgrade").exit_code == 7


def test_an_audit_of_a_sound_book_counts_what_it_checked(call: Call, registry: Registry) -> None:
    result = call("audit")
    assert result.exit_code == 0, result.stderr
    with registry.reading() as reading:
        size = reading.size
    lines = dict(line.split("\t") for line in result.stdout.splitlines())
    assert lines["entries"] == str(size)
    assert lines["tail"] == f"{size} after the last certificate, which no paper witnesses"
    assert result.stderr == "No fault found.\n"


def _tamper(book: Path) -> None:
    """Change a word of an entry, as someone with the file in hand could."""
    file = sqlite3.connect(book / "registry.db")
    for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type='trigger'").fetchall():
        file.execute(f'DROP TRIGGER "{name}"')
    changed = "CAST(replace(CAST(bytes AS TEXT), 'Heron', 'Egret') AS BLOB)"
    file.execute(f"UPDATE entries SET bytes = {changed} WHERE kind = 'work_entered'")
    file.commit()
    file.close()


def test_an_audit_of_a_changed_book_lists_the_faults_and_exits_3(
    call: Call, tmp_path: Path
) -> None:
    place = tmp_path / "changed"
    begun = builders.a_registry(place)
    builders.a_work(begun)
    begun.close()
    _tamper(place)
    words = ("--registry", str(place), "--home", str(place), "audit")
    result = call(*words)
    assert result.exit_code == 3
    faults = [line for line in result.stdout.splitlines() if line.startswith("fault: ")]
    assert any("do not hash to its leaf" in fault for fault in faults)
    assert f"{len(faults)} fault{'s' if len(faults) > 1 else ''} found." in result.stderr
    assert len(json.loads(call(*words, "--json").stdout)["faults"]) == len(faults)


def test_an_old_book_comes_in_after_a_rehearsal(call: Call, tmp_path: Path) -> None:
    old = tmp_path / "old.csv"
    old.write_text(HEADING + "Gate,Bram Quessel,5,1997\nSeed,Bram Quessel,3,1998\n")
    rehearsed = call("import", str(old), "--rehearse")
    assert rehearsed.exit_code == 0, rehearsed.stderr
    assert "Rehearsed; nothing was written." in rehearsed.stderr
    assert call("find", "gate").exit_code == 4
    done = call("import", str(old))
    assert done.exit_code == 0
    assert "rows\t2\n" in done.stdout
    assert call("find", "quessel", "gate").exit_code == 0
    again = call("import", str(old))
    assert again.exit_code == 6
    assert "imported before" in again.stderr


def test_faulty_rows_are_all_told_and_nothing_comes_in(call: Call, tmp_path: Path) -> None:
    old = tmp_path / "old.csv"
    old.write_text(
        HEADING + "Gate,Bram Quessel,five,1997\nSeed,Bram Quessel,3,1998\nHand,,3,1999\n"
    )
    result = call("import", str(old))
    assert result.exit_code == 6
    told = [line for line in result.stderr.splitlines() if line.startswith("row ")]
    assert [line.partition(":")[0] for line in told] == ["row 2", "row 4"]
    assert "2 of 3 rows faulty; nothing was written." in result.stderr
    assert call("find", "seed").exit_code == 4
    value = json.loads(call("import", str(old), "--json").stdout)
    assert [fault["row"] for fault in value["faults"]] == [2, 4]


@pytest.mark.parametrize("data", [b"\x00\x01", b"colour,of,nothing\n1,2,3\n", b""])
def test_a_file_of_no_layout_is_refused(call: Call, tmp_path: Path, data: bytes) -> None:
    (tmp_path / "old.csv").write_bytes(data)
    assert call("import", str(tmp_path / "old.csv")).exit_code == 9
    assert call("import", str(tmp_path / "none.csv")).exit_code == 9


@pytest.fixture
def certified(registry: Registry, shop: Shop) -> str:
    """The number of a certificate that stands."""
    from certificates.issue import issue

    with registry.writing() as w:
        approve_piece(w, shop.numbered, "colour", by=shop.artist, how="in person")
    return issue(registry, [shop.numbered], passphrase=builders.PASSPHRASE)[0].number


def test_the_record_is_published_and_published_again(
    call: Call, tmp_path: Path, certified: str
) -> None:
    site = tmp_path / "site"
    result = call("publish", str(site), "--json")
    assert result.exit_code == 0, result.stderr
    assert json.loads(result.stdout)["records"] == 1
    assert (site / "C" / certified / "index.html").is_file()
    assert (site / "checkpoint").is_file()
    assert call("publish", str(site)).exit_code == 0


def test_a_folder_of_something_else_is_not_published_into(call: Call, tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "thesis.doc").write_text("mine")
    result = call("publish", str(tmp_path / "site"))
    assert result.exit_code == 9
    assert (tmp_path / "site" / "thesis.doc").read_text() == "mine"


def _serve(port: int) -> subprocess.Popen[str]:
    """A server of its own; the registry is named in the environment, as ``call`` has set it."""
    words = [*INTERRUPTIBLE, "serve", "--port", str(port)]
    return subprocess.Popen(words, stderr=subprocess.PIPE, text=True)


def test_the_record_is_served_until_it_is_stopped(call: Call, certified: str) -> None:
    server = _serve(0)
    assert server.stderr is not None
    said = server.stderr.readline()
    address = said.removeprefix("The record answers at ").partition(";")[0]
    with urlopen(f"{address}C/{certified}") as answer:
        assert "Heron, standing" in answer.read().decode()
    server.send_signal(signal.SIGINT)
    rest = server.stderr.read()
    server.stderr.close()
    assert server.wait(timeout=20) == 0, rest
    assert rest.splitlines()[-1] == "Stopped."


@pytest.mark.parametrize("port", ["70000", "-1", "http"])
def test_a_port_that_is_none_is_wrong_use(call: Call, port: str) -> None:
    assert call("serve", "--port", port).exit_code == 2


def test_a_taken_port_is_said(call: Call) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        server = _serve(taken.getsockname()[1])
        _, said = server.communicate(timeout=20)
    assert server.returncode == 10
    assert "--port" in said
    assert len(said.splitlines()) == 2


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_is_given_its_script(call: Call, shell: str) -> None:
    result = call("completion", shell)
    assert result.exit_code == 0
    assert "_BRONZEBOOK_COMPLETE" in result.stdout


def test_a_shell_nobody_knows_is_wrong_use(call: Call) -> None:
    assert call("completion", "tcsh").exit_code == 2


def _completed(call: Call, words: str, begun: str = "") -> list[str]:
    """What bash is offered after these words, asked in bash's own way."""
    count = len(words.split()) + 1
    env = {
        "_BRONZEBOOK_COMPLETE": "bash_complete",
        "COMP_WORDS": f"bronzebook {words} {begun}",
        "COMP_CWORD": str(count),
    }
    result = call(env=env)
    return [line.partition(",")[2] for line in result.stdout.split()]


def test_commands_and_codes_of_the_registry_are_completed(call: Call, shop: Shop) -> None:
    assert _completed(call, "", "wa") == ["waiting", "wax"]
    assert set(_completed(call, "show", "t-010")) == {"T-0101", "T-0102", "T-0103"}
    assert shop.mold in _completed(call, "wax pull", "M-")


def test_the_last_name_of_a_list_is_completed(call: Call) -> None:
    import click

    from editions.cli import bronzebook
    from editions.cli.options import CodesType

    context = click.Context(bronzebook, info_name="bronzebook")
    context.params = {"registry": os.environ["BRONZEBOOK_REGISTRY"], "home": None}
    assert CodesType("P").complete(context, "T-0101..t-0102") == ["T-0101..T-0102"]
    assert CodesType("P").complete(context, "T-0101,T-010") == [
        "T-0101,T-0101", "T-0101,T-0102", "T-0101,T-0103",
    ]  # fmt: skip


def test_where_there_is_no_registry_completion_offers_nothing(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BRONZEBOOK_REGISTRY")
    monkeypatch.chdir(tmp_path)
    assert _completed(call, "show", "T-") == []


def test_the_demonstration_is_made_and_its_own_paper_checks(call: Call, tmp_path: Path) -> None:
    result = call("demo", str(tmp_path / "demo"), env={"BRONZEBOOK_HOME": ""})
    assert result.exit_code == 0, result.stderr
    lines = dict(line.split("\t") for line in result.stdout.splitlines())
    assert lines["status"] == "0"
    assert {"registry.db", "certificates", "site", "keys"} <= {
        path.name for path in (tmp_path / "demo").iterdir()
    }
    again = call("demo", str(tmp_path / "demo"), env={"BRONZEBOOK_HOME": ""})
    assert again.exit_code != 0
    assert "is not empty" in again.stderr
