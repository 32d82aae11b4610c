"""What checking a scanned code costs, beside the least it can cost; and a batch's key derivations.

Run by hand, or by what checks a change; pytest does not collect it, since it measures time.  What
is compared is run in turn, so that what else the machine does falls on both.

- In process: the text of a code to its verdict, beside one raw Ed25519 verification and cbor2's
  decoding of the same bytes.  The best of many runs of each is compared: they take a fraction of a
  millisecond, and whatever disturbs them only adds.
- The command with a key file, beside a Python that only imports click and Ed25519; by median.
- A batch of certificates really issued: how often the passphrase is derived into a key.

    python tests/benchmarks/verifying.py [SIZE OF THE BATCH]
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any, NamedTuple

IN_PROCESS, COMMAND = 1.6, 2.5
TURNS, RUNS, ATTEMPTS = 4000, 31, 5
BATCH = 100

PLAIN = "import click, cryptography.hazmat.primitives.asymmetric.ed25519"
VERIFY = "import sys; from editions.cli import main; sys.argv[0] = 'bronzebook'; main()"
SECRET = "a crucible of words"


class Scanned(NamedTuple):
    """A code's text, and the keys that a person brings along."""

    text: str
    keys: str


def scanned() -> Scanned:
    """A code of the usual length, signed by a key of our own."""
    from certificates.claim import Claim, code_text, sign_claim
    from certificates.keyfile import PublicKeyEntry, write_keys
    from editions.ledger.keys import PrivateKey
    from editions.ledger.notes import VerifierKey
    from editions.trade.numbers import make_number

    number, key = make_number(lambda size: bytes(range(size))), PrivateKey(bytes(range(32)))
    claim = Claim(
        number=number,
        leaf=hashlib.sha256(b"leaf").digest(),
        index=41_207,
        size=41_216,
        root=hashlib.sha256(b"root").digest(),
        origin="book.hollow-oak.example",
        paper="finished",
        artist="Ilse Varga",
        title="Standing Woman with Lowered Eyes",
        designation="3/8",
        cast="2026",
        issued="2026-11-24",
    )
    text = code_text("https://book.hollow-oak.example", number, sign_claim(claim, key))
    known = str(VerifierKey(claim.origin, key.public.raw))
    return Scanned(text, write_keys([PublicKeyEntry(use="foundry", key=known)]))


def least(code: Scanned) -> Callable[[], object]:
    """One raw verification of the code's signature, and cbor2's decoding of the same bytes."""
    import cbor2
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    from certificates import cose
    from certificates.claim import read_code_text
    from certificates.keyfile import read_keys

    message = read_code_text(code.text).cose
    parts = cose.take_apart(message)
    text = cose.to_be_signed(parts.protected, parts.payload)
    raw = read_keys(code.keys)[0].verifier().public

    def run() -> None:
        Ed25519PublicKey.from_public_bytes(raw).verify(parts.signature, text)
        for data in (message, parts.protected, parts.payload):
            cbor2.loads(data)

    return run


def in_process(code: Scanned) -> float:
    """The time of a verdict over the least time, and print both."""
    from certificates.keyfile import read_keys
    from certificates.verify import verify_code

    run, keys = least(code), read_keys(code.keys)
    if verify_code(code.text, keys).status != 5:
        raise SystemExit("the code is not proved")
    plain, whole = [], []
    for _ in range(TURNS):
        began = perf_counter()
        run()
        between = perf_counter()
        verify_code(code.text, keys)
        whole.append(perf_counter() - between)
        plain.append(between - began)
    found = min(whole) / min(plain)
    print(
        f"raw signature and decoding {1e6 * min(plain):.0f} us; a code to its verdict"
        f" {1e6 * min(whole):.0f} us: {found:.2f}"
    )
    return found


def command(code: Scanned) -> float:
    """The command's median time over that of its libraries, and print both."""
    with TemporaryDirectory() as folder:
        # Away from the checkout, so that the installed program is measured.
        Path(folder, "keys.txt").write_text(code.keys)
        words = ["verify", code.text, "--key", "keys.txt"]
        pairs = [
            (_seconds([PLAIN], folder, 0), _seconds([VERIFY, *words], folder, 5))
            for _ in range(RUNS + 2)
        ]
    # The first two bring the files into the machine's memory.
    plain, whole = (median(times) for times in zip(*pairs[2:], strict=True))
    found: float = whole / plain
    print(
        f"import click and Ed25519 {1000 * plain:.0f} ms; bronzebook verify CODE --key FILE"
        f" {1000 * whole:.0f} ms: {found:.2f}"
    )
    return found


def _seconds(script: list[str], folder: str, status: int) -> float:
    began = perf_counter()
    line = [sys.executable, "-c", *script]
    ended = subprocess.run(line, cwd=folder, capture_output=True, check=False).returncode
    taken = perf_counter() - began
    if ended != status:
        raise SystemExit(f"exit status {ended}, not {status}: {script[0]}")
    return taken


def derivations(size: int) -> int:
    """How often issuing a batch derives a key from the passphrase, and print it with the time."""
    from certificates.issue import issue
    from editions.registry import begin

    counted, real = [0], hashlib.scrypt

    def scrypt(*given: Any, **named: Any) -> bytes:
        counted[0] += 1
        return real(*given, **named)

    with TemporaryDirectory() as folder:
        address = "https://book.hollow-oak.example"
        registry = begin(
            Path(folder, "book"), foundry="Hollow Oak", address=address, passphrase=SECRET
        )
        pieces = _casts(registry, size)
        hashlib.scrypt = scrypt
        began = perf_counter()
        try:
            made = issue(registry, pieces, passphrase=SECRET)
        finally:
            hashlib.scrypt = real
            registry.close()
        taken = perf_counter() - began
    print(f"{len(made)} certificates in {taken:.0f} s: {counted[0]} derivation of the key")
    return counted[0] if len(made) == size else -1


def _casts(registry: Any, size: int) -> list[str]:
    """Earlier casts, registered from the object."""
    from editions import enter_party, enter_work, record_mark, register_cast

    with registry.writing() as w:
        artist = enter_party(w, "artist", name="Ilse Varga").code
        work = enter_work(w, artist, "Heron, standing").code
        pieces = [register_cast(w, work, cast="197X").code for _ in range(size)]
        for piece in pieces:
            record_mark(w, piece, "Varga", place="back of the base")
    return pieces


def kept(measure: Callable[[Scanned], float], code: Scanned, limit: float) -> bool:
    """Measure until one measurement keeps the limit."""
    if any(measure(code) <= limit for _ in range(ATTEMPTS)):
        return True
    print(f"over the limit of {limit}, {ATTEMPTS} times")
    return False


def main() -> int:
    """Measure everything; return 1 if a limit is not kept."""
    code, size = scanned(), int(sys.argv[1]) if len(sys.argv) > 1 else BATCH
    good = [kept(in_process, code, IN_PROCESS), kept(command, code, COMMAND)]
    good.append(derivations(size) == 1)
    return 0 if all(good) else 1


if __name__ == "__main__":
    sys.exit(main())
