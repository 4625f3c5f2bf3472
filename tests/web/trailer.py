"""A whole trailer by taps: rolled in, every station swept, every number entered, findings with their photos."""

from __future__ import annotations

import re
from pathlib import Path

from web.phone import Phone

WHEELS = ("1-road", "1-curb", "2-road", "2-curb")
Findings = tuple[tuple[str, str, str, str], ...]  # wheel, check, place, word
SIX = (
    ("1-road", "band surface", "", "grooves"), ("1-road", "seal", "", "weeps"), ("1-curb", "cups", "inner", "moves by hand"),
    ("2-road", "hub face", "", "paint"), ("2-road", "bearings", "outer", "etched"), ("2-curb", "magnet", "", "winding showing"),
)  # fmt: skip
THREAD = Path(__file__).parents[1] / "marks" / "pictures" / "thread.jpg"
VALUES = {
    "friction diameter": "031",
    "lining thickness": "142",
    "groove depth": "009",
    "magnet resistance": "3.2",
}
GAUGES = {
    "friction diameter": ("drum gauge", "in"),
    "lining thickness": ("depth gauge", "in"),
    "groove depth": ("depth gauge", "in"),
    "magnet resistance": ("meter", "ohm"),
}


def roll_in(phone: Phone) -> None:
    """A tandem that was never here, by taps alone."""
    phone.say("A trailer rolls in")
    phone.say("First time here")
    for answer in ("2", "electric drum", "12 in", "6 on 5.5", "1/2-20"):
        phone.tap(phone.page.locator(f'.choose label:has(span:text-is("{answer}"))'))
    phone.say("Take it in")
    phone.page.wait_for_url(re.compile("/wheel/1-road$"))


def numbers(phone: Phone) -> None:
    """Every number that is owed; gauge and unit where they are asked for."""
    phone.tap("#numbers a")
    phone.page.locator(".numbers button[aria-current]").wait_for()
    slot = phone.page.locator(".numbers button[aria-current]")
    owed = phone.page.locator('.numbers button[data-owed="yes"][data-value=""]').count()
    for _ in range(owed + (slot.get_attribute("data-limit") == "yes")):
        check, limit = slot.get_attribute("data-check"), slot.get_attribute("data-limit")
        if phone.page.locator(".gauge:not([hidden])").count():
            choose(phone, *GAUGES[check])
        value = "090" if limit else VALUES[check]
        phone.digits(value)
        if "." in value:
            phone.tap("[data-act=next]")
    phone.page.wait_for_url(re.compile("/wheel/"))


def choose(phone: Phone, gauge: str, unit: str) -> None:
    """A gauge and the unit it shows."""
    phone.tap(phone.page.locator(f'.gauge:not([hidden]) button[data-id="{gauge}"]'))
    phone.tap(phone.page.locator(f'.gauge:not([hidden]) [data-unit="{unit}"]'))


def sweep(phone: Phone) -> None:
    """Every station fine, one tap each."""
    for _ in range(phone.page.locator(".all-fine").count()):
        phone.tap(phone.page.locator(".all-fine").locator("visible=true"))


def wheel(phone: Phone, position: str, findings: Findings = ()) -> int:
    """One wheel from its first answer to the next wheel's page, findings with a photo each: so many taps."""
    start = phone.taps
    for _, check, where, word in (f for f in findings if f[0] == position):
        row = phone.page.locator(f'.row[data-check="{check}"][data-place="{where}"]')
        phone.tap(row.locator(".finding"))
        phone.tap(row.locator(f'[data-word="{word}"]'))
        phone.shoot(row, THREAD)
    sweep(phone)
    phone.sent()
    numbers(phone)
    phone.sent()
    phone.say("Next wheel")
    phone.page.wait_for_url(re.compile(f"/wheel/(?!{position})"))
    return phone.taps - start
