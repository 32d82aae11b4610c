"""The look-up page in a real browser, and its index: a number, or artist, title and marks."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from editions.pages import site as pages
from editions.pages.publish import publish
from editions.pages.view import room
from editions.registry.acts.parties import enter_party
from editions.registry.acts.runs import declare_run
from editions.registry.acts.works import enter_model, enter_work
from editions.trade.numbers import ALPHABET, check_character, show_number
from tests.pages import hostile
from tests.pages.builders import Gallery, Shop, cast, opened
from tests.pages.running import running

WAIT = 10


class Quiet(SimpleHTTPRequestHandler):
    """A static host as plain as they come."""

    def log_message(self, *_: object) -> None:
        """Nothing is logged."""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A foundry with a few works, two hostile, one of which nothing is published."""
    shop = opened(tmp_path_factory.mktemp("look") / "registry", artist="Iłse Várga")
    shop.write(lambda w: _more(w))  # noqa: PLW0108 - a writing has one act
    yield shop
    shop.registry.close()


def _more(w) -> None:  # type: ignore[no-untyped-def]
    enter_party(w, ["artist"], name="Bram Okoye")
    for place, (artist, title) in enumerate(
        [("Y-0005", "Ferry"), ("Y-0005", hostile.SCRIPT), ("Y-0002", "Unannounced")], 2
    ):
        enter_work(w, artist, title)
        enter_model(w, f"K-000{place}", "plaster")
    declare_run(w, "K-0002", size=12, proofs=["2 EA roman"], on="2026-03-02")
    declare_run(w, "K-0003", size=5, publishes=["proofs"], on="2026-03-02")
    declare_run(w, "K-0004", size=3, publishes=[], on="2026-03-02")


