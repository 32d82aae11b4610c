"""What witnesses saw of a book, compared with the book: a file that one sent is its memory.

The files lie in the registry's folder ``witnesses``, as they were sent, or are brought along to an
audit.  A file is believed where the log signed what was seen and the witness cosigned it; what was
seen must be the book's own state at that size, or the book was rewritten since.  Whose the
witness's key is, is for the eye: a rewriter can make a witness, but not one whose fingerprint
somebody knows.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from editions.errors import BronzebookError, Contradiction
from editions.ledger.cosign import gather
from editions.ledger.keys import fingerprint
from editions.ledger.logkeys import LogKey, key_at
from editions.ledger.notes import MOST_SIGNATURES, take_apart
from editions.ledger.tree import Frontier
from editions.ledger.witness import Memory
from editions.registry.homes import Home
from editions.registry.reading import Reading
from editions.store import queries
from editions.store.audit import Witnessed

_LONGEST = 1 << 20
_ROOM = MOST_SIGNATURES - 1


def witness_files(home: Home) -> dict[str, str]:
    """The files that lie beside the registry: name to text, spoiled where it is none."""
    folder = home.witnesses
    paths = sorted(folder.glob("[!.]*")) if folder.is_dir() else []
    return {path.name: _text(path) for path in paths if path.is_file()}


def compare_witness(reading: Reading, text: str, log_key: LogKey) -> Witnessed:
    """Compare what a witness saw with the book.

    Args:
        reading: One moment of the book.
        text: The witness's memory, as it was sent.
        log_key: The key of the book's log, or its keys through time.

    Raises:
        Unreadable: It is no witness's memory.
        Contradiction: It was altered, is of another book, or the book was rewritten since.
    """
    memory = Memory.parse(text)
    last = memory.last()
    if memory.log != key_at(log_key, last.checkpoint.size):
        raise Contradiction(f"it follows another log: {memory.log}.")
    found = Witnessed(
        witness=str(memory.witness),
        fingerprint=fingerprint(memory.witness.public),
        size=last.checkpoint.size,
        seen=last.seen,
    )
    if found.size > reading.size:
        raise Contradiction(
            f"{memory.witness.name} saw {found.size} entries, {found.seen}; this book holds"
            f" {reading.size}: entries were taken out, or it is an old copy."
        )
    nodes = queries.node_reader(reading.connection)
    if Frontier.from_nodes(found.size, nodes).root() != last.checkpoint.root:
        raise Contradiction(
            f"what {memory.witness.name} saw, {found.seen}, is not what the first {found.size}"
            " entries are now: the book was rewritten. The file is evidence: keep it."
        )
    return found


def cosigned_checkpoint(note: str, home: Home) -> str:
    """A checkpoint with the lines of witnesses that saw this very state."""
    same = [memory for memory in _memories(home) if _same_text(memory.note, note)][:_ROOM]
    return gather(note, [one.note for one in same], [one.witness for one in same])


def _memories(home: Home) -> Iterator[Memory]:
    for text in witness_files(home).values():
        try:
            yield Memory.parse(text)
        except BronzebookError:
            # The audit tells of it; nothing of it is published.
            continue


def _same_text(one: str, other: str) -> bool:
    return take_apart(one)[0] == take_apart(other)[0]


def _text(path: Path) -> str:
    with path.open("rb") as file:
        return file.read(_LONGEST).decode(errors="replace")
