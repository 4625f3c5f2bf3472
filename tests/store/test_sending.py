"""E-mails to owners: against a mail server of our own that takes them, is busy, refuses, or is not there."""

from __future__ import annotations

import email
import socket
import threading
from collections.abc import Iterator
from datetime import timedelta
from email.message import Message
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from store.mail_server import MailServer, mail_server
from wheeltapper.problems import Problem, TablesError
from wheeltapper.reference.house import load
from wheeltapper.store import keep, links, sending
from wheeltapper.store.models import KeptVisit, Mail, OwnerLink

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]


@pytest.fixture
def server() -> Iterator[MailServer]:
    """A mail server that takes everything."""
    with mail_server() as made:
        yield made


@pytest.fixture
def shop(server: MailServer, settings: Any, tmp_path: Path) -> Path:
    """A shop that sends through it."""
    return shop_at(server.port, settings, tmp_path)


def shop_at(port: int, settings: Any, folder: Path) -> Path:
    """A shop folder whose house names a mail server."""
    house = folder / "house"
    house.mkdir()
    said = f'name = "Tamarack Flats"\nmail_from = "desk@flats.example"\nsmtp_host = "127.0.0.1"\nsmtp_port = "{port}"\nsmtp_security = "none"\n'
    (house / "house.toml").write_text(said, "utf-8")
    settings.SHOP_FOLDER, settings.HOUSE_FOLDER = folder, house
    return folder


def link() -> OwnerLink:
    """A link for Dana."""
    visit = keep.open_visit()
    KeptVisit.objects.filter(pk=visit.pk).update(unit="TF-0417")
    return links.make(KeptVisit.objects.get(pk=visit.pk), "Dana Reed", "CW", 30)


def asked(to: str = "dana@reed.example", of: OwnerLink | None = None) -> Mail:
    """A mail on the list."""
    made = sending.ask(of or link(), to, "CW", "https://flats.example")
    assert isinstance(made, Mail), made
    return made


def tried(mail: Mail) -> Mail:
    """After one more try, as if its time had come."""
    Mail.objects.filter(pk=mail.pk).update(due=timezone.now())
    assert sending.send_one()
    mail.refresh_from_db()
    return mail


def text_of(message: Message) -> str:
    """Its words."""
    said = message.get_payload(decode=True)
    assert isinstance(said, bytes)
    return said.decode("utf-8")


def test_it_goes_out_with_the_link_in_it(shop: Path, server: MailServer) -> None:
    made = asked()
    sent = tried(made)
    message = email.message_from_string(server.mails[0])

    assert (sent.state, sent.tries) == ("sent", 1)
    assert (message["From"], message["To"]) == ("desk@flats.example", "dana@reed.example")
    assert message["Subject"] == "Your trailer TF-0417: what we found"
    assert f"https://flats.example/o/{links.token_of(made.link)}/" in text_of(message)
    assert not sending.send_one()


def test_the_list_holds_no_link_that_opens(shop: Path) -> None:
    made = asked()
    token = links.token_of(made.link)

    assert token is not None
    assert token not in str(Mail.objects.values().get())


@pytest.mark.parametrize("wrong", ["", "dana", "dana@", "a@b.example\nBcc: x@y.example", "a b@c.example"])
def test_what_is_no_address_is_told(shop: Path, wrong: str) -> None:
    assert isinstance(sending.ask(link(), wrong, "CW", "https://x"), Problem)
    assert Mail.objects.count() == 0


def test_without_a_mail_server_the_link_goes_by_hand(settings: Any, tmp_path: Path) -> None:
    settings.HOUSE_FOLDER = tmp_path / "none"
    slip = sending.ask(link(), "dana@reed.example", "CW", "https://x")

    assert isinstance(slip, Problem)
    assert "by hand" in slip.do


def test_the_same_mail_is_not_put_there_twice(shop: Path) -> None:
    one = asked()

    assert asked(of=one.link).pk == one.pk
    assert asked("sam@reed.example", one.link).pk != one.pk