@pytest.fixture(scope="module")
def site(shop: Shop, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The published folder on a plain static host: nothing of ours answers."""
    folder = tmp_path_factory.mktemp("host") / "site"
    publish(shop.registry, folder)
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.fixture
def look(browser: Chrome, site: str) -> Chrome:
    browser.get(f"{site}/look/")
    return browser


def made(shop: Shop, address: str, member: str = "") -> bytes:
    row = next(one for one in pages.ADDRESSES if one.path == address)
    with room(shop.registry) as here:
        return row.make(here, member)


def answered(browser: Chrome, where: str) -> str:
    def said(one: Chrome) -> str:
        return str(one.find_element("id", where).text)

    return WebDriverWait(browser, WAIT, 0.05).until(said)


def typed(browser: Chrome, **fields: str) -> None:
    for name, text in fields.items():
        box = browser.find_element("id", f"typed-{name}")
        box.clear()
        box.send_keys(text)
    box.send_keys("\n")


def found(browser: Chrome) -> list[str]:
    answered(browser, "words-say")
    return [one.text for one in browser.find_elements("css selector", "#found li")]


# The standard's own alphabet and sums are in certificates' tests; here both programs must agree.
NUMBER = "0123456789A"


@pytest.mark.browser
@pytest.mark.parametrize(
    "text",
    [NUMBER, "0123 4567 89A", " ol23-4567-89a ", "OI23–4567–89a", "0.1.2.3 4567_89A",
     "https://book.harrow-lane.example/C/0123456789A#ABC"],
)  # fmt: skip
def test_a_number_with_the_usual_slips_leads_to_its_address(
    look: Chrome, site: str, text: str
) -> None:
    typed(look, number=text)
    WebDriverWait(look, WAIT, 0.05).until(lambda one: one.current_url == f"{site}/C/{NUMBER}")


@pytest.mark.browser
@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("0123 4567 89B", "0123 4567 89B is no certificate number"),
        ("0123 4567 98A", "does not agree"),
        ("0123 4567 89", "has 10"),
        ("0123 4567 89AA", "has 12"),
        ("0123 4567 89U", "never holds U"),
        ("0123/4567/89A", "never holds /"),
        (" - ", "Type the number"),
        ("<b>x</b>", "never holds"),
    ],
)
def test_a_number_that_is_none_is_explained_and_leads_nowhere(
    look: Chrome, site: str, text: str, reason: str
) -> None:
    typed(look, number=text)
    assert reason in answered(look, "number-says")
    assert look.current_url == f"{site}/look/"
    box = look.find_element("id", "typed-number")
    assert box.get_attribute("aria-invalid") == "true"
    assert look.switch_to.active_element == box


@pytest.mark.browser
def test_the_script_and_the_book_agree_on_every_check_character(look: Chrome) -> None:
    payloads = [f"{one}{other}234567{other}{one}" for one in ALPHABET for other in ALPHABET[::3]]
    asked = "return arguments[0].map((one) => checkCharacter(one))"
    assert look.execute_script(asked, payloads) == [check_character(one) for one in payloads]


@pytest.mark.browser
@pytest.mark.parametrize(
    ("artist", "title", "marks", "wanted"),
    [
        ("varga", "", "", ["Heron, settling"]),
        ("VÁRGA iłse", "heron", "", ["Heron, settling"]),
        ("", "settl", "HLB 26 3/8 IV", ["Heron, settling"]),
        ("", "settling", "AP II/IV", ["Heron, settling"]),
        ("", "settling", "3/9", []),
        ("okoye", "", "", [hostile.SCRIPT, "Ferry"]),
        ("okoye", "", "7/12", [hostile.SCRIPT, "Ferry"]),
        ("", "ferry", "E.A. I/II", ["Ferry"]),
        ("", "unannounced", "", []),
        ("nobody", "", "", []),
    ],
)
def test_words_and_marks_lead_to_the_runs_they_fit(
    look: Chrome, artist: str, title: str, marks: str, wanted: list[str]
) -> None:
    typed(look, artist=artist, title=title, marks=marks)
    rows = found(look)
    assert len(rows) == len(wanted)
    assert all(any(title in row for row in rows) for title in wanted)


@pytest.mark.browser
def test_what_is_found_leads_to_pages_that_are_there(look: Chrome, site: str) -> None:
    typed(look, artist="varga")
    found(look)
    links = look.find_elements("css selector", "#found a")
    addresses = [str(link.get_attribute("href")) for link in links]
    assert addresses == [f"{site}/work/K-0001/", f"{site}/run/R-0001/"]
    for address in addresses:
        look.get(address)
        assert "Heron, settling" in look.find_element("tag name", "h1").text


@pytest.mark.browser
@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"artist": ""}, "Type an artist"),
        ({"marks": "a bird"}, "do not tell"),
        ({"title": "zzz"}, "called so"),
        ({"title": "settling", "marks": "1/99"}, "fits these marks"),
    ],
)
def test_what_cannot_be_found_is_explained(
    look: Chrome, fields: dict[str, str], reason: str
) -> None:
    typed(look, **fields)
    assert reason in answered(look, "words-say")


@pytest.mark.browser
def test_the_page_breaks_no_policy_and_asks_nothing_elsewhere(look: Chrome, site: str) -> None:
    typed(look, artist="okoye")
    assert len(found(look)) == 2
    log = look.get_log("browser")  # type: ignore[no-untyped-call]
    assert [one["message"] for one in log if "favicon" not in one["message"]] == []
    asked = look.execute_script("return performance.getEntriesByType('resource').map(e => e.name)")
    assert all(address.startswith(site) for address in asked)
    assert look.execute_script("return document.querySelector('#found script')") is None


@pytest.mark.browser
def test_a_keyboard_alone_looks_up(look: Chrome) -> None:
    """Tab by tab: skip link, house, language, box, button, the next boxes; each is seen."""
    reached = []
    for _ in range(9):
        press = {"type": "keyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}
        look.execute_cdp_cmd("Input.dispatchKeyEvent", press)
        reached.append(look.execute_script("return document.activeElement.id"))
        outline = "return getComputedStyle(document.activeElement).outlineStyle"
        assert look.execute_script(outline) == "solid"
    assert reached[3] == "typed-number"
    assert reached[5:8] == ["typed-artist", "typed-title", "typed-marks"]


@pytest.mark.browser
def test_without_scripts_it_is_a_list_with_links_and_no_dead_boxes(
    browser: Chrome, site: str
) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    browser.get(f"{site}/look/")
    assert not any(form.is_displayed() for form in browser.find_elements("tag name", "form"))
    links = [one.get_attribute("href") for one in browser.find_elements("css selector", "#all a")]
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    places = {str(link).removeprefix(site) for link in links}
    assert places == {
        "/artist/Y-0002/", "/work/K-0001/", "/run/R-0001/",
        "/artist/Y-0005/", "/work/K-0002/", "/run/R-0002/", "/work/K-0003/", "/run/R-0003/",
    }  # fmt: skip


def test_the_index_holds_public_facts_and_nothing_else(shop: Shop) -> None:
    index = json.loads(made(shop, "/look/index.json"))
    assert set(index) == {"artists", "works"}
    runs = [run for work in index["works"] for run in work["runs"]]
    assert {name for one in index["artists"] for name in one} <= {"code", "name", "life"}
    assert {name for one in index["works"] for name in one} <= {
        "code", "artist", "title", "titles", "year", "runs",
    }  # fmt: skip
    assert {name for run in runs for name in run} <= {"code", "said", "size", "proofs"}
    assert {run["code"]: run.get("size") for run in runs} == {
        "R-0001": 8,
        "R-0002": 12,
        "R-0003": None,
    }


def test_neither_page_nor_index_lets_anybody_list_certificates(shown: Gallery) -> None:
    for address in ("/look/", "/look/index.json"):
        text = made(shown.shop, address).decode()
        for number in shown.numbers.values():
            assert number not in text
            assert show_number(number) not in text
        assert "P-0" not in text
        assert "HELD" not in text


def test_an_index_is_the_same_whether_or_not_a_certificate_was_issued(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    shop = opened(tmp_path_factory.mktemp("same") / "registry")
    piece = cast(shop)
    before = made(shop, "/look/index.json"), made(shop, "/look/")
    shop.certify(piece)
    assert (made(shop, "/look/index.json"), made(shop, "/look/")) == before
    shop.registry.close()


def test_a_list_longer_than_anybody_reads_names_artists_alone(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("editions.pages.looking._MOST_LISTED", 2)
    page = made(shop, "/look/").decode()
    assert "/artist/Y-0002/" in page
    assert "/artist/Y-0005/" in page
    assert 'href="/work/' not in page
    assert len(json.loads(made(shop, "/look/index.json"))["works"]) == 3


@pytest.mark.browser
def test_a_served_site_answers_the_same_page(browser: Chrome, shop: Shop) -> None:
    with running(shop.registry) as port:
        browser.get(f"http://127.0.0.1:{port}/look/")
        typed(browser, title="ferry", marks="2/12")
        assert [row.partition(" run")[0] for row in found(browser)] == ["Bram Okoye, Ferry"]


def test_what_is_published_is_what_is_made(shop: Shop, tmp_path: Path) -> None:
    publish(shop.registry, tmp_path / "site")
    assert (tmp_path / "site/look/index.json").read_bytes() == made(shop, "/look/index.json")
    assert (tmp_path / "site/look/index.html").read_bytes() == made(shop, "/look/")
