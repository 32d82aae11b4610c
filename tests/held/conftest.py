"""One story told twice while other things are confided, and once with the real seal."""

from __future__ import annotations

from hashlib import sha256
from typing import NamedTuple

import pytest

from editions.ledger import held as sealing
from editions.ledger.canonical import canonical
from tests.held.outputs import Outputs, outputs
from tests.held.planting import GUESSABLE, OTHERS, Confided, Confiding, House, codes, confided, told

PHRASE = "in confidence"


def blind_seal(field: str, _: object, salt: bytes) -> str:
    """A seal that does not depend on what is sealed."""
    return sha256(salt + canonical([field])).hexdigest()


class Telling(NamedTuple):
    """What was confided, what was put out, and what is shown to who asks for what is held."""

    house: House
    confided: list[Confided]
    outputs: Outputs
    asked: bytes


def telling(house: House) -> Telling:
    """All that comes of a story."""
    registry = house.opened()
    said = confided(registry)
    subjects = codes(registry)
    registry.close()
    found = outputs(house)
    with house.at_work():
        asked = "".join(house.call("show", code, "--held", "--json") for code in subjects)
    return Telling(house, said, found, asked.encode())


@pytest.fixture(scope="session")
def two(tmp_path_factory: pytest.TempPathFactory) -> list[Telling]:
    """The story told twice at the same address, the second time with fewer confidences."""
    folder = tmp_path_factory.mktemp("two")
    first = Confiding(GUESSABLE, PHRASE)
    second = Confiding(OTHERS, "between ourselves, number", silent=True)
    tellings = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sealing, "seal", blind_seal)
        for say in (first, second):
            house = told(folder / "book", say)
            tellings.append(telling(house))
            house.move(folder / say.phrase)
    return tellings


@pytest.fixture(scope="session")
def real(tmp_path_factory: pytest.TempPathFactory) -> Telling:
    """One round of the story, sealed as ever."""
    say = Confiding(GUESSABLE, PHRASE)
    return telling(told(tmp_path_factory.mktemp("real") / "book", say, rounds=1))
