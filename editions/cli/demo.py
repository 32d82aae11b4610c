"""``bronzebook demo``: an invented foundry's registry to look at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output

if TYPE_CHECKING:
    from editions.cli.demonstration import Made

_LOOK = """\
Look at it:
  {certificate}
      the certificate of a finished cast; scan its code, or check it:
  bronzebook --registry {folder} verify {certificate}
  bronzebook --registry {folder} serve
      the public record on this machine, as its code's address would answer:
      http://127.0.0.1:8000/C/{number}
  bronzebook --registry {folder} show T-0104
  bronzebook --registry {folder} audit
The invented foundry's passphrase is: {passphrase}"""


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@options.json_option
def command(folder: Path, as_json: bool) -> None:
    """Make an invented foundry's registry in FOLDER, which must be new or empty.

    Three works, their casting, their certificates and the published record; one certificate is
    then verified from its own PDF.
    """
    from editions.cli.demonstration import PASSPHRASE, demonstrate

    made = demonstrate(folder, output.say)
    output.record(_pairs(folder, made), as_json=as_json)
    output.say("")
    output.say(
        _LOOK.format(
            certificate=_from(folder, made.checked),
            folder=folder,
            number=made.verdict.number,
            passphrase=PASSPHRASE,
        )
    )


def _from(folder: Path, path: Path) -> Path:
    """A path below the folder, as that was given."""
    return folder / path.resolve().relative_to(folder.resolve())


def _pairs(folder: Path, made: Made) -> tuple[tuple[str, object], ...]:
    return (
        ("registry", str(_from(folder, made.registry))),
        ("certificates", str(_from(folder, made.certificates))),
        ("site", f"{_from(folder, made.site)} ({made.records} records)"),
        ("keys", str(_from(folder, made.keys))),
        ("checked", made.checked.name),
        ("verdict", made.verdict.standing),
        ("status", made.verdict.status),
    )
