"""axe-core, an outside judge of pages: WCAG 2.2, levels A and AA, and what it calls best practice.

The script is Deque's, release 4.12, carried by the package ``axe-playwright-python``; only the file
is used.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from selenium.webdriver import Chrome

# As axe-core tags its rules: by the success criteria they test, and those of its own.
LEVELS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")

_RUN = """
const done = arguments[arguments.length - 1];
axe.run(document, {runOnly: {type: 'tag', values: arguments[0]}, resultTypes: ['violations']})
  .then(({violations}) => done(violations.flatMap(({id, nodes}) =>
    nodes.map(({target, failureSummary}) => `${id}: ${target.join(' ')}: ${failureSummary}`))))
  .catch((fault) => done([`axe itself failed: ${fault}`]));
"""


@lru_cache(maxsize=1)
def source() -> str:
    """The script, as the package carries it."""
    found = find_spec("axe_playwright_python")
    assert found is not None
    assert found.origin is not None
    return (Path(found.origin).parent / "axe.min.js").read_text("utf-8")


def faults(browser: Chrome, *tags: str) -> list[str]:
    """What axe finds wrong with the page that is open, each with the element and the reason."""
    if not browser.execute_script("return typeof axe === 'object'"):
        browser.execute_script(source())
    found: list[str] = browser.execute_async_script(_RUN, list(tags or LEVELS))
    return found
