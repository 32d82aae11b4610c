"""``bronzebook key``: a holder's own key, made without a registry; the keys that a book holds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.asking import confirm, passphrase
from editions.cli.certify import passphrase_option
from editions.cli.desk import Desk, pass_desk
from editions.cli.key_log import rotate_log
from editions.cli.words import ChoiceType, read_bytes
from editions.errors import FileUnusable, Refused

if TYPE_CHECKING:
    from certificates.countersign import Countersigned
    from certificates.holder import Holder, HolderKey

NEW_PASSPHRASE = "BRONZEBOOK_NEW_PASSPHRASE"  # noqa: S105 - the variable's name
_LONGEST = 8 * 1024
_CARD_LINES = 5
_BECAUSE = ("rotated", "expired", "compromised", "lost", "succession")
_BY_ANOTHER = ("lost", "compromised")

_KEEP = """\
Keep {key} and its passphrase yourself; nobody can restore either.
Hand {card} to the foundry, and compare the fingerprint by voice or face to face."""
_COUNTERSIGN = """\
The old key cannot vouch for the new one. Take {text} to whoever holds another key in this book (an
artist, an estate, a spare key of the foundry), who compares the fingerprint with you and signs it:
  bronzebook key countersign {text} --key KEYFILE --to SIGNED
then: bronzebook key rotate --because {because} --countersigned SIGNED"""

_path = click.Path(path_type=Path)


@click.group()
def command() -> None:
    """Make a holder's key; admit, end, list or rotate the keys of the book."""


@command.command()
@click.argument("name", type=options.TextType(120))
@click.option("--to", type=_path, required=True, help="The key file to write.")
@passphrase_option
@options.json_option
@pass_desk
def new(desk: Desk, name: str, to: Path, passphrase_file: Path | None, as_json: bool) -> None:
    """Make a key for NAME, an artist or who acts for one; no registry is needed.

    Two files: the key, locked under a passphrase, and beside it its card, to be handed out.
    """
    from certificates.holder import new_holder_key
    from editions.store.files import write_once

    card = to.with_name(f"{to.name}.card")
    for path in (to, card):
        if path.exists():
            raise Refused(f"{path} lies there already.", "Choose another name for the key.")
    secret = passphrase(desk, passphrase_file, new=True, of="your key")
    made = new_holder_key(name, secret)
    write_once(to, str(made).encode(), mode=0o600)
    write_once(card, made.card.encode())
    _tell(made.holder, as_json=as_json)
    output.say(_KEEP.format(key=to, card=card))


@command.command()
@click.argument("file", type=_path)
@options.json_option
def show(file: Path, as_json: bool) -> None:
    """Show whose key a key file or a card is, and its fingerprint; no registry is needed."""
    _tell(_card(file), as_json=as_json)


