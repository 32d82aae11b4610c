"""Every error that a person can meet, under one root.

The class carries the exit status of the command line, the instance carries one line of message and
one line of remedy.  They are caught once, at the door of the command line.

Exit statuses:

====  =====================================================================
2     wrong use: a command, option or value that cannot be read
3     something contradicts: a proof, a signature, a digest, the book itself
4     not known here: a code, a number, a certificate this book does not hold
5     the paper proves itself, but its standing today was not checked
6     refused by a rule of the trade; nothing was written
7     the registry cannot be used: missing, foreign, newer, older, busy
8     a key or its passphrase cannot be used
9     a file cannot be used: truncated, foreign, not what it claims to be
10    the machine refused: disk full, no permission
====  =====================================================================

>>> str(NotKnown("No piece P-0412.", "The nearest codes are P-0411 and P-0421."))
'No piece P-0412. The nearest codes are P-0411 and P-0421.'
"""

from __future__ import annotations


class BronzebookError(Exception):
    """Root of all errors; ``message`` says what and where, ``remedy`` what to do."""

    exit_status = 1

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message, remedy)
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message} {self.remedy}".strip()


class Unreadable(BronzebookError):
    """A value as typed cannot be read: a number, a quantity, a date, a code."""

    exit_status = 2


class Contradiction(BronzebookError):
    """A proof, signature, digest or table disagrees with what it should match."""

    exit_status = 3


class NotKnown(BronzebookError):
    """This book does not hold what was asked for."""

    exit_status = 4


class StandingUnchecked(BronzebookError):
    """A paper proves itself, but nobody was asked how it stands today."""

    exit_status = 5


class Refused(BronzebookError):
    """A rule of the trade forbids the entry; nothing was written."""

    exit_status = 6


class RegistryUnusable(BronzebookError):
    """The registry is missing, foreign, of another version, or held by someone else."""

    exit_status = 7


class KeyUnusable(BronzebookError):
    """A key is missing, damaged, or its passphrase is wrong."""

    exit_status = 8


class FileUnusable(BronzebookError):
    """A file is truncated, foreign, too large, or not what it claims to be."""

    exit_status = 9


class MachineRefused(BronzebookError):
    """The operating system refused: no space, no permission, a share that cannot lock."""

    exit_status = 10
