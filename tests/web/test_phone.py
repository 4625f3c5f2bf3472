"""A whole trailer on a phone-sized page: taps counted against the targets of the trade, and what a bad line may do."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import Browser

from web.browsing import context_of
from web.phone import Phone
from web.serving import Server
from web.trailer import SIX, THREAD, WHEELS, choose, roll_in, wheel

pytestmark = pytest.mark.reasoned


def test_a_tandem_all_fine_takes_at_most_sixty_taps(phone: Phone) -> None:
    """Trade: 60 taps with the roll-in, 12 a corner, digits not counted, not a word typed."""
    roll_in(phone)
    corners = [wheel(phone, position) for position in WHEELS]

    assert max(corners[1:]) <= 12, corners
    assert phone.taps <= 60, (phone.taps, corners)
    phone.page.goto(phone.page.url.split("/wheel/")[0])
    page = phone.page.locator("main").inner_text()
    assert "are not settled yet" not in page
    assert "48 are fine" in page


def test_a_tandem_with_six_findings_takes_at_most_a_hundred_and_ten_taps(phone: Phone) -> None:
    """Trade: 110 taps, each finding with its photo."""
    roll_in(phone)
    for position in WHEELS:
        wheel(phone, position, SIX)

    assert phone.taps <= 110, phone.taps
    phone.page.goto(phone.page.url.split("/wheel/")[0])
    page = phone.page.locator("main").inner_text()
    assert all(word in page for word in ("F3", "F5", "F9", "F11"))


def test_a_finding_with_its_photo_takes_at_most_four_taps(phone: Phone, tmp_path) -> None:
    """Finding, its word, photo: the shutter is the phone's own."""
    roll_in(phone)
    start = phone.taps
    row = phone.page.locator("#band-surface")
    phone.tap(row.locator(".finding"))
    phone.tap(row.locator('[data-word="grooves"]'))
    phone.shoot(row, THREAD)
    phone.sent()

    assert phone.taps - start <= 4
    row.locator(".photos a img").wait_for()


def test_an_answer_that_arrives_while_the_camera_is_open_does_not_lose_the_photo(phone: Phone) -> None:
    """The wheel is drawn anew between the tap on the camera and the shutter."""
    roll_in(phone)
    phone.tap("#seal .finding")
    phone.tap('#seal [data-word="weeps"]')
    phone.sent()
    with phone.page.expect_file_chooser() as chooser:
        phone.tap("#seal .camera")
    phone.tap("#wheel .fine")
    phone.sent()
    chooser.value.set_files(THREAD)
    phone.sent()

    phone.page.locator("#seal .photos a img").wait_for()


def test_what_is_open_stays_open_when_the_wheel_is_drawn_anew(phone: Phone) -> None:
    """A colleague's answer, or one's own, must not close the words that a thumb is on its way to."""
    roll_in(phone)
    phone.tap("#spindle .finding")
    phone.tap("#hub-face .not")
    phone.tap("#seal details.good summary")
    phone.tap("#nuts .fine")
    phone.sent()
    phone.page.locator("#nuts .answer", has_text="fine JT").wait_for()

    assert phone.page.locator("#spindle .words").is_visible()
    assert phone.page.locator("#hub-face .why-not").is_visible()
    assert phone.page.locator("#seal details.good p").first.is_visible()
    phone.tap('#spindle [data-word="blue"]')
    phone.sent()
    phone.page.locator("#spindle .answer", has_text="blue JT").wait_for()


def test_what_cannot_be_sent_waits_on_the_phone_and_goes_out_by_itself(phone: Phone) -> None:
    """The line drops in mid-corner, the page is loaded anew, the line comes back: nothing lost, nothing twice."""
    roll_in(phone)
    number = re.search(r"visit/([^/]+)/", phone.page.url)[1]
    phone.page.route("**/entries", lambda route: route.abort())
    phone.tap(phone.page.locator(".all-fine").locator("visible=true"))
    phone.page.locator("#waiting").wait_for(state="visible")
    assert "waiting for the server" in phone.page.locator("#waiting").inner_text()
    phone.page.reload()
    assert phone.page.locator("#wheel .answer").inner_text().startswith("fine")
    phone.page.unroute("**/entries")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.sent()
    phone.page.reload()

    assert phone.page.locator("#wheel .answer").inner_text() == "fine JT"
    assert phone.page.locator(f'a[href$="/{number}/wheel/1-road"]').count() == 1


