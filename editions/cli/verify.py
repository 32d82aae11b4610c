"""``bronzebook verify``: check what someone holds, each check on a line with its reason.

Without a registry nothing of the store is imported: a paper is checked from itself, and from the
keys brought along.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.errors import FileUnusable, NotKnown, RegistryUnusable, Unreadable

if TYPE_CHECKING:
    from certificates.keyfile import PublicKeyEntry
    from certificates.verify import Verdict
    from editions.registry import Reading

_LARGEST = 64_000_000
_LONGEST_TEXT = 8192
_LONGEST_KEYS = 65_536
_PDF = b"%PDF-"
_OPENING = b'{"entry":"'

_LAST = {
    0: "Everything agrees: {standing}, as of {as_of}.",
    3: "Something contradicts. Do not rely on this paper before the foundry has explained it.",
    4: "It is not proved: the checks above say what is missing.",
    5: "The paper proves itself. How it stands today was not checked: ask at its address.",
}
_EYE = (
    "Whether the object in hand is consistent with the paper is for the eye: compare its marks,"
    " its measurements and its photograph."
)
_NOT_DRAWN = (
    "The page itself could not be compared with what was drawn: go by the words given here, not by"
    " those on the page."
)
_NO_KEY = "Bring the foundry's public keys: --key FILE; or name a registry: --registry."
_OWN_KEY = (
    "The key came with the paper: compare its fingerprint with an independent place, such as the"
    " artist, a museum, or an earlier certificate."
)


@click.command()
@click.argument("what")
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
@options.json_option
@pass_desk
@click.pass_context
def command(
    ctx: click.Context,
    desk: Desk,
    what: str,
    work: str | None,
    key_file: Path | None,
    site: str | None,
    status_file: Path | None,
    as_json: bool,
) -> None:
    """Check a certificate, and say what each check found.

    WHAT is a certificate's PDF, a picture of it, the text of its code, its number, or, with
    --work, a designation. A single - reads the text of a code from stdin. The opening of a held
    field is checked as `held check` does.

    Exit status: 0 all agrees and it stands; 3 something contradicts; 4 not known here; 5 the paper
    proves itself, its standing was not checked.
    """
    if _is_opening(what):
        from editions.cli.held import check

        ctx.invoke(check, file=Path(what), key_file=key_file, as_json=as_json)
    if site is not None or status_file is not None:
        verdicts: Sequence[Verdict] = [_check_away(what, key_file, site, status_file)]
    else:
        verdicts = _check(desk, what, work, key_file)
    if as_json:
        output.print_json([_value(verdict) for verdict in verdicts])
    else:
        for verdict in verdicts:
            _print(verdict)
    ctx.exit(_status(verdicts))


def _check(desk: Desk, what: str, work: str | None, key_file: Path | None) -> Sequence[Verdict]:
    if work is not None:
        return _check_designation(desk, what, work)
    text = _from_stdin() if what == "-" else what.strip()
    if text.casefold().startswith(("http://", "https://")):
        return [_check_address(desk, text, key_file)]
    data = _file(text)
    if data is not None:
        return [_check_file(desk, data, key_file)]
    return [_check_number(desk, text)]


def _check_away(
    what: str, key_file: Path | None, site: str | None, status_file: Path | None
) -> Verdict:
    """A paper or its code, checked alone, then with a site or a status note; with no registry."""
    from certificates import mirror
    from certificates.reach import reach
    from certificates.verify import verify_code, verify_pdf, verify_picture
    from editions.cli.words import read_bytes

    keys, text = _keys(key_file), _from_stdin() if what == "-" else what.strip()
    data = _file(text) if "#" not in text else None
    if data is None:
        verdict = verify_code(text, keys)
    else:
        verdict = (verify_pdf if _PDF in data[:1024] else verify_picture)(data, keys)
    logs = tuple(entry.verifier() for entry in keys if entry.use == "log")
    if not keys and data is not None and _PDF in data[:1024]:
        logs = mirror.keys_on(data)
    if site is not None:
        verdict = mirror.with_mirror(verdict, reach(site), logs)
    if status_file is not None:
        verdict = mirror.with_status(verdict, read_bytes(status_file, _LARGEST), logs)
    return verdict


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


def _check_designation(desk: Desk, designation: str, work: str) -> Sequence[Verdict]:
    from certificates.standing import check_designation

    with desk.reading() as reading:
        code = _work_called(reading, work)
    return check_designation(desk.registry, designation, code)


def _check_address(desk: Desk, text: str, key_file: Path | None) -> Verdict:
    """A code's text, or the bare address of a record."""
    if "#" not in text:
        return _check_number(desk, text.rstrip("/").rpartition("/")[2])
    if _offline(desk, key_file):
        from certificates.verify import verify_code

        return verify_code(text, _keys(key_file))
    from certificates.standing import check_code

    return check_code(desk.registry, text)


