"""What machines are told: names that schema.org defines, nothing that the page does not show."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.pages import structured
from editions.pages.render import render_record
from editions.pages.site import ADDRESSES
from editions.pages.view import room
from editions.registry import Registry
from editions.trade.quantities import Quantity
from tests.pages import hostile
from tests.pages.builders import Gallery, cast, opened

DATA = re.compile(r'<script type="application/ld\+json">(.*?)</script>', re.DOTALL)
META = re.compile(r'<meta property="(og:[^"]+)" content="([^"]*)">')

# schema.org, release 28.1, data/releases/28.1/schemaorg-current-https-types.csv: the rows of these
# types, those of their properties that pages use (VisualArtwork, CreativeWork, Thing); Person,
# Organization, WebPage and QuantitativeValue from the same vocabulary's pages, from memory.
VOCABULARY = {
    "VisualArtwork": {
        "artEdition", "artMedium", "artform", "height", "width", "depth", "weight",
        "creator", "dateCreated", "exampleOfWork", "material", "producer", "size", "workExample",
        "alternateName", "identifier", "image", "name", "url", "mainEntityOfPage",
    },
    "Person": {"name", "birthDate", "deathDate", "url", "mainEntityOfPage"},
    "Organization": {"name", "location", "url", "mainEntityOfPage"},
    "WebPage": {"inLanguage"},
    "QuantitativeValue": {"value", "unitCode"},
}  # fmt: skip
# UN/CEFACT Recommendation 20, from memory: millimetre, centimetre, metre, inch, foot, gram,
# kilogram, ounce and pound (avoirdupois).
UNITS = {"MMT", "CMT", "MTR", "INH", "FOT", "GRM", "KGM", "ONZ", "LBR"}


def told(page: str) -> dict[str, Any] | None:
    found = DATA.findall(page)
    assert len(found) <= 1
    return json.loads(found[0]) if found else None


def nodes(value: object) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for one in value.values():
            yield from nodes(one)
    elif isinstance(value, list):
        for one in value:
            yield from nodes(one)


def made(registry: Registry, path: str, member: str = "") -> str:
    row = next(one for one in ADDRESSES if one.path == path)
    with room(registry) as here:
        return row.make(here, member).decode()


def every_page(gallery: Gallery) -> Iterator[str]:
    for number in gallery.numbers.values():
        yield render_record(gallery.shop.registry, number)[:].decode()
    for path, member in (
        ("/run/{}/", "R-0001"), ("/run/{}/", "R-0002"), ("/work/{}/", "K-0001"),
        ("/artist/{}/", "Y-0002"), ("/foundry/", ""), ("/keys/", ""), ("/look/", ""),
    ):  # fmt: skip
        yield made(gallery.shop.registry, path, member)


def test_every_type_and_property_is_one_of_the_vocabulary(shown: Gallery) -> None:
    seen = set()
    for page in every_page(shown):
        for node in nodes(told(page)):
            kind = node.get("@type", "")
            seen.add(kind)
            assert set(node) - {"@type", "@context"} <= VOCABULARY[kind]
    assert seen == set(VOCABULARY)


def test_a_run_is_told_as_a_work_in_so_many_copies(shown: Gallery) -> None:
    node = told(made(shown.shop.registry, "/run/{}/", "R-0001"))
    assert node is not None
    assert node["@context"] == "https://schema.org"
    assert (node["@type"], node["name"], node["artEdition"]) == (
        "VisualArtwork",
        "Heron, settling",
        8,
    )
    assert node["creator"] == {"@type": "Person", "name": "Ilse Varga", "birthDate": "1931"}
    assert node["exampleOfWork"].endswith("/work/K-0001/")


def test_a_record_that_stands_tells_its_size_and_its_material(shown: Gallery) -> None:
    node = told(render_record(shown.shop.registry, shown.numbers["stands"]).decode())
    assert node is not None
    assert node["height"] == {"@type": "QuantitativeValue", "value": 450.0, "unitCode": "MMT"}
    assert node["weight"] == {"@type": "QuantitativeValue", "value": 14.2, "unitCode": "KGM"}
    assert (node["material"], node["artform"]) == ("Bronze", "Sculpture")
    assert node["image"].startswith("https://book.harrow-lane.example/photo/")


@pytest.mark.parametrize("state", ["withdrawn", "replaced", "reservation"])
def test_machines_are_told_nothing_of_what_does_not_stand(shown: Gallery, state: str) -> None:
    assert told(render_record(shown.shop.registry, shown.numbers[state]).decode()) is None


def test_no_machine_is_told_a_number_a_mark_or_a_date_made_certain(shown: Gallery) -> None:
    for state, number in shown.numbers.items():
        page = render_record(shown.shop.registry, number).decode()
        text = json.dumps(told(page) or {}) + str(META.findall(page))
        assert number not in text, state
        assert "HLB 26" not in text, state
        assert "HELD" not in page, state
    found = told(render_record(shown.shop.registry, shown.numbers["found"]).decode())
    assert found is not None
    assert "dateCreated" not in found  # cast in the 1970s, EDTF 197X


def test_records_are_kept_from_indexes_and_the_rest_is_not(shown: Gallery) -> None:
    noindex = '<meta name="robots" content="noindex">'
    for page in every_page(shown):
        assert (noindex in page) == ('id="proof"' in page)


def test_a_link_shows_title_and_picture_and_only_public_pages_their_address(
    shown: Gallery,
) -> None:
    record = dict(
        META.findall(render_record(shown.shop.registry, shown.numbers["stands"]).decode())
    )
    assert record["og:title"] == "Ilse Varga, Heron, settling, 3/8"
    assert record["og:image"].startswith("https://book.harrow-lane.example/photo/")
    assert "og:url" not in record
    run = dict(META.findall(made(shown.shop.registry, "/run/{}/", "R-0001")))
    assert run["og:url"] == "https://book.harrow-lane.example/run/R-0001/"


@pytest.mark.parametrize("bad", [hostile.SCRIPT, hostile.CLOSING, "</script><!--<script>"])
def test_a_hostile_title_neither_ends_the_block_nor_the_attribute(
    tmp_path_factory: pytest.TempPathFactory, bad: str
) -> None:
    shop = opened(tmp_path_factory.mktemp("bad") / "registry", title=bad, artist=bad)
    number = shop.certify(cast(shop))
    for page in (
        render_record(shop.registry, number).decode(),
        made(shop.registry, "/run/{}/", "R-0001"),
        made(shop.registry, "/work/{}/", "K-0001"),
        made(shop.registry, "/artist/{}/", "Y-0002"),
    ):
        node = told(page)
        assert node is not None
        assert node["name"] == bad
        assert bad not in page
        assert page.count("<script") == page.count("</script>")
    shop.registry.close()


@given(st.from_regex(r"[0-9X~?%./-]{1,12}", fullmatch=True))
def test_a_date_is_told_only_as_iso_has_it(text: str) -> None:
    kept = structured.dated(text)
    assert kept is None or re.fullmatch(r"\d{4}(-\d\d){0,2}", kept)


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft", "g", "kg", "oz", "lb"])
def test_every_unit_of_length_and_mass_has_its_code(unit: str) -> None:
    node = structured._quantity(Quantity("17 1/8", unit))
    assert node is not None
    assert node["unitCode"] in UNITS
    assert node["value"] == 17.125
