"""The owner's page in a real browser on a small phone, from a real server: without scripts, on a slow line, in few taps."""

from __future__ import annotations

import email
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import cv2
import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from conftest import ROOT
from store.mail_server import MailServer, mail_server
from web.browsing import OFFICE
from web.phone import PASSWORD, peopled
from web.serving import Server, environment, serving

pytestmark = pytest.mark.reasoned
SMALL = {"width": 320, "height": 568}
SLOW = {
    "offline": False,
    "latency": 300,
    "downloadThroughput": 1_600_000 / 8,
    "uploadThroughput": 675_000 / 8,
}  # a 3G line
FILL = """
import django, io
django.setup()
import numpy as np
from PIL import Image
from wheeltapper.store import links
from wheeltapper.store.entries import Entry
from wheeltapper.store.files import kept
from wheeltapper.store import keep
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live
from web.owned import kept_example
visit = kept_example()
dice = np.random.default_rng(5)
SHOTS = (("2-road", "cups"), ("2-road", "bearings"), ("1-curb", "seal"), ("1-curb", "hub face"), ("1-curb", "backing plate"), ("1-road", "friction diameter"), ("2-curb", "friction diameter"))
for n, (position, check) in enumerate(SHOTS):
    rough = dice.normal(128, 40, (450, 600, 3)).clip(0, 255).astype("uint8")  # rougher than any photo of a part
    out = io.BytesIO()
    Image.fromarray(rough).resize((2400, 1800), Image.Resampling.BICUBIC).save(out, "JPEG", quality=85)
    original = kept([out.getvalue()])
    body = {"sha256": original.sha256, "position": position, "check": check}
    keep.add(visit, [Entry.model_validate({"id": f"{n:032x}", "at": keep.now(), "by": "T1", "kind": "photo", "body": body})], "phone")
live.told(KeptVisit.objects.get(pk=visit.pk))
print(visit.number, links.token_of(links.make(visit, "Dana Reed", "CW", 30)))
"""


@dataclass(frozen=True)
class Shop:
    """A server with a visit on it, and an owner's address."""

    server: Server
    number: str
    at: str


@pytest.fixture(scope="module")
def mails() -> Iterator[MailServer]:
    """The shop's mail server."""
    with mail_server() as made:
        yield made


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, browser: Browser, mails: MailServer) -> Iterator[Shop]:
    """The example visit with seven rough photos, at the example shop's prices."""
    folder = tmp_path_factory.mktemp("owned") / "shop"
    folder.mkdir()
    shutil.copytree(ROOT / "examples" / "house", folder / "house")
    house = folder / "house" / "house.toml"
    mail = f'smtp_host = "127.0.0.1"\nsmtp_port = "{mails.port}"\nsmtp_security = "none"\nmail_from = "desk@flats.example"\n'
    house.write_text(house.read_text("utf-8") + mail, "utf-8")
    peopled(folder)
    path = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")])
    setting = environment(
        WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings", PYTHONPATH=path
    )
    made = subprocess.run(
        [sys.executable, "-c", FILL], env=setting, check=True, capture_output=True, text=True
    )
    number, token = made.stdout.split()
    with serving(folder) as server:
        yield Shop(server, number, f"{server.at}/o/{token}/")


