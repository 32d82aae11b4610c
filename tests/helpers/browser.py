"""A headless Chromium, driven by Selenium, that asks nothing of the network."""

from __future__ import annotations

import shutil
from pathlib import Path

from selenium.webdriver import Chrome, ChromeOptions
from selenium.webdriver.chrome.service import Service

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--force-device-scale-factor=1",
)


def missing() -> str:
    """Say what a browser test lacks on this machine, or return an empty text."""
    if not any(map(shutil.which, BROWSERS)):
        return "no Chromium on this machine (Debian: apt install chromium chromium-driver)"
    if not shutil.which("chromedriver"):
        return "no chromedriver on this machine (Debian: apt install chromium-driver)"
    return ""


def launch(profile: Path) -> Chrome:
    """Start a browser whose profile is the given empty folder."""
    options = ChromeOptions()
    options.binary_location = next(filter(None, map(shutil.which, BROWSERS)))
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    # The driver is named, or Selenium would go and look for one to fetch.
    return Chrome(options=options, service=Service(shutil.which("chromedriver")))


def cleared(browser: Chrome, width: int = 1280, height: int = 900) -> Chrome:
    """Give the browser back as new: one empty window of a known size, no cookies, no log."""
    browser.get("about:blank")
    browser.delete_all_cookies()
    browser.set_window_size(width, height)
    browser.get_log("browser")  # type: ignore[no-untyped-call]
    return browser
