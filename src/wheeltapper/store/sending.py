"""E-mails to owners: put on a list, sent beside the pages, tried again for a day. A mail server that is down stops nobody.

A sender takes a mail by moving its next try on (LEASE_S); one whose process fell is taken again after that. It may then reach
its owner twice, never not at all: both have one Message-ID. Given up, it says why, and the link can still be copied.
"""

from __future__ import annotations

import smtplib
import ssl
import tomllib
from collections.abc import Mapping
from datetime import timedelta
from email.message import EmailMessage
from email.utils import formatdate
from pathlib import Path
from typing import Any, Protocol

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db.models import F
from django.utils import timezone
from django.utils.timezone import localdate

from wheeltapper.problems import Problem, TablesError
from wheeltapper.reference.house import load
from wheeltapper.report import due_words, owner_words
from wheeltapper.store import links
from wheeltapper.store.models import Mail, OwnerLink

WAITS_S = (
    60,
    300,
    900,
    3600,
    7200,
    14400,
    28800,
    28800,
)  # after the first try, the second, ...: a day in all
LEASE_S = 600  # a sender that says nothing for so long has fallen
PATIENCE_S = 20.0  # with a mail server
REST_S = 1.0
BY_HAND = "copy the link and send it by hand."
LOGIN = "smtp.toml"  # in the shop's folder, with user and password


class Stop(Protocol):
    """What tells a sender to end."""

    def is_set(self) -> bool:
        """Whether to end."""
        ...

    def wait(self, timeout: float) -> bool:
        """Wait so long for it."""
        ...


def fault(to: str) -> Problem | None:
    """Why nothing can be sent to this address, or None."""
    try:
        validate_email(to.strip())
    except ValidationError:
        return Problem("e-mail", f"'{to.strip()[:60]}' is no address", "write it like name@place.com.")
    if not _house()["smtp_host"]:
        do = "set smtp_host in house.toml, or copy the link and send it by hand."
        return Problem("e-mail", "this shop has no mail server set", do)
    return None


def ask(link: OwnerLink, to: str, by: str, at: str) -> Mail | Problem:
    """Put an e-mail on the list; one to the same address that still waits is not put there twice."""
    slip, to = fault(to), to.strip()
    if slip:
        return slip
    waits = Mail.objects.filter(link=link, to=to, state="waiting", reminds=[]).first()
    return waits or Mail.objects.create(link=link, to=to, by=by, at=at, due=timezone.now())


def send_off(stop: Stop) -> None:
    """Send what is due until told to stop."""
    while not stop.is_set():
        if not send_one():
            stop.wait(REST_S)


def send_one() -> bool:
    """Send the mail that is due longest; whether there was one."""
    now = timezone.now()
    for pk in Mail.objects.filter(state="waiting", due__lte=now).order_by("due").values_list("pk", flat=True):
        mine = Mail.objects.filter(pk=pk, state="waiting", due__lte=now)
        if mine.update(due=now + timedelta(seconds=LEASE_S), tries=F("tries") + 1):
            _sent(Mail.objects.select_related("link__visit").get(pk=pk))
            return True
    return False


def _sent(mail: Mail) -> None:
    if mail.tries > len(WAITS_S) + 1:  # the sender fell each time
        _ended(mail, "failed", f"given up after {mail.tries - 1} tries. To do: {BY_HAND}")
        return
    token = links.token_of(mail.link)
    if token is None or not links.stands(mail.link):
        _ended(mail, "failed", "the link has ended. To do: make a new one.")
        return
    try:
        house = _house()
        _deliver(_message(mail, token, house), house)
    except smtplib.SMTPRecipientsRefused as slip:
        code, text = next(iter(slip.recipients.values()))
        _refused(mail, code, text)
    except smtplib.SMTPAuthenticationError as slip:
        _ended(
            mail,
            "failed",
            f"the mail server refuses the login ({slip.smtp_code}). To do: mend {LOGIN}, or {BY_HAND}",
        )
    except smtplib.SMTPResponseException as slip:
        _refused(mail, slip.smtp_code, slip.smtp_error)
    except (OSError, smtplib.SMTPException, TablesError, ValueError) as slip:
        _later(mail, str(slip) or type(slip).__name__)
    else:
        _ended(mail, "sent", "")


def _refused(mail: Mail, code: int, text: bytes | str) -> None:
    """A code from 500 on is meant for good; one below may pass."""
    said = (
        f"the mail server says {code} {text.decode('utf-8', 'replace') if isinstance(text, bytes) else text}"
    )
    if code >= 500:
        _ended(mail, "failed", f"{said}. To do: see whether the address is right, or {BY_HAND}")
    else:
        _later(mail, said)


def _later(mail: Mail, why: str) -> None:
    if mail.tries > len(WAITS_S):
        _ended(mail, "failed", f"given up after {mail.tries} tries: {why}. To do: {BY_HAND}")
        return
    due = timezone.now() + timedelta(seconds=WAITS_S[mail.tries - 1])
    Mail.objects.filter(pk=mail.pk).update(due=due, said=why[:400])


def _ended(mail: Mail, state: str, said: str) -> None:
    Mail.objects.filter(pk=mail.pk).update(state=state, said=said[:400], ended=timezone.now())


def _message(mail: Mail, token: str, house: Mapping[str, Any]) -> EmailMessage:
    link, unit = mail.link, mail.link.visit.unit
    out = EmailMessage()
    out["Subject"] = due_words.subject(unit) if mail.reminds else owner_words.subject(unit)
    out["From"], out["To"] = house["mail_from"], mail.to
    out["Date"] = formatdate(mail.made.timestamp())
    out["Message-ID"] = f"<{link.key[:24]}.{mail.pk}@{house['mail_from'].rpartition('@')[2]}>"
    url = url_of(mail.at, token)
    out.set_content(
        due_words.reminder(house["name"], unit, link.to, f"{url}due", mail.reminds)
        if mail.reminds
        else owner_words.message(house["name"], unit, link.to, url, localdate(link.until))
    )
    return out


def url_of(at: str, token: str) -> str:
    """A link as it is sent."""
    return f"{at}/o/{token}/"


def _deliver(message: EmailMessage, house: Mapping[str, Any]) -> None:
    host, port, security = house["smtp_host"], int(house["smtp_port"]), house["smtp_security"]
    trusted = ssl.create_default_context()
    server = (
        smtplib.SMTP_SSL(host, port, timeout=PATIENCE_S, context=trusted)
        if security == "tls"
        else smtplib.SMTP(host, port, timeout=PATIENCE_S)
    )
    with server:
        if security == "starttls":
            server.starttls(context=trusted)
        login = _login()
        if login:
            server.login(login["user"], login["password"])
        server.send_message(message)


def _login() -> dict[str, str] | None:
    """User and password, where the mail server wants them."""
    path = Path(settings.SHOP_FOLDER) / LOGIN
    if not path.is_file():
        return None
    said = tomllib.loads(path.read_text("utf-8"))
    if not all(isinstance(said.get(k), str) for k in ("user", "password")):
        raise ValueError(f"{LOGIN} needs user and password, each in quotes")
    return {k: said[k] for k in ("user", "password")}


def _house() -> Mapping[str, Any]:
    folder = Path(settings.HOUSE_FOLDER)
    return load(folder if folder.is_dir() else None).house
