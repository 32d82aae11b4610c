"""What was struck is on no public page: neither a step, nor a run that was declared twice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.pages.publish import publish
from editions.pages.render import render_record
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.strikes import strike_entry
from editions.registry.auditing import audit
from editions.trade.certificates import Certificate
from tests.pages.builders import Shop, cast, opened

WHY = "HELD: written on the wrong line"
STEP = "mounted"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    made = opened(tmp_path / "registry")
    yield made
    made.registry.close()


def files(folder: Path) -> dict[str, bytes]:
    """Every page and every text for machines; what tells how far the site reaches is left out."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.suffix in (".html", ".json")
    }


def page(shop: Shop, number: str) -> str:
    with shop.registry.reading() as r:
        assert r.get(number, Certificate).pdf
    return render_record(shop.registry, number).decode()


def recorded(shop: Shop, piece: str) -> str:
    with shop.registry.writing() as w:
        (done,) = record_step(w, STEP, [piece])
    return done.leaf


def strike(shop: Shop, entry: str) -> None:
    with shop.registry.writing() as w:
        strike_entry(w, entry, reason=WHY)


def test_a_step_struck_before_the_certificate_is_not_told_on_its_page(shop: Shop) -> None:
    piece = cast(shop)
    leaf = recorded(shop, piece)
    strike(shop, leaf)
    number = shop.certify(piece)
    text = page(shop, number)
    assert STEP not in text.casefold()
    assert leaf not in text
    assert WHY not in text
    assert audit(shop.registry).faults == ()


def test_a_step_that_stands_is_told_on_its_page(shop: Shop) -> None:
    piece = cast(shop)
    recorded(shop, piece)
    assert STEP in page(shop, shop.certify(piece)).casefold()


def test_a_page_published_with_a_step_is_made_anew_once_that_is_struck(
    shop: Shop, tmp_path: Path
) -> None:
    piece = cast(shop)
    number = shop.certify(piece)
    leaf = recorded(shop, piece)
    publish(shop.registry, tmp_path / "site")
    told = files(tmp_path / "site")
    assert STEP.encode() in told[f"C/{number}/index.html"].lower()
    strike(shop, leaf)
    publish(shop.registry, tmp_path / "site")
    told = files(tmp_path / "site")
    assert not [name for name in told if STEP.encode() in told[name].lower()]
    assert not [name for name in told if WHY.encode() in told[name]]
    publish(shop.registry, tmp_path / "fresh")
    assert files(tmp_path / "fresh") == told


def test_a_run_declared_twice_leaves_the_site_once_it_is_struck(shop: Shop, tmp_path: Path) -> None:
    with shop.registry.writing() as w:
        twice = declare_run(w, "K-0001", size=12, proofs=["2 HC"], publishes=["size"]).code
    publish(shop.registry, tmp_path / "site")
    assert f"run/{twice}/index.html" in files(tmp_path / "site")
    strike(shop, f"{twice}#1")
    publish(shop.registry, tmp_path / "site")
    told = files(tmp_path / "site")
    assert not [name for name in told if twice in name or twice.encode() in told[name]]
    publish(shop.registry, tmp_path / "fresh")
    assert files(tmp_path / "fresh") == told
