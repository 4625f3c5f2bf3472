"""Taps of the return sheet on a phone-sized page (390 x 844): four wheels and the trailer, from the first tap to clear to roll.

Run: PYTHONPATH=tests python benchmarks/back.py. The taps are those that the browser tests count; digits are counted apart. The time
is an estimate: so many seconds for a tap and a digit, assumed for a gloved thumb. No gloves, wrench or trailer were there.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from web.browsing import chromium, context_of
from web.phone import Phone, peopled
from web.refit import brakes_and_run, new_wrench, swept, wheel_back
from web.serving import serving
from web.trailer import WHEELS, roll_in

TAP_S, DIGIT_S = 2.0, 0.6  # find it, read it, touch it; one more digit: assumed


class Counted(Phone):
    """Counts digits too."""

    typed = 0

    def digits(self, text: str) -> None:
        """On the keypad."""
        self.typed += len(text)
        super().digits(text)


def main() -> None:
    """Serve, drive, print."""
    with (
        tempfile.TemporaryDirectory() as folder,
        chromium() as browser,
        serving(peopled(Path(folder) / "shop")) as server,
    ):
        phone = Counted(context_of(browser), server.at)
        phone.sign_in()
        roll_in(phone)
        number = phone.page.url.split("/")[4]
        swept(phone, number)
        phone.page.goto(f"{server.at}/visit/{number}/back/1-road")
        new_wrench(phone)
        start = phone.taps
        wheels = [wheel_back(phone, position) for position in WHEELS]
        trailer = brakes_and_run(phone)
        state = phone.page.locator("p.state b")
        state.filter(has_text="clear to roll").wait_for()
        taps = phone.taps - start
        seconds = taps * TAP_S + phone.typed * DIGIT_S
        print(f"state: {state.inner_text()}")
        print(f"taps: {taps}; the wheels {', '.join(map(str, wheels))}, the trailer {trailer}")
        print(f"digits: {phone.typed}; estimate {seconds / 60:.1f} min (target 3)")


if __name__ == "__main__":
    main()
