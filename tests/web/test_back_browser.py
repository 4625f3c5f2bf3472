"""The return sheet on a phone: by taps from held to clear to roll and out, and nothing typed is lost on the way."""

from __future__ import annotations

import re

import pytest

from web.phone import Phone
from web.refit import (
    SWEPT,
    brakes_and_run,
    line,
    new_wrench,
    swept,
    tighten,
    type_in,
    wheel_back,
)
from web.trailer import THREAD, WHEELS, roll_in

pytestmark = pytest.mark.reasoned
CAP = {"corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["damaged"]}]}]}
PAINT = {"corner": [{"position": "1-curb", "look": [{"check": "hub face", "found": ["paint"]}]}]}


@pytest.fixture
def number(phone: Phone) -> str:
    """A tandem rolled in and swept: a cap to replace, paint to take off a hub face."""
    roll_in(phone)
    made = phone.page.url.split("/")[4]
    swept(phone, made, CAP, PAINT)
    return made


def to(phone: Phone, number: str, screen: str = "back") -> None:
    """Open a page of the visit."""
    phone.page.goto(f"{phone.at}/visit/{number}/{screen}")


def state(phone: Phone) -> str:
    """The release state as the trailer's page tells it."""
    return phone.page.locator("p.state b").inner_text()


def test_from_held_to_clear_to_roll_and_out_by_taps(phone: Phone, number: str) -> None:
    """Trade: the sheet of four wheels in three minutes; every line is a tap, and only the numbers are typed."""
    to(phone, number)
    assert state(phone) == "held"
    assert "1-road cap: replace not done" in phone.page.locator("#held").inner_text()
    to(phone, number, "back/1-road")
    new_wrench(phone)
    start = phone.taps
    assert [wheel_back(phone, p) for p in WHEELS][1:] == [6, 6, 6]
    brakes_and_run(phone)
    phone.tap('.fit[data-part="cap"] [data-fit]')
    phone.shoot(phone.page.locator('.bench[data-part="hub-face"]'), THREAD)
    phone.page.locator("p.state b", has_text="clear to roll").wait_for()

    assert phone.taps - start <= 60
    phone.say("It has left on its wheels")
    phone.sent()
    phone.page.locator("p.state b", has_text="out, re-torque due").wait_for()


def test_a_part_ticked_by_mistake_is_unticked_and_holds_again(phone: Phone, number: str) -> None:
    to(phone, number)
    button = phone.page.locator('.fit[data-part="cap"] [data-fit]')
    button.click()
    phone.sent()
    phone.page.locator("#held", has_not_text="cap").wait_for()
    assert "hub-face: bench work not done" in phone.page.locator("#held").inner_text()
    button.click()
    phone.sent()
    phone.page.locator("#held", has_text="1-road cap: replace not done").wait_for()


def test_a_torque_without_its_source_is_refused_and_stays_on_the_page(phone: Phone, number: str) -> None:
    to(phone, number, "back/1-road")
    new_wrench(phone)
    phone.tap('[data-draft="value"]')
    type_in(phone, "110", "ft-lb")
    phone.tap('[data-pick="wrench"][data-word="W7"]')
    phone.tap('[data-act="keep-torque"]')

    assert "Where does 110 ft-lb stand?" in phone.page.locator("#torque-stop").inner_text()
    phone.page.reload()
    assert phone.page.locator("#draft-value").inner_text() == "110 ft-lb"
    assert phone.page.locator('[data-word="W7"]').get_attribute("aria-pressed") == "true"
    assert phone.page.locator('[data-pick="source"][aria-pressed="true"]').count() == 0


def test_a_number_that_cannot_be_right_is_refused_with_the_unit_that_would_fit(
    phone: Phone, number: str
) -> None:
    to(phone, number, "back/1-road")
    phone.tap(f"{line('end_play')} .number")
    type_in(phone, ".3", "in")

    assert "0 to 0.1 in is possible. Was it mm?" in phone.page.locator("#stop").inner_text()
    phone.tap('#units [data-unit="mm"]')
    phone.sent()
    phone.page.locator(f"{line('end_play')} .answer", has_text="0.3 mm").wait_for()
    phone.page.locator("#setting .ask", has_text="outside 0.001 to 0.010 in").wait_for()
    assert "Too much: the hub rocks" in phone.page.locator("#setting").inner_text()


def test_what_was_typed_without_signal_waits_on_the_phone_and_is_shown(phone: Phone, number: str) -> None:
    to(phone, number, "back/1-road")
    phone.page.route("**/entries", lambda route: route.abort())
    phone.tap(".all-yes")
    phone.tap(f"{line('end_play')} .number")
    type_in(phone, ".003", "in")
    phone.page.locator("#waiting", has_text="5 on this phone").wait_for()
    phone.page.reload()
    assert "0.003 in (waiting)" in phone.page.locator(f"{line('end_play')} .answer").inner_text()
    phone.page.unroute("**/entries")
    phone.page.reload()
    phone.sent()
    phone.page.locator(f"{line('end_play')} .answer", has_text=re.compile("^0.003 in$")).wait_for()


def test_a_page_opened_before_a_failure_was_entered_does_not_replace_it(phone: Phone, number: str) -> None:
    """The other phone's failing end play came after this page was made: both stand, and the trailer is held."""
    to(phone, number, "back/1-road")
    other = {"return_sheet": {"wheel": [{"position": "1-road", "end_play": "0.030 in"}]}}
    assert phone.page.evaluate(SWEPT, [number, [other]])[0] == 200
    phone.tap(f"{line('end_play')} .number")
    type_in(phone, ".003", "in")
    phone.sent()
    phone.page.locator("text=Said twice, differently").wait_for()
    assert "0.030 in and 0.003 in" in phone.page.locator(f"{line('end_play')} .answer").inner_text()
    to(phone, number)
    assert state(phone) == "held"
    to(phone, number, "back/1-road")
    phone.tap(
        f"{line('end_play')} .number"
    )  # this page shows both now: a third measurement stands instead of both
    type_in(phone, ".004", "in")
    phone.sent()
    phone.page.locator(f"{line('end_play')} .answer", has_text=re.compile("^0.004 in$")).wait_for()
    assert phone.page.locator("text=Said twice, differently").count() == 0


def test_a_failure_that_arrives_while_a_number_is_typed_stays(phone: Phone, number: str) -> None:
    """The keypad was open already when the page was drawn anew: what came meanwhile was not looked at by whoever types."""
    to(phone, number, "back/1-road")
    phone.tap(f"{line('end_play')} .number")
    phone.digits(".00")
    other = {"return_sheet": {"wheel": [{"position": "1-road", "end_play": "0.030 in"}]}}
    assert phone.page.evaluate(SWEPT, [number, [other]])[0] == 200
    phone.page.evaluate(
        "Waiting.told.dispatchEvent(new CustomEvent('kept', { detail: { to: document.querySelector('#back').dataset.send, said: {} } }))"
    )
    phone.page.locator(f"{line('end_play')} .answer", has_text="0.030 in").wait_for()
    type_in(phone, "3", "in")
    phone.sent()
    phone.page.locator("text=Said twice, differently").wait_for()


def test_a_second_initial_is_of_another_person(phone: Phone, number: str) -> None:
    to(phone, number, "back/1-road")
    new_wrench(phone)
    tighten(phone, "1-road")
    phone.sent()
    phone.page.locator("[data-second]").first.wait_for()
    assert phone.page.locator("[data-second]").all_inner_texts() == ["KR, Kim Roe"]
    phone.tap('[data-second="KR"]')
    phone.sent()
    phone.page.locator("#torque > .answer", has_text="second initial KR").wait_for()
    to(phone, number, "back/1-curb")
    assert "second" not in phone.page.locator("#nuts .same").inner_text()
    phone.tap("#nuts .same")
    phone.sent()
    assert "second" not in phone.page.locator("#torque > .answer").inner_text()
