"""People and devices: adding, changing, leaving, losing a phone."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.utils import timezone

from web.people import PASSWORD, PIN, client_of, device, knows, person
from wheeltapper.store.entries import Entry
from wheeltapper.store.keep import add, open_visit
from wheeltapper.store.models import BayPin, Device, Person, SignedIn
from wheeltapper.web.names import short_from
from wheeltapper.web.who import COOKIE

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
NEW = {"name": "Al Berg", "login": "Al", "role": "apprentice", "short": ""}


def owner() -> Client:
    """The owner's browser."""
    return client_of(person("owner", "Mary Ash", "MA"), "office")


def answered_by(short: str) -> None:
    """One kept answer of somebody."""
    entry = Entry(
        id="a" * 32, at="2026-11-26T08:00:00.000Z", by=short, kind="piece", body={"complaint": "pulls left"}
    )
    add(open_visit(), [entry], "d")


def test_the_owner_adds_somebody_and_sees_the_first_password_once() -> None:
    client = owner()

    page = client.post("/people/new", NEW).content.decode()
    first = re.search(r"[a-z2-9]{3}(-[a-z2-9]{3}){3}", page)

    assert first is not None
    al = Person.objects.get(login="al")
    assert (al.name, al.short, al.role, al.first_password) == ("Al Berg", "AB", "apprentice", True)
    assert first[0] not in client.get(f"/people/{al.pk}").content.decode()
    phone = Client()
    assert phone.post("/sign-in", {"login": "al", "password": first[0]}).status_code == 302
    assert phone.get("/me").headers["Location"] == "/own-password"


def test_no_two_first_passwords_are_alike() -> None:
    client = owner()
    pages = [client.post("/people/new", {**NEW, "login": f"al{n}"}).content.decode() for n in range(3)]

    assert len({re.search(r"[a-z2-9]{3}(-[a-z2-9]{3}){3}", p)[0] for p in pages}) == 3  # type: ignore[index]


@pytest.mark.parametrize(
    ("slip", "said"),
    [
        ({"name": " "}, "name:"),
        ({"name": "x" * 81}, "name:"),
        ({"login": "a b"}, "login:"),
        ({"login": "MA"}, "login:"),
        ({"role": "boss"}, "role:"),
        ({"role": ""}, "role:"),
        ({"short": "J.T"}, "short:"),
        ({"short": "ma"}, "short:"),
    ],
)
def test_a_slip_adds_nobody_and_keeps_what_was_typed(slip: dict[str, str], said: str) -> None:
    answer = owner().post("/people/new", {**NEW, **slip})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert 'value="apprentice" checked' in page or "role" in slip
    assert 'value="al"' in page or "login" in slip
    assert Person.objects.count() == 1


def test_shorts_are_made_from_names_and_nobody_gets_another_s() -> None:
    person()
    answered_by("AB")  # of somebody whose short is no longer in the list

    assert short_from("Jo Tanner") == "JT2"
    assert short_from("Al Berg") == "AB2"
    assert short_from("Åsa von Öl") == "AO"
    assert short_from("Bo") == "B"
    assert short_from("李") == "P"


def test_a_short_may_change_until_answers_carry_it() -> None:
    client, jo = owner(), person()
    there = f"/people/{jo.pk}"

    assert client.post(there, {"role": "lead", "short": "jot"}).status_code == 302
    jo.refresh_from_db()
    assert (jo.short, jo.role) == ("JOT", "lead")
    answered_by("JOT")
    refused = client.post(there, {"role": "lead", "short": "JO"})
    assert refused.status_code == 422
    assert "answers carry" in refused.content.decode()
    assert client.post(there, {"role": "technician", "short": "JOT"}).status_code == 302
    jo.refresh_from_db()
    assert (jo.short, jo.role) == ("JOT", "technician")


def test_who_left_is_signed_out_at_once_and_stays_in_the_records() -> None:
    client, jo = owner(), person()
    knows(jo)
    phone = client_of(jo)
    assert phone.get("/me").status_code == 200

    assert client.post(f"/people/{jo.pk}/here", {"here": "no"}).headers["Location"] == "/people"

    assert phone.get("/me").status_code == 302
    assert phone.post("/sign-in", {"login": "jt", "password": PASSWORD}).status_code == 422
    assert phone.get(f"/sign-in/{jo.pk}").status_code == 404
    assert "Jo Tanner" in client.get("/people").content.decode()
    client.post(f"/people/{jo.pk}/here", {"here": "yes"})
    assert Client().post("/sign-in", {"login": "jt", "password": PASSWORD}).status_code == 302


def test_the_last_owner_stays_owner_and_stays_here() -> None:
    client = owner()
    mary = Person.objects.get()

    assert client.post(f"/people/{mary.pk}", {"role": "lead", "short": "MA"}).status_code == 422
    assert client.post(f"/people/{mary.pk}/here", {"here": "no"}).status_code == 422
    mary.refresh_from_db()
    assert (mary.role, mary.is_active) == ("owner", True)
    person("owner", "Al Berg", "AB")
    assert client.post(f"/people/{mary.pk}", {"role": "lead", "short": "MA"}).status_code == 302


