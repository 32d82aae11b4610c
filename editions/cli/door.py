"""The door of the command line: where every error is caught, once, and said in one or two lines.

The first line says what and where, the second what to do; both go to stderr.  The exit status is
that of the error.  What is repeated of the user's own typing is made safe to print first.
"""

from __future__ import annotations

import errno
import re
import sys
from collections.abc import Callable

import click

from editions.errors import BronzebookError, MachineRefused

STOPPED = 130
STATUSES = (
    "Exit status: 0 done; 2 wrong use, or a value that cannot be read; 3 something contradicts;"
    " 4 not known here; 5 a paper proves itself, its standing was not checked; 6 refused by a rule,"
    " nothing written; 7 the registry, 8 a key or passphrase, 9 a file cannot be used; 10 the"
    " machine refused: no room, no permission; 130 stopped."
)
_LONGEST_LINE = 400

# As click lists what is much like a mistyped word.
_SEVERAL = re.compile(r"\(Did you mean one of: ([^?]*,[^?]*)\?\)")

_MACHINE = {
    errno.ENOSPC: ("The disk is full", "Make room, then do it again."),
    errno.EDQUOT: ("The quota of this disk is used up", "Make room, then do it again."),
    errno.EACCES: ("Permission was denied", "Check who owns it and who may read and write it."),
    errno.EPERM: ("Permission was denied", "Check who owns it and who may read and write it."),
    errno.EROFS: ("That disk is read-only", "Choose another place."),
    errno.ENOENT: ("There is no such file or folder", "Check the path."),
    errno.EISDIR: ("That is a folder, not a file", "Check the path."),
    errno.ENOTDIR: ("Part of that path is not a folder", "Check the path."),
    errno.EEXIST: ("That file is there already", "Choose another name."),
    errno.ENAMETOOLONG: ("That name is too long", "Choose a shorter one."),
    errno.EADDRINUSE: ("That port is in use", "Choose another: --port."),
    errno.EMFILE: ("Too many files are open", "Close other programs, then do it again."),
}


def through(run: Callable[[], object]) -> int:
    """Run a command line and return its exit status, having said whatever went wrong."""
    try:
        result = run()
    except BronzebookError as fault:
        return _say(fault.message, fault.remedy, fault.exit_status)
    except click.exceptions.NoArgsIsHelpError as fault:
        click.echo(fault.format_message(), err=True)
        return fault.exit_code
    except click.ClickException as fault:
        return _say(*usage(fault), fault.exit_code)
    except (click.Abort, KeyboardInterrupt):
        return _say("Stopped; nothing was written.", "", STOPPED)
    except OSError as fault:
        plain = machine(fault)
        return _say(plain.message, plain.remedy, plain.exit_status)
    return result if isinstance(result, int) else 0


def usage(fault: click.ClickException) -> tuple[str, str]:
    """What click found wrong with a command line, and where to look for help."""
    context = getattr(fault, "ctx", None)
    remedy = f"See: {context.command_path} --help." if context else "See: bronzebook --help."
    message = _SEVERAL.sub(_either, fault.format_message().strip())
    return message if message.endswith((".", "?")) else f"{message}.", remedy


def _either(found: re.Match[str]) -> str:
    *words, last = (word.strip(" '") for word in found[1].split(","))
    return f"Did you mean {', '.join(words)} or {last}?"


def machine(fault: OSError) -> MachineRefused:
    """A refusal of the operating system in plain words."""
    words, remedy = _MACHINE.get(fault.errno or 0, (fault.strerror or str(fault), ""))
    where = f": {fault.filename}" if isinstance(fault.filename, str) else ""
    return MachineRefused(f"{words}{where}.", remedy)


def line(text: str) -> str:
    """Text as one line that is safe to print, cut where it is endless."""
    shown = "".join(c if c.isprintable() else " " if c in "\n\t" else "\ufffd" for c in text)
    flat = " ".join(shown.split())
    return flat if len(flat) <= _LONGEST_LINE else f"{flat[:_LONGEST_LINE]}…"


def _say(message: str, remedy: str, status: int) -> int:
    # A prompt or a progress bar may have left the cursor in mid-line.
    for text in (message, remedy):
        if text:
            click.echo(line(text), err=True)
    return status


def speak_any_script() -> None:
    """Let names in any script be printed on a terminal that lacks them, escaped, not refused."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
