"""Keys of the tests, admitted, ended and vouched for in short."""

from __future__ import annotations

from certificates.countersign import (
    Countersigned,
    countersign,
)
from editions.ledger.keys import PrivateKey, key_id
from editions.registry import Registry
from editions.registry.acts.keys import admit_key, countersigning, end_key
from editions.registry.keys import (
    key_judgement,
)

FOUNDRY = "Y-0001"
MET = "fingerprint compared in the studio"
ONE, TWO, THREE = (PrivateKey(bytes([number]) * 32) for number in (1, 2, 3))


def admit(registry: Registry, party: str, key: PrivateKey = ONE, **said: object) -> None:
    with registry.writing() as w:
        admit_key(w, party, key.public.raw, **{"document": MET, **said})  # type: ignore[arg-type]


def end(registry: Registry, party: str, key: PrivateKey = ONE, because: str = "lost") -> None:
    with registry.writing() as w:
        end_key(w, party, key.public.raw, because=because)


def vouched(registry: Registry, party: str, key: PrivateKey, by: PrivateKey) -> Countersigned:
    with registry.reading() as r:
        return countersign(countersigning(r, party, key.public.raw), by)


def size(registry: Registry) -> int:
    with registry.reading() as r:
        return r.size


def judged(registry: Registry, key: PrivateKey, position: int) -> str:
    with registry.reading() as r:
        return key_judgement(r, key_id(key.public.raw), position)
