"""``bronzebook verify``: check what someone holds; the verdict first, then each check's reason.

Without a registry nothing of the store is imported: a paper is checked from itself, and from the
keys brought along.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options
from editions.cli.desk import Desk, pass_desk
from editions.errors import FileUnusable, NotKnown, RegistryUnusable, Unreadable

if TYPE_CHECKING:
    from certificates.examining import Away, Examined
    from certificates.keyfile import PublicKeyEntry
    from editions.registry import Reading, Registry

_LONGEST_TEXT = 8192
_LONGEST_KEYS = 65_536
_LONGEST_NOTE = 1 << 24
_OPENING = b'{"entry":"'
_FILES = frozenset({".pdf", ".png", ".jpg", ".jpeg", ".webp", ".tif", ".tiff", ".html"})


@click.command()
@click.argument("what", nargs=-1, required=True)
@click.option("--work", type=options.TextType(120), help="The work, for a designation: 3/8.")
@click.option(
    "--key",
    "key_file",
    type=click.Path(path_type=Path),
    help="A file of the foundry's public keys; then no registry is asked.",
)
@click.option("--site", help="A published folder or an address to ask; no other is contacted.")
@click.option(
    "--status",
    "status_file",
    type=click.Path(path_type=Path),
    help="A status note taken along, to say how it stood then.",
)
@click.option(
    "--revocations",
    "revocations_file",
    type=click.Path(path_type=Path),
    help="A note of ended keys taken along, to say what its key was worth.",
)
@options.json_option
@pass_desk
@click.pass_context
def command(
    ctx: click.Context,
    desk: Desk,
    *,
    what: tuple[str, ...],
    work: str | None,
    key_file: Path | None,
    site: str | None,
    status_file: Path | None,
    revocations_file: Path | None,
    as_json: bool,
) -> None:
    """Check a certificate, and say what each check found.

    WHAT is a certificate's PDF, a picture of it, the text of its code, the page of its record as
    it was kept, its number, or, with --work, a designation. A single - reads the text of a code
    from stdin. The opening of a held field is checked as `held check` does. Several papers are
    held side by side besides: the first that a rewritten book contradicts is named.

    \b
    Exit status
      0  all agrees, and it stands as of the date that is said
      2  wrong use: this is no paper, code or number
      3  something contradicts, or it no longer stands
      4  not known here, or not proved by the keys at hand
      5  it proves itself; how it stands today, or what its key is worth, was not checked; or it is
         pending: not given out yet
      7  only a registry could answer, and there is none
      8  the file of keys cannot be used
      9  the file or picture cannot be used
    """  # noqa: D301 - the mark that keeps the lines of the table apart
    from editions.cli import verdicts

    if len(what) == 1 and _is_opening(what[0]):
        from editions.cli.held import check

        ctx.invoke(check, file=Path(what[0]), key_file=key_file, as_json=as_json)
    away = _away(key_file, site, status_file, revocations_file)
    registry = _registry(desk, away)
    if len(what) > 1:
        ctx.exit(verdicts.tell_papers(_papers(registry, what, work, away), as_json=as_json))
    if work is not None:
        _require_registry(registry, what[0])
        work = _work_called(desk, work)
    from certificates.examining import verify

    ctx.exit(verdicts.tell(verify(registry, _held(what[0]), work=work, away=away), as_json=as_json))


def _papers(
    registry: Registry | None, what: tuple[str, ...], work: str | None, away: Away
) -> Examined:
    """Several papers, each by the name that was typed."""
    from certificates.examining import verify_papers
    from editions.cli.door import line

    if work is not None:
        raise Unreadable("--work goes with one designation.", "Verify one number at a time.")
    if len(set(what)) < len(what):
        raise Unreadable("A paper is named twice.", "Name each one once.")
    return verify_papers(registry, [(line(name), _held(name)) for name in what], away)


def _away(
    key_file: Path | None, site: str | None, status_file: Path | None, ended_file: Path | None
) -> Away:
    """What was brought along instead of a registry."""
    from certificates.examining import Away

    if site is None and status_file is None and ended_file is None:
        return Away(keys=_keys(key_file))
    import datetime

    from certificates.reach import reach

    return Away(
        keys=_keys(key_file),
        site=None if site is None else reach(site),
        status=_note(status_file),
        revocations=_note(ended_file),
        now=datetime.datetime.now(datetime.UTC),
    )


def _note(file: Path | None) -> bytes | None:
    from certificates.examining import read_held

    return None if file is None else read_held(file, _LONGEST_NOTE)


def _registry(desk: Desk, away: Away) -> Registry | None:
    """The registry, unless something was brought along instead, or there is none here."""
    if away.keys or away.somebody:
        return None
    try:
        desk.place()
    except RegistryUnusable:
        return None
    return desk.registry


def _require_registry(registry: Registry | None, what: str) -> None:
    """Refuse a number of the edition where no registry is asked; a site cannot look it up."""
    from editions.trade.text import shown

    if registry is None:
        raise RegistryUnusable(
            f"Only a registry can look up {shown(what)} by its work; a site, keys or a status note"
            " cannot.",
            "Bring the certificate's own number, its PDF or a picture of it. Or name the registry,"
            " without --site, --key and --status: bronzebook --registry PATH verify 3/8 --work"
            " WORDS.",
        )


def _is_opening(what: str) -> bool:
    """Whether a file is named that begins as an opening does; it is checked in another way."""
    path = Path(what)
    try:
        # Asked first: opening a pipe would wait for ever.
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(len(_OPENING)) == _OPENING
    except (OSError, ValueError):
        return False


def _keys(key_file: Path | None) -> tuple[PublicKeyEntry, ...]:
    if key_file is None:
        return ()
    from certificates.examining import read_held
    from certificates.keyfile import read_keys

    if _is_pdf(key_file):
        raise FileUnusable(
            f"{key_file} is a paper, not a file of keys: the key it carries proves only that it"
            " agrees with itself.",
            "Leave --key out to check it so; or ask the foundry for its public keys.",
        )
    try:
        return read_keys(read_held(key_file, _LONGEST_KEYS).decode())
    except UnicodeDecodeError:
        raise FileUnusable(
            f"{key_file} is not a file of keys.", "Ask the foundry for it."
        ) from None


def _is_pdf(path: Path) -> bool:
    try:
        # A pipe is never waited for.
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(5) == b"%PDF-"
    except (OSError, ValueError):
        return False


def _held(what: str) -> str | bytes:
    """The bytes of the file that was named; what names none is a code, an address or a number."""
    from certificates.examining import read_held

    text = _from_stdin() if what == "-" else what.strip()
    if text.casefold().startswith(("http://", "https://")):
        return text
    path = Path(text)
    try:
        named = path.is_file()
    except (OSError, ValueError):
        named = False
    return read_held(path) if named or path.suffix.casefold() in _FILES else text


def _from_stdin() -> str:
    data = sys.stdin.buffer.read(_LONGEST_TEXT + 1)
    try:
        return data.decode().strip()
    except UnicodeDecodeError:
        raise FileUnusable("What came on stdin is not text.", "Name the file instead.") from None


def _work_called(desk: Desk, text: str) -> str:
    """The code of the work that a code or a few words name.

    Raises:
        NotKnown: If no work answers, or several do; they are named.
    """
    with desk.reading() as reading:
        try:
            return reading.resolve(text)
        except NotKnown:
            return _work_found(reading, text)


def _work_found(reading: Reading, text: str) -> str:
    from editions.registry.finding import find

    works = [one for one in find(reading, text.split()) if one.what == "work"]
    if len(works) == 1:
        return works[0].code
    if not works:
        raise NotKnown(f"No work answers to {text}.", "Look it up: bronzebook find WORDS.")
    named = "; ".join(f"{one.code} {one.title}" for one in works[:5])
    raise NotKnown(f"{len(works)} works answer to {text}: {named}.", "Name one by its code.")
