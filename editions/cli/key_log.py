"""``bronzebook key rotate-log``: another key for the log, vouched for by the one that can."""

from __future__ import annotations

from pathlib import Path

import click

from editions.cli import options, output
from editions.cli.asking import confirm, passphrase
from editions.cli.certify import passphrase_option
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType

_BECAUSE = ("rotated", "compromised", "lost")
_path = click.Path(path_type=Path)


@click.command("rotate-log")
@click.option(
    "--because", type=ChoiceType(_BECAUSE, "reason"), default="rotated", show_default=True
)
@click.option("--text", type=_path, help="Only write the text that another key countersigns.")
@click.option("--countersigned", type=_path, help="The text, countersigned with another key.")
@passphrase_option
@options.json_option
@pass_desk
def rotate_log(
    desk: Desk,
    because: str,
    text: Path | None,
    countersigned: Path | None,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Put a new log key in the place of the old one, which stays on file.

    The old one countersigns; where it was lost or is compromised, the certifying key does, by its
    passphrase, or another key in the book by --text and --countersigned. What was signed before
    stands; witnesses and papers follow by what is published as rotations.txt.
    """
    from editions.cli.key import read_signed, write_text
    from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key

    registry = desk.registry
    words = prepare_log_rotation(registry)
    if text is not None:
        write_text(text, words)
        return
    signed = read_signed(countersigned)
    asked = signed is None and because != "rotated"
    secret = passphrase(desk, passphrase_file) if asked else None
    confirm(desk, "Put the new log key in the place of the old one")
    made = rotate_log_key(
        registry, because=because, passphrase=secret, countersigned=signed, by=desk.by
    )
    output.entered(desk, as_json, *made, detail=because)
    output.say("Publish again, and tell the new fingerprint to your witnesses: key list.")
