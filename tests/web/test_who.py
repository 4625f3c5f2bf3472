"""Sign-in: first start, password, PIN, lock-out, where it leads, and when it ends."""

from __future__ import annotations

from datetime import timedelta
from typing import get_args

import pytest
from django.test import Client, RequestFactory
from django.utils import timezone

from web.people import PASSWORD, PIN, client_of, device, full, knows, on_phone, person, pin
from wheeltapper.store.models import Device, Person, Role, SignedIn
from wheeltapper.web import who

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
OWNER = {"name": "Mary Ash", "login": "Mary", "password": PASSWORD, "again": PASSWORD}


def test_the_first_start_makes_the_owner_and_leads_to_a_pin() -> None:
    client = Client()

    assert client.get("/").headers["Location"] == "/first-start"
    assert client.get("/sign-in").headers["Location"] == "/first-start"
    answer = client.post("/first-start", OWNER)

    assert answer.headers["Location"] == "/new-pin?next=%2F"
    owner = Person.objects.get()
    assert (owner.login, owner.short, owner.role) == ("mary", "MA", "owner")
    assert "Answers carry: <strong>MA</strong>, Mary Ash, owner" in client.get("/me").content.decode()


@pytest.mark.parametrize(
    ("slip", "said"),
    [
        ({"name": ""}, "name:"),
        ({"login": "x"}, "login:"),
        ({"password": "short", "again": "short"}, "password:"),
        ({"password": "password123", "again": "password123"}, "password:"),
        ({"again": "another one here"}, "password again:"),
    ],
)
def test_a_first_start_with_a_slip_makes_nobody_and_keeps_what_was_typed(
    slip: dict[str, str], said: str
) -> None:
    answer = Client().post("/first-start", {**OWNER, **slip})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert Person.objects.count() == 0
    assert f'value="{({**OWNER, **slip})["name"]}"' in page
    assert PASSWORD not in page


def test_there_is_one_first_start_only() -> None:
    person("owner")

    answer = Client().post("/first-start", OWNER)

    assert answer.headers["Location"] == "/sign-in"
    assert Person.objects.count() == 1


def test_no_account_has_a_password_that_everybody_knows() -> None:
    """A fresh shop has nobody in it."""
    assert Person.objects.count() == 0


def test_a_full_sign_in_makes_the_device_known_and_a_pin_is_chosen() -> None:
    person()
    client = Client(headers={"user-agent": "bay phone"})

    answer = full(client, login=" JT ", next="/me")

    assert answer.headers["Location"] == "/new-pin?next=%2Fme"
    assert Device.objects.get().said == "bay phone"
    assert client.cookies[who.COOKIE].value not in Device.objects.get().key
    assert client.post("/new-pin", {"pin": PIN, "next": "/me"}).headers["Location"] == "/me"
    assert full(client, next="/me").headers["Location"] == "/me"
    assert Device.objects.count() == 1


def test_cookies_of_session_and_device_are_read_by_no_script() -> None:
    person()
    client = Client()
    full(client)

    for name in ("sessionid", who.COOKIE):
        assert client.cookies[name]["httponly"]
        assert client.cookies[name]["samesite"] == "Lax"


def test_a_wrong_password_says_so_and_keeps_the_login() -> None:
    person()

    answer = full(Client(), password="not the one")
    page = answer.content.decode()

    assert answer.status_code == 422
    assert "do not go together" in page
    assert 'value="jt"' in page
    assert SignedIn.objects.count() == 0


def test_nobody_learns_whether_a_login_exists() -> None:
    person()

    one, other = full(Client(), password="wrong"), full(Client(), login="nobody", password="wrong")

    assert one.status_code == other.status_code == 422
    assert one.content.count(b"do not go together") == other.content.count(b"do not go together") == 1


def test_who_guesses_is_locked_out_with_a_sentence_and_others_are_not() -> None:
    person()
    person(name="Al Berg", short="AB")
    client = Client()
    for _ in range(5):
        assert full(client, password="guess").status_code == 422

    answer = full(client, password="guess")
    even_right = full(client)

    assert answer.status_code == even_right.status_code == 429
    assert "wait 15 minutes" in answer.content.decode()
    assert SignedIn.objects.count() == 0
    assert full(Client(), login="ab").status_code == 302


def test_names_known_on_the_device_are_big_buttons_and_no_others() -> None:
    jo = person()
    person(name="Al Berg", short="AB")
    knows(jo)
    client = Client()
    client.cookies[who.COOKIE] = "phone-1"

    page = client.get("/sign-in?next=/me").content.decode()

    assert f'href="/sign-in/{jo.pk}?next=/me"' in page
    assert "Al Berg" not in page
    assert 'type="password"' not in page
    assert 'type="password"' in Client().get("/sign-in").content.decode()


@pytest.mark.parametrize(
    "away",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/x",
        "/\\elsewhere.example",
        "javascript:alert(1)",
        "elsewhere",
        "http:///x",
    ],
)
def test_next_never_leads_off_the_site(away: str) -> None:
    jo = person()
    knows(jo)

    assert full(on_phone(), next=away).headers["Location"] == "/"
    assert pin(on_phone(), jo, next=away).headers["Location"] == "/"
    assert client_of(jo).post("/new-pin", {"pin": PIN, "next": away}).headers["Location"] == "/"
    assert on_phone().post("/change-person", {"next": away}).headers["Location"] == "/sign-in?next=%2F"


