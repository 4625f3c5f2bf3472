"""The what-if page in a real browser on a phone and at the counter, light and dim, with thirty made-up trailers behind it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from web.browsing import OFFICE, PHONE, chromium, small_targets, small_text, wider_than_the_screen
from web.phone import PASSWORD, Phone, peopled
from web.serving import Server, environment, serving

pytestmark = pytest.mark.reasoned
FILL = """
import sys
sys.path.insert(0, sys.argv[1])
import django
django.setup()
from datetime import UTC, date, datetime, time
from conftest import priced
from made_fleet import visit, yard
from store.sample import entry
from wheeltapper.store import keep, outlook
from wheeltapper.web import live
fleet = yard(1, 30)
for drum, day, miles in (("12.012", date(2023, 6, 1), 1000), ("12.041", date(2024, 5, 1), 15000)):
    sizes = {"1-road": drum, "1-curb": "12.030", "2-road": "12.095"}
    fleet.append(visit("T-1", day, sizes, mileage={"now": miles, "quality": "hubometer"}, scope="hub service"))
for v in fleet:
    kept = keep.open_visit(datetime.combine(v.date, time(15), UTC))
    keep.add(kept, [entry(v.model_dump(mode="json", exclude_none=True, exclude_defaults=True))], "test")
    live.told(kept)
assert outlook.pool_them(priced(), date(2024, 6, 1)) is not None
print(kept.number)
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, str]]:
    """A server with a pool that has shown itself, and the number of a trailer's last visit."""
    folder = peopled(tmp_path_factory.mktemp("foreseen") / "shop")
    more = environment(WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings")
    run = subprocess.run(
        [sys.executable, "-c", FILL, str(Path(__file__).parents[1])], env=more, check=True, capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    with serving(folder) as server:
        yield server, run.stdout.split()[-1]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as made:
        yield made


def signed_in(browser: Browser, at: str, size: dict[str, int], light: str) -> Page:
    """The owner's page."""
    phone = Phone(browser.new_context(viewport=size, color_scheme=light, has_touch=True), at)  # type: ignore[arg-type]
    phone.sign_in()
    assert PASSWORD
    return phone.page


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, OFFICE], ids=["phone", "counter"])
def test_it_fits_and_every_step_is_one_tap(
    shop: tuple[Server, str], browser: Browser, size: dict[str, int], light: str
) -> None:
    """From the Table in one tap, a step in one more; nothing small, nothing cut off; the numbers follow the tap."""
    server, number = shop
    page = signed_in(browser, server.at, size, light)
    page.goto(f"{server.at}/visit/{number}")
    page.get_by_role("link", name="What if it waits").click()
    page.wait_for_url(f"**/visit/{number}/what-if")
    before = page.locator("h2").first.inner_text()
    page.get_by_role("link", name="+ 5,000").click()
    page.wait_for_url("**/what-if?miles=*")

    assert page.locator("h2").first.inner_text() != before
    assert page.locator("text=pooled over the shop's records").count() >= 1
    assert page.locator("text=Chance that it reaches its limit").count() == 2
    assert page.locator("text=2-road hub-drum cannot go back").count() >= 1
    assert small_text(page, 18) == []
    assert small_targets(page, 54) == []
    assert not wider_than_the_screen(page)


def test_a_slip_keeps_what_was_typed(shop: tuple[Server, str], browser: Browser) -> None:
    """'soon' is said to be no distance, and stands in the box still."""
    server, number = shop
    page = signed_in(browser, server.at, PHONE, "light")
    page.goto(f"{server.at}/visit/{number}/what-if")
    page.fill("#miles", "soon")
    page.get_by_role("button", name="Ask").click()

    assert page.locator("[role=alert]").inner_text().startswith("miles: 'soon' is no distance")
    assert page.input_value("#miles") == "soon"
