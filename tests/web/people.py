"""People for tests of screens: somebody made and signed in, with a device that knows them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib.auth.hashers import make_password
from django.test import Client
from django.utils import timezone

from wheeltapper.store.models import BayPin, Device, Person, SignedIn
from wheeltapper.web.who import COOKIE, FULL_HOURS, key_of

PASSWORD = "four hubs and a drum"
PIN = "4071"


def person(role: str = "technician", name: str = "Jo Tanner", short: str = "JT", **more: object) -> Person:
    """Somebody who works here; the login is the short in small letters."""
    return Person.objects.create(
        login=short.lower(), name=name, short=short, role=role, password=make_password(PASSWORD), **more
    )


def device(token: str = "phone-1") -> Device:
    """A device whose cookie holds `token`."""
    return Device.objects.get_or_create(key=key_of(token), defaults={"said": f"test {token}"})[0]


def knows(who: Person, token: str = "phone-1", hours_ago: float = 0, pin: str = PIN) -> BayPin:
    """A full sign-in of somebody on a device so many hours ago."""
    return BayPin.objects.create(
        person=who,
        device=device(token),
        pin=make_password(pin) if pin else "",
        full_at=timezone.now() - timedelta(hours=hours_ago),
    )


def client_of(who: Person, token: str = "phone-1") -> Client:
    """A browser on which somebody is signed in."""
    client = Client()
    client.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
    client.cookies[COOKIE] = token
    key = client.cookies["sessionid"].value
    until = timezone.now() + timedelta(hours=FULL_HOURS)
    SignedIn.objects.create(session_key=key, person=who, device=device(token), until=until)
    return client


def full(client: Client, login: str = "jt", password: str = PASSWORD, **more: str) -> Any:
    """Post login and password."""
    return client.post("/sign-in", {"login": login, "password": password, **more})


def pin(client: Client, of: Person, digits: str = PIN, **more: str) -> Any:
    """Post four digits."""
    return client.post(f"/sign-in/{of.pk}", {"pin": digits, **more})


def on_phone(token: str = "phone-1") -> Client:
    """A browser with a device's cookie and nobody signed in."""
    client = Client()
    client.cookies[COOKIE] = token
    return client
