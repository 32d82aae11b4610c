"""``bronzebook run``: declare, amend, offer, close and show a run."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from editions.cli import counting, likely, options, output
from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import DigestType

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.trade.runs import Declaration, Run

F = TypeVar("F", bound=Callable[..., Any])

_RUN = options.CodeType("R")
_NONE = frozenset({"none", "no", "open", "-"})
_SIZES = 'Write a count such as 8, or "none" where none is decided yet.'
_LISTS = ("proofs", "elsewhere", "publishes", "needs", "signers")

_SAID = (
    click.option("--size", help='How many are numbered; "none" where that is not decided.'),
    click.option("--proofs", multiple=True, help='A series: "4 AP roman"; may repeat; none.'),
    click.option("--model", type=options.CodeType("D"), help="The model.  [default: the only one]"),
    click.option("--numerals", metavar="STYLE", help="arabic (unless said), roman, letter, none."),
    click.option("--scale", type=options.TextType(120), help="Against the original: 1:2."),
    click.option(
        "--route",
        help="ceramic-shell (unless said), block-investment, sand, direct-wax, printed-pattern.",
    ),
    click.option("--alloy", type=options.TextType(120), help="C87300, or the foundry's word."),
    click.option("--colour", type=options.TextType(), help="The colour intended, in words."),
    click.option("--class", "edition_class", help="original, multiple (unless said) or unique."),
    click.option("--authorised-by", type=options.CodeType("Y"), help="Who.  [default: the artist]"),
    click.option("--paper", type=options.TextType(), help="By which paper."),
    click.option("--file", "paper_digest", type=DigestType(), help="Its file, by its digest."),
    click.option("--other-runs", type=options.TextType(), help="What is said of other runs."),
    click.option("--promise", type=options.TextType(), help="What will never be cast."),
    click.option("--elsewhere", multiple=True, metavar="3/8=WHERE", help="Allotted elsewhere."),
    click.option(
        "--publish",
        "publishes",
        multiple=True,
        help="size and proofs (unless said), sales, pieces, molds, heats, papers; none.",
    ),
    click.option(
        "--need",
        "needs",
        multiple=True,
        help="approved-in-metal and approved-in-colour (unless said), analysis; none.",
    ),
    click.option("--signer", "signers", multiple=True, help="Y-0002: who signs each certificate."),
    click.option("--wanted", "signers_wanted", help="all or any of the signers.  [default: all]"),
    click.option(
        "--locks-on",
        help="first-cast (unless said), first-offer, first-sale or first-certificate.",
    ),
)


def _declared_options(function: F) -> F:
    for add in reversed(_SAID):
        function = add(function)
    return function


@click.group()
def command() -> None:
    """Declare, amend, offer, close or show a run."""


command.add_command(counting.command)


@command.command()
@click.argument("work", required=False, type=options.CodeType("K"))
@_declared_options
@options.code_option("R")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def declare(
    desk: Desk,
    /,
    work: str | None,
    code: str | None,
    on: str | None,
    note: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Declare a run of WORK: declare K-0001 --size 8 --proofs "4 AP roman"."""
    from editions.registry.acts.runs import declare_run
    from editions.trade.runs import Run

    work = likely.code(desk, work, "K", "Of which work", "WORK")
    if desk.interactive:
        _ask_size_and_proofs(desk, said)
        likely.another_run(desk, work, _told(said))
    with desk.writing() as w:
        made = declare_run(w, work, code=code, on=on, note=note, **_told(said))
        title = w.get(made.code, Run).index().title
    output.entered(desk, as_json, made, detail=f"{title}, of {work}")


