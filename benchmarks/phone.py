"""Taps, seconds and bytes of the bay on a phone-sized page (390 x 844), against the targets of the trade.

Run: PYTHONPATH=tests python benchmarks/phone.py. It drives `wheeltapper serve` on this machine with Chromium; the taps are those that the
browser tests count, digits and the shutter left out. A real phone, gloves and a steel shed were not there.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from web.phone import CHROMIUM, Phone, Server, context_of
from web.test_phone import SIX, numbers, roll_in, sweep

WHEELS = ("1-road", "1-curb", "2-road", "2-curb")
SHOT = Path(__file__).parents[1] / "tests" / "marks" / "pictures" / "thread.jpg"


def main() -> None:
    """Serve, drive, print."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        server = Server(Path(folder))
        server.start()
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        try:
            print(f"tandem, all fine: {tandem(chromium, server, ())}")
            print(f"tandem, six findings with photos: {tandem(chromium, server, SIX)}")
            print(f"shutter to attached: {attached(chromium, server):.2f} s")
            print(f"first page, everything it fetches: {weight(chromium, server) / 1000:.0f} kB")
        finally:
            chromium.close()
            server.stop()


def tandem(chromium: Browser, server: Server, findings: tuple[tuple[str, str, str, str], ...]) -> str:
    """Taps from the yard to the last wheel, and of each wheel."""
    phone = Phone(context_of(chromium), server)
    phone.sign_in()
    roll_in(phone)
    corners, start = [], phone.taps
    for i, wheel in enumerate(WHEELS):
        before = phone.taps
        for _, check, where, word in (f for f in findings if f[0] == wheel):
            row = phone.page.locator(f'.row[data-check="{check}"][data-place="{where}"]')
            phone.tap(row.locator(".finding"))
            phone.tap(row.locator(f'[data-word="{word}"]'))
            phone.shoot(row, SHOT)
        sweep(phone)
        phone.sent()
        numbers(phone)
        phone.sent()
        phone.say("Next wheel")
        phone.page.wait_for_url(f"**/wheel/{WHEELS[(i + 1) % 4]}")
        corners.append(phone.taps - before)
    phone.context.close()
    return f"{phone.taps} taps, the gate {start}, the wheels {', '.join(map(str, corners))}"


def attached(chromium: Browser, server: Server) -> float:
    """From the picture taken to its being kept and shown [s], the median of five."""
    phone = Phone(context_of(chromium), server)
    phone.sign_in()
    roll_in(phone)
    taken = []
    for check in ("wheel", "nuts", "cap", "seal", "hub"):
        row = phone.page.locator(f'.row[data-check="{check}"]')
        row.locator(".fine").click()
        phone.sent()
        start = time.perf_counter()
        phone.shoot(row, SHOT)
        row.locator(".photos img").first.wait_for()
        phone.sent()
        taken.append(time.perf_counter() - start)
    phone.context.close()
    return sorted(taken)[2]


def weight(chromium: Browser, server: Server) -> int:
    """Bytes over the line for the yard, nothing remembered."""
    signed = Phone(context_of(chromium), server)
    signed.sign_in()
    fresh = context_of(chromium, storage_state=signed.context.storage_state())
    page = fresh.new_page()
    page.goto(server.url, wait_until="networkidle")
    sizes = page.evaluate(
        "performance.getEntries().filter((e) => 'transferSize' in e).map((e) => e.transferSize)"
    )
    signed.context.close()
    fresh.close()
    return int(sum(sizes))


if __name__ == "__main__":
    main()