FIRST_PAINT = """() => new Promise(done => new PerformanceObserver(seen => {
    const paint = seen.getEntriesByName('first-contentful-paint')[0];
    if (paint) done(paint.startTime);
}).observe({type: 'paint', buffered: true}))"""  # it may come after the load


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A small phone of years ago with scripts switched off."""
    context = browser.new_context(
        viewport=SMALL,  # type: ignore[arg-type]
        has_touch=True,
        java_script_enabled=False,
    )
    made = context.new_page()
    made.set_default_timeout(20_000)
    yield made
    context.close()


def test_the_first_view_is_small_on_a_slow_line(shop: Shop, browser: Browser) -> None:
    """Everything that is loaded before anybody scrolls; the pictures made before, as by the counter's look. How long it takes is noted, not judged:
    that is the machine's affair as much as the page's."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    phone = context.new_page()
    phone.goto(shop.at, wait_until="networkidle")
    context.close()
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    phone = context.new_page()
    line = context.new_cdp_session(phone)
    line.send("Network.enable")
    line.send("Network.emulateNetworkConditions", SLOW)
    sizes: list[float] = []
    line.on("Network.loadingFinished", lambda e: sizes.append(e["encodedDataLength"]))
    phone.goto(shop.at, wait_until="load")
    paint = phone.evaluate(FIRST_PAINT)
    ready = phone.evaluate("performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd")
    phone.wait_for_load_state("networkidle")
    context.close()
    told = {
        "bytes": round(sum(sizes)),
        "requests": len(sizes),
        "first paint ms": round(paint),
        "ready ms": round(ready),
    }
    _note(told)

    assert len(sizes) > 2, told
    assert sum(sizes) <= 1_000_000, told


def test_without_scripts_too_it_stays_small(shop: Shop, page: Page) -> None:
    """Then a browser loads every picture at once."""
    sizes: list[int] = []
    page.on(
        "response",
        lambda r: sizes.append(len(r.body())) if r.ok and r.request.resource_type != "other" else None,
    )
    page.goto(shop.at, wait_until="networkidle")
    _note({"bytes without scripts": sum(sizes), "pictures": len(sizes) - 3})

    assert len(sizes) > 6
    assert sum(sizes) <= 1_000_000


def _note(told: dict[str, Any]) -> None:
    """For whoever asks for the figures."""
    file = os.environ.get("WHEELTAPPER_FIGURES")
    if file:
        with Path(file).open("a", encoding="utf-8") as out:
            out.write(json.dumps(told) + "\n")


def test_every_decision_is_one_tap_and_stays(shop: Shop, page: Page) -> None:
    """Two choices and the work: three taps for all of it; each comes back to where it was given."""
    page.goto(shop.at)
    for target, said in (
        ("#work button[value='do it']", "yes, do this work"),
        ("#1-road-hub-drum button[value='not now']", "not now"),
        ("#2-curb-hub-drum button[value=now]", "do it now"),
    ):
        box = target.split(" ")[0][1:]
        page.locator(f"[id='{box}'] {target.split(' ', 1)[1]}").click()
        page.wait_for_url(f"**#{box}")
        assert page.locator(f"[id='{box}'] .said").inner_text().startswith(f"You said: {said}.")


def test_the_page_fits_a_small_phone(shop: Shop, browser: Browser) -> None:
    context = browser.new_context(viewport=SMALL, has_touch=True, bypass_csp=True)  # type: ignore[arg-type]
    phone = context.new_page()
    phone.goto(shop.at)
    phone.evaluate("document.fonts.ready")
    wide = [phone.evaluate("document.documentElement.scrollWidth")]
    small = phone.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.childNodes.length && [...e.childNodes].some(n => n.nodeType == 3 && n.data.trim())"
        " && e.getClientRects().length && !e.closest('svg') && parseFloat(getComputedStyle(e).fontSize) < 18).map(e => e.outerHTML.slice(0, 80))"
    )
    low = phone.evaluate(
        "[...document.querySelectorAll('button, summary, .see')].filter(e => e.getClientRects().length && e.getBoundingClientRect().height < 53).map(e => e.outerHTML.slice(0, 80))"
    )
    found = (
        Axe()
        .run(
            phone,
            options={
                "runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"],
                "rules": {"color-contrast-enhanced": {"enabled": True}},
            },
        )
        .response["violations"]
    )
    phone.route("**/*.ttf", lambda r: r.abort())
    phone.goto(shop.at)  # a line that never brings our letters: the phone's own are wider
    far = phone.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > 321).map(e => e.outerHTML.slice(0, 99))"
    )
    wide.append(phone.evaluate("document.documentElement.scrollWidth"))
    context.close()

    assert max(wide) <= SMALL["width"], far
    assert small == []
    assert low == []
    assert [(v["id"], [n["html"][:90] for n in v["nodes"]][:3]) for v in found] == []


