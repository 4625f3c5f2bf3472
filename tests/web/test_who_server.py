"""The commands of the shop's server, run as processes: certificate, secure cookies, the race at the first start, verify."""

from __future__ import annotations

import re
import sqlite3
import ssl
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from http.cookiejar import CookieJar
from pathlib import Path
from threading import Barrier
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, HTTPSHandler, OpenerDirector, Request, build_opener, urlopen

import pytest

from web.people import PASSWORD
from web.serving import Server, command, environment, serving, silent

pytestmark = pytest.mark.reasoned


def trusting(running: Server) -> ssl.SSLContext:
    """A client that trusts this shop's authority and nobody else."""
    return ssl.create_default_context(cafile=str(running.folder / "certificate" / "authority.crt"))


def browser(running: Server) -> tuple[OpenerDirector, CookieJar]:
    """Keeps cookies, checks certificates."""
    jar = CookieJar()
    return build_opener(HTTPCookieProcessor(jar), HTTPSHandler(context=trusting(running))), jar


def form(opener: OpenerDirector, where: str) -> str:
    """Read a page, and give the token of its form."""
    with opener.open(where, timeout=30) as page:
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.read().decode())
    assert token is not None, where
    return token[1]


def send(opener: OpenerDirector, where: str, token: str, **typed: str) -> tuple[str, str]:
    """Send a form: where it led, and what stood there."""
    sent = urlencode({"csrfmiddlewaretoken": token, **typed}).encode()
    with opener.open(Request(where, sent, {"Referer": where}), timeout=30) as page:
        return page.url, page.read().decode()


def first_start(opener: OpenerDirector, running: Server, login: str = "mary") -> tuple[str, str]:
    """Make the owner's account: where it led, and what stood there."""
    there = f"{running.at}/first-start"
    typed = {"name": "Mary Ash", "login": login, "password": PASSWORD, "again": PASSWORD}
    return send(opener, there, form(opener, there), **typed)


def test_a_secure_server_from_first_start_to_its_cookies(tmp_path: Path) -> None:
    """Certificate checked by Python's own ssl; eight first starts at once make one owner; cookies are Secure."""
    with serving(tmp_path / "shop", tls=True) as running:
        eight = [browser(running) for _ in range(8)]
        there = f"{running.at}/first-start"
        gate = Barrier(len(eight))

        def start(number: int) -> str:
            opener = eight[number][0]
            token = form(opener, there)
            gate.wait(30)
            name = f"Mary{'abcdefgh'[number]} Ash"
            return send(
                opener, there, token, name=name, login=f"m{number}", password=PASSWORD, again=PASSWORD
            )[0]

        with ThreadPoolExecutor(8) as pool:
            led = list(pool.map(start, range(8)))

        with sqlite3.connect(running.folder / "shop.sqlite3") as shop:
            owners = shop.execute("SELECT login, role FROM store_person").fetchall()
        shop.close()
        assert len(owners) == 1, owners
        assert sorted("/new-pin" in url for url in led) == [False] * 7 + [True]
        won = next(jar for _, jar in eight if any(c.name == "sessionid" for c in jar))
        assert {c.name: c.secure for c in won} == {"sessionid": True, "device": True, "csrftoken": True}
        assert _trusted_by_nobody_else(running)
        _check_door(running)


def _trusted_by_nobody_else(running: Server) -> bool:
    with pytest.raises(URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urlopen(f"{running.at}/sign-in", timeout=30, context=ssl.create_default_context())
    return True


def _check_door(running: Server) -> None:
    """Plain http: the certificate and its steps, and nothing else."""
    with urlopen(f"{running.door}/", timeout=30) as page:
        text = page.read().decode()
    assert page.url == f"{running.door}/phones"
    assert "/phones/shop.crt" in text
    with urlopen(f"{running.door}/phones/shop.crt", timeout=30) as file:
        assert file.headers["Content-Type"] == "application/x-x509-ca-cert"
        mine = ssl.create_default_context(cadata=file.read())
    with urlopen(f"{running.at}/sign-in", timeout=30, context=mine) as page:
        assert page.status == 200
    with urlopen(f"{running.door}/sign-in", timeout=30, context=mine) as page:
        assert page.url.startswith(running.at)


def test_a_plain_server_keeps_a_session_and_says_its_addresses(tmp_path: Path) -> None:
    with serving(tmp_path / "shop") as running:
        opener = build_opener(HTTPCookieProcessor(CookieJar()))
        led, page = first_start(opener, running)
        assert "/new-pin" in led
        assert "Mary Ash" in page
        with pytest.raises(HTTPError, match="404"):
            opener.open(f"{running.at}/phones", timeout=30)
        busy = command(
            "serve", "--folder", str(tmp_path / "other"), "--host", "127.0.0.1", "--port", str(running.port)
        )

    assert f"{running.at}/" in (tmp_path / "shop.log").read_text("utf-8")
    assert busy.returncode == 1
    assert "To do: take another with --port" in busy.stderr
    assert not (tmp_path / "other").exists()


def test_cookies_are_secure_when_pages_are() -> None:
    said = [
        subprocess.run(
            [sys.executable, "-c", "from wheeltapper.web import settings as s; print(s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SECURE)"],
            capture_output=True, text=True, check=True, timeout=60, env=environment(WHEELTAPPER_TLS=tls, WHEELTAPPER_FOLDER="/tmp"),
        ).stdout.split()
        for tls in ("yes", "no")
    ]  # fmt: skip

    assert said == [["True"] * 3, ["False"] * 3]


def test_a_server_that_was_killed_leaves_nobody_behind_and_starts_again(tmp_path: Path) -> None:
    opener = build_opener(HTTPCookieProcessor(CookieJar()))
    with serving(tmp_path / "shop") as running:
        first_start(opener, running)
        running.kill()
        assert silent(running.port)

    with (
        serving(tmp_path / "shop", port=running.port) as again,
        opener.open(f"{again.at}/me", timeout=30) as page,
    ):
        assert "Answers carry: <strong>MA</strong>" in page.read().decode()


def test_a_day_is_the_day_of_the_machines_own_place() -> None:
    """Kiritimati is 25 hours ahead of Pago Pago: never the same day."""
    days = [
        subprocess.run(
            [sys.executable, "-c", "import django; django.setup(); from datetime import date; from django.conf import settings as s; print(s.TIME_ZONE, date.today())"],
            capture_output=True, text=True, check=True, timeout=60,
            env=environment(WHEELTAPPER_FOLDER="/tmp", DJANGO_SETTINGS_MODULE="wheeltapper.web.settings", TZ=zone),
        ).stdout.split()
        for zone in ("Pacific/Kiritimati", "Pacific/Pago_Pago")
    ]  # fmt: skip

    assert [zone for zone, _ in days] == ["Pacific/Kiritimati", "Pacific/Pago_Pago"]
    assert days[0][1] > days[1][1]
