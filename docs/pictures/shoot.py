"""Takes the pictures of the screens that the README shows: python docs/pictures/shoot.py, with the dev extra and Chromium.

Everything in them is invented: the shop, its people and its trailers are those of `wheeltapper demo --serve`.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Page, sync_playwright

HERE = Path(__file__).parent
PORT = 8747
AT = f"http://127.0.0.1:{PORT}"
SHOTS = {  # picture: address, and what is scrolled to
    "yard": ("/", ""), "corner": ("/visit/{n}/wheel/2-road", ""), "finding": ("/visit/{n}/wheel/2-road", "#at-bores"),
    "bench": ("/visit/{n}/bench/1-curb", ""), "table": ("/visit/{n}", ""), "walk": ("/visit/{n}/walk/2-road/hub-drum", ""),
    "owner": ("/visit/{n}/owner/page", ""), "choice": ("/visit/{n}/read-back", ""), "estimate": ("/visit/{n}/estimate", ""),
    "return": ("/visit/{n}/back/1-curb", ".star"), "ledger": ("/ledger/TF0417", '[id="1-road"]'), "board": ("/board", ".whens"),
    "then": ("/ledger/TF0417/beside?position=1-road&check=band+surface", ""), "due": ("/visit/{out}/due", ""),
}  # fmt: skip


def main() -> None:
    """Serve the demo, and shoot it on a phone."""
    with tempfile.TemporaryDirectory() as folder:
        run = [
            sys.executable,
            "-c",
            "from wheeltapper.cli import main; main()",
            "demo",
            folder,
            "--serve",
            "--port",
            str(PORT),
        ]
        with subprocess.Popen(run, stdout=subprocess.DEVNULL) as server, sync_playwright() as play:
            _up()
            chromium = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
            for light in ("light", "dark"):
                context = chromium.new_context(
                    viewport={"width": 390, "height": 844}, device_scale_factor=1.5, color_scheme=light
                )
                _shoot(context.new_page(), light)
                context.close()
            chromium.close()
            server.terminate()


def _up() -> None:
    for _ in range(300):
        try:
            with urlopen(f"{AT}/sign-in", timeout=5):
                return
        except (URLError, ConnectionError):
            time.sleep(0.2)
    raise SystemExit("the demo did not start")


def _shoot(page: Page, light: str) -> None:
    page.goto(f"{AT}/sign-in")
    page.fill("input[name=login]", "t1")
    page.fill("input[name=password]", "ring the drum")
    page.locator("main button").first.click()
    page.goto(AT)
    number = (
        page.locator('a[href*="/visit/"]').first.get_attribute("href").split("/")[2]
    )  # the oldest open one
    out = page.locator('a[href$="/due"]').first.get_attribute("href").split("/")[2]  # the one that left last
    for name, (address, to) in SHOTS.items():
        if light == "dark" and name != "corner":
            continue
        page.goto(AT + address.format(n=number, out=out), wait_until="networkidle")
        if name == "bench":
            _at_the_key(page)
        if to:
            page.locator(to).scroll_into_view_if_needed()
            page.evaluate(f"document.querySelector({to!r}).scrollIntoView()")
        _shown(page)
        page.screenshot(path=HERE / f"{name}{'-dim' if light == 'dark' else ''}.png")


def _shown(page: Page) -> None:
    """Until every picture in sight is there."""
    for _ in range(100):
        if page.evaluate(
            "() => [...document.images].every((i) => i.complete || !i.offsetParent || i.getBoundingClientRect().top > innerHeight)"
        ):
            return
        time.sleep(0.1)


def _at_the_key(page: Page) -> None:
    """Gauge and unit chosen, a first digit typed, a wrong one refused."""
    page.locator(".numbers button[data-at='mid 0']").click()
    asks = page.locator(".gauge:not([hidden])")
    if asks.count():
        asks.locator("[data-id]").first.click()
        asks.locator('[data-unit="in"]').click()
    page.locator('.keypad [data-key="0"]').click()
    page.locator('.keypad [data-key="3"]').click()


if __name__ == "__main__":
    main()
