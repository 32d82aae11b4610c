"""Whatever a site shows and whatever lies in the memory: refused in a line or two, never fallen."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry
from tests.cli.witness.conftest import Watch, grow, memory
from tests.cli.witness.test_keeping import changed

MANY = settings(
    max_examples=50,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
REFUSALS = {2, 3, 4, 8, 9}


@st.composite
def spoiled(draw: st.DrawFn, data: bytes) -> bytes:
    """The file with bytes cut out, put in or changed, or something else altogether."""
    if draw(st.booleans()):
        return draw(st.binary(max_size=200))
    start = draw(st.integers(0, len(data)))
    end = draw(st.integers(start, len(data)))
    return data[:start] + draw(st.binary(max_size=40)) + data[end:]


@pytest.fixture
def rotated(followed: Memory, registry: Registry, site: Path) -> Path:
    """A site that has grown, and whose log key has changed, since it was seen."""
    assert followed.last().checkpoint.size
    grow(registry)
    changed(registry)
    publish(registry, site)
    return site


@pytest.mark.parametrize("name", ["checkpoint", "rotations.txt", "tile"])
@MANY
@given(data=st.data())
def test_a_site_that_shows_anything_is_followed_or_refused(
    watch: Watch, desk: Path, rotated: Path, followed: Memory, name: str, data: st.DataObject
) -> None:
    path = rotated / name
    if name == "tile":
        path = max(rotated.glob("tile/0/000.p/*"), key=lambda one: int(one.name))
    kept = path.read_bytes()
    path.write_bytes(data.draw(spoiled(kept)))
    status, _, said = watch(rotated)
    if status == 0:
        # What stands after the log's own signature, or changes nothing, is no harm.
        assert memory(desk).last().checkpoint.size > followed.last().checkpoint.size
        (desk / "heron.memory").write_text(str(followed))
    else:
        assert status in REFUSALS
        assert 1 <= len(said.strip().splitlines()) <= 6
        assert memory(desk) == followed
    path.write_bytes(kept)


@MANY
@given(data=st.data())
def test_a_memory_of_anything_is_refused_and_left(
    watch: Watch, desk: Path, site: Path, followed: Memory, data: st.DataObject
) -> None:
    wrong = data.draw(spoiled(str(followed).encode()))
    (desk / "heron.memory").write_bytes(wrong)
    status, _, _ = watch(site)
    if wrong != str(followed).encode():
        assert status in REFUSALS
        assert (desk / "heron.memory").read_bytes() == wrong


@MANY
@given(data=st.data())
def test_keys_of_anything_at_first_sight_are_refused_or_no_keys_of_this_book(
    watch: Watch, desk: Path, site: Path, data: st.DataObject
) -> None:
    keys = (site / "keys.txt").read_bytes()
    (desk / "keys.txt").write_bytes(data.draw(spoiled(keys)))
    status, _, _ = watch(site, "--key", str(desk / "keys.txt"))
    assert status in REFUSALS | {0}
    assert (desk / "heron.memory").exists() == (status == 0)
    (desk / "heron.memory").unlink(missing_ok=True)
