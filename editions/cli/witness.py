"""``bronzebook witness``: follow a book from another house, and cosign what is found to follow."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.asking import confirm, passphrase
from editions.cli.certify import passphrase_option
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import read_bytes
from editions.errors import Contradiction, FileUnusable, KeyUnusable

if TYPE_CHECKING:
    from certificates.holder import HolderKey
    from certificates.keyfile import PublicKeyEntry
    from editions.ledger.notes import VerifierKey
    from editions.ledger.tiles import Fetch
    from editions.ledger.witness import Memory, Verdict

_LONGEST = 1 << 20
_path = click.Path(path_type=Path)

_FIRST = """\
First sight of {book}: nothing is remembered, so nothing tells yet whether it was rewritten before.
The fingerprint of its log key, which this site shows:
  {print}
Compare it with an independent place: the foundry by telephone, another witness, keys on file."""
_ANOTHER = """\
The book has a new log key, and one that you know countersigned it. Its fingerprint:
  {print}"""
_AGAIN = "Then say so: --fingerprint FINGERPRINT, or bring the keys: --key FILE."
_UNSIGNED = (
    "Looked, not remembered. Nothing was signed, and {memory} stays as it was:"
    " to cosign and remember, --sign KEYFILE."
)
_FORGOTTEN = (
    "Looked, not remembered. Nothing was signed and {memory} was not written, so the next look is a"
    " first sight again: to cosign and remember, --sign KEYFILE."
)
_SEND = "Send a copy of {memory} to the foundry; it holds no secret. Keep it: it is all you know."


@click.command()
@click.argument("site")
@click.option("--memory", type=_path, required=True, help="What was seen last; one file a book.")
@click.option(
    "--key",
    "key_file",
    type=_path,
    help="The foundry's public keys: at first sight, or when the log key was lost since.",
)
@click.option("--fingerprint", "typed", help="The log key's, as you compared it: likewise.")
@click.option("--sign", "sign_file", type=_path, help="Your key file, to cosign: see key new.")
@passphrase_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    site: str,
    memory: Path,
    key_file: Path | None,
    typed: str | None,
    sign_file: Path | None,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Follow the book published at SITE, a folder or an address; no registry is needed.

    What SITE shows has to continue what was seen last, by appending only. With --sign it is then
    cosigned with the time (C2SP tlog-cosignature) and remembered; without, nothing is written. A
    fork or a shrunken tree is refused, with
    exit status 3, and both signed notes are kept beside the memory as evidence.
    """
    from certificates.reach import reach
    from certificates.witnessing import look, refusal
    from editions.ledger.keys import fingerprint

    fetch, key = reach(site), _signing(sign_file)
    kept, brought = _kept(memory), _brought(key_file)
    _require_same(kept, key)
    known = kept.log if kept and typed is None else _at_first_sight(desk, fetch, brought, typed)
    vouching = [one.verifier().public for one in brought if one.use == "foundry"]
    verdict, log = look(fetch, known, kept, vouching)
    if log != known and verdict.outcome != "refused":
        output.say(_ANOTHER.format(print=fingerprint(log.public)))
    if verdict.outcome == "refused":
        _keep_evidence(memory, verdict, kept)
        raise refusal(verdict)
    made = None
    if key is not None:
        made = _cosigned(desk, verdict, log, key, kept, passphrase_file)
        _write(memory, kept, made)
    _tell(verdict, made, memory, as_json=as_json)


def _signing(file: Path | None) -> HolderKey | None:
    from editions.cli.key import read_key

    return None if file is None else read_key(file)


def _require_same(kept: Memory | None, key: HolderKey | None) -> None:
    from certificates.witnessing import require_same

    if kept is not None and key is not None:
        require_same(kept, key.holder)


def _kept(memory: Path) -> Memory | None:
    """What the witness remembers; None where there is no such file."""
    from editions.ledger.witness import Memory

    if not memory.exists():
        return None
    try:
        return Memory.parse(read_bytes(memory, _LONGEST).decode())
    except UnicodeDecodeError:
        raise FileUnusable(f"{memory} is not the memory of a witness.") from None


def _brought(key_file: Path | None) -> tuple[PublicKeyEntry, ...]:
    from certificates.keyfile import read_keys

    if key_file is None:
        return ()
    try:
        return read_keys(read_bytes(key_file, _LONGEST).decode())
    except UnicodeDecodeError:
        raise FileUnusable(f"{key_file} is not a file of keys.") from None


def _at_first_sight(
    desk: Desk, fetch: Fetch, brought: tuple[PublicKeyEntry, ...], typed: str | None
) -> VerifierKey:
    """The log's key where nothing is remembered: brought along, or compared by somebody."""
    from certificates.witnessing import keys_shown, log_keys, with_fingerprint
    from editions.ledger.keys import fingerprint

    if brought:
        logs = log_keys(brought)
        output.say(f"Looking at {logs[0].name} with the key brought along.")
        return with_fingerprint(logs, typed) if typed else logs[0]
    shown = log_keys(keys_shown(fetch))
    if typed is not None:
        return with_fingerprint(shown, typed)
    output.say(_FIRST.format(book=shown[0].name, print=fingerprint(shown[0].public)))
    if not desk.interactive:
        raise KeyUnusable("Nobody has compared the fingerprint of the log's key.", _AGAIN)
    confirm(desk, "Is it the same there")
    return shown[0]


def _keep_evidence(memory: Path, verdict: Verdict, kept: Memory | None) -> None:
    from certificates.witnessing import evidence
    from editions.store.files import write_once

    for name, note in evidence(verdict, kept).items():
        path = memory.with_name(f"{memory.name}.{name}")
        write_once(path, note.encode())
        output.say(f"evidence kept: {path}")


def _cosigned(
    desk: Desk,
    verdict: Verdict,
    log: VerifierKey,
    key: HolderKey,
    kept: Memory | None,
    passphrase_file: Path | None,
) -> Memory:
    from certificates.witnessing import line_name
    from editions.ledger.witness import remember

    private = key.unlock(passphrase(desk, passphrase_file, of="your key"))
    return remember(verdict, log, line_name(key.holder), private, int(time.time()), kept)


def _write(memory: Path, before: Memory | None, made: Memory) -> None:
    """Put the new memory in the place of the one that was judged by.

    Raises:
        Contradiction: Another run was quicker: two trees could grow from one memory.
    """
    import fcntl

    from editions.store.files import write_durably

    folder = os.open(memory.parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        if _kept(memory) != before:
            raise Contradiction(f"{memory} was changed by another run.", "Run it again.")
        write_durably(memory, str(made).encode())
    finally:
        os.close(folder)


def _tell(verdict: Verdict, kept: Memory | None, memory: Path, *, as_json: bool) -> None:
    from editions.ledger.encodings import to_base64

    state = verdict.checkpoint
    output.record(
        (
            ("book", state.origin if state else ""),
            ("outcome", verdict.outcome),
            ("entries", state.size if state else 0),
            ("root", to_base64(state.root) if state else ""),
            ("witness", str(kept.witness) if kept else ""),
            ("seen", kept.last().seen if kept else ""),
        ),
        as_json=as_json,
    )
    output.say(verdict.says)
    unsigned = _UNSIGNED if memory.exists() else _FORGOTTEN
    output.say((_SEND if kept else unsigned).format(memory=memory))
