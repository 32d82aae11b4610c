"""A large site made in several processes is the site that one makes, whatever becomes of them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import ExitStack
from multiprocessing import active_children
from pathlib import Path

import pytest
from msgspec.structs import replace

from editions.errors import MachineRefused
from editions.pages import alongside
from editions.pages import publish as publishing
from editions.pages.alongside import draft_parts
from editions.pages.drafting import Drafted, Drafter, Task
from editions.pages.installing import Installer
from editions.pages.publish import publish
from editions.pages.site import ADDRESSES, RECORD
from editions.pages.view import room
from editions.registry import Registry
from editions.registry.acts.parties import enter_party
from tests.pages.builders import Gallery
from tests.pages.test_publish import contents, grow

RECORDS = next(address for address in ADDRESSES if address.path == RECORD)
# What is dated when it is made.
DATED = ("status", "standing/index.html", "fr/standing/index.html", "revocations.txt")


@pytest.fixture(autouse=True)
def _little_is_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(alongside, "_MANY", 2)
    monkeypatch.setattr(publishing, "_AT_ONCE", 1)


def lasting(site: Path) -> dict[str, bytes]:
    """The files of a site that are the same whenever it is made."""
    return {name: data for name, data in contents(site).items() if name not in DATED}


def whole(site: Path) -> bool:
    """Whether nothing unfinished lies in a site."""
    return not list(site.glob(".unfinished-*"))


def test_two_processes_make_the_site_that_one_makes_and_tell_how_far_they_are(
    shown: Gallery, tmp_path: Path
) -> None:
    alone, together, told = tmp_path / "alone", tmp_path / "together", list[tuple[int, int]]()
    one = publish(shown.shop.registry, alone)
    two = publish(
        shown.shop.registry, together, progress=lambda *so_far: told.append(so_far), processes=2
    )
    assert lasting(together) == lasting(alone)
    assert (two.records, two.written) == (one.records, one.written)
    assert whole(together)
    assert not active_children()
    assert told == sorted(told)
    assert told[-1][0] == told[-1][1]


def test_what_two_processes_made_is_left_alone_until_something_is_entered(
    book: Registry, number: str, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site, processes=2)
    before = {name: (site / name).stat().st_ino for name in lasting(site)}
    assert publish(book, site).written <= len(DATED)
    assert {name: (site / name).stat().st_ino for name in lasting(site)} == before
    grow(book)
    publish(book, site, processes=2)
    assert "left foot" in (site / f"C/{number}/index.html").read_text()


def test_few_files_are_made_by_one_process(
    book: Registry, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(alongside, "_MANY", 2_000)
    monkeypatch.delattr(alongside, "_company")
    assert publish(book, tmp_path / "site", processes=2).records == 1


def test_processes_that_are_killed_take_nothing_along(shown: Gallery, tmp_path: Path) -> None:
    def killing(done: int, _: int) -> None:
        for child in active_children() if done == 1 else ():
            child.kill()

    publish(shown.shop.registry, tmp_path / "alone")
    publish(shown.shop.registry, tmp_path / "site", progress=killing, processes=2)
    assert lasting(tmp_path / "site") == lasting(tmp_path / "alone")
    assert whole(tmp_path / "site")


def test_an_interrupted_run_leaves_the_old_site_and_no_process(
    book: Registry, tmp_path: Path
) -> None:
    def interrupting(_: int, __: int) -> None:
        raise KeyboardInterrupt

    site = tmp_path / "site"
    publish(book, site)
    before = contents(site)
    grow(book)
    with pytest.raises(KeyboardInterrupt):
        publish(book, site, progress=interrupting, processes=2)
    assert contents(site) == before
    assert not active_children()
    publish(book, site)
    assert contents(site)["checkpoint"] != before["checkpoint"]


KILLED = """
import json, os, signal, sys
from multiprocessing import active_children
from pathlib import Path
from editions.pages import alongside, publish as publishing
from editions.registry import open_registry

def killed(*_):
    print(json.dumps([child.pid for child in active_children()]), flush=True)
    os.kill(os.getpid(), signal.SIGKILL)

