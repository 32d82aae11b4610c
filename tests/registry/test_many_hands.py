"""Many hands at once: eight processes give the numbers of one run, on each kind of database.

Real processes, each with its own connection, as at eight desks of a foundry.  Nothing may be lost,
given twice, or skipped, and the tree must still be sound afterwards.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from editions.registry import Registry, open_registry
from editions.registry.acts.pieces import start_piece
from editions.registry.auditing import audit
from editions.trade.runs import Run
from tests.helpers.stores import Stores
from tests.registry.builders import a_piece, a_registry, a_run, state

PROCESSES = 8
SIZE = 200
ROOT = Path(__file__).parents[2]

_DESK = """
import sys
from editions.errors import Refused
from editions.registry import open_registry
from editions.registry.acts.numbers import give_next_number, give_number

where, home, how, *pieces = sys.argv[1:]
registry = open_registry(where, home=home)
sys.stdin.readline()
for piece in pieces:
    try:
        with registry.writing() as w:
            made = give_next_number(w, piece) if how == "next" else give_number(w, piece, how)
        print("gave", made.position, flush=True)
    except Refused as why:
        print("refused", why.message, flush=True)
"""


def _desk(where: str, home: Path, how: str, pieces: list[str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", _DESK, where, str(home), how, *pieces],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _work(desks: list[subprocess.Popen[str]]) -> list[list[str]]:
    """Let every desk begin at once; what each has said when all are done."""
    for desk in desks:
        assert desk.stdin is not None
        desk.stdin.write("now\n")
        desk.stdin.flush()
    said = []
    for desk in desks:
        out, wrong = desk.communicate(timeout=120)
        assert (desk.returncode, wrong) == (0, "")
        said.append(out.splitlines())
    return said


def _rack(registry: Registry, run: str) -> list[str]:
    with registry.writing() as w:
        return [start_piece(w, run).code for _ in range(SIZE)]


@pytest.fixture
def where(stores: Stores) -> str:
    """A place for a registry that other processes open too."""
    return stores.fresh()


def test_eight_processes_give_two_hundred_distinct_numbers_and_none_is_lost(
    where: str, tmp_path: Path
) -> None:
    registry = a_registry(where, tmp_path)
    run = a_run(registry, size=SIZE, proofs=[])
    pieces = _rack(registry, run)
    registry.close()
    desks = [_desk(where, tmp_path, "next", pieces[n::PROCESSES]) for n in range(PROCESSES)]
    said = _work(desks)
    assert [len(lines) for lines in said] == [SIZE // PROCESSES] * PROCESSES
    registry = open_registry(where, home=tmp_path)
    held: Run = state(registry, run)
    assert {given.designation for given in held.given} == {f"{n}/{SIZE}" for n in range(1, 201)}
    assert {given.piece for given in held.given} == set(pieces)
    positions = [int(line.split()[1]) for lines in said for line in lines]
    assert max(Counter(positions).values()) == 1
    report = audit(registry)
    assert report.faults == ()
    registry.close()


def test_one_number_wanted_by_eight_is_given_to_one_and_the_others_are_told_to_whom(
    where: str, tmp_path: Path
) -> None:
    registry = a_registry(where, tmp_path)
    run = a_run(registry)
    pieces = [a_piece(registry, run) for _ in range(PROCESSES)]
    registry.close()
    said = _work([_desk(where, tmp_path, "3/8", [piece]) for piece in pieces])
    lines = [line for desk in said for line in desk]
    assert sum(line.startswith("gave") for line in lines) == 1
    registry = open_registry(where, home=tmp_path)
    held: Run = state(registry, run)
    registry.close()
    (given,) = held.given
    refusals = {line for line in lines if line.startswith("refused")}
    assert refusals == {f"refused 3/8 was given to {given.piece}."}
    assert re.fullmatch(r"P-\d{4}", given.piece)
