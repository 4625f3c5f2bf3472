"""From first start to the bay PIN in a real browser, as wide as a phone."""

from __future__ import annotations

import os
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Page, expect

from web.browsing import OFFICE, PHONE, phone, small_targets, small_text, wider_than_the_screen
from web.people import PASSWORD
from web.serving import serving

pytestmark = pytest.mark.reasoned
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"


class Looks:
    """What is held of every page on the way; pictures where SHOTS names a folder."""

    def __init__(self, page: Page, size: str) -> None:
        self.page, self.size, self.count = page, size, 0

    def at(self, name: str) -> None:
        """Targets, text, width, and axe."""
        self.count += 1
        if folder := os.environ.get("SHOTS"):
            self.page.screenshot(
                path=Path(folder) / f"{self.size}-{self.count:02d}-{name}.png", full_page=True
            )
        assert small_targets(self.page, 53) == [], name
        assert small_text(self.page, 18) == [], name
        assert not wider_than_the_screen(self.page), name
        options = {
            "runOnly": {
                "type": "tag",
                "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag2aaa", "best-practice"],
            },
            "rules": {"color-contrast-enhanced": {"enabled": True}},  # 7:1; off unless asked for
        }
        self.page.evaluate(AXE.read_text("utf-8"))
        found = self.page.evaluate("options => axe.run(options)", options)["violations"]
        assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found] == [], name


def tap(page: Page, digits: str) -> None:
    """Touch the pad."""
    for digit in digits:
        page.locator(f'.pad button[data-digit="{digit}"]').tap()


def first_start(page: Page, looks: Looks, at: str) -> None:
    """The owner's account, and four digits."""
    page.goto(at)
    looks.at("first-start")
    page.fill("#name", "Mary Ash")
    page.fill("#login", "mary")
    page.fill("#password", "short")
    page.fill("#again", "short")
    page.locator("button.main").tap()
    expect(page.get_by_role("alert")).to_contain_text("password:")
    expect(page.locator("#name")).to_have_value("Mary Ash")
    looks.at("first-start-slip")
    page.fill("#password", PASSWORD)
    page.fill("#again", PASSWORD)
    page.locator("button.main").tap()
    expect(page.get_by_role("heading")).to_contain_text("Your four digits")
    tap(page, "1234")
    looks.at("new-pin")
    page.locator("button.main").tap()
    expect(page.get_by_role("alert")).to_contain_text("1234 is among the first")
    tap(page, "4072")
    page.get_by_text("take back").tap()
    tap(page, "1")
    expect(page.locator(".digits")).to_have_text("4071")
    page.locator("button.main").tap()
    expect(page.locator(".carry")).to_have_text("Answers carry: MA, Mary Ash, owner")


def sign_in_by_pin(page: Page, looks: Looks) -> None:
    """One tap away, one on the name, four digits: no keyboard."""
    page.get_by_text("change person").tap()
    expect(page.get_by_role("heading")).to_have_text("Who is it?")
    looks.at("names")
    page.get_by_role("link", name="Mary Ash").tap()
    expect(page.locator(".digits")).to_have_text("○○○○")
    looks.at("pin")
    tap(page, "4070")
    expect(page.get_by_role("alert")).to_contain_text("it is not Mary Ash's")
    looks.at("pin-wrong")
    tap(page, "4071")
    expect(page.locator(".carry")).to_have_text("Answers carry: MA, Mary Ash, owner")


def the_others(page: Page, looks: Looks, at: str) -> None:
    """People and devices."""
    page.goto(f"{at}/me")
    looks.at("me")
    page.goto(f"{at}/people/new")
    looks.at("new-person")
    page.fill("#name", "Jo Tanner")
    page.fill("#login", "jo")
    page.get_by_label("technician").check()
    page.locator("button.main").tap()
    expect(page.get_by_role("heading")).to_have_text("Jo Tanner: first password")
    looks.at("first-password")
    for where in ("people", "people/2", "devices", "own-password", "sign-in?login="):
        page.goto(f"{at}/{where}")
        looks.at(where.replace("/", "-").strip("?="))
    page.goto(f"{at}/nowhere")
    looks.at("nothing-here")


@pytest.mark.parametrize("size", ["phone", "office"])
def test_from_first_start_to_a_pin(tmp_path: Path, size: str) -> None:
    said: list[str] = []
    with serving(tmp_path / "shop") as running, phone(said, PHONE if size == "phone" else OFFICE) as page:
        looks = Looks(page, size)
        first_start(page, looks, running.at)
        sign_in_by_pin(page, looks)
        the_others(page, looks, running.at)

    assert [s for s in said if "422" not in s and "404" not in s] == []


def test_digits_are_typed_where_no_script_runs(tmp_path: Path) -> None:
    said: list[str] = []
    with serving(tmp_path / "shop") as running, phone(said) as page:
        page.route("**/pad.js", lambda route: route.abort())
        page.goto(running.at)
        for field, text in (
            ("name", "Mary Ash"),
            ("login", "mary"),
            ("password", PASSWORD),
            ("again", PASSWORD),
        ):
            page.fill(f"#{field}", text)
        page.locator("button.main").tap()
        page.fill("#pin", "4071")
        page.locator("button.main").tap()
        page.wait_for_url(f"{running.at}/")
        expect(page.locator(".carry")).to_contain_text("Mary Ash")


def test_a_phone_comes_from_the_door_to_a_secure_page(tmp_path: Path) -> None:
    """What a phone may do in the page itself hangs on this."""
    said: list[str] = []
    with serving(tmp_path / "shop", tls=True) as running, phone(said, own_certificate=True) as page:
        looks = Looks(page, "door")
        page.goto(running.door)
        expect(page.get_by_role("link", name="Fetch the certificate")).to_be_visible()
        looks.at("phones")
        page.get_by_role("link", name="open the secure page").tap()
        page.wait_for_url(f"{running.at}/first-start")
        page.goto(f"{running.door}/sign-in")
        assert page.url.startswith(running.at)
        first_start(page, looks, running.at)
        assert page.evaluate("isSecureContext")
        sign_in_by_pin(page, looks)

    assert [s for s in said if "422" not in s] == []
