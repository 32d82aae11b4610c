"""``bronzebook serve``: the public record from this machine."""

from __future__ import annotations

import click

from editions.cli import output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import CountType


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Where to listen.")
@click.option(
    "--port", type=CountType(0, 65535), default=8000, show_default=True, help="Which port."
)
@click.option(
    "--proxy",
    metavar="ADDRESS",
    help="The web server before it, whose word on visitors' addresses is taken.",
)
@pass_desk
def command(desk: Desk, host: str, port: int, proxy: str | None) -> None:
    """Serve the public record from this machine, until Ctrl-C.

    Only this machine can reach it unless --host says otherwise.  Who looks numbers up faster than
    people do is told to wait; behind a web server all visitors look like one, unless --proxy names
    its address.
    """
    from editions.pages.serve import listen

    server = listen(desk.registry, host, port, proxy=proxy)
    output.say(f"The record answers at http://{host}:{server.effective_port}/; Ctrl-C stops it.")
    try:
        server.run()
    finally:
        server.close()
    output.say("Stopped.")
