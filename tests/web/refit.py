"""A return sheet by taps: each wheel, then the trailer, until it is clear to roll."""

from __future__ import annotations

import re

from web.phone import Phone
from web.trailer import WHEELS

VOLTS = {"1-road": "11.9", "1-curb": "11.8", "2-road": "12.0", "2-curb": "11.8"}
PLAY = {"1-road": ".003", "1-curb": ".004", "2-road": ".002", "2-curb": ".003"}
HEAT = {"1-road": "96", "1-curb": "98", "2-road": "99", "2-curb": "97"}
SWEPT = """async ([number, body]) => {
  const id = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  const answer = await fetch(`/visit/${number}/entries`, { method: "POST", body: JSON.stringify({ entries: body.map((b) => ({ id: id(), at: new Date().toISOString(), by: document.body.dataset.by, kind: "piece", instead_of: [], body: b })) }),
    headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": document.cookie.match(/csrftoken=([^;]+)/)[1] } });
  return [answer.status, await answer.json()];
}"""


def swept(phone: Phone, number: str, *more: dict[str, object]) -> None:
    """Every wheel vouched for, and what else a phone may have sent, without taps."""
    fine = [{"corner": [{"position": p, "rest_fine": "JT"}]} for p in WHEELS]
    status, said = phone.page.evaluate(SWEPT, [number, [*more, *fine]])
    assert status == 200, said


def line(field: str, place: str = "") -> str:
    """A line of the page."""
    return f'[data-line="{field}"]' + (f'[data-place="{place}"]' if place else "")


def type_in(phone: Phone, digits: str, unit: str) -> None:
    """Digits on the keypad, then the unit that ends them."""
    phone.digits(digits)
    phone.tap(f'#units [data-unit="{unit}"]')


def new_wrench(phone: Phone, name: str = "W7", day: str = "2026-03-02") -> None:
    """A wrench put on the shop's list: once for each wrench, not once for each wheel."""
    phone.say("another wrench")
    phone.page.fill("#id", name)
    phone.tap('.choose label:has(span:text-is("4 %"))')
    phone.page.fill("#calibrated", day)
    phone.say("Put it on the list")
    phone.page.wait_for_url(re.compile("/back/[0-9]-"))


def set_bearings(phone: Phone, position: str) -> None:
    """The first wheel line by line; each other as the wheel before, and its own end play."""
    if position == WHEELS[0]:
        phone.tap(f"{line('method')} [data-set] >> nth=0")
        phone.tap(f"{line('seat_torque')} .number")
        type_in(phone, "50", "ft-lb")
        phone.tap(f"{line('back_off')} [data-set] >> nth=0")
        phone.tap(f"{line('gauge')} [data-set] >> nth=0")
    else:
        phone.tap("#setting .same")
    if phone.page.locator(f"{line('end_play')} .number[aria-current]").count() == 0:
        phone.tap(f"{line('end_play')} .number")
    type_in(phone, PLAY[position], "in")


def tighten(phone: Phone, position: str) -> None:
    """Nuts and final torque: the first wheel in full, each other the same."""
    if position != WHEELS[0]:
        phone.tap("#nuts .same")
        return
    phone.tap(f"{line('nut')} [data-set] >> nth=0")
    phone.tap('[data-draft="value"]')
    type_in(phone, "110", "ft-lb")
    phone.tap('[data-pick="source"][data-word="wheel label"]')
    phone.tap('[data-pick="wrench"][data-word="W7"]')
    phone.tap('[data-pick="stages"]')
    phone.tap('[data-act="keep-torque"]')


def wheel_back(phone: Phone, position: str) -> int:
    """One wheel from its page to the next: so many taps."""
    start = phone.taps
    set_bearings(phone, position)
    phone.tap(".all-yes")
    tighten(phone, position)
    phone.sent()
    phone.page.locator("text=Nothing is owed on this page").wait_for()
    phone.tap("#part > a.main")
    phone.page.wait_for_url(re.compile("/back(/(?!" + position + ").*)?$"))
    return phone.taps - start


def brakes_and_run(phone: Phone) -> int:
    """The trailer's own lines and what is measured at each wheel after the other: so many taps."""
    start = phone.taps
    for field in ("adjusted", "breakaway_locks"):
        phone.tap(f"{line(field)} [data-set=true]")
    phone.tap(f"{line('plug_volts')} .number")
    type_in(phone, "12.4", "V")
    type_in(phone, "15.6", "A")
    for position in WHEELS:
        type_in(phone, VOLTS[position], "V")
    phone.tap(f"{line('bedding_stops')} .number")
    type_in(phone, "24", "stops")
    type_in(phone, "11", "miles")
    for position in WHEELS:
        type_in(phone, HEAT[position], "F")
    phone.sent()
    return phone.taps - start
