"""Recorder, ring test and measured lines on the phone: from the shutter to the result on the wheel."""

from __future__ import annotations

import re
import wave
from pathlib import Path

import pytest
from playwright.sync_api import Locator
from test_mark_command import ends

from web.phone import Phone
from web.trailer import roll_in
from wheeltapper.web.demo_shop import tapped

pytestmark = pytest.mark.reasoned
EDGE = Path(__file__).parents[1] / "marks" / "pictures" / "crack-at-edge.jpg"


def row_of(phone: Phone, check: str) -> Locator:
    """A check's row, opened where it stands under 'if you can'."""
    row = phone.page.locator(f'.row[data-check="{check}"]')
    phone.page.evaluate("document.querySelectorAll('details.also').forEach((d) => { d.open = true; })")
    return row


def test_a_recording_made_in_the_page_is_listened_to(phone: Phone) -> None:
    """Chromium's own test tone is no drum: the answer must be to record again, and never a verdict."""
    roll_in(phone)
    button = row_of(phone, "ring").locator(".record")
    button.click()
    phone.page.locator(".record", has_text="Stop").wait_for()
    phone.page.wait_for_timeout(1500)  # the length of the recording
    button.click()
    phone.page.locator("#instruments").wait_for(timeout=60_000)

    assert phone.page.locator("#instruments").inner_text().count("Ring test:") == 1
    assert re.search("Ring test: (retake|no call)", phone.page.locator("#instruments").inner_text())


def test_simulated_taps_from_the_phones_recorder_are_heard(phone: Phone, tmp_path: Path) -> None:
    """A simulated recording sent as a file; without a good drum to hold it against there is no call."""
    clip = tmp_path / "taps.wav"
    clip.write_bytes(tapped())
    with wave.open(str(clip)) as read:
        assert read.getnframes() / read.getframerate() == pytest.approx(5.0, abs=0.1)
    roll_in(phone)
    phone.shoot(row_of(phone, "ring"), clip, "sound")
    phone.page.locator("#instruments").wait_for(timeout=60_000)

    assert "Ring test:" in phone.page.locator("#instruments").inner_text()
    assert "dull" not in phone.page.locator("#instruments").inner_text()


def test_a_line_is_measured_between_two_taps_and_waits_for_the_fingernail(phone: Phone) -> None:
    """Rendered photo with known ends (tests/marks): measured, then recheck until somebody felt it, then replace."""
    roll_in(phone)
    phone.tap(
        "#band-line [data-word]"
        if phone.page.locator("#band-line .words").is_visible()
        else "#band-line .finding"
    )
    phone.tap('#band-line [data-word="line in the band"]')
    phone.shoot(phone.page.locator("#band-line"), EDGE)
    phone.say("Measure the line")
    phone.page.wait_for_url(re.compile("/mark/"))
    phone.page.locator("#measure").wait_for()
    flat = [float(v) for v in re.findall(r"[\d.]+", " ".join(map(str, ends("crack-at-edge"))))]
    for x, y in (flat[:2], flat[2:4]):
        tap_at(phone, x, y)
    phone.tap("#measure")
    phone.page.wait_for_url(re.compile("/wheel/"))
    phone.page.locator(
        ".measured, #work li:has-text('Measuring the line: '):not(:has-text('waiting')):not(:has-text('running'))"
    ).first.wait_for(timeout=60_000)
    assert phone.page.locator("#work").inner_text() == ""

    assert re.search(r"\d+\.\d ± \d+\.\d mm end to end", phone.page.locator(".measured").inner_text())
    phone.tap('[data-felt="catches"]')
    phone.sent()
    phone.page.reload()
    assert "Fingernail: catches JT" in phone.page.locator(".measured").inner_text()
    assert "hub-drum replace" in phone.page.locator("#calls").inner_text().replace("\n", " ")


def tap_at(phone: Phone, x: float, y: float) -> None:
    """Roughly on the whole photo, then exactly on the larger part."""
    canvas = phone.page.locator("canvas")
    box = canvas.bounding_box()
    size = phone.page.evaluate(
        "(() => { const i = document.querySelector('#source'), c = document.querySelector('canvas'); return [i.naturalWidth, i.naturalHeight, c.width, c.height]; })()"
    )
    css = box["width"] / size[2]
    scale = min(size[2] / size[0], size[3] / size[1])
    canvas.click(position={"x": x * scale * css, "y": y * scale * css})
    rough = (round(x * scale * css) / css / scale, round(y * scale * css) / css / scale)
    near = [(v - r) * scale * 5 * css for v, r in zip((x, y), rough, strict=True)]
    canvas.click(position={"x": box["width"] / 2 + near[0], "y": box["height"] / 2 + near[1]})