def test_a_server_that_is_not_there_is_tried_again_for_a_day(settings: Any, tmp_path: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    shop_at(port, settings, tmp_path)
    mail, waits = asked(), []
    for _ in sending.WAITS_S:
        before = timezone.now()
        mail = tried(mail)
        assert mail.state == "waiting"
        waits.append(round((mail.due - before).total_seconds()))
    mail = tried(mail)

    assert waits == pytest.approx(list(sending.WAITS_S), abs=20)  # a busy machine takes a while for a try
    assert 23 * 3600 <= sum(waits) <= 25 * 3600
    assert mail.state == "failed"
    assert "given up after 9 tries" in mail.said
    assert mail.said.endswith("copy the link and send it by hand.")


def test_busy_is_tried_again_and_then_goes_out(shop: Path, server: MailServer) -> None:
    server.says["RCPT"] = "451 try later"
    mail = tried(asked())
    assert (mail.state, mail.said) == ("waiting", "the mail server says 451 try later")
    assert not sending.send_one()  # not due yet

    del server.says["RCPT"]
    assert tried(mail).state == "sent"
    assert len(server.mails) == 1


@pytest.mark.parametrize("word", ["MAIL", "RCPT", "DATA"])
def test_a_refusal_for_good_is_not_tried_again(shop: Path, server: MailServer, word: str) -> None:
    server.says[word] = "550 no such person"
    mail = tried(asked())

    assert (mail.state, mail.tries) == ("failed", 1)
    assert "550 no such person" in mail.said
    assert "To do:" in mail.said


def test_a_login_stands_in_the_shops_folder(shop: Path, server: MailServer) -> None:
    (shop / sending.LOGIN).write_text('user = "desk"\npassword = "drum"\n', "utf-8")
    assert tried(asked()).state == "sent"
    assert server.logins == ["\0desk\0drum"]

    server.says["AUTH"] = "535 no"
    failed = tried(asked("sam@reed.example"))
    assert failed.state == "failed"
    assert sending.LOGIN in failed.said


def test_a_link_that_has_ended_is_not_sent(shop: Path, server: MailServer) -> None:
    mail = asked()
    links.end(mail.link, "CW")

    assert tried(mail).state == "failed"
    assert server.mails == []


def test_what_a_fallen_sender_held_is_sent_later_under_the_same_id(shop: Path, server: MailServer) -> None:
    mail = asked()
    held = timezone.now() + timedelta(seconds=sending.LEASE_S)
    Mail.objects.filter(pk=mail.pk).update(due=held, tries=1)
    assert not sending.send_one()  # another one has it

    assert tried(mail).state == "sent"
    Mail.objects.filter(pk=mail.pk).update(state="waiting")
    tried(mail)
    assert len({email.message_from_string(m)["Message-ID"] for m in server.mails}) == 1


def test_one_that_fells_its_sender_each_time_is_given_up(shop: Path, server: MailServer) -> None:
    mail = asked()
    Mail.objects.filter(pk=mail.pk).update(tries=len(sending.WAITS_S) + 1)

    assert tried(mail).state == "failed"
    assert server.mails == []


def test_it_stops_when_it_is_told(shop: Path, server: MailServer) -> None:
    stop = threading.Event()
    stop.set()
    asked()
    sending.send_off(stop)

    assert server.mails == []


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ('link_days = "0"', "link_days"), ('link_days = "many"', "link_days"), ('smtp_port = "70000"', "smtp_port"), ("smtp_port = 25", "in quotes"),
        ('smtp_security = "maybe"', "smtp_security"), ('owner_address = "flats.example"', "owner_address"),
        ('owner_address = "https://flats.example/shop"', "owner_address"), ('smtp_host = "mail.example"', "mail_from"),
        ('smtp_host = "mail.example"\nmail_from = "desk"', "mail_from"),
    ],
)  # fmt: skip
def test_a_setting_that_cannot_be_is_told(tmp_path: Path, wrong: str, told: str) -> None:
    (tmp_path / "house.toml").write_text(wrong, "utf-8")
    with pytest.raises(TablesError) as slip:
        load(tmp_path)

    assert told in str(slip.value)


def test_how_a_sheet_is_sent_changes_no_fingerprint(tmp_path: Path) -> None:
    """Else a new mail server would make every version that was shown one that cannot be made again."""
    (tmp_path / "house.toml").write_text('link_days = "3"\nsmtp_port = "25"\n', "utf-8")
    assert load(tmp_path).fingerprint == load(None).fingerprint

    (tmp_path / "house.toml").write_text('rate = "99.00"\n', "utf-8")
    assert load(tmp_path).fingerprint != load(None).fingerprint
