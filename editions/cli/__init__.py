"""The command line, ``bronzebook``: one short function a command, over the library's own functions.

The group is lazy.  ``--help`` is printed from :mod:`editions.cli.commands`; a command's module is
imported when it is called, and heavy libraries inside the function that needs them.  Errors are
caught once, at the door (:mod:`editions.cli.door`).
"""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from editions.cli import commands, door
from editions.cli.desk import Desk
from editions.cli.options import CodeType
from editions.trade.spelling import as_spelled

__all__ = ["bronzebook", "main"]


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Every command, in the order of the table."""
        return commands.names()

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command, imported now."""
        module = commands.module_of(cmd_name)
        if module is None:
            return None
        from importlib import import_module

        found: click.Command = import_module(module).command
        if isinstance(found, click.Group):
            _in_short(found)
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called; a mistyped one is answered with those most like it."""
        called = as_spelled(args[0])
        if commands.module_of(called) is None and called.isidentifier():
            import difflib

            near = difflib.get_close_matches(called.lower(), commands.names(), n=2)
            if near:
                words = f"No command is called {args[0]!r}. Did you mean {' or '.join(near)}?"
                raise click.UsageError(words, ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """The commands by who uses them."""
        width = max(map(len, commands.names()))
        for title, section in commands.SECTIONS.items():
            with formatter.section(title):
                rows = [(name.ljust(width), words) for name, words in section.items()]
                formatter.write_dl(rows)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, and find a closed pipe while there is someone to tell."""
        result = super().invoke(ctx)
        sys.stdout.flush()
        return result

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,  # noqa: ARG002 - the door decides how it ends
        **extra: Any,
    ) -> NoReturn:
        """Run the command line through the door, and exit with its status."""

        def run() -> object:
            return super(LazyGroup, self).main(
                args, prog_name, complete_var, standalone_mode=False, **extra
            )

        sys.exit(door.through(run))


def _in_short(group: click.Group) -> None:
    """Let a group's help show the first clause of each command whole, not so many letters of it."""
    for command in group.commands.values():
        if command.help and not command.short_help:
            first = " ".join(command.help.split("\n\n")[0].split())
            clause = re.split(r"[:;.] ", f"{first} ", maxsplit=1)[0]
            command.short_help = f"{clause.strip().rstrip('.?')}."


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        from importlib.metadata import version

        click.echo(f"bronzebook {version('bronzebook')}")
        ctx.exit()


@click.group(
    cls=LazyGroup,
    epilog="Dates, codes and quantities are read as the trade writes them: 2026-11-24, yesterday;"
    " T-0101..T-0112; 1.05 kg, 3/16 in, 2000 F. Tables are plain when piped; --json prints JSON."
    "\n\n" + door.STATUSES,
    context_settings={
        "help_option_names": ["-h", "--help"],
        "max_content_width": 100,
        "token_normalize_func": as_spelled,
    },
)
@click.option(
    "--registry",
    type=click.Path(),
    envvar="BRONZEBOOK_REGISTRY",
    metavar="PATH|URL",
    help="The registry: its folder, its registry.db, or a PostgreSQL URL."
    "  [BRONZEBOOK_REGISTRY; default: this folder]",
)
@click.option(
    "--home",
    type=click.Path(),
    envvar="BRONZEBOOK_HOME",
    metavar="PATH",
    help="Where its keys, photographs and certificates lie.  [BRONZEBOOK_HOME]",
)
@click.option(
    "--by",
    type=CodeType("Y"),
    envvar="BRONZEBOOK_BY",
    metavar="CODE",
    help="Who records.  [BRONZEBOOK_BY; default: the foundry]",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_version,
    help="Print the version and exit.",
)
@click.pass_context
def bronzebook(ctx: click.Context, registry: str | None, home: str | None, by: str | None) -> None:
    """A casting book for fine-art bronze: from the master mold to a certificate that proves itself.

    What is entered stays: a mistake is corrected by a further entry, and every certificate printed
    is a witness to the book as it stood.
    """
    ctx.obj = Desk(registry, home, by)
    ctx.call_on_close(ctx.obj.close)


def main() -> NoReturn:
    """The entry point of ``bronzebook``."""
    door.speak_any_script()
    bronzebook.main(prog_name="bronzebook")
