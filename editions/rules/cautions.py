"""Short cautions to print beside a temperature, a solution or a procedure.

They remind and defer; they teach nobody a procedure.  Each sends its reader to the supplier's
safety data sheet, the local code and a licensed or trained person.  Common practice of the trade,
no single source.

>>> cautions("wax")[0].partition(":")[0]
'Wax'
"""

from __future__ import annotations

import difflib

from editions.errors import Unreadable
from editions.trade.text import shown

_LINES = {
    "molten metal": (
        "Molten metal: moisture makes it erupt; full protective dress, dry and preheated tools, a"
        " dry floor. Trained crews only; follow local fire codes and the site's licensed practice."
    ),
    "shell firing": (
        "Shell firing: burning wax and open flame; keep clear of the kiln's mouth, ventilate."
        " Follow the kiln maker's instructions, local fire and air codes and licensed gas fitting."
    ),
    "silica dust": (
        "Silica dust: shell, investment and sand harm the lungs for good; wet or extracted work and"
        " a fitted respirator. See the safety data sheets and the local exposure limits."
    ),
    "acids and salts": (
        "Acids and salts: corrosive, oxidising or toxic; gloves, goggles, extraction, acid into"
        " water. See each supplier's safety data sheet; dispose by local code through a licensed"
        " carrier."
    ),
    "sulfide fumes": (
        "Sulfide fumes: sulfides with acid give hydrogen sulfide, which kills; keep them apart and"
        " ventilate. See the safety data sheets, local codes and trained practice."
    ),
    "ammonia fumes": (
        "Ammonia fumes: burn eyes and lungs; never with bleach, never stored with silver nitrate."
        " Ventilate; see the safety data sheets, local codes and trained practice."
    ),
    "wax": (
        "Wax: hot wax burns and catches fire; melt under thermostat, never over an open flame. See"
        " the safety data sheet, local fire codes and trained practice."
    ),
    "welding": (
        "Welding: arc light, shock, and fumes of copper, zinc, lead and silicon; screen, extract,"
        " respirator. Qualified welders; see the filler's safety data sheet and local codes."
    ),
    "grinding": (
        "Grinding: flying metal, dust, noise and vibration; guards, face shield, respirator,"
        " hearing protection. See the wheel's instructions, safety data sheets, local codes and"
        " trained practice."
    ),
}

TOPICS = tuple(_LINES)


def cautions(*topics: str) -> tuple[str, ...]:
    """Return one line for each topic, in the order asked for, each once.

    Raises:
        Unreadable: A topic that has no caution here.
    """
    return tuple(_LINES[topic] for topic in dict.fromkeys(_topic(text) for text in topics))


def _topic(text: str) -> str:
    """Return the topic's own spelling."""
    plain = " ".join(text.casefold().split())
    if plain not in _LINES:
        near = difflib.get_close_matches(plain[:40], TOPICS, n=1)
        raise Unreadable(
            f"{shown(text)} is not a topic of the cautions.",
            f"Did you mean {near[0]}?" if near else f"Topics: {', '.join(TOPICS)}.",
        )
    return plain
