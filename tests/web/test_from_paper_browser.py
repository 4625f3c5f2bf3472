"""A sheet typed in by keyboard alone, in a real browser; and that nobody's typing is lost."""

from __future__ import annotations

import re

import pytest

from web.browsing import small_text
from web.phone import Phone
from web.trailer import roll_in

pytestmark = pytest.mark.reasoned


def at_row(phone: Phone, row: int) -> None:
    """The keys that go to a row."""
    phone.page.keyboard.press("/")
    phone.page.keyboard.type(str(row))
    phone.page.keyboard.press("Enter")


def focused(phone: Phone) -> str:
    """The name of the field that the next key goes to."""
    return str(phone.page.evaluate("document.activeElement.name"))


def opened(phone: Phone) -> str:
    """A tandem's first sheet, its head filled in; where the wheel's own page is."""
    roll_in(phone)
    wheel = phone.page.url
    phone.say("Type in from paper")
    phone.page.wait_for_url(re.compile("/from-paper/1-road$"))
    phone.page.select_option("#writer", "KR")
    phone.page.fill("#date", "2026-11-20")
    phone.page.select_option("#unit-length", "in")
    return wheel


def test_by_keyboard_alone(phone: Phone) -> None:
    wheel, keys = opened(phone), phone.page.keyboard
    phone.page.focus("#r1")
    for text in ("f", "f"):
        keys.type(text)
    assert focused(phone) == "r3"
    keys.type("nb")
    assert focused(phone) == "r4"
    at_row(phone, 9)
    keys.type("13")
    lit = phone.page.locator('.typed[data-row="9"] .on').all_inner_texts()
    assert lit == ["1 glaze", "3 heat checks all round"]
    keys.press("Enter")
    assert focused(phone) == "r10"
    at_row(phone, 35)
    for digits in ("055", "056", "054", "055", "060", "058"):
        keys.type(digits)
        keys.press("Enter")
    assert focused(phone) == "g35"
    keys.type("drum")
    phone.page.locator("button.main").focus()
    keys.press("Enter")

    phone.page.wait_for_url(re.compile("/from-paper/1-curb"))
    assert "The sheet of 1-road is kept." in phone.page.inner_text("main")
    assert phone.page.input_value("#date") == "2026-11-20"
    assert phone.page.input_value("#writer") == ""
    phone.page.goto(wheel)
    assert "glaze" in phone.page.inner_text('.row[data-check="band surface"] .answer')
    assert "too dirty" in phone.page.inner_text('.row[data-check="cap"]')
    assert "open" in (phone.page.get_attribute('.row[data-check="hard spots"]', "class") or "")


def test_a_row_that_is_not_there_and_a_slip_keep_what_was_typed(phone: Phone) -> None:
    opened(phone)
    at_row(phone, 99)
    assert phone.page.get_attribute("#jump", "aria-invalid") == "true"
    phone.page.fill("#r1", "f")
    phone.page.fill("#r2", "77")
    phone.page.click("button.main")
    phone.page.locator('.typed[data-row="2"].slip').wait_for()

    assert phone.page.input_value("#r1") == "f"
    assert phone.page.input_value("#r2") == "77"
    assert phone.page.input_value("#writer") == "KR"
    assert small_text(phone.page, 18) == []
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= 390