@command.command()
@click.argument("run", type=_RUN)
@_declared_options
@click.option("--reason", type=options.TextType(), help="Why; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def amend(
    desk: Desk, /, run: str, reason: str | None, on: str | None, as_json: bool, **said: Any
) -> None:
    """Amend the declaration of RUN, before what locks it; all that is not said stays."""
    from editions.errors import Unreadable
    from editions.registry.acts.runs import amend_run
    from editions.trade.runs import Run

    changes = _told(said)
    if not changes:
        raise Unreadable("Nothing is amended.", "Say what changes, such as --size 6.")
    with desk.writing() as w:
        made = amend_run(w, run, on=on, reason=reason, **changes)
        title = w.get(made.code, Run).index().title
    output.entered(desk, as_json, made, detail=title)


@command.command()
@click.argument("run", type=_RUN)
@click.option("--where", type=options.TextType(), help="Where; held, never published.")
@options.on_option
@options.json_option
@pass_desk
def offer(desk: Desk, run: str, where: str | None, on: str | None, as_json: bool) -> None:
    """Enter that casts of RUN were first offered to the public."""
    from editions.registry.acts.runs import offer_run

    with desk.writing() as w:
        made = offer_run(w, run, where=where, on=on)
    output.entered(desk, as_json, made)


@command.command()
@click.argument("run", type=_RUN)
@click.option("--by-declaration", is_flag=True, help="Before every number was given.")
@click.option("--in-error", is_flag=True, help="It never was a run; nothing was made for it.")
@click.option("--destroyed", type=options.CodesType("W"), help="Waxes destroyed: W-0003..W-0005.")
@click.option("--kept", type=options.CodesType("W"), help="Waxes kept.")
@click.option("--accounted-by", type=options.CodeType("Y"), help="Who destroyed or keeps them.")
@click.option("--statement", type=options.TextType(), default="", help="What is declared.")
@options.on_option
@options.json_option
@pass_desk
def close(
    desk: Desk,
    /,
    run: str,
    destroyed: list[str] | None,
    kept: list[str] | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Close RUN: no more pulls, and every wax left is accounted for."""
    from editions.registry.acts.runs import close_run
    from editions.trade.runs import Run

    left = {"destroyed": destroyed or [], "kept": kept or []}
    if desk.interactive and not said["in_error"]:
        _ask_what_is_left(desk, run, left)
    confirm(desk, f"Close {run}? Nothing more will be pulled for it.")
    with desk.writing() as w:
        made = close_run(w, run, destroyed=left["destroyed"], kept=left["kept"], **said)
        how = w.get(made.code, Run).closed_how
    output.entered(desk, as_json, made, detail=how)


@command.command()
@click.argument("run", type=_RUN)
@options.json_option
@pass_desk
def show(desk: Desk, run: str, as_json: bool) -> None:
    """Show RUN: what is declared, and how each of its numbers stands."""
    import msgspec

    from editions.registry.acts.numbers import numbers_of
    from editions.registry.acts.typed import run_of
    from editions.trade.works import Work

    with desk.reading() as reading:
        whole, lines = run_of(reading, run), numbers_of(reading, run)
        work = reading.get(whole.declared.work, Work)
        tags = {line.code: _tag(reading, line.code) for line in lines if line.code}
    if as_json:
        value = {"run": msgspec.to_builtins(whole), "numbers": msgspec.to_builtins(lines)}
        output.print_json(value)
        return
    output.record(_account(whole, work.title))
    rows = [
        (line.number, line.standing, line.code, tags.get(line.code or ""), line.says)
        for line in lines
    ]
    output.table(rows, ("number", "standing", "code", "tag", "says"))


def _tag(reading: Reading, code: str) -> str | None:
    """The shop tag of a piece; a wax has none."""
    return getattr(reading.state(code), "tag", None)


def _told(said: dict[str, Any]) -> Any:
    """What was said of a declaration, read as far as the command line must."""
    told = {name: value for name, value in said.items() if value not in (None, ())}
    if "size" in told:
        told["size"] = read_size(told["size"])
    for name in _LISTS:
        if name in told:
            told[name] = [
                part for text in told[name] for part in _split(name, text) if not _no_list(part)
            ]
    return told


def read_size(text: str | int) -> int | None:
    """The size of a run; None where it says that none is decided.

    Raises:
        Unreadable: If it is no count.
    """
    from editions.errors import Unreadable
    from editions.trade.text import shown

    plain = str(text).strip()
    if _is_none(plain):
        return None
    if not plain.isascii() or not plain.isdecimal() or len(plain) > 5:
        raise Unreadable(f"{shown(plain)} is not a size.", _SIZES)
    if int(plain) == 0:
        raise Unreadable("A run numbers one cast or more, not 0.", _SIZES)
    return int(plain)


def _is_none(text: str) -> bool:
    return text.strip().casefold() in _NONE


def _no_list(text: str) -> bool:
    # Of a size 0 is a slip; of proofs it says that there are none.
    return _is_none(text) or text.strip() == "0"


def _split(name: str, text: str) -> list[str]:
    # Where a number went elsewhere is free text, which may hold commas.
    return [text] if name == "elsewhere" else likely.parts(text)


def _ask_size_and_proofs(desk: Desk, said: dict[str, Any]) -> None:
    """Ask for the size and the proofs; the run declared last tells the likely answers."""
    from editions.registry.acts.phrases import proofs_text, read_proofs
    from editions.registry.acts.runs import newest_run

    with desk.reading() as reading:
        last = newest_run(reading)
    size, proofs = "8", "4 AP"
    if last is not None:
        size = str(last.declared.size or "none")
        proofs = ", ".join(map(proofs_text, last.declared.proofs)) or "none"
    if said["edition_class"] == "unique":
        size, proofs = "1", "none"
    said["size"] = ask(desk, said["size"], "How many are numbered", likely=size, read=_size_text)

    def read(text: str) -> tuple[str, ...]:
        return tuple(proofs_text(read_proofs(p)) for p in likely.parts(text) if not _no_list(p))

    if not said["proofs"]:
        said["proofs"] = ask(desk, None, "Which proofs besides", likely=proofs, read=read)


def _size_text(text: str) -> str:
    return str(read_size(text) or "none")


def _ask_what_is_left(desk: Desk, run: str, left: dict[str, list[str]]) -> None:
    """Ask what became of the waxes that the command does not name."""
    from editions.registry.acts.runs import waxes_left
    from editions.registry.acts.typed import one_of

    named = {code.upper() for codes in left.values() for code in codes}
    with desk.reading() as reading:
        codes = [wax.code for wax in waxes_left(reading, run) if wax.code not in named]
    for code in codes:
        fate = ask(
            desk,
            None,
            f"{code} is left: destroyed or kept",
            read=lambda text: one_of(text, ("destroyed", "kept"), "fate"),
        )
        left[fate].append(code)


def _account(run: Run, title: str) -> list[tuple[str, object]]:
    declared = run.declared
    locked = f"{run.locked_by}, {run.locked_on}" if run.locked_by else f"on {declared.locks_on}"
    closed = f"{run.closed}, {run.closed_how}" if run.closed else "open"
    return [
        ("run", run.code),
        ("work", f"{declared.work}  {title}"),
        ("declared", f"{run.index().title}, {declared.edition_class}, {run.since}"),
        *_declared_lines(declared),
        ("locked" if run.locked_by else "locks", locked),
        ("poured", run.poured),
        ("closed" if run.closed else "standing", closed),
    ]


def _signers(declared: Declaration) -> str:
    if not declared.signers:
        return ""
    return f"{declared.signers_wanted} of {', '.join(declared.signers)}"


def _declared_lines(declared: Declaration) -> list[tuple[str, object]]:
    return [
        ("model", " ".join(filter(None, (declared.model, declared.scale)))),
        ("route", declared.route),
        ("alloy", declared.alloy),
        ("colour", declared.colour),
        ("authorised by", " ".join(filter(None, (declared.authorised_by, declared.paper)))),
        ("promise", declared.promise),
        ("other runs", declared.other_runs),
        ("signed by", _signers(declared)),
        ("needs", [need.replace("_", " ") for need in declared.needs]),
        ("publishes", declared.publishes),
    ]
