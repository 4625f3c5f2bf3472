"""The ledger in a real browser on a phone: gloves and bad light, and one photo wiped over another by finger, mouse and keys."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Iterator

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from conftest import ROOT
from web.browsing import OFFICE, PHONE, context_of
from web.phone import Phone, peopled
from web.serving import Server, environment, serving
from web.test_fit_for_gloves import AXE, SEEN

pytestmark = pytest.mark.reasoned
THEN, NOW = (
    (60, 90, 150),
    (190, 120, 70),
)  # the two photos are each of one colour, so that a pixel says which it is
FILL = """
import django, io, sys
django.setup()
from datetime import timedelta
from PIL import Image
from kept_unit import START, counted, entry, gate, kept, sized
from wheeltapper.store import files, keep
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live
OUT = {"exit": {"how": "on a hauler", "by": "T1"}}
LEVEL = {"every_s": 0.02, "level_db": [-2.0 * k for k in range(22)], "tones": [[466.0, 1.0, True], [1047.0, 0.6, False]]}
RING = {"clip": "tap.wav", "verdict": "inspect", "hung": True, "drawn": LEVEL, "good": LEVEL}
SIZES = (("12.010", "12.060"), ("12.022", "12.068"), ("12.070", "12.026"))
for k, (colour, (road, curb)) in enumerate(zip(((60, 90, 150), (60, 90, 150), (190, 120, 70)), SIZES)):
    new = [{"done": [{"position": "1-road", "part": "brake-assembly", "action": "replaced", "by": "T1"}]}] if k == 1 else []
    linings = sized("1-road", f"{(0.120, 0.100, 0.190)[k]}", what="lining thickness")
    ring = {"corner": [{"position": "1-road", "ring": [RING]}]}
    look = {"corner": [{"position": "1-curb", "look": [{"check": "cap", "found": ["missing"]}]}]}
    visit = kept(gate(START + timedelta(days=180 * k), **counted(1000 + 6000 * k)), sized("1-road", road), sized("1-curb", curb), linings, ring, look, *new, OUT)
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), colour).save(out, "JPEG", quality=90)
    sha = files.kept([out.getvalue()]).sha256
    keep.add(visit, [entry({"sha256": sha, "position": "1-road", "check": "band line"}, "photo")], "bench")
    live.told(KeptVisit.objects.get(pk=visit.pk))
"""
SCREENS = ("", "/beside?position=1-road&check=band+line", "/beside?position=1-road&check=ring")


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[Server]:
    """A server with one unit of three visits; a drum that seems to have changed places, photos and rings."""
    folder = peopled(tmp_path_factory.mktemp("ledger"))
    path = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")])
    setting = environment(
        WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings", PYTHONPATH=path
    )
    subprocess.run([sys.executable, "-c", FILL], env=setting, check=True)
    with serving(folder) as made:
        yield made


@pytest.fixture
def page(shop: Server, browser: Browser) -> Iterator[Page]:
    """The owner's phone, at the two photos; nothing may go wrong in its scripts."""
    context = context_of(browser)
    phone = Phone(context, shop.at)
    phone.sign_in()
    phone.page.on("console", lambda m: phone.slips.append(m.text) if m.type in ("error", "warning") else None)
    phone.page.goto(f"{shop.at}/ledger/TF0417{SCREENS[1]}")
    phone.page.wait_for_load_state("networkidle")
    yield phone.page
    context.close()
    assert phone.slips == []


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, OFFICE])
@pytest.mark.parametrize("screen", SCREENS)
def test_it_fits_gloves_and_bad_light(
    shop: Server, browser: Browser, screen: str, size: dict[str, int], light: str
) -> None:
    """Targets, lettering, contrast, nothing off the page, nothing that axe finds; every fold opened."""
    context = context_of(browser, bypass_csp=True, color_scheme=light, viewport=size)
    phone = Phone(context, shop.at)
    phone.sign_in()
    phone.page.goto(f"{shop.at}/ledger/TF0417{screen}")
    phone.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    seen = phone.page.evaluate(SEEN)
    phone.page.add_script_tag(path=AXE)
    found = phone.page.evaluate("axe.run()")

    assert (seen["small"], seen["lettering"], seen["contrast"]) == ([], [], [])
    assert seen["wide"] <= size["width"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found["violations"]] == []
    context.close()


