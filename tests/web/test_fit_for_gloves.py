"""Every screen of the bay: targets, lettering, contrast, weight, and what axe finds."""

from __future__ import annotations

from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser

from web.browsing import context_of
from web.phone import Phone
from web.serving import Server
from web.trailer import roll_in

pytestmark = pytest.mark.reasoned
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"
MM = 96 / 25.4  # css px in a millimetre, by definition of the css inch
SCREENS = (
    "",
    "gate",
    "gate?first",
    "visit/{n}",
    "visit/{n}/why",
    "visit/{n}/wheel/1-road",
    "visit/{n}/bench/1-road",
    "visit/{n}/back",
    "visit/{n}/back/1-road",
    "visit/{n}/back/wrench",
    "visit/{n}/walk/1-road/hub-drum",
    "visit/{n}/estimate",
    "visit/{n}/estimate/line?group=must",
    "visit/{n}/parts",
    "visit/{n}/due",
    "visit/{n}/what-if",
    "visit/{n}/owner",
    "visit/{n}/read-back",
    "visit/{n}/leaving",
    "visit/{n}/from-paper/1-road",
    "ledger/Trailer 1",
    "board",
    "board?when=later",
    "books",
    "me",
)
SEEN = """() => {
  const out = { small: [], lettering: [], contrast: [], wide: document.documentElement.scrollWidth };
  const light = (c) => { const [r, g, b] = c.map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const behind = (node) => { for (; node; node = node.parentElement) { const c = rgb(getComputedStyle(node).backgroundColor); if (c.length < 4 || c[3] > 0) return c.slice(0, 3); } return [255, 255, 255]; };
  for (const node of document.querySelectorAll("main a, main button, main summary, main label, main input:not([type=radio]):not([type=file]), header a, header button")) {
    const box = node.getBoundingClientRect();
    if (!box.width || node.closest("svg") || node.tagName === "LABEL" && !node.querySelector("input")) continue;
    if (Math.min(box.height, box.width) < 10 * MM - 0.5) out.small.push(`${node.tagName} ${node.textContent.trim().slice(0, 30)} ${Math.round(box.width)}x${Math.round(box.height)}`);
    if (node.matches(".main, .three button, .keys button, .word, .choose button") && box.height < 14 * MM - 0.5) out.small.push(`main: ${node.textContent.trim().slice(0, 30)} ${Math.round(box.height)}`);
  }
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    const node = text.parentElement, style = getComputedStyle(node);
    if (!text.textContent.trim() || !node.getClientRects().length || node.closest("svg, title, script, template")) continue;
    if (parseFloat(style.fontSize) < 18) out.lettering.push(`${style.fontSize} ${text.textContent.trim().slice(0, 30)}`);
    const [a, b] = [light(rgb(style.color).slice(0, 3)), light(behind(node))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 7 && !node.closest(":disabled")) out.contrast.push(`${((a + 0.05) / (b + 0.05)).toFixed(1)} ${text.textContent.trim().slice(0, 30)}`);
  }
  return out;
}""".replace("MM", str(MM))


@pytest.fixture(scope="module")
def visited(server: Server, browser: Browser) -> str:
    """The number of a visit with a finding."""
    context = context_of(browser)
    phone = Phone(context, server.at)
    phone.sign_in()
    roll_in(phone)
    phone.tap("#cups-inner .finding")
    phone.tap('#cups-inner [data-word="has spun"]')
    phone.sent()
    number = phone.page.url.split("/")[4]
    context.close()
    return number


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_fits_gloves_and_bad_light(
    server: Server, browser: Browser, visited: str, screen: str, light: str
) -> None:
    """Trade: main targets 14 mm, others 10 mm, lettering 18 px, contrast 7 to 1; nothing runs off a 390 px page; axe finds nothing."""
    context = context_of(browser, bypass_csp=True, color_scheme=light)
    phone = Phone(context, server.at)
    phone.sign_in()
    phone.page.goto(f"{server.at}/{screen.format(n=visited)}")
    phone.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    seen = phone.page.evaluate(SEEN)
    phone.page.add_script_tag(path=AXE)
    found = phone.page.evaluate("axe.run()")

    assert seen["small"] == []
    assert seen["lettering"] == []
    assert seen["contrast"] == []
    assert seen["wide"] <= 390
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found["violations"]] == []
    context.close()


@pytest.mark.parametrize("screen", ["", "visit/{n}/wheel/1-road"])
def test_a_first_page_is_light(server: Server, browser: Browser, visited: str, screen: str) -> None:
    """300 KB or less for everything that the first view fetches."""
    signed = context_of(browser)
    Phone(signed, server.at).sign_in()
    fresh = context_of(browser, storage_state=signed.storage_state())
    page = fresh.new_page()
    page.goto(f"{server.at}/{screen.format(n=visited)}", wait_until="networkidle")
    sizes = page.evaluate(
        "performance.getEntries().filter((e) => 'transferSize' in e).map((e) => e.transferSize)"
    )

    assert len(sizes) >= 3
    assert min(sizes) > 0
    assert sum(sizes) <= 300_000
    signed.close()
    fresh.close()
