"""Taps, seconds and bytes of the bay on a phone-sized page (390 x 844), against the targets of the trade.

Run: PYTHONPATH=tests python benchmarks/phone.py. It drives `wheeltapper serve` on this machine with Chromium; the taps are those that the
browser tests count, digits and the shutter left out. A real phone, gloves and a steel shed were not there.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser

from web.browsing import chromium, context_of
from web.phone import Phone, peopled
from web.serving import Server, serving
from web.trailer import SIX, THREAD, WHEELS, Findings, roll_in, wheel


def main() -> None:
    """Serve, drive, print."""
    with (
        tempfile.TemporaryDirectory() as folder,
        chromium() as browser,
        serving(peopled(Path(folder) / "shop")) as server,
    ):
        print(f"tandem, all fine: {tandem(browser, server, ())}")
        print(f"tandem, six findings with photos: {tandem(browser, server, SIX)}")
        print(f"shutter to attached: {attached(browser, server):.2f} s")
        print(f"first page, everything it fetches: {weight(browser, server) / 1000:.0f} kB")


def tandem(browser: Browser, server: Server, findings: Findings) -> str:
    """Taps from the yard to the last wheel, and of each wheel."""
    phone = Phone(context_of(browser), server.at)
    phone.sign_in()
    roll_in(phone)
    gate = phone.taps
    corners = [wheel(phone, position, findings) for position in WHEELS]
    phone.context.close()
    return f"{phone.taps} taps, the gate {gate}, the wheels {', '.join(map(str, corners))}"


def attached(browser: Browser, server: Server) -> float:
    """From the picture taken to its being kept and shown [s], the median of five."""
    phone = Phone(context_of(browser), server.at)
    phone.sign_in()
    roll_in(phone)
    taken = []
    for check in ("wheel", "nuts", "cap", "seal", "hub"):
        row = phone.page.locator(f'.row[data-check="{check}"]')
        row.locator(".fine").click()
        phone.sent()
        start = time.perf_counter()
        phone.shoot(row, THREAD)
        row.locator(".photos img").first.wait_for()
        phone.sent()
        taken.append(time.perf_counter() - start)
    phone.context.close()
    return sorted(taken)[2]


def weight(browser: Browser, server: Server) -> int:
    """Bytes over the line for the yard, nothing remembered."""
    signed = Phone(context_of(browser), server.at)
    signed.sign_in()
    fresh = context_of(browser, storage_state=signed.context.storage_state())
    page = fresh.new_page()
    page.goto(server.at, wait_until="networkidle")
    sizes = page.evaluate(
        "performance.getEntries().filter((e) => 'transferSize' in e).map((e) => e.transferSize)"
    )
    signed.context.close()
    fresh.close()
    return int(sum(sizes))


if __name__ == "__main__":
    main()
