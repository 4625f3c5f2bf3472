"""The bay PIN: four digits, where they are enough and where they are not."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from web.people import PIN, client_of, device, full, knows, on_phone, person, pin
from wheeltapper.store.models import BayPin, Device, Person, SignedIn
from wheeltapper.web.sign_in import slips_of_pin

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]


def test_four_digits_are_enough_where_one_signed_in_fully() -> None:
    jo = person()
    knows(jo, hours_ago=11.9)
    client = on_phone()

    answer = pin(client, jo, next="/me")

    assert answer.headers["Location"] == "/me"
    assert client.get("/me").status_code == 200
    row = SignedIn.objects.get()
    assert row.by_pin
    assert row.until < timezone.now() + timedelta(minutes=7)  # and no longer than the full sign-in is good


@pytest.mark.parametrize("why", ["too long ago", "no pin", "revoked", "left"])
def test_four_digits_are_not_enough_otherwise(why: str) -> None:
    jo = person()
    knows(jo, hours_ago=12.1 if why == "too long ago" else 1, pin="" if why == "no pin" else PIN)
    if why == "revoked":
        Device.objects.update(revoked=True)
    if why == "left":
        Person.objects.update(is_active=False)

    answer = pin(on_phone(), jo, PIN)

    assert answer.status_code == (404 if why in ("revoked", "left") else 302)
    assert SignedIn.objects.count() == 0
    if answer.status_code == 302:
        assert answer.headers["Location"].startswith("/sign-in?login=jt")


def test_a_pin_is_good_on_its_own_device_only() -> None:
    jo = person()
    knows(jo)
    device("phone-2")

    assert pin(on_phone("phone-2"), jo).status_code == 404
    assert pin(on_phone("made up"), jo).status_code == 404
    assert pin(Client(), jo).status_code == 404


def test_five_wrong_pins_take_it_away_on_that_device_alone() -> None:
    jo = person()
    knows(jo)
    knows(jo, "phone-2")
    client = on_phone()
    for left in (4, 3, 2, 1):
        answer = pin(client, jo, "9999")
        assert answer.status_code == 422
        assert f"after {left} more wrong one" in answer.content.decode()

    assert pin(client, jo, "9999").headers["Location"].startswith("/sign-in?login=jt")
    assert pin(client, jo, PIN).status_code == 302
    assert SignedIn.objects.count() == 0
    assert BayPin.objects.get(device=device()).pin == ""
    assert pin(on_phone("phone-2"), jo).headers["Location"] == "/"


def test_the_right_pin_forgives_the_wrong_ones_before_it() -> None:
    jo = person()
    knows(jo)
    client = on_phone()
    for _ in range(3):
        for _ in range(4):
            pin(client, jo, "9999")
        assert pin(client, jo).headers["Location"] == "/"


def test_a_wrong_pin_locks_no_password_out() -> None:
    jo = person()
    knows(jo)
    client = on_phone()
    for _ in range(9):
        pin(client, jo, "9999")

    assert full(client).status_code == 302


@pytest.mark.parametrize(
    "weak",
    ["0000", "7777", "1234", "0123", "6789", "4321", "1212", "2580", "", "12", "12345", "12a4", "١٢٣٤"],
)
def test_a_pin_that_anybody_would_try_is_refused_with_a_sentence(weak: str) -> None:
    jo = person()
    knows(jo, pin="")
    client = client_of(jo)

    answer = client.post("/new-pin", {"pin": weak, "next": "/me"})

    assert answer.status_code == 422
    assert "To do: ta" in answer.content.decode()
    assert BayPin.objects.get().pin == ""


def test_other_pins_are_taken() -> None:
    assert [p for p in ("4071", "1357", "9091", "2468", "1123") if slips_of_pin(p)] == []