@command.command()
@click.argument("party", type=options.CodeType("Y"))
@click.argument("card", type=_path)
@click.option("--document", type=options.TextType(), default="", help="How it is known; open.")
@click.option("--begins", type=options.WhenType(), help="From when it signs.  [default: today]")
@click.option("--until", type=options.WhenType(), help="Until when it signs.")
@click.option("--text", type=_path, help="Only write the text that another key countersigns.")
@click.option("--countersigned", type=_path, help="The text, countersigned.")
@click.option("--vouch", is_flag=True, help="The foundry's certifying key countersigns.")
@passphrase_option
@options.on_option
@options.json_option
@pass_desk
def admit(
    desk: Desk,
    /,
    *,
    party: str,
    card: Path,
    document: str,
    begins: str | None,
    until: str | None,
    text: Path | None,
    countersigned: Path | None,
    vouch: bool,
    passphrase_file: Path | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Admit the key of CARD to the book as a key of PARTY.

    A first key of an artist or an estate stands on --document. One that follows another, and a
    spare key of the foundry, is countersigned by a key that the book holds already.
    """
    from editions.ledger.keys import fingerprint
    from editions.registry.acts.keys import admit_key, countersigning

    holder = _card(card)
    with desk.reading() as reading:
        words = countersigning(reading, party, holder.key)
    if text is not None:
        write_text(text, words)
        return
    confirm(desk, f"Is {fingerprint(holder.key)} the fingerprint that {holder.name} told you")
    signed = read_signed(countersigned)
    if vouch:
        from certificates.countersign import countersign

        key = desk.registry.certifying_key(passphrase(desk, passphrase_file))
        signed = countersign(words, key)
    with desk.writing() as w:
        made = admit_key(
            w,
            party,
            holder.key,
            document=document,
            begins=begins,
            until=until,
            countersigned=signed,
            on=on,
        )
    output.entered(desk, as_json, made, detail=fingerprint(holder.key))


@command.command()
@click.argument("text", type=_path)
@click.option("--key", "key_file", type=_path, required=True, help="Your key file.")
@click.option("--to", type=_path, required=True, help="The file to write.")
@passphrase_option
@pass_desk
def countersign(
    desk: Desk, text: Path, key_file: Path, to: Path, passphrase_file: Path | None
) -> None:
    """Countersign TEXT: that another key follows in a book; no registry is needed."""
    from certificates.countersign import countersign as sign_text
    from certificates.countersign import plain_words

    words, key = _text(text), read_key(key_file)
    for line in plain_words(words):
        output.say(line)
    confirm(desk, "Countersign this")
    signed = sign_text(words, key.unlock(passphrase(desk, passphrase_file, of="your key")))
    write_text(to, str(signed))


@command.command()
@click.argument("party", type=options.CodeType("Y"))
@click.argument("key")
@click.option("--because", type=ChoiceType(_BECAUSE, "reason"), required=True)
@click.option(
    "--from", "start", type=int, help="The first entry that it does not sign; 0 for none at all."
)
@options.on_option
@options.json_option
@pass_desk
def end(
    desk: Desk, party: str, key: str, because: str, start: int | None, on: str | None, as_json: bool
) -> None:
    """End a KEY of PARTY, named by the beginning of its fingerprint: from now on, or --from N."""
    from editions.registry.acts.keys import end_key

    confirm(desk, f"End the key {key} of {party}: {because}")
    with desk.writing() as w:
        made = end_key(w, party, key, because=because, from_position=start, on=on)
    output.entered(desk, as_json, made, detail=because)


@command.command("list")
@options.json_option
@pass_desk
def list_(desk: Desk, as_json: bool) -> None:
    """List every key of the book: whose, for what, since when, and how it ended."""
    from editions.ledger.keys import fingerprint
    from editions.registry.keys import all_keys

    with desk.reading() as reading:
        rows = [
            (
                one.party,
                one.name,
                one.held.use,
                fingerprint(one.verifier.public),
                one.admitted,
                one.held.until,
                f"{one.held.ended} from {one.held.from_position}" if one.held.ended else "",
            )
            for one in all_keys(reading)
        ]
    columns = ("party", "name", "use", "fingerprint", "since entry", "until", "ended")
    output.table(rows, columns, as_json=as_json)


@command.command()
@click.option(
    "--because", type=ChoiceType(_BECAUSE, "reason"), default="rotated", show_default=True
)
@click.option("--from", "start", type=int, help="The first entry that the old key does not sign.")
@click.option("--text", type=_path, default=Path("countersign.txt"), help="To be countersigned.")
@click.option("--countersigned", type=_path, help="The text, countersigned with another key.")
@click.option(
    "--new-passphrase-file", type=_path, help=f"For the new key.  [or {NEW_PASSPHRASE}, or asked]"
)
@passphrase_option
@options.json_option
@pass_desk
def rotate(
    desk: Desk,
    /,
    *,
    because: str,
    start: int | None,
    text: Path,
    countersigned: Path | None,
    new_passphrase_file: Path | None,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Put a new certifying key in the place of the old one, which stays on file.

    The old key countersigns. Where its passphrase is lost, or it was betrayed, another key in the
    book has to: the text for it is written first. The log's key changes by `key rotate-log`.
    """
    from editions.registry.rotating import prepare_rotation, rotate_foundry_key

    registry = desk.registry
    words = prepare_rotation(registry, _new_passphrase(desk, new_passphrase_file))
    signed = read_signed(countersigned)
    if because in _BY_ANOTHER and signed is None:
        write_text(text, words)
        output.say(_COUNTERSIGN.format(text=text, because=because))
        return
    secret = None if signed else passphrase(desk, passphrase_file)
    confirm(desk, "Put the new certifying key in the place of the old one")
    made = rotate_foundry_key(
        registry,
        because=because,
        passphrase=secret,
        countersigned=signed,
        from_position=start,
        by=desk.by,
    )
    output.entered(desk, as_json, *made, detail=because)
    _left(desk)


command.add_command(rotate_log)


def read_key(file: Path) -> HolderKey:
    """The key file of a holder."""
    from certificates.holder import read_holder_key

    return read_holder_key(_text(file))


def _new_passphrase(desk: Desk, file: Path | None) -> str:
    if desk.registry.home.next_certifying_key.exists():
        return ""
    return passphrase(desk, file, new=True, of="the new certifying key", variable=NEW_PASSPHRASE)


def _left(desk: Desk) -> None:
    from editions.registry.rotating import left_by_the_old

    for number in left_by_the_old(desk.registry):
        output.remarked(f"{number} names the old key: withdraw it and issue it anew.")
    output.say("Tell the new fingerprint to your artists: bronzebook key list.")


def _card(file: Path) -> Holder:
    from certificates.holder import read_card, read_holder_key

    text = _text(file)
    whole_key = text.count("\n") > _CARD_LINES
    return read_holder_key(text).holder if whole_key else read_card(text)


def read_signed(file: Path | None) -> Countersigned | None:
    """A countersigned text from a file, where one was named."""
    from certificates.countersign import read_countersigned

    return None if file is None else read_countersigned(_text(file))


def _text(file: Path) -> str:
    try:
        return read_bytes(file, _LONGEST).decode()
    except UnicodeDecodeError:
        raise FileUnusable(f"{file} is not text.", "Is it the right file?") from None


def write_text(path: Path, text: str) -> None:
    """Write a text that somebody takes along, and tell where."""
    from editions.store.files import write_once

    write_once(path, text.encode())
    output.line(str(path))


def _tell(holder: Holder, *, as_json: bool) -> None:
    pairs = (("name", holder.name), ("key", holder.did), ("fingerprint", holder.fingerprint))
    output.record(pairs, as_json=as_json)
