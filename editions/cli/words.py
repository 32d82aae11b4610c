"""Values that several commands read: pieces with their sections, choices, pairs, files by digest.

========================  ===================================================================
``pieces_argument()``     ``pieces: list[str]``; ``T-0101..T-0112 T-0120/head``
``ChoiceType(choices)``   one of a few words, in any case, hyphens for spaces
``CountType(1, 99)``      a whole number between two
``PairType()``            ``NAME=VALUE`` as a pair
``DigestType()``          the SHA-256 of a file that is named, in hex
========================  ===================================================================
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click
from click.shell_completion import CompletionItem

from editions.cli.options import CodesType, ValueType
from editions.errors import FileUnusable, Unreadable

if TYPE_CHECKING:
    from typing import BinaryIO

F = TypeVar("F", bound=Callable[..., Any])

_LARGEST = 2_000_000_000  # bytes of a report or a film that is kept elsewhere and named by digest
_AT_ONCE = 1 << 20
_LONGEST_PATH = 200
_LONGEST_NAME = 200


class PiecesType(CodesType):
    """Pieces by tag or code, in ranges and lists; or one piece and its section, ``T-0101/head``."""

    name = "pieces"

    def read(self, text: str) -> list[str]:
        """Every piece named, in the order written.

        Raises:
            Unreadable: If a list or range does not count, or the text may not be kept.
        """
        from editions.trade.text import clean

        # A section's name may hold spaces, which no tag does, so only lists are taken apart.
        name = "" if "," in text or ".." in text else clean(text, _LONGEST_NAME)
        return [name] if name else super().read(text)


def pieces_argument(
    name: str = "pieces", *, nargs: int = -1, required: bool = True
) -> Callable[[F], F]:
    """``PIECES…``: one piece or more, joined into one list."""
    return click.argument(name, nargs=nargs, required=required, type=PiecesType(), callback=_joined)


def _joined(_: click.Context, __: click.Parameter, value: Any) -> list[str]:
    parts = value if isinstance(value, tuple) else (value,)
    names = [name for part in parts for name in part]
    doubled = next((name for name in names if names.count(name) > 1), None)
    if doubled is not None:
        raise Unreadable(f"{doubled} is named twice.", "Name each one once.")
    return names


class ChoiceType(ValueType[str]):
    """One of a few words; ``not-recorded`` is read as ``not recorded``."""

    def __init__(self, choices: tuple[str, ...], name: str) -> None:
        self.choices = choices
        self.name = name

    def read(self, text: str) -> str:
        """The word in its own spelling.

        Raises:
            Unreadable: If it is none of them.
        """
        from editions.registry.acts.typed import one_of

        return one_of(text, self.choices, self.name)

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:  # noqa: ARG002
        """The words, as help shows them."""
        return "|".join(self._typed())

    def complete(self, ctx: click.Context, begun: str) -> list[str]:  # noqa: ARG002
        """The words that begin so."""
        return [word for word in self._typed() if word.casefold().startswith(begun.casefold())]

    def _typed(self) -> list[str]:
        return [choice.replace(" ", "-") for choice in self.choices]


class CountType(ValueType[int]):
    """A whole number between two, both included."""

    name = "number"

    def __init__(self, least: int, most: int) -> None:
        self.least = least
        self.most = most

    def read(self, text: str) -> int:
        """The number.

        Raises:
            Unreadable: If it is no whole number, or outside.
        """
        from editions.trade.text import shown

        plain = text.strip()
        count = int(plain) if plain.isascii() and plain.isdecimal() and len(plain) < 10 else -1
        if not self.least <= count <= self.most:
            raise Unreadable(
                f"{shown(text)} is not a number from {self.least} to {self.most}.",
                f"Write it in digits, such as {max(self.least, 1)}.",
            )
        return count


class PairType(ValueType[tuple[str, str]]):
    """``NAME=VALUE``; everything after the first sign is the value."""

    name = "name=value"

    def __init__(self, example: str) -> None:
        self.example = example

    def read(self, text: str) -> tuple[str, str]:
        """The name and the value.

        Raises:
            Unreadable: If either the name or the sign is missing.
        """
        from editions.trade.text import shown

        name, sign, rest = text.partition("=")
        if not sign or not name.strip():
            raise Unreadable(f"{shown(text)} is not a pair.", f"Write it as {self.example}.")
        return name.strip(), rest


class FigureType(PairType):
    """An element and its figure: ``Cu=94.44``, ``Pb=<0.005``, and ``Pb<0.005`` as reports write."""

    def read(self, text: str) -> tuple[str, str]:
        """The element and its figure.

        Raises:
            Unreadable: If either is missing.
        """
        element, sign, figure = text.partition("<")
        return super().read(f"{element}=<{figure}" if sign and "=" not in element else text)


class DigestType(ValueType[str]):
    """A file, taken by its SHA-256; the file itself stays where it is."""

    name = "file"

    def read(self, text: str) -> str:
        """The digest in hex.

        Raises:
            FileUnusable: If it is no file, cannot be read, or is larger than 2 GB.
        """
        from hashlib import sha256

        digest, path = sha256(), Path(text)
        with opened(path, _LARGEST) as file:
            while part := file.read(_AT_ONCE):
                digest.update(part)
        return digest.hexdigest()

    def shell_complete(
        self,
        ctx: click.Context,  # noqa: ARG002 - click's signature
        param: click.Parameter,  # noqa: ARG002
        incomplete: str,
    ) -> list[CompletionItem]:
        """The shell completes file names itself."""
        return [CompletionItem(incomplete, type="file")]


def read_bytes(path: Path, largest: int) -> bytes:
    """The bytes of a file.

    Raises:
        FileUnusable: If it is no file, cannot be read, or is larger than ``largest`` bytes.
    """
    with opened(path, largest) as file:
        try:
            return file.read(largest + 1)
        except OSError as fault:
            raise FileUnusable(
                f"{path} cannot be read: {fault.strerror}.", "Check its path."
            ) from fault


def opened(path: Path, largest: int) -> BinaryIO:
    """A regular file of at most ``largest`` bytes, opened.

    Raises:
        FileUnusable: If it is no file, cannot be read, or is larger.
    """
    from editions.trade.text import shown

    named = shown(str(path), _LONGEST_PATH)
    try:
        # Asked first: opening a pipe would wait for ever, and a device never ends.
        if not path.is_file():
            what = "is not a file" if path.exists() else "does not exist"
            raise FileUnusable(f"{named} {what}.", "Check its path.")
        size = path.stat().st_size
        if size > largest:
            most = f"at most {largest // 1_000_000} MB are taken"
            raise FileUnusable(f"{named} has {size // 1_000_000} MB; {most}.", "Hand in less.")
        return path.open("rb")
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "its name cannot be read"
        raise FileUnusable(f"{named} cannot be read: {reason}.", "Check its path.") from fault
