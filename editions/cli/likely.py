"""Likely answers for what was not typed, looked up only where a person can be asked.

==========================  ================================================================
``newest(desk, "K")``       the code entered last of a letter
``code(desk, given, …)``    a code as given, or asked for with the newest as the likely answer
``parts(text)``             the names of a list with commas
==========================  ================================================================
"""

from __future__ import annotations

from typing import Any

from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk


def newest(desk: Desk, letter: str, role: str | None = None) -> str | None:
    """The code entered last of a letter, and of a party with this role; None where nobody sits."""
    if not desk.interactive:
        return None
    from editions.trade.catalogue import STATES

    with desk.reading() as reading:
        every = reading.all_of(STATES[letter])
    codes = [one.code for one in every if role is None or role in getattr(one, "roles", ())]
    return codes[-1] if codes else None


def code(
    desk: Desk, given: str | None, letter: str, question: str, option: str, role: str | None = None
) -> str:
    """The code as given, or as answered; Enter takes the newest."""
    from editions.trade.codes import read_code

    if given is not None:
        return given

    def read(text: str) -> str:
        return read_code(text, letter)

    return ask(desk, None, question, newest(desk, letter, role), read, option=option)


def parts(text: str | None) -> list[str]:
    """The names of a list with commas; none where nothing was typed."""
    return [name.strip() for name in (text or "").split(",") if name.strip()]


def another_run(desk: Desk, work: str, told: dict[str, Any]) -> None:
    """Ask before a work gets a second open run of the same size and scale."""
    from editions.trade.runs import Run

    with desk.reading() as reading:
        runs = [one for one in reading.linked("work", work) if isinstance(one, Run)]
    wanted = (told.get("size"), told.get("scale"))
    for run in runs:
        if not run.closed and (run.declared.size, run.declared.scale) == wanted:
            confirm(desk, f"{run.code} is a {run.index().title} of it already. Declare another?")
