"""The casting book of a fine-art bronze foundry, append-only: what happened to every edition.

Everything the command line does is a function here.  Importing this package loads nothing; a name
is loaded when it is first asked for::

    from editions import begin, enter_party, enter_work, declare_run

    registry = begin("book", foundry="Kiln Lane", address="https://book.example", passphrase=secret)
    with registry.writing() as w:
        artist = enter_party(w, "artist", name="Ilse Varga", born="1931").code
        work = enter_work(w, artist, "Heron, standing").code
        declare_run(w, work, size=8, proofs=["4 AP roman"])

An act takes a writing (see :mod:`editions.registry.acts`); the rest take a registry.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_ROOMS: dict[str, tuple[str, ...]] = {
    "certificates.asking": (
        "ask_for",
        "pending_of",
        "sign_in_ink",
        "take_reply",
        "tell_refusal",
        "words_to_sign",
    ),
    "certificates.issue": ("eligible", "issue", "replace_lost", "reserve", "withdraw"),
    "certificates.opening": ("check_opening",),
    "certificates.designated": ("check_designation",),
    "certificates.examining": ("Away", "verify", "verify_papers"),
    "certificates.standing": (
        "check_code",
        "check_number",
        "check_pdf",
        "check_picture",
    ),
    "certificates.reach": ("reach",),
    "certificates.telling": ("advice", "sentence"),
    "certificates.verify": ("verify_code", "verify_pdf", "verify_picture", "verify_record"),
    "editions.exchange.importing": ("import_csv",),
    "editions.pages.publish": ("publish",),
    "editions.pages.serve": ("serve",),
    "editions.registry": (
        "Entered",
        "Reading",
        "Registry",
        "Writing",
        "begin",
        "open_registry",
        "upgrade",
    ),
    "editions.registry.auditing": ("audit",),
    "editions.registry.counting": ("count_work",),
    "editions.registry.corrected_since": ("corrected_since",),
    "editions.registry.finding": ("find",),
    "editions.registry.held": ("clear_erased", "erase_held", "open_held"),
    "editions.registry.acts.approvals": ("approve_piece",),
    "editions.registry.acts.colour": ("apply_colour", "write_recipe"),
    "editions.registry.acts.corrections": ("correct_entry",),
    "editions.registry.acts.held": ("erase_field",),
    "editions.registry.acts.heats": ("analyse_heat", "open_heat", "pour_heat"),
    "editions.registry.acts.marks": ("record_mark",),
    "editions.registry.acts.keys": ("admit_key", "end_key"),
    "editions.registry.rotating": ("prepare_rotation", "rotate_foundry_key"),
    "editions.registry.rotating_log": ("prepare_log_rotation", "rotate_log_key"),
    "editions.registry.acts.metal": ("limits_stated", "receive_lot", "state_alloy"),
    "editions.registry.acts.molds": (
        "destroy_mold",
        "inspect_mold",
        "make_mold",
        "repair_mold",
        "retire_mold",
        "send_mold_out",
        "take_mold_back",
    ),
    "editions.registry.acts.numbers": (
        "end_promise",
        "free_number",
        "give_next_number",
        "give_number",
        "numbers_of",
        "promise_number",
    ),
    "editions.registry.acts.parties": ("enter_party", "give_authority", "record_death"),
    "editions.registry.acts.photographs": ("file_photograph",),
    "editions.registry.acts.pieces": (
        "measure_piece",
        "note_defect",
        "register_cast",
        "release_piece",
        "scrap_piece",
        "start_piece",
        "take_wax",
    ),
    "editions.registry.acts.runs": ("amend_run", "close_run", "declare_run", "offer_run"),
    "editions.registry.acts.steps": ("record_step",),
    "editions.registry.acts.strikes": ("strike_entry",),
    "editions.registry.acts.waxes": (
        "allot_wax",
        "judge_wax",
        "number_wax",
        "pull_wax",
        "pull_waxes",
    ),
    "editions.registry.acts.works": ("enter_model", "enter_work", "measure_model"),
    "editions.rules.aftercast": ("compare",),
    "editions.rules.colour_difference": ("ciede2000",),
    "editions.rules.contraction": ("sizes",),
    "editions.rules.metal": ("metal_for",),
    "editions.rules.metal_check": ("check_metal",),
    "editions.rules.mold_life.outlook": ("outlook",),
    "editions.rules.pour_sheet": ("pour_sheet",),
    "editions.rules.reference": ("propose_reference",),
    "editions.rules.solutions.diluting": ("dilute",),
    "editions.rules.solutions.mixing": ("mix",),
}
_WHERE = {name: room for room, names in _ROOMS.items() for name in names}

__all__ = ["__version__", *sorted(_WHERE)]  # noqa: PLE0604 - every name is a text

# A type checker is told every name that the rooms give; nothing here is loaded.
if TYPE_CHECKING:
    from certificates.asking import *  # noqa: F403
    from certificates.designated import *  # noqa: F403
    from certificates.examining import *  # noqa: F403
    from certificates.issue import *  # noqa: F403
    from certificates.opening import *  # noqa: F403
    from certificates.reach import *  # noqa: F403
    from certificates.standing import *  # noqa: F403
    from certificates.telling import *  # noqa: F403
    from certificates.verify import *  # noqa: F403
    from editions.exchange.importing import *  # noqa: F403
    from editions.pages.publish import *  # noqa: F403
    from editions.pages.serve import *  # noqa: F403
    from editions.registry import *  # noqa: F403
    from editions.registry.acts.approvals import *  # noqa: F403
    from editions.registry.acts.colour import *  # noqa: F403
    from editions.registry.acts.corrections import *  # noqa: F403
    from editions.registry.acts.heats import *  # noqa: F403
    from editions.registry.acts.held import *  # noqa: F403
    from editions.registry.acts.keys import *  # noqa: F403
    from editions.registry.acts.marks import *  # noqa: F403
    from editions.registry.acts.metal import *  # noqa: F403
    from editions.registry.acts.molds import *  # noqa: F403
    from editions.registry.acts.numbers import *  # noqa: F403
    from editions.registry.acts.parties import *  # noqa: F403
    from editions.registry.acts.photographs import *  # noqa: F403
    from editions.registry.acts.pieces import *  # noqa: F403
    from editions.registry.acts.runs import *  # noqa: F403
    from editions.registry.acts.steps import *  # noqa: F403
    from editions.registry.acts.strikes import *  # noqa: F403
    from editions.registry.acts.waxes import *  # noqa: F403
    from editions.registry.acts.works import *  # noqa: F403
    from editions.registry.auditing import *  # noqa: F403
    from editions.registry.corrected_since import *  # noqa: F403
    from editions.registry.counting import count_work as count_work
    from editions.registry.finding import *  # noqa: F403
    from editions.registry.held import *  # noqa: F403
    from editions.registry.rotating import *  # noqa: F403
    from editions.registry.rotating_log import *  # noqa: F403
    from editions.rules.aftercast import compare as compare
    from editions.rules.colour_difference import ciede2000 as ciede2000
    from editions.rules.contraction import sizes as sizes
    from editions.rules.metal import metal_for as metal_for
    from editions.rules.metal_check import check_metal as check_metal
    from editions.rules.mold_life.outlook import outlook as outlook
    from editions.rules.pour_sheet import pour_sheet as pour_sheet
    from editions.rules.reference import propose_reference as propose_reference
    from editions.rules.solutions.diluting import dilute as dilute
    from editions.rules.solutions.mixing import mix as mix


def __getattr__(name: str) -> Any:
    """A public name, loaded now and kept.

    Raises:
        AttributeError: If there is no such name.
    """
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(_WHERE[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *_WHERE})
