"""``verify``: whatever someone holds, with a registry and without, and the exit status of each."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from certificates.attach import read_attachments
from certificates.claim import code_text
from certificates.issue import issue, replace_lost, reserve, withdraw
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.trade.numbers import make_number
from tests.cli.conftest import Call, Shop, Shown
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
def code(paper: Path) -> str:
    """The text of its code."""
    cose = read_attachments(paper.read_bytes())["claim.cose"]
    return code_text(builders.ADDRESS, paper.stem, cose)


@pytest.fixture
def picture(paper: Path, tmp_path: Path) -> Path:
    """Its page, as a phone would have it."""
    import pypdfium2

    document = pypdfium2.PdfDocument(paper)
    path = tmp_path / "page.png"
    document[0].render(scale=150 / 72).to_pil().save(path)
    document.close()
    return path


@pytest.fixture
def keys(book: Path) -> str:
    """The file of the foundry's public keys, as it is handed out."""
    return str(book / "keys" / "public.txt")


@pytest.fixture
def alone(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Call:
    """The command line where there is no registry."""
    empty = tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    monkeypatch.delenv("BRONZEBOOK_REGISTRY")
    return call


def _checks(result: Result) -> dict[str, str]:
    lines = [line.split("\t") for line in result.stdout.splitlines()]
    return {line[2]: line[1] for line in lines if line[0] == "checks"}


@pytest.mark.parametrize("what", ["number", "typed", "address", "code", "pdf", "picture"])
def test_a_certificate_that_stands_agrees_in_every_form(
    call: Call, paper: Path, code: str, picture: Path, what: str
) -> None:
    number = paper.stem
    given = {
        "number": number,
        "typed": f" {number[:4]} {number[4:8]}-{number[8:]} ".lower(),
        "address": f"{builders.ADDRESS}/C/{number}/",
        "code": code,
        "pdf": str(paper),
        "picture": str(picture),
    }[what]
    result = call("verify", given)
    assert result.exit_code == 0, result.stdout + result.stderr
    assert result.stdout.startswith(f"{number[:4]} {number[4:8]} {number[8:]}\t")
    assert "title\tHeron, standing\n" in result.stdout
    # A code alone carries the claim; that the rest of the page was not looked at, it says.
    allowed = {"agrees", "not checked"} if what in {"code", "picture"} else {"agrees"}
    assert set(_checks(result).values()) == allowed
    whole = "The code agrees, and" if what in {"code", "picture"} else "Everything agrees:"
    assert f"{whole} this certificate stands, as of " in result.stderr
    assert ("Only the code was read." in result.stderr) == (what in {"code", "picture"})
    assert "consistent with the paper" in result.stderr
    assert "authentic" not in result.stdout + result.stderr


def test_a_code_comes_on_stdin(call: Call, code: str) -> None:
    assert call("verify", "-", input=f"{code}\n").exit_code == 0


def test_a_designation_is_looked_up_by_its_work_s_code_or_words(
    call: Call, paper: Path, shop: Shop
) -> None:
    for work in (shop.work, "varga heron"):
        result = call("verify", "No. 3/8", "--work", work, "--json")
        assert result.exit_code == 0
        assert [one["number"] for one in json.loads(result.stdout)] == [paper.stem]


def test_a_replaced_paper_of_a_number_is_no_contradiction_where_another_stands(
    call: Call, registry: Registry, paper: Path
) -> None:
    replace_lost(registry, paper.stem, passphrase=PASSPHRASE)
    assert call("verify", "3/8", "--work", "heron").exit_code == 0
    old = call("verify", paper.stem)
    assert old.exit_code == 3
    assert "replaced" in old.stdout


def test_a_withdrawn_certificate_contradicts_and_says_why(
    call: Call, registry: Registry, paper: Path
) -> None:
    withdraw(registry, paper.stem, because="disputed")
    result = call("verify", str(paper))
    assert result.exit_code == 3
    assert "withdrawn" in result.stdout
    assert "disputed" in result.stdout
    assert result.stderr.startswith("The paper proves itself, but it does not stand:")
    assert call("verify", "3/8", "--work", "heron").exit_code == 3


@pytest.mark.parametrize(
    ("words", "status", "message"),
    [
        (["3/8"], 2, "is the number of many casts"),
        (["nonsense"], 2, "is not a certificate number"),
        (["0123456789B"], 2, "does not agree"),
        (["https://elsewhere.example/"], 2, "is not a certificate number"),
        (["http://elsewhere.example/#ABC"], 2, "not the code of a certificate"),
        (["none.pdf"], 9, "does not exist"),
        (["3/8", "--work", "nobody"], 4, "No work answers to nobody."),
        (["7/8", "--work", "heron"], 4, "7/8"),
        (["three", "--work", "heron"], 2, "cannot be read as a number"),
        (["x" * 4000], 2, "is not a certificate number"),
        (["\x1b[2J"], 2, "is not a certificate number"),
    ],
)
def test_what_is_no_certificate_is_said_with_its_status(
    call: Call, words: list[str], status: int, message: str
) -> None:
    result = call("verify", *words)
    assert result.exit_code == status, result.stderr
    assert message in result.stderr
    assert result.stdout == ""
    assert "\x1b" not in result.stderr


def test_a_number_that_the_registry_never_issued_is_not_known(call: Call) -> None:
    result = call("verify", make_number(Chance("never")))
    assert result.exit_code == 4


def test_several_works_that_answer_are_named(call: Call, registry: Registry, shop: Shop) -> None:
    other = builders.a_work(registry, shop.artist, "Heron, fishing")
    result = call("verify", "3/8", "--work", "heron")
    assert result.exit_code == 4
    assert shop.work in result.stderr
    assert other in result.stderr


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"%PDF-1.7 truncated", "PDF"),
        (b"not a picture", "picture"),
        (b"", "picture"),
        (b"\xff" * 100_000, "picture"),
    ],
)
def test_a_file_of_something_else_is_refused(
    call: Call, tmp_path: Path, data: bytes, message: str
) -> None:
    path = tmp_path / "held"
    path.write_bytes(data)
    result = call("verify", str(path))
    assert result.exit_code == 9
    assert message in result.stderr


