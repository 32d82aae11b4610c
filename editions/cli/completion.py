"""``bronzebook completion``: the script by which a shell completes commands and codes."""

from __future__ import annotations

import click
from click.shell_completion import BashComplete, FishComplete, ShellComplete, ZshComplete

from editions.cli.words import ChoiceType

_SHELLS: dict[str, type[ShellComplete]] = {
    "bash": BashComplete,
    "zsh": ZshComplete,
    "fish": FishComplete,
}


@click.command()
@click.argument("shell", type=ChoiceType(tuple(_SHELLS), "shell"))
@click.pass_context
def command(ctx: click.Context, shell: str) -> None:
    r"""Print the completion script of a shell.

    \b
    bash:  bronzebook completion bash > ~/.local/share/bash-completion/completions/bronzebook
    zsh:   bronzebook completion zsh  > a file _bronzebook in a folder of $fpath
    fish:  bronzebook completion fish > ~/.config/fish/completions/bronzebook.fish

    Codes and tags are completed from the registry that BRONZEBOOK_REGISTRY or --registry names.
    """
    made = _SHELLS[shell](ctx.find_root().command, {}, "bronzebook", "_BRONZEBOOK_COMPLETE")
    click.echo(made.source())
