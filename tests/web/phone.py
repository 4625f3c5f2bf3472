"""A real server and a phone-sized Chromium for browser tests: `Phone` counts its taps."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
PASSWORD = "four hubs and a drum"
MAKE = """
import os, sys, django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from wheeltapper.store.models import Person
for short, name, role in (("JT", "Jo Tanner", "owner"), ("KR", "Kim Roe", "technician")):
    person = Person(login=short.lower(), name=name, short=short, role=role)
    person.set_password(sys.argv[1])
    person.save()
"""


def needs_chromium() -> None:
    """Skips where there is no browser; on the build machine there has to be one."""
    if not CHROMIUM.exists():
        assert os.environ.get("CI") != "true", "the build machine must have Chromium"
        pytest.skip("no Chromium at /usr/bin/chromium")


class Server:
    """`wheeltapper serve` on a free port, with a shop folder of its own."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.folder = folder
        self.url = f"http://127.0.0.1:{self.port}"
        self.setting = os.environ | {
            "WHEELTAPPER_FOLDER": str(folder),
            "DJANGO_SETTINGS_MODULE": "wheeltapper.web.settings",
            "WHEELTAPPER_ARGON2_KIB": "64",
        }
        subprocess.run([sys.executable, "-c", MAKE, PASSWORD], env=self.setting, check=True)
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Run it, and wait until it answers."""
        run = "from wheeltapper.cli import main; main()"
        asked = ["serve", "--folder", str(self.folder), "--port", str(self.port), "--host", "127.0.0.1"]
        self.process = subprocess.Popen(
            [sys.executable, "-c", run, *asked], env=self.setting, stdout=subprocess.DEVNULL
        )
        end = time.monotonic() + 60
        while True:
            try:
                with urlopen(f"{self.url}/sign-in", timeout=5):
                    return
            except (URLError, ConnectionError):
                assert time.monotonic() < end, "the server does not answer"
                time.sleep(0.1)

    def stop(self) -> None:
        """End it as Ctrl-C does."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(30)
            self.process = None


class Phone:
    """A page at 390 x 844 on which every tap is counted."""

    def __init__(self, context: BrowserContext, server: Server) -> None:
        self.context, self.server = context, server
        self.page: Page = context.new_page()
        self.page.set_default_timeout(15_000)
        self.taps = 0
        self.slips: list[str] = []
        self.page.on("pageerror", lambda slip: self.slips.append(str(slip)))

    def sign_in(self, login: str = "jt") -> None:
        """Login and password, and no PIN."""
        self.page.goto(f"{self.server.url}/sign-in")
        self.page.fill("input[name=login]", login)
        self.page.fill("input[name=password]", PASSWORD)
        self.page.locator("main button").first.click()
        self.page.goto(self.server.url)

    def tap(self, target: str | Locator) -> None:
        """One tap."""
        found = self.page.locator(target) if isinstance(target, str) else target
        found.first.click()
        self.taps += 1

    def shoot(self, row: Locator, file: Path, kind: str = "photo") -> None:
        """One tap on a row's camera or recorder; the shutter gives this file."""
        with self.page.expect_file_chooser() as chooser:
            self.tap(row.locator(f'[data-take="{kind}"]'))
        chooser.value.set_files(file)

    def say(self, text: str) -> None:
        """A button or link by its words."""
        self.tap(self.page.locator(f"main >> text={text}").locator("visible=true"))

    def digits(self, text: str) -> None:
        """On the keypad; digits are not counted as taps."""
        for key in text:
            self.page.locator(f'.keypad [data-key="{key}"]').click()

    def sent(self) -> None:
        """Until nothing waits on this phone."""
        self.page.locator("#waiting").wait_for(state="hidden")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One server for a file of tests."""
    needs_chromium()
    made = Server(tmp_path_factory.mktemp("shop"))
    made.start()
    yield made
    made.stop()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for a file of tests, with a microphone that plays a tone."""
    needs_chromium()
    with sync_playwright() as play:
        asked = ["--no-sandbox", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
                 "--host-resolver-rules=MAP shop.test 127.0.0.1"]  # fmt: skip
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=asked)
        yield chromium
        chromium.close()


def context_of(browser: Browser, **more: Any) -> BrowserContext:
    """A phone of its own."""
    return browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, **more)


@pytest.fixture
def phone(server: Server, browser: Browser) -> Iterator[Phone]:
    """A phone on which the owner is signed in."""
    context = context_of(browser)
    made = Phone(context, server)
    made.sign_in()
    yield made
    context.close()
    assert made.slips == []
