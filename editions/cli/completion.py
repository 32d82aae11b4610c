"""``bronzebook completion``: the script by which a shell completes commands and codes."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from editions.errors import Unreadable

_SHELLS = ("bash", "zsh", "fish")


@click.command()
@click.argument("shell", type=click.Choice(_SHELLS))
@click.pass_context
def command(ctx: click.Context, shell: str) -> None:
    r"""Print the completion script of a shell.

    \b
    bash:  bronzebook completion bash > ~/.local/share/bash-completion/completions/bronzebook
    zsh:   bronzebook completion zsh  > a file _bronzebook in a folder of $fpath
    fish:  bronzebook completion fish > ~/.config/fish/completions/bronzebook.fish

    Codes and tags are completed from the registry that BRONZEBOOK_REGISTRY or --registry names.
    """
    made = get_completion_class(shell)
    if made is None:
        raise Unreadable(f"No completion is known for {shell}.", f"Shells: {', '.join(_SHELLS)}.")
    root = ctx.find_root().command
    click.echo(made(root, {}, "bronzebook", "_BRONZEBOOK_COMPLETE").source())