def test_a_folder_and_bytes_on_stdin_are_refused(call: Call, tmp_path: Path) -> None:
    assert call("verify", str(tmp_path)).exit_code == 2
    assert call("verify", "-", input=b"\xff\xfe").exit_code == 9


def test_alone_a_pdf_proves_itself_and_its_standing_is_not_checked(
    alone: Call, paper: Path
) -> None:
    result = alone("verify", str(paper))
    assert result.exit_code == 5
    assert "standing was not checked" in result.stderr.replace("How it stands today", "standing")
    assert "The key came with the paper: compare its fingerprint" in result.stderr
    assert _checks(result)["how it stands today"] == "not checked"


def test_alone_a_code_without_a_key_is_not_proved(alone: Call, code: str) -> None:
    result = alone("verify", code)
    assert result.exit_code == 4
    assert "--key FILE" in result.stderr


@pytest.mark.parametrize("form", ["code", "pdf", "picture"])
def test_with_the_foundry_s_keys_a_paper_is_proved_alone(
    alone: Call, paper: Path, code: str, picture: Path, keys: str, form: str
) -> None:
    what = {"code": code, "pdf": str(paper), "picture": str(picture)}[form]
    result = alone("verify", what, "--key", keys)
    assert result.exit_code == 5, result.stdout
    assert "The key came with the paper" not in result.stderr


def test_alone_a_number_needs_a_registry(alone: Call, paper: Path) -> None:
    assert alone("verify", paper.stem).exit_code == 7


@pytest.mark.parametrize("data", [b"\xff\xfe", b"foundry nonsense\n", b""])
def test_a_file_that_holds_no_key_is_refused(
    alone: Call, paper: Path, tmp_path: Path, data: bytes
) -> None:
    path = tmp_path / "keys.txt"
    path.write_bytes(data)
    assert alone("verify", str(paper), "--key", str(path)).exit_code in {8, 9}
    assert alone("verify", str(paper), "--key", str(tmp_path / "none")).exit_code == 9


def test_another_book_s_keys_contradict_or_leave_it_unproved(
    alone: Call, paper: Path, tmp_path: Path
) -> None:
    other = builders.a_registry(tmp_path / "other", random=Chance("other"))
    other.close()
    result = alone("verify", str(paper), "--key", str(tmp_path / "other" / "keys" / "public.txt"))
    assert result.exit_code in {3, 4}


def test_a_changed_byte_in_the_pdf_is_found(call: Call, paper: Path, tmp_path: Path) -> None:
    data = bytearray(paper.read_bytes())
    place = data.rindex(b"trailer") if b"trailer" in data else len(data) // 2
    data[place + 1] ^= 1
    changed = tmp_path / "changed.pdf"
    changed.write_bytes(data)
    assert call("verify", str(changed)).exit_code in {3, 9}


def test_a_verdict_is_json_with_its_checks_and_digests_in_hex(call: Call, paper: Path) -> None:
    (verdict,) = json.loads(call("verify", str(paper), "--json").stdout)
    assert verdict["status"] == 0
    assert verdict["proved"] is True
    assert {check["result"] for check in verdict["checks"]} == {"agrees"}
    assert len(bytes.fromhex(verdict["claim"]["leaf"])) == 32
    assert len(bytes.fromhex(verdict["claim"]["root"])) == 32
    assert verdict["statement"]["title"] == "Heron, standing"


def test_a_reservation_says_that_it_is_one(call: Call, registry: Registry, shop: Shop) -> None:
    with registry.writing() as w:
        from editions.registry.acts.numbers import promise_number

        promise_number(w, shop.run, "5/8")
    (issued,) = reserve(registry, shop.run, "5/8", passphrase=PASSPHRASE)
    result = call("verify", str(issued.path))
    assert result.exit_code == 0
    assert "kind of paper\treservation\n" in result.stdout


def test_on_a_terminal_the_checks_are_a_table(
    at_terminal: Callable[..., Shown], paper: Path
) -> None:
    shown = at_terminal("verify", str(paper))
    assert shown.status == 0
    assert "\nagrees  " in shown.text


_LOADED = """
import sys
from editions.cli import main
try:
    main()
except SystemExit as ended:
    print(ended.code, *sorted(sys.modules), file=sys.stderr)
"""


def _loaded(folder: Path, *words: str) -> tuple[str, set[str]]:
    done = subprocess.run(
        [sys.executable, "-c", _LOADED, "verify", *words],
        check=True, capture_output=True, text=True, cwd=folder,
    )  # fmt: skip
    status, *modules = done.stderr.split("\n")[-2].split()
    return status, {name.partition(".")[0] for name in modules}


def test_alone_neither_a_code_nor_a_pdf_imports_the_store(
    alone: Call, paper: Path, code: str, keys: str, tmp_path: Path
) -> None:
    status, modules = _loaded(tmp_path / "empty", code, "--key", keys)
    assert status == "5"
    assert not {"sqlalchemy", "alembic", "reportlab", "pikepdf", "PIL", "qrcode", "rich"} & modules
    status, modules = _loaded(tmp_path / "empty", str(paper))
    assert status == "5"
    assert not {"sqlalchemy", "alembic", "flask"} & modules