def test_a_question_and_a_slip_without_scripts(shop: Shop, page: Page) -> None:
    page.goto(shop.at)
    page.locator("#ask button").click()
    assert (
        "It is empty" in page.locator("[role=alert]").inner_text()
        or "it is empty" in page.locator("[role=alert]").inner_text()
    )
    page.fill("#text", "How long does it take?")
    page.locator("#ask button").click()
    page.wait_for_url("**#ask")

    assert "How long does it take?" in page.locator("#ask").inner_text()
    assert "We have not replied yet." in page.locator("#ask").inner_text()


@pytest.fixture
def desk(shop: Shop, browser: Browser) -> Iterator[Page]:
    """The office PC, signed in."""
    context = browser.new_context(viewport=OFFICE)
    made = context.new_page()
    made.goto(f"{shop.server.at}/sign-in")
    made.fill("input[name=login]", "jt")
    made.fill("input[name=password]", PASSWORD)
    made.locator("main button").first.click()
    made.wait_for_load_state()
    yield made
    context.close()


def test_the_sheet_can_be_printed_with_its_code(shop: Shop, desk: Page) -> None:
    """The counter's paper: the code in a photo of it is the address."""
    desk.goto(f"{shop.server.at}/visit/{shop.number}/owner/links/1")
    desk.emulate_media(media="print")
    url = desk.locator("p.copy").inner_text()
    seen = cv2.imdecode(np.frombuffer(desk.locator(".qr").screenshot(), np.uint8), cv2.IMREAD_COLOR)

    assert url == shop.at
    assert url in {
        _read(cv2.resize(seen, None, fx=s, fy=s)) for s in (1, 1.5, 0.75, 1.25, 2)
    }  # a phone, too, looks from many distances
    assert desk.locator(".no-print >> visible=true").count() == 0


def _read(picture: Any) -> str:
    return str(cv2.QRCodeDetector().detectAndDecode(picture)[0])


def test_an_email_goes_out_beside_the_pages(shop: Shop, desk: Page, mails: MailServer) -> None:
    """A mail server that answers nothing for a while keeps no page waiting; then the mail arrives."""
    mails.slow.clear()
    desk.goto(f"{shop.server.at}/visit/{shop.number}/owner")
    desk.fill("#to", "Sam Reed")
    desk.fill("#mail", "sam@reed.example")
    desk.click("text=Make a link")
    desk.wait_for_url("**/owner/links/*")
    url = desk.locator("p.copy").inner_text()
    assert "sam@reed.example: waiting" in desk.locator("main").inner_text()
    mails.slow.set()
    until = time.monotonic() + 30
    while not mails.mails and time.monotonic() < until:
        time.sleep(0.1)

    assert url in email.message_from_string(mails.mails[0]).get_payload(decode=True).decode()  # type: ignore[union-attr]


def test_twelve_answers_of_two_owners_at_once_are_all_kept(shop: Shop) -> None:
    """From as many phones at the same moment; each names the version that all of them saw."""
    with urlopen(shop.at) as answer:
        text = answer.read().decode()
    seen = dict(re.findall(r'name="(version|entries)" value="(\w+)"', text))

    def tap(n: int) -> int:
        sent = {**seen, "on": "2-curb hub-drum", "answer": ("now", "not now")[n % 2], "said": f"tap {n}"}
        with urlopen(Request(f"{shop.at}answer", urlencode(sent).encode())) as said:
            return int(said.status)

    with ThreadPoolExecutor(12) as phones:
        status = list(phones.map(tap, range(12)))
    with closing(sqlite3.connect(shop.server.folder / "shop.sqlite3")) as link:
        bodies = [
            json.loads(b) for (b,) in link.execute("SELECT body FROM store_keptentry WHERE \"by\" = 'owner'")
        ]
    rows = [
        row for body in bodies for row in body.get("answer", ()) if str(row.get("said")).startswith("tap ")
    ]

    assert status == [200] * 12
    assert sorted(r["said"] for r in rows) == sorted(f"tap {n}" for n in range(12))
    assert {r["seen"]["version"] for r in rows} == {seen["version"]}
