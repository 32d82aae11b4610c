"""Many hands at once: eight processes give the numbers of one run, on each kind of database.

Real processes, each with its own connection, as at eight desks of a foundry.  Nothing may be lost,
given twice, or skipped, and the tree must still be sound afterwards.
"""

from __future__ import annotations

import json
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

# One interpreter loads the program and is then forked, a desk for each rack.  Each desk opens
# the registry for itself and waits; when the parent closes the pipe, all begin at once.
_DESKS = """
import json, os, sys
from editions.errors import Refused
from editions.registry import open_registry
from editions.registry.acts.numbers import give_next_number, give_number

where, home, how, racks = sys.argv[1:]

def work(pieces, gong, said):
    registry = open_registry(where, home=home)
    os.read(gong, 1)
    for piece in pieces:
        try:
            with registry.writing() as w:
                made = give_next_number(w, piece) if how == "next" else give_number(w, piece, how)
            print("gave", made.position, file=said)
        except Refused as why:
            print("refused", why.message, file=said)

gong, hand = os.pipe()
desks = []
for pieces in json.loads(racks):
    heard, speaks = os.pipe()
    desk = os.fork()
    if desk == 0:
        os.close(hand)
        with open(speaks, "w") as said:
            work(pieces, gong, said)
        os._exit(0)
    os.close(speaks)
    desks.append((desk, open(heard)))
os.close(hand)
said = [heard.read().splitlines() for _, heard in desks]
assert all(os.waitpid(desk, 0)[1] == 0 for desk, _ in desks)
print(json.dumps(said))
"""


def _work(where: str, home: Path, how: str, racks: list[list[str]]) -> list[list[str]]:
    """Let a desk for each rack give its pieces numbers, all at once; what each has said."""
    done = subprocess.run(
        [sys.executable, "-c", _DESKS, where, str(home), how, json.dumps(racks)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    said: list[list[str]] = json.loads(done.stdout)
    assert len(said) == len(racks)
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
    said = _work(where, tmp_path, "next", [pieces[n::PROCESSES] for n in range(PROCESSES)])
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
    said = _work(where, tmp_path, "3/8", [[piece] for piece in pieces])
    lines = [line for desk in said for line in desk]
    assert sum(line.startswith("gave") for line in lines) == 1
    registry = open_registry(where, home=tmp_path)
    held: Run = state(registry, run)
    registry.close()
    (given,) = held.given
    refusals = {line for line in lines if line.startswith("refused")}
    assert refusals == {f"refused 3/8 was given to {given.piece}."}
    assert re.fullmatch(r"P-\d{4}", given.piece)