if __name__ == "__main__":
    alongside._MANY, publishing._AT_ONCE = 2, 1
    registry = open_registry(Path(sys.argv[1]))
    publishing.publish(registry, Path(sys.argv[2]), progress=killed, processes=2)
"""


def test_no_process_outlives_the_one_that_publishes(book: Registry, tmp_path: Path) -> None:
    (tmp_path / "publishing.py").write_text(KILLED)
    places = (tmp_path / "publishing.py", book.home.folder, tmp_path / "site")
    words = [sys.executable, *map(str, places)]
    done = subprocess.run(words, capture_output=True, check=False)
    assert done.returncode == -signal.SIGKILL
    children = json.loads(done.stdout)
    assert children
    until = time.monotonic() + 60
    while any(map(_lives, children)):
        assert time.monotonic() < until
        time.sleep(0.05)


def _lives(process: int) -> bool:
    """Whether a process is there and has not ended (Linux tells of one that nobody waited for)."""
    try:
        status = Path(f"/proc/{process}/stat").read_text()
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"


def test_a_disk_that_refuses_another_process_is_told(
    shown: Gallery, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = alongside._moment

    def elsewhere(drafter: Drafter) -> alongside.Moment:
        # Others are to write where they cannot.
        return replace(real(drafter), staging=tmp_path / "not there")

    monkeypatch.setattr(alongside, "_moment", elsewhere)
    site = tmp_path / "site"
    with pytest.raises(MachineRefused, match=r"index\.html was not written"):
        publish(shown.shop.registry, site, processes=2, progress=_slowly)
    assert contents(site) == {}


def _slowly(_: int, __: int) -> None:
    """Leaves the other processes time to begin."""
    time.sleep(0.2)


def drafted(registry: Registry, number: str, site: Path) -> tuple[alongside.Moment, Sequence[str]]:
    """The moment of a registry, and the files of one record as this process would draft them."""
    installer = Installer(site)
    installer.begin()
    with room(registry) as here:
        drafter = Drafter(here, installer)
        (made,) = draft_parts(drafter, [[Task(RECORDS, number, None)]], 1, lambda _: None)
        return alongside._moment(drafter), [one.name for one in made]


def begun(moment: alongside.Moment, monkeypatch: pytest.MonkeyPatch) -> None:
    """Begin in this process what runs in others."""
    monkeypatch.setattr(alongside, "_DRAFTERS", [])
    monkeypatch.setattr(alongside, "_OPEN", ExitStack())
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    alongside._begin(moment)


def given(number: str) -> list[Drafted] | None:
    """What such a process makes of a record."""
    return alongside._draft([(RECORD, number, None)])


def test_another_process_drafts_the_same_in_names_of_its_own(
    book: Registry, number: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    moment, names = drafted(book, number, tmp_path / "site")
    begun(moment, monkeypatch)
    made = given(number)
    alongside._OPEN.close()
    assert made is not None
    assert [one.name for one in made] == list(names)
    assert all(one.draft and one.draft.parent == moment.staging for one in made)
    assert str(os.getpid()) in str(made[0].draft)


@pytest.mark.parametrize("entries", [-1, 1])
def test_a_process_at_another_moment_makes_nothing(
    book: Registry,
    number: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    entries: int,
) -> None:
    moment, _ = drafted(book, number, tmp_path / "site")
    begun(replace(moment, size=moment.size + entries), monkeypatch)
    assert given(number) is None
    alongside._OPEN.close()


def test_what_is_entered_while_the_processes_begin_is_on_no_page(
    book: Registry, number: str, tmp_path: Path
) -> None:
    def entering(done: int, _: int) -> None:
        if done == 1:
            with book.writing() as w:
                enter_party(w, ["hand"], private_name="of no page")

    publish(book, tmp_path / "alone")
    publish(book, tmp_path / "site", progress=entering, processes=2)
    assert lasting(tmp_path / "site") == lasting(tmp_path / "alone")


def test_the_process_that_publishes_has_no_parent_to_end_with() -> None:
    alongside._end_with_parent()
