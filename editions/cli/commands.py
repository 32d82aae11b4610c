"""Every command by name: where it is shown, what it does in a few words, where it lives.

``bronzebook --help`` is printed from this table alone.  The module of a command is imported when
the command is called: ``editions.cli.NAME``, attribute ``command``, unless another is named here.
"""

from __future__ import annotations

FLOOR = "On the foundry floor"
FIGURES = "The foundry's figures"
ARTIST = "Editions, artists and certificates"
CHECKS = "For anyone who checks"
BOOK = "The book itself"

SECTIONS = {
    FLOOR: {
        "sheet": "Write the day's work in a file, check it, seal it.",
        "step": "Record a step of pieces, one by one or by racks and ranges.",
        "waiting": "List what waits for someone.",
        "wax": "Pull waxes, judge them, allot them to a run, number them.",
        "mold": "Enter molds, inspect, repair, retire them; see their outlook.",
        "heat": "Plan and trim a charge; open a heat, analyse, pour it.",
        "alloy": "State an alloy of your own; list and show limits.",
        "lot": "Take in a lot of metal with its certificate; list what is left.",
        "piece": "Start a piece, take its waxes, measure, scrap, release it.",
        "approve": "Record an approval of metal, colour or release.",
        "recipe": "Write down a colour recipe, in versions.",
        "colour": "Record the colour laid on a piece.",
        "mark": "Record a mark as it is found on the metal.",
        "photo": "File a photograph with anything that has a code.",
    },
    FIGURES: {
        "metal": "Reckon the bronze for a wax; check mass, volume and wall.",
        "size": "Reckon model, wax and bronze from one length.",
        "compare": "Compare a bronze with a reference, station by station.",
        "mix": "Weigh out solutions, dilute, scale a recipe; what may meet.",
        "drift": "Compare the colour of casts by measured L*a*b* values.",
    },
    ARTIST: {
        "party": "Enter artists, estates, foundries and hands.",
        "work": "Enter a work.",
        "model": "Enter a model of the chain, measure it.",
        "run": "Declare, amend, offer, close or show a run; count a work.",
        "number": "Give, promise or free a number of a run.",
        "certify": "Issue certificates, for one piece or all that are ready.",
        "request": "Ask a holder to sign certificates; read, sign, take back.",
        "key": "Make a holder's key; admit, end, list, rotate keys of the book.",
        "certificate": "Reserve, withdraw, replace or report a certificate.",
    },
    CHECKS: {
        "verify": "Check a certificate: number, code, PDF or picture.",
        "show": "Show anything by its code, with its history.",
        "find": "Find by artist, title or mark.",
        "witness": "Follow a book from another house, and cosign it.",
        "audit": "Check the whole book, and list every fault.",
    },
    BOOK: {
        "begin": "Begin a registry.",
        "correct": "Correct a field of an entry; both stay in the book.",
        "strike": "Strike an entry that never happened; it stays legible.",
        "held": "Erase a held field, open one to a person, check an opening.",
        "import": "Take an old book in from CSV files.",
        "publish": "Write the public record as static files.",
        "serve": "Serve the public record from this machine.",
        "upgrade": "Bring an older registry to this version.",
        "completion": "Print the completion script of your shell.",
        "demo": "Make an invented foundry's registry to look at.",
    },
}

MODULES = {"import": "importing"}


def names() -> list[str]:
    """Every command, in the order of the table."""
    return [name for section in SECTIONS.values() for name in section]


def module_of(name: str) -> str | None:
    """The module that a command lives in, or None if there is no such command."""
    if not any(name in section for section in SECTIONS.values()):
        return None
    return f"editions.cli.{MODULES.get(name, name)}"
