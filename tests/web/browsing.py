"""A real Chromium as wide as a phone; a skip with its reason where there is none, a failure where there must be one."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
PHONE = {"width": 390, "height": 844}
OFFICE = {"width": 1280, "height": 900}


@contextmanager
def chromium(*asked: str) -> Iterator[Browser]:
    """The browser, with more arguments where a test needs them."""
    if not CHROMIUM.exists() and os.environ.get("CI") != "true":
        pytest.skip("no Chromium at /usr/bin/chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox", *asked])
        try:
            yield browser
        finally:
            browser.close()


def context_of(browser: Browser, **more: Any) -> BrowserContext:
    """A phone of its own."""
    return browser.new_context(**{"viewport": PHONE, "has_touch": True, **more})


@contextmanager
def phone(said: list[str], size: dict[str, int] = PHONE, own_certificate: bool = False) -> Iterator[Page]:
    """A page; what the browser complains of goes to `said`. `own_certificate`: as a phone that has fetched the shop's."""
    with chromium() as browser:
        page = context_of(browser, viewport=size, ignore_https_errors=own_certificate).new_page()
        page.set_default_timeout(20_000)
        page.on("console", lambda m: said.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: said.append(str(e)))
        yield page


def small_targets(page: Page, least: float) -> list[str]:
    """Buttons, links that are buttons, and fields in sight that are lower than so many CSS pixels."""
    return page.evaluate(  # type: ignore[no-any-return]
        """least => [...document.querySelectorAll('button, .button, input, nav a, .choice')]
        .filter(e => e.offsetParent && !['radio', 'checkbox'].includes(e.type) && e.getBoundingClientRect().height < least)
        .map(e => e.outerHTML.slice(0, 90))""",
        least,
    )


def small_text(page: Page, least: float) -> list[str]:
    """Text in sight set smaller than so many CSS pixels."""
    return page.evaluate(  # type: ignore[no-any-return]
        """least => [...document.querySelectorAll('body *')].filter(e => e.offsetParent
        && [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())
        && parseFloat(getComputedStyle(e).fontSize) < least).map(e => e.outerHTML.slice(0, 90))""",
        least,
    )


def wider_than_the_screen(page: Page) -> bool:
    """A page that must be pushed sideways."""
    return page.evaluate("document.documentElement.scrollWidth > innerWidth")  # type: ignore[no-any-return]