def _check_file(desk: Desk, data: bytes, key_file: Path | None) -> Verdict:
    is_pdf = _PDF in data[:1024]
    if _offline(desk, key_file):
        from certificates.verify import verify_pdf, verify_picture

        return (verify_pdf if is_pdf else verify_picture)(data, _keys(key_file))
    from certificates.standing import check_pdf, check_picture

    return (check_pdf if is_pdf else check_picture)(desk.registry, data)


def _check_number(desk: Desk, text: str) -> Verdict:
    from editions.rules.designations import read_designation
    from editions.trade.numbers import read_number

    if read_designation(text) is not None:
        raise Unreadable(f"{text} is the number of many casts.", "Say of which work: --work WORDS.")
    number = read_number(text)
    from certificates.standing import check_number

    return check_number(desk.registry, number)


def _offline(desk: Desk, key_file: Path | None) -> bool:
    """Whether the paper is checked alone: a key was brought along, or there is no registry here."""
    if key_file is not None:
        return True
    try:
        desk.place()
    except RegistryUnusable:
        return True
    return False


def _keys(key_file: Path | None) -> tuple[PublicKeyEntry, ...]:
    from certificates.keyfile import read_keys
    from editions.cli.words import read_bytes

    if key_file is None:
        return ()
    try:
        return read_keys(read_bytes(key_file, _LONGEST_KEYS).decode())
    except UnicodeDecodeError:
        raise FileUnusable(
            f"{key_file} is not a file of keys.", "Ask the foundry for it."
        ) from None


def _file(text: str) -> bytes | None:
    """The bytes of the file that was named, None where the text names none."""
    from editions.cli.words import read_bytes

    path = Path(text)
    try:
        named = path.is_file()
    except OSError:
        named = False
    if named or path.suffix.casefold() in {".pdf", ".png", ".jpg", ".jpeg", ".webp", ".tif"}:
        return read_bytes(path, _LARGEST)
    return None


def _from_stdin() -> str:
    data = sys.stdin.buffer.read(_LONGEST_TEXT + 1)
    try:
        return data.decode().strip()
    except UnicodeDecodeError:
        raise FileUnusable("What came on stdin is not text.", "Name the file instead.") from None


def _work_called(reading: Reading, text: str) -> str:
    """The work that a code or a few words name.

    Raises:
        NotKnown: If no work answers, or several do; they are named.
    """
    from editions.registry.finding import find

    try:
        return reading.resolve(text)
    except NotKnown:
        works = [one for one in find(reading, text.split()) if one.what == "work"]
    if len(works) == 1:
        return works[0].code
    if not works:
        raise NotKnown(f"No work answers to {text}.", "Look it up: bronzebook find WORDS.")
    named = "; ".join(f"{one.code} {one.title}" for one in works[:5])
    raise NotKnown(f"{len(works)} works answer to {text}: {named}.", "Name one by its code.")


def _print(verdict: Verdict) -> None:
    from certificates.checks import PAGE
    from editions.trade.numbers import show_number

    output.heading(show_number(verdict.number), "certificate as checked")
    output.record(_says(verdict))
    rows = [(check.result, check.name, check.says) for check in verdict.checks]
    output.block("checks", rows, ("result", "what", "reason"))
    output.say("")
    standing, as_of = verdict.standing, verdict.standing_as_of
    output.say(_LAST[verdict.status].format(standing=standing, as_of=as_of))
    if verdict.key_from == "none":
        output.say(_NO_KEY)
    if verdict.key_from == "paper":
        output.say(_OWN_KEY)
    if any(check.name == PAGE and check.result != "agrees" for check in verdict.checks):
        output.say(_NOT_DRAWN)
    if verdict.proved:
        output.say(_EYE)


def _says(verdict: Verdict) -> tuple[tuple[str, object], ...]:
    """What the paper says of the object, in the few words that both its forms hold."""
    said: Any = verdict.statement or verdict.claim
    if said is None:
        return ()
    names = ("paper", "artist", "title", "designation", "cast", "issued")
    pairs = [(name, str(getattr(said, name) or "")) for name in names]
    return (
        *((name, text.replace("_", " ") if name == "paper" else text) for name, text in pairs),
        ("standing", verdict.standing),
        ("as of", verdict.standing_as_of),
    )


def _value(verdict: Verdict) -> dict[str, Any]:
    """A verdict as plain values; digests in hex."""
    import msgspec

    value: dict[str, Any] = msgspec.to_builtins(verdict)
    if verdict.claim is not None:
        value["claim"] |= {"leaf": verdict.claim.leaf.hex(), "root": verdict.claim.root.hex()}
    return value


def _status(verdicts: Sequence[Verdict]) -> int:
    """One status for several papers of one object: a replaced one is no contradiction."""
    statuses = [verdict.status for verdict in verdicts]
    sound = all(verdict.proved for verdict in verdicts)
    return 0 if sound and 0 in statuses else max(statuses, key=(0, 5, 4, 3).index)