def test_a_batch_that_was_kept_but_not_confirmed_is_not_doubled(phone: Phone) -> None:
    """The server kept it and the answer was lost: the same entries come again."""
    roll_in(phone)
    lost = []

    def swallow(route) -> None:
        if lost:
            route.continue_()
        else:
            lost.append(json.loads(route.request.post_data))
            route.fetch()
            route.abort()

    phone.page.route("**/entries", swallow)
    phone.tap(phone.page.locator(".all-fine").locator("visible=true"))
    phone.page.locator("#waiting").wait_for(state="visible")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.sent()
    phone.page.reload()

    assert len(lost[0]["entries"]) == 3
    assert phone.page.locator("#wheel").get_attribute("data-ids") == lost[0]["entries"][0]["id"]


def test_answers_wait_when_the_session_has_ended_and_the_page_says_so(phone: Phone) -> None:
    """Revoked or timed out: nothing is lost, and who signs in again sends it."""
    roll_in(phone)
    wheel = phone.page.url
    phone.context.clear_cookies()
    phone.tap("#wheel .fine")
    phone.page.locator("#waiting", has_text="sign in again").wait_for()
    phone.sign_in()
    phone.page.goto(wheel)
    phone.sent()
    phone.page.reload()

    assert phone.page.locator("#wheel .answer").inner_text() == "fine JT"


def test_two_phones_on_one_trailer(phone: Phone, server: Server, browser: Browser) -> None:
    """Both answer, both see it."""
    roll_in(phone)
    wheel = phone.page.url
    other = Phone(context_of(browser), server.at)
    other.sign_in("kr")
    other.page.goto(wheel)
    phone.tap("#wheel .fine")
    other.tap("#nuts .fine")
    phone.sent()
    other.sent()
    phone.page.reload()

    assert phone.page.locator("#wheel .answer").inner_text() == "fine JT"
    assert phone.page.locator("#nuts .answer").inner_text() == "fine KR"
    other.context.close()


def test_a_number_that_cannot_be_is_stopped_at_the_key(phone: Phone) -> None:
    """055 is 12.055; 12.3.. is refused at the 3; 11.995 by changing what stands before."""
    roll_in(phone)
    phone.tap("#numbers a")
    choose(phone, "drum gauge", "in")
    phone.tap(phone.page.locator('.numbers [data-at="mid 0"]'))
    phone.digits("3")
    assert "cannot be right: 11.99 to 12.25 in is possible" in phone.page.locator("#stop").inner_text()
    assert phone.page.locator("#typed").inner_text() == "12.···"
    phone.digits("055")
    assert phone.page.locator('.numbers [data-at="mid 0"] b').inner_text().startswith("12.055 in")
    phone.tap("#before")
    phone.digits("995")
    assert phone.page.locator('.numbers [data-at="mid 45"] b').inner_text().startswith("11.995 in")
    phone.sent()


def test_on_plain_http_the_phones_own_recorder_is_asked_for(server: Server, browser: Browser) -> None:
    """No secure page, no recording in it; answers and their waiting work all the same."""
    context = context_of(browser)
    plain = Phone(context, f"http://shop.test:{server.port}")
    plain.sign_in()
    roll_in(plain)

    assert plain.page.evaluate("window.isSecureContext") is False
    assert plain.page.locator(".record").locator("visible=true").count() == 0
    plain.page.locator(".also summary", has_text="ring").click()
    assert plain.page.locator(".camera.sound").locator("visible=true").count() == 1
    plain.tap("#wheel .fine")
    plain.sent()
    plain.page.reload()
    assert plain.page.locator("#wheel .answer").inner_text() == "fine JT"
    context.close()