def test_a_forgotten_password_is_replaced_and_every_session_ends() -> None:
    client, jo = owner(), person()
    knows(jo)
    phone = client_of(jo)

    page = client.post(f"/people/{jo.pk}/first-password").content.decode()

    assert phone.get("/me").status_code == 302
    assert phone.get(f"/sign-in/{jo.pk}").status_code == 404
    assert Client().post("/sign-in", {"login": "jt", "password": PASSWORD}).status_code == 422
    first = re.search(r"[a-z2-9]{3}(-[a-z2-9]{3}){3}", page)[0]  # type: ignore[index]
    assert Client().post("/sign-in", {"login": "jt", "password": first}).status_code == 302


def test_ending_one_session_ends_that_one_at_once_and_its_pin() -> None:
    jo = person()
    knows(jo)
    knows(jo, "phone-2")
    here, there = client_of(jo), client_of(jo, "phone-2")
    row = SignedIn.objects.get(device=device("phone-2"))

    assert here.post(f"/sessions/{row.pk}/end").headers["Location"] == "/me"

    assert there.get("/me").status_code == 302
    assert here.get("/me").status_code == 200
    assert [k.device for k in BayPin.objects.all()] == [device()]


def test_signing_out_everywhere_leaves_nothing() -> None:
    jo, al = person(), person(name="Al Berg", short="AB")
    knows(jo)
    clients = [client_of(jo), client_of(jo, "phone-2")]
    other = client_of(al)

    clients[0].post(f"/people/{jo.pk}/sign-out")

    assert [c.get("/me").status_code for c in clients] == [302, 302]
    assert BayPin.objects.count() == 0
    assert other.get("/me").status_code == 200


def test_forgetting_a_device_takes_name_pin_and_session() -> None:
    jo = person()
    known = knows(jo, "phone-2")
    here, there = client_of(jo), client_of(jo, "phone-2")

    assert here.post(f"/known/{known.pk}/forget").headers["Location"] == "/me"

    assert there.get("/me").status_code == 302
    assert BayPin.objects.count() == 0


def test_a_lost_phone_is_revoked_for_everybody_on_it_and_comes_back_as_a_new_one() -> None:
    client, jo = owner(), person()
    al = person(name="Al Berg", short="AB")
    knows(jo)
    knows(al)
    phone, other = client_of(jo), client_of(al)
    row = device()

    assert client.post(f"/devices/{row.pk}/revoke").headers["Location"] == "/devices"

    assert phone.get("/me").status_code == other.get("/me").status_code == 302
    assert phone.post(f"/sign-in/{jo.pk}", {"pin": PIN}).status_code == 404
    assert phone.post("/sign-in", {"login": "jt", "password": PASSWORD}).status_code == 302
    assert phone.cookies[COOKIE].value != "phone-1"
    assert Device.objects.filter(revoked=False).count() == 2
    assert "revoked" in client.get("/devices").content.decode()


def test_a_lead_sees_all_devices_and_may_end_any_session() -> None:
    lead, jo = client_of(person("lead", "Di Orr", "DO"), "desk"), person()
    phone = client_of(jo)

    assert "Jo Tanner" in lead.get("/devices").content.decode()
    assert "device, here since" in lead.get(f"/people/{jo.pk}").content.decode()
    lead.post(f"/sessions/{SignedIn.objects.get(person=jo).pk}/end")
    assert phone.get("/me").status_code == 302


def test_nobody_else_ends_another_s_session() -> None:
    jo, al = person(), person(name="Al Berg", short="AB")
    known = knows(al, "phone-2")
    mine, theirs = client_of(jo), client_of(al, "phone-2")
    row = SignedIn.objects.get(person=al)

    for where in (
        f"/sessions/{row.pk}/end",
        f"/people/{al.pk}/sign-out",
        f"/known/{known.pk}/forget",
        f"/devices/{row.device_id}/revoke",
    ):
        assert mine.post(where).status_code == 403, where
    assert theirs.get("/me").status_code == 200


@pytest.mark.parametrize(
    ("said", "called"),
    [
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X)", "iPhone"),
        ("Mozilla/5.0 (Linux; Android 15) Mobile Safari", "Android phone"),
        ("Mozilla/5.0 (Linux; Android 15) Safari", "Android tablet"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64)", "Windows PC"),
        ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)", "Mac"),
        ("Mozilla/5.0 (X11; Linux x86_64)", "Linux PC"),
        ("", "device"),
    ],
)
def test_a_device_is_called_what_people_call_it(said: str, called: str) -> None:
    made = Device(key="k", said=said, first_seen=datetime(2026, 11, 26, 8, 30, tzinfo=UTC))

    assert made.called == f"{called}, here since 26 Nov 2026 {timezone.localtime(made.first_seen):%H:%M}"
