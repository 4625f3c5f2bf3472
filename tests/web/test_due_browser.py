"""The list of what is due in a real browser on a small phone without scripts, from a real server; and many taps at one moment."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from conftest import ROOT
from web.browsing import small_targets, small_text, wider_than_the_screen
from web.phone import Phone, peopled
from web.serving import Server, environment, serving

pytestmark = pytest.mark.reasoned
SMALL = {"width": 320, "height": 568}
FOURTEEN_MM = 53
FILL = """
import django
django.setup()
from wheeltapper.store import links, tags
from web.after import out_today
visits = [out_today(f"KM-{n}") for n in range(4)]
print(" ".join(v.number for v in visits))
print(" ".join(links.token_of(links.make(v, "Dana Reed", "CW", 30)) for v in visits))
print(" ".join(tags.token_of(tags.make(v.unit, "CW")) for v in visits))
"""


@dataclass(frozen=True)
class Shop:
    """A server with four trailers that are out, and the owners' and the tags' addresses."""

    server: Server
    numbers: list[str]
    links: list[str]
    tags: list[str]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Four tandems that left today."""
    folder = peopled(tmp_path_factory.mktemp("due") / "shop")
    path = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")])
    setting = environment(
        WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings", PYTHONPATH=path
    )
    made = subprocess.run(
        [sys.executable, "-c", FILL], env=setting, check=True, capture_output=True, text=True
    )
    numbers, links, tags = (line.split() for line in made.stdout.splitlines())
    with serving(folder) as server:
        yield Shop(
            server, numbers, [f"{server.at}/o/{t}/" for t in links], [f"{server.at}/t/{t}/" for t in tags]
        )


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A small phone of years ago with scripts switched off."""
    context = browser.new_context(viewport=SMALL, has_touch=True, java_script_enabled=False)  # type: ignore[arg-type]
    made = context.new_page()
    made.set_default_timeout(20_000)
    yield made
    context.close()


def summary(shop: Shop, n: int) -> tuple[str, list[dict[str, Any]]]:
    """A trailer's state and what is due, as the Yard has it."""
    with closing(sqlite3.connect(shop.server.folder / "shop.sqlite3")) as link:
        state, text = link.execute(
            "SELECT state, summary FROM store_keptvisit WHERE number = ?", [shop.numbers[n]]
        ).fetchone()
    return state, json.loads(text)["due"]


def test_the_owner_settles_it_in_one_tap_each(shop: Shop, page: Page) -> None:
    page.goto(shop.links[0])
    page.click("text=What is due")
    for miles in (10, 25, 50):
        page.click(f"#retorque-{miles} button:has-text('No nut moved')")
        page.wait_for_url(f"**/due#retorque-{miles}")

    state, due = summary(shop, 0)
    assert state == "settled"
    assert [d["miles"] for d in due if d["what"] == "retorque" and d["done"]] == [10, 25, 50]
    assert page.locator("#done li").count() == 3


def test_movement_at_the_second_check_says_come_in(shop: Shop, page: Page) -> None:
    page.goto(shop.tags[1])
    page.click("#retorque-25 button:has-text('A nut moved')")
    page.wait_for_url("**/#retorque-25")

    assert "Come in. Do not just tighten it again" in page.inner_text("#retorque-25")
    assert page.locator("#retorque-25 button:has-text('No nut moved')").count() == 0
    page.click("#retorque-25 button:has-text('About one flat')")
    page.wait_for_load_state()
    assert page.locator("#retorque-25 button").count() == 0
    assert summary(shop, 1)[0] == "held"


def test_the_list_is_easy_to_hit_and_read(shop: Shop, browser: Browser) -> None:
    for at in (f"{shop.links[2]}due", shop.tags[2]):
        seen = browser.new_page(viewport=SMALL)  # type: ignore[arg-type]
        seen.goto(at)
        seen.click("#retorque-10 summary")
        assert not wider_than_the_screen(seen)
        assert small_targets(seen, FOURTEEN_MM) == []
        assert small_text(seen, 18) == []
        assert [v["id"] for v in Axe().run(seen).response["violations"]] == []
        seen.close()


def test_the_shop_records_it_by_taps(shop: Shop, browser: Browser) -> None:
    phone = Phone(browser.new_context(viewport=SMALL, has_touch=True), shop.server.at)  # type: ignore[arg-type]
    phone.sign_in("kr")
    phone.page.goto(f"{shop.server.at}/visit/{shop.numbers[2]}/due")
    assert not wider_than_the_screen(phone.page)
    assert small_targets(phone.page, FOURTEEN_MM) == []
    assert Axe().run(phone.page).violations_count == 0
    phone.tap("#retorque-10 button:has-text('a third of a flat')")
    phone.page.wait_for_url("**/due#retorque-10")

    assert "At the first check it may" in phone.page.inner_text("#retorque-10")
    assert next(d for d in summary(shop, 2)[1] if d["miles"] == 10)["done"]
    phone.context.close()


def test_twelve_taps_at_once_from_link_and_tag_are_one_follow_up(shop: Shop) -> None:
    def tap(n: int) -> int:
        at = f"{shop.links[3]}due/done" if n % 2 else f"{shop.tags[3]}done"
        with urlopen(Request(at, urlencode({"key": "retorque 10", "word": "still"}).encode())) as said:
            return int(said.status)

    with ThreadPoolExecutor(12) as phones:
        status = list(phones.map(tap, range(12)))
    with closing(sqlite3.connect(shop.server.folder / "shop.sqlite3")) as link:
        asked = "SELECT body FROM store_keptentry e JOIN store_keptvisit v ON v.id = e.visit_id WHERE v.number = ? AND body LIKE '%\"follow_up\"%'"
        bodies = link.execute(asked, [shop.numbers[3]]).fetchall()

    assert status == [200] * 12
    assert len(bodies) == 1
