"""A phone-sized page on a real server for browser tests: `Phone` counts its taps."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page

from web.browsing import chromium, context_of
from web.serving import Server, environment, serving

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


def peopled(folder: Path) -> Path:
    """A shop folder in which an owner (jt) and a technician (kr) may sign in."""
    setting = environment(WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings")
    subprocess.run([sys.executable, "-c", MAKE, PASSWORD], env=setting, check=True)
    return folder


class Phone:
    """A page at 390 x 844 on which every tap is counted."""

    def __init__(self, context: BrowserContext, at: str) -> None:
        self.context, self.at = context, at
        self.page: Page = context.new_page()
        self.page.set_default_timeout(15_000)
        self.taps = 0
        self.slips: list[str] = []
        self.page.on("pageerror", lambda slip: self.slips.append(str(slip)))

    def sign_in(self, login: str = "jt") -> None:
        """Login and password, and no PIN."""
        self.page.goto(f"{self.at}/sign-in")
        self.page.fill("input[name=login]", login)
        self.page.fill("input[name=password]", PASSWORD)
        self.page.locator("main button").first.click()
        self.page.goto(self.at)

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
        """Until nothing waits on this phone: what was tapped lies in its store at once, the line that says so comes a moment later."""
        for _ in range(150):
            if (
                self.page.evaluate("() => JSON.parse(localStorage.getItem('waiting-entries') || '[]').length")
                == 0
            ):
                break
            self.page.wait_for_timeout(100)
        self.page.locator("#waiting").wait_for(state="hidden")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, browser: Browser) -> Iterator[Server]:
    """One server for a file of tests; none where there is no browser to look at it."""
    with serving(peopled(tmp_path_factory.mktemp("shop"))) as made:
        yield made


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for a file of tests, with a microphone that plays a tone."""
    tone = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
    with chromium(*tone, "--host-resolver-rules=MAP shop.test 127.0.0.1") as made:
        yield made


@pytest.fixture
def phone(server: Server, browser: Browser) -> Iterator[Phone]:
    """A phone on which the owner is signed in."""
    context = context_of(browser)
    made = Phone(context, server.at)
    made.sign_in()
    yield made
    context.close()
    assert made.slips == []