def test_nobody_gets_past_without_signing_in_and_comes_back_after() -> None:
    person()

    assert Client().get("/people?x=1").headers["Location"] == "/sign-in?next=%2Fpeople%3Fx%3D1"
    assert Client().post("/people/new").headers["Location"] == "/sign-in"


def test_a_script_is_told_in_json() -> None:
    person()
    jo = Person.objects.get()

    answer = Client(headers={"accept": "application/json"}).get("/me")
    client = client_of(jo)
    refused = client.get("/people", headers={"accept": "application/json"})

    assert (answer.status_code, answer.json()["problems"][0]["where"]) == (401, "sign-in")
    assert (refused.status_code, refused.json()["problems"][0]["where"]) == (403, "role")


def test_a_session_ends_with_the_shift() -> None:
    client = client_of(person())
    assert client.get("/me").status_code == 200

    SignedIn.objects.update(until=timezone.now() - timedelta(seconds=1))

    assert client.get("/me").headers["Location"] == "/sign-in?next=%2Fme"
    assert SignedIn.objects.count() == 0


def test_a_session_carried_to_another_device_is_none() -> None:
    client = client_of(person())
    device("phone-2")
    client.cookies[who.COOKIE] = "phone-2"

    assert client.get("/me").status_code == 302


def test_change_person_ends_the_session_in_one_tap() -> None:
    jo = person()
    knows(jo)
    client = client_of(jo)

    answer = client.post("/change-person", {"next": "/me"})

    assert answer.headers["Location"] == "/sign-in?next=%2Fme"
    assert SignedIn.objects.count() == 0
    assert client.get("/me").status_code == 302


def test_the_first_password_is_for_one_sign_in() -> None:
    person(first_password=True)
    client = Client()
    assert full(client).status_code == 302

    assert client.get("/me").headers["Location"] == "/own-password"
    assert client.post("/own-password", {"password": PASSWORD, "again": PASSWORD}).status_code == 422
    mine = "another drum than before"
    assert client.post("/own-password", {"password": mine, "again": mine}).headers["Location"] == "/new-pin"
    assert client.get("/me").status_code == 200
    assert full(Client()).status_code == 422
    assert full(Client(), password=mine).status_code == 302


def test_a_new_password_ends_the_other_sessions_and_asks_for_it_everywhere() -> None:
    jo = person()
    knows(jo)
    knows(jo, "phone-2")
    here, there = client_of(jo), client_of(jo, "phone-2")
    mine = "another drum than before"

    assert here.post("/own-password", {"password": mine, "again": mine}).headers["Location"] == "/me"

    assert here.get("/me").status_code == 200
    assert there.get("/me").status_code == 302
    assert pin(on_phone("phone-2"), jo).headers["Location"].startswith("/sign-in?login=jt")


def test_every_role_is_in_the_table_and_only_the_owner_may_all() -> None:
    assert set(who.MAY) == set(get_args(Role))
    assert [r for r, has in who.MAY.items() if has == set(who.ACTIONS)] == ["owner"]
    assert who.MAY["apprentice"] == who.MAY["technician"] < who.MAY["lead"]
    assert not who.may(None, "yard")


def test_a_screen_for_an_action_that_is_not_in_the_table_does_not_start() -> None:
    with pytest.raises(ValueError, match="no action"):
        who.needs("sweep the floor")  # type: ignore[arg-type]


def test_argon2_is_as_slow_as_was_decided_unless_a_test_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    """19 MiB and two passes: what RFC 9106's authors and the usual cheat sheets accept as the least."""
    import subprocess
    import sys

    monkeypatch.delenv("WHEELTAPPER_ARGON2_KIB")
    said = subprocess.run(
        [sys.executable, "-c", "import django; django.setup(); from wheeltapper.web.who import Argon2 as a; print(a.memory_cost, a.time_cost)"],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip

    assert said.stdout.split() == ["19456", "2"]


def test_a_page_opened_before_the_last_sign_in_is_refused_in_words() -> None:
    person()
    strict = Client(enforce_csrf_checks=True)

    answer = strict.post("/sign-in", {"login": "jt", "password": PASSWORD})

    assert answer.status_code == 403
    assert "send it once more" in answer.content.decode()
    assert SignedIn.objects.count() == 0


def test_seen_is_written_down_now_and_then_and_not_at_every_request(
    django_assert_num_queries: object,
) -> None:
    client = client_of(person())
    client.get("/phones")

    with django_assert_num_queries(4):  # type: ignore[operator]  # device, session, person, and the session's row
        client.get("/phones")
    SignedIn.objects.update(last_seen=timezone.now() - timedelta(hours=1))
    client.get("/phones")

    assert timezone.now() - SignedIn.objects.get().last_seen < timedelta(minutes=1)


def test_a_request_without_cookies_asks_the_database_nothing() -> None:
    request = RequestFactory().get("/x")

    assert who.safe_next(request) == "/"
    assert not who.wants_json(request)