def colours(page: Page) -> list[str]:
    """Which photo is seen at each tenth of the width, half way down the frame."""
    frame = page.locator(".two").bounding_box()
    assert frame is not None
    shot = Image.open(io.BytesIO(page.screenshot(clip=frame))).convert("RGB")
    row = [shot.getpixel((round(shot.width * (k + 0.5) / 10), shot.height // 2)) for k in range(10)]
    return ["then" if _near(p, THEN) else "now" if _near(p, NOW) else "?" for p in row]


def _near(pixel: object, colour: tuple[int, int, int]) -> bool:
    assert isinstance(pixel, tuple)
    return all(abs(a - b) < 12 for a, b in zip(pixel, colour, strict=True))


def test_half_of_each_at_first(page: Page) -> None:
    """The photo of then on the left of the edge, the one of now on the right."""
    assert colours(page) == ["then"] * 5 + ["now"] * 5


def test_a_finger_moves_the_edge(page: Page) -> None:
    """A tap puts it there; a drag takes it along, also beyond the frame's end."""
    frame = page.locator(".two").bounding_box()
    assert frame is not None
    page.touchscreen.tap(frame["x"] + 0.3 * frame["width"], frame["y"] + 50)
    assert colours(page) == ["then"] * 3 + ["now"] * 7
    page.mouse.move(frame["x"] + 0.3 * frame["width"], frame["y"] + 50)
    page.mouse.down()
    page.mouse.move(frame["x"] + 0.8 * frame["width"], frame["y"] + 60, steps=4)
    assert colours(page) == ["then"] * 8 + ["now"] * 2
    page.mouse.move(frame["x"] + 1.2 * frame["width"], frame["y"] + 60)
    page.mouse.up()
    page.mouse.move(frame["x"] + 0.1 * frame["width"], frame["y"] + 60)
    assert colours(page) == ["then"] * 10


def test_keys_move_the_edge_and_it_is_said_aloud(page: Page) -> None:
    """Arrow keys, Home and End on the slider, which says how much of each is shown."""
    slide = page.get_by_role("slider")
    slide.focus()
    page.keyboard.press("ArrowLeft")
    assert slide.get_attribute("aria-valuetext") == "49 % then, 51 % now"
    page.keyboard.press("Home")
    assert colours(page) == ["now"] * 10
    page.keyboard.press("End")
    assert colours(page) == ["then"] * 10
    box = slide.bounding_box()
    assert box is not None
    assert box["height"] >= 14 * 96 / 25.4


def test_without_scripts_both_are_whole_and_side_by_side(shop: Server, browser: Browser) -> None:
    """On an office screen next to each other, and no slider that does nothing."""
    signed = context_of(browser)
    Phone(signed, shop.at).sign_in()
    context = context_of(
        browser, java_script_enabled=False, viewport=OFFICE, storage_state=signed.storage_state()
    )
    page = context.new_page()
    page.goto(f"{shop.at}/ledger/TF0417{SCREENS[1]}")
    boxes = [img.bounding_box() for img in page.locator(".two img").all()]

    assert len(boxes) == 2
    assert all(b is not None for b in boxes)
    (one, two) = (b for b in boxes if b is not None)
    assert one["y"] == two["y"]
    assert one["x"] + one["width"] <= two["x"]
    assert page.locator(".slide:visible").count() == 0
    signed.close()
    context.close()


def test_any_two_can_be_picked(page: Page) -> None:
    """The two of the same colour: no edge to be seen, whatever the slider says."""
    page.select_option("#now", index=1)
    page.select_option("#then", index=0)
    page.get_by_role("button", name="Show these two").click()
    page.wait_for_load_state("networkidle")
    assert colours(page) == ["then"] * 10


def test_an_answer_to_the_question_by_one_tap(shop: Server, page: Page) -> None:
    """From the Yard to the ledger, the question answered, and it is asked no more."""
    page.goto(shop.at)
    page.get_by_role("link", name="Ledger", exact=True).first.click()
    page.get_by_role("button", name="They changed places").click()
    page.wait_for_load_state("networkidle")
    assert page.get_by_role("button", name="They changed places").count() == 0
    assert page.get_by_text("hub-drum fitted").count() >= 2
