"""`due`: the daily list, and reminders that go out once."""

from __future__ import annotations

import email
import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date as Date
from datetime import datetime, timedelta
from email.policy import default
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from conftest import ROOT
from store.mail_server import MailServer, mail_server
from web.serving import RUN, environment

pytestmark = pytest.mark.reasoned
PATH = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests")])
DAY = Date(2028, 2, 29)
FILL = """
import sys
from datetime import date
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from wheeltapper.store import links
from wheeltapper.store.models import Mail
from django.utils import timezone
from web.after import out_today
for unit, to in (("KM-7", "dana@reed.example"), ("LT-2", ""), ("ZZ-9", "sam@reed.example")):
    visit = out_today(unit, date.fromisoformat(sys.argv[1]))
    link = links.make(visit, "Dana Reed", "CW", 9000)
    if to:
        Mail.objects.create(link=link, to=to, at="https://shop.example", by="CW", state="sent", due=timezone.now())
    if unit == "ZZ-9":
        links.end(link, "CW")
"""
SEND = """
import django; django.setup()
from wheeltapper.store.sending import send_one
while send_one(): pass
"""
TAP = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from web.after import out_today
from web.owned import link_to
from wheeltapper.web import live
visit = out_today()
answer = Client().post(link_to(visit)[1] + "due/done", {"key": "retorque 10", "word": "still"}, headers={"host": "localhost"})
assert answer.status_code == 302, answer.content
visit.refresh_from_db()
print(live.live(visit).folded.visit.follow_up[0].date)
"""


def script(folder: Path, text: str, *words: str, **more: str) -> str:
    """Run a script of ours on a shop."""
    setting = environment(
        WHEELTAPPER_FOLDER=str(folder),
        DJANGO_SETTINGS_MODULE="wheeltapper.web.settings",
        PYTHONPATH=PATH,
        **more,
    )
    done = subprocess.run(
        [sys.executable, "-c", text, *words],
        env=setting,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def due(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """The command."""
    setting = environment(PYTHONPATH=PATH, **more)
    return subprocess.run(
        [*RUN, "due", "--folder", str(folder), *words],
        env=setting,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module")
def mails() -> Any:
    """The shop's mail server."""
    with mail_server() as made:
        yield made


@pytest.fixture
def shop(tmp_path: Path, mails: MailServer) -> Path:
    """Three trailers that left on 29 February 2028: one owner with an address, one without, one whose link has ended."""
    folder = tmp_path / "shop"
    (folder / "house").mkdir(parents=True)
    text = f'smtp_host = "127.0.0.1"\nsmtp_port = "{mails.port}"\nsmtp_security = "none"\nmail_from = "desk@flats.example"\nname = "Flats Trailer"\n'
    (folder / "house" / "house.toml").write_text(text, "utf-8")
    mails.mails.clear()
    mails.says.clear()
    script(folder, FILL, DAY.isoformat())
    return folder


def units(done: subprocess.CompletedProcess[str]) -> dict[str, list[tuple[str, str, int]]]:
    """State, kind and distance of what is due, by unit."""
    return {
        u["unit"]: [(d["state"], d["what"], d["miles"]) for d in u["due"]]
        for u in json.loads(done.stdout)["units"]
    }


def test_what_is_soon_and_what_is_late(shop: Path) -> None:
    three = [("retorque", 10), ("retorque", 25), ("retorque", 50)]
    soon = due(shop, "--on", "2028-03-07", "--json")
    late = due(shop, "--on", "2028-03-08", "--json")
    before = due(shop, "--on", "2028-02-29", "--days", "6", "--json")
    quarter = due(shop, "--on", "2028-05-29", "--days", "0", "--json")

    assert (soon.returncode, soon.stderr) == (0, "")
    assert units(soon)["KM-7"] == [("soon", *row) for row in three]
    assert units(late)["KM-7"] == [("late", *row) for row in three]
    assert units(before) == {}
    assert ("soon", "adjust", 3000) in units(quarter)["KM-7"]


def test_the_list_in_words(shop: Path) -> None:
    done = due(shop, "--on", "2028-03-08")

    first, unit, row, *_ = done.stdout.splitlines()
    assert first == "3 units with something due, 8 Mar 2028"
    assert unit.startswith("KM-7, visit ")
    assert row == "  late: re-torque at 10 mi or by 7 Mar 2028"


