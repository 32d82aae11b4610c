"""A record page in a real browser: what is served, what the page found, and what it carries."""

from __future__ import annotations

import json
import re
from typing import Any, NamedTuple

from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from editions.registry import Reading, Registry
from editions.registry.status import signed_status
from editions.trade.certificates import Certificate

DATA = re.compile(r'(<script type="application/json" id="carried">)(.*?)(</script>)', re.DOTALL)


class Place(NamedTuple):
    """A site of files given by path, and where it is."""

    files: dict[str, bytes]
    address: str


class Subject(NamedTuple):
    """A record's page, another's data, and the site's checkpoint and tiles."""

    number: str
    page: str
    other: dict[str, Any]
    abroad: dict[str, Any]
    files: dict[str, bytes]
    old_status: bytes

    @property
    def data(self) -> dict[str, Any]:
        return carried(self.page)


def carried(page: str) -> dict[str, Any]:
    found = DATA.search(page)
    assert found is not None
    return dict(json.loads(found[2]))


def put(page: str, data: dict[str, Any]) -> str:
    text = json.dumps(data).replace("<", "\\u003c")
    return DATA.sub(lambda found: found[1] + text + found[3], page)


def noted(registry: Registry, reading: Reading, checkpoint: str | None = None) -> bytes:
    """The status note of the book as it is, or as it was at an earlier checkpoint."""
    key, every = registry.log_key(), reading.all_of(Certificate) if checkpoint is None else ()
    note, origin = checkpoint or reading.checkpoint(), reading.book.origin
    return signed_status(note, every, key, origin, registry.clock()).encode()


def visit(browser: Chrome, address: str) -> dict[str, tuple[str, str]]:
    """Open a page and wait for its last check; each check's result and words."""
    browser.get("about:blank")
    browser.get(address)
    return results(browser)


def results(browser: Chrome) -> dict[str, tuple[str, str]]:
    def rows(_: Chrome) -> list[list[str]]:
        found = browser.execute_script(
            "return document.querySelector('#check[aria-busy=false]') &&"
            " [...document.querySelectorAll('#check li')].map(li => [li.querySelector('b')"
            ".textContent, li.querySelector('small').textContent, li.textContent])"
        )
        return found or []

    found = WebDriverWait(browser, 20, 0.05).until(rows)
    return {name: (result, says) for name, result, says in found}


def contradicted(checks: dict[str, tuple[str, str]]) -> set[str]:
    return {name for name, (result, _) in checks.items() if result == "contradicts"}


def complaints(browser: Chrome) -> list[str]:
    return [str(entry["message"]) for entry in browser.get_log("browser")]  # type: ignore[no-untyped-call]


def shown_at(place: Place, subject: Subject, page: str) -> str:
    place.files.update(subject.files)
    place.files["/icon.svg"] = b""
    place.files[f"/C/{subject.number}"] = page.encode()
    return f"{place.address}/C/{subject.number}"