def test_each_thing_is_reminded_of_once_and_an_ended_link_gets_nothing(shop: Path, mails: MailServer) -> None:
    first = due(shop, "--on", "2028-03-07", "--send")
    again = due(shop, "--on", "2028-03-08", "--send")
    script(shop, SEND)
    (text,) = mails.mails
    mail = email.message_from_string(text, policy=default)
    body = mail.get_body().get_content().replace("\r", "")  # type: ignore[union-attr]

    assert first.returncode == 1
    assert "e-mail to dana@reed.example, KM-7: 3 reminded" in first.stdout
    assert "nobody there has given an e-mail address" in first.stderr
    assert "the owner's link has ended" in first.stderr
    assert "reminded" not in again.stdout
    assert (mail["To"], mail["Subject"]) == ("dana@reed.example", "Your trailer KM-7: what is due")
    assert (
        "- 10 miles: tighten the wheel nuts again: after 10 miles or by 7 Mar 2028, whichever comes first."
        in body
    )
    assert "https://shop.example/o/" in body
    assert "/due\n" in body
    assert "do not drive on" in body


def test_what_falls_due_later_is_a_further_mail(shop: Path, mails: MailServer) -> None:
    due(shop, "--on", "2028-03-07", "--send")
    due(shop, "--on", "2028-05-29", "--send")
    script(shop, SEND)

    bodies = [email.message_from_string(t, policy=default).get_body().get_content() for t in mails.mails]  # type: ignore[union-attr]
    assert len(bodies) == 2
    assert "3,000 miles: set the brakes" in bodies[1]
    assert "tighten the wheel nuts" not in bodies[1]


def test_a_reminder_that_could_not_be_sent_is_told(shop: Path, mails: MailServer) -> None:
    mails.says["RCPT"] = "550 no such person"
    due(shop, "--on", "2028-03-07", "--send")
    script(shop, SEND)
    again = due(shop, "--on", "2028-03-08", "--send", "--json")

    assert again.returncode == 1
    assert "dana@reed.example: a reminder could not be sent" in again.stderr
    assert json.loads(again.stdout)["on"] == "2028-03-08"


def test_two_runs_at_once_remind_once(shop: Path) -> None:
    setting = environment(PYTHONPATH=PATH)
    words = [*RUN, "due", "--folder", str(shop), "--on", "2028-03-07", "--send"]
    both = [
        subprocess.Popen(words, env=setting, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    texts = [p.communicate(timeout=120) for p in both]
    with closing(sqlite3.connect(shop / "shop.sqlite3")) as link:
        (many,) = link.execute("SELECT count(*) FROM store_mail WHERE reminds != '[]'").fetchone()

    assert many == 1, texts
    assert not any("Traceback" in err for _, err in texts)


@pytest.mark.parametrize(
    ("words", "piece"),
    [(["--on", "soon"], "does not match"), (["--days", "-1"], "-1"), (["--days", "many"], "many"), (["extra"], "extra")],
)  # fmt: skip
def test_bad_input_is_told(tmp_path: Path, words: list[str], piece: str) -> None:
    done = due(tmp_path, *words)
    assert done.returncode == 2
    assert piece in done.stderr
    assert "Traceback" not in done.stderr


def test_no_shop_and_broken_tables(tmp_path: Path, shop: Path) -> None:
    none = due(tmp_path)
    (shop / "house" / "house.toml").write_text("name = 3 3", "utf-8")
    broken = due(shop, "--on", "2028-03-07", "--send")

    assert (none.returncode, none.stderr) == (
        1,
        f"{tmp_path}: there is no shop in it. To do: name the shop's folder with --folder.\n",
    )
    assert broken.returncode == 2
    assert broken.stderr.startswith("tables:")


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_the_shops_day_counts(tmp_path: Path, zone: str) -> None:
    """UTC+14 and UTC-11: at no moment is it the same day in both."""
    folder = tmp_path / "shop"
    folder.mkdir()
    before = datetime.now(ZoneInfo(zone)).date()
    tapped = Date.fromisoformat(script(folder, TAP, TZ=zone).strip())
    asked = Date.fromisoformat(json.loads(due(folder, "--json", TZ=zone).stdout)["on"])
    after = datetime.now(ZoneInfo(zone)).date()

    assert before <= tapped <= asked <= after
    assert after - before <= timedelta(days=1)
