"""The eight questions, asked of every screen of people and sign-in; and what every page of ours must be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from web.people import PIN, client_of, device, knows, person
from wheeltapper.store.models import Device, Person, SignedIn
from wheeltapper.web import people, phones, sign_in, who

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
OPEN = {"first-start", "sign-in", "pin", "change-person", "phones", "certificate"}
SHOWS = {  # screens that show something, and a word that is there
    "new-pin": "digits", "own-password": "Password", "me": "Signed in now", "people": "People", "new-person": "Role",
    "one-person": "Jo Tanner", "devices": "Revoke",
}  # fmt: skip
DOES = {"working-here", "new-first-password", "end-session", "end-all", "forget", "revoke-device"}
FOR = {
    "people": "lead",
    "one-person": "lead",
    "devices": "lead",
    "revoke-device": "lead",
}  # others of DOES: the owner
OWN = {"new-pin", "own-password", "me", "end-session", "end-all", "forget"}
EVIL = "<script>alert(1)</script>\"'><img src=x>"


def test_every_screen_is_asked() -> None:
    named = {p.name for p in [*sign_in.PATHS, *people.PATHS, *phones.PATHS]}

    assert named == OPEN | set(SHOWS) | DOES


def args_of(name: str, missing: int = 0) -> list[int]:
    """The number that an address takes: of a row that is there, or of none."""
    if name in ("pin", "one-person", "working-here", "new-first-password", "end-all"):
        return [missing or Person.objects.get(short="JT").pk]
    if name == "end-session":
        return [missing or SignedIn.objects.get(person__short="JT").pk]
    if name == "forget":
        return [missing or Person.objects.get(short="JT").baypin_set.get().pk]
    return [missing or device().pk] if name == "revoke-device" else []


def a_shop() -> dict[str, Client]:
    """Somebody of each role, signed in; Jo is known on the first phone."""
    knows(person("technician", "Jo Tanner", "JT"))
    out = {"technician": client_of(Person.objects.get(short="JT"))}
    for role, name, short in (
        ("lead", "Di Orr", "DO"),
        ("counter", "Cy Ray", "CR"),
        ("apprentice", "Al Berg", "AB"),
        ("owner", "Mary Ash", "MA"),
    ):
        out[role] = client_of(person(role, name, short), f"of-{short}")
    return out


@pytest.mark.parametrize("name", sorted(SHOWS))
def test_works(name: str) -> None:
    answer = a_shop()["owner"].get(reverse(name, args=args_of(name)))

    assert answer.status_code == 200
    assert SHOWS[name] in answer.content.decode()
    assert "Answers carry: <strong>MA</strong>, Mary Ash, owner" in answer.content.decode()
    assert "change person" in answer.content.decode()


@pytest.mark.parametrize("name", sorted(DOES))
def test_what_is_done_leads_back_to_a_page(name: str) -> None:
    client = a_shop()["owner"]
    answer = client.post(reverse(name, args=args_of(name)), {"here": "no"}, follow=True)

    assert answer.status_code == 200
    assert "Answers carry" in answer.content.decode()


@pytest.mark.parametrize("name", sorted({*SHOWS, *DOES}))
def test_another_shop_s_cookies_open_nothing(name: str) -> None:
    """A session and a device of another server, as they would be sent to this one when it has the same address."""
    a_shop()
    client = Client()
    client.cookies["sessionid"] = "k" * 32
    client.cookies[who.COOKIE] = "theirs"

    answer = client.post(reverse(name, args=args_of(name)), {"pin": PIN})

    assert answer.headers["Location"].startswith("/sign-in")
    assert Device.objects.count() == 5


@pytest.mark.parametrize("role", ["technician", "lead", "counter", "apprentice", "owner"])
@pytest.mark.parametrize("name", sorted(({*SHOWS, *DOES}) - OWN))
def test_role(name: str, role: str) -> None:
    client = a_shop()[role]
    there = reverse(name, args=args_of(name))
    allowed = role == "owner" or role == FOR.get(name)

    answer = client.get(there) if name in SHOWS else client.post(there, {"here": "yes"})

    assert (answer.status_code in (200, 302)) == allowed
    if not allowed:
        assert answer.status_code == 403
        assert "Mary Ash (owner)" in answer.content.decode()


def test_a_lead_reads_a_person_s_page_and_changes_nothing() -> None:
    client = a_shop()["lead"]
    there = reverse("one-person", args=args_of("one-person"))

    assert client.post(there, {"role": "owner", "short": "JT"}).status_code == 403
    assert Person.objects.get(short="JT").role == "technician"


@pytest.mark.parametrize(
    "name",
    [
        "pin",
        "one-person",
        "working-here",
        "new-first-password",
        "end-session",
        "end-all",
        "forget",
        "revoke-device",
    ],
)
def test_bad_and_missing_id(name: str) -> None:
    client = a_shop()["owner"]
    there = reverse(name, args=args_of(name, missing=999_999))

    assert client.post(there, {"here": "no"}).status_code == 404
    for bad in ("x", "-1", "1.5", "%00", "9" * 30):
        answer = client.post(there.replace("999999", bad))
        assert answer.status_code == 404, bad
        assert "Nothing here" in answer.content.decode()


def test_what_people_type_is_text_on_every_page() -> None:
    client = a_shop()["owner"]
    bad = Client(headers={"user-agent": EVIL[:100]})
    Person.objects.filter(short="JT").update(name=EVIL)
    bad.post("/sign-in", {"login": "jt", "password": "four hubs and a drum"})
    pages = [client.get(reverse(n, args=args_of(n) if n != "forget" else [])).content.decode() for n in SHOWS]
    pages += [
        client.post(
            "/people/new", {"name": EVIL, "login": EVIL, "short": EVIL, "role": EVIL}
        ).content.decode(),
        Client().post("/sign-in", {"login": EVIL, "password": "x", "next": EVIL}).content.decode(),
        Client().get("/sign-in", {"next": f"/{EVIL}", "login": EVIL}).content.decode(),
        bad.get("/sign-in").content.decode(),
        bad.get("/me").content.decode(),
    ]

    assert sum("&lt;script&gt;" in p for p in pages) >= 6
    assert [p for p in pages if "<script>" in p or "<img" in p] == []


METHODS = {"GET", "HEAD", "POST", "PUT", "DELETE", "PATCH"}


@pytest.mark.parametrize("name", sorted({*SHOWS, *DOES, *OPEN}))
def test_wrong_methods_are_refused(name: str) -> None:
    client = a_shop()["owner"]
    client.cookies[who.COOKIE] = "of-MA" if name != "pin" else "phone-1"
    there = reverse(name, args=args_of(name))
    posts_only = name in DOES or name == "change-person"
    reads_only = name in ("me", "people", "devices", "phones", "certificate")
    wrong = (
        (METHODS - {"POST"})
        if posts_only
        else {"POST", "PUT", "DELETE", "PATCH"}
        if reads_only
        else {"PUT", "DELETE", "PATCH"}
    )

    assert {m: client.generic(m, there).status_code for m in wrong} == dict.fromkeys(wrong, 405)


def test_keeps_what_was_typed_after_an_error() -> None:
    client = a_shop()["owner"]
    there = reverse("one-person", args=args_of("one-person"))

    page = client.post(there, {"role": "counter", "short": "too long a short"}).content.decode()

    assert 'value="TOO LONG A SHORT"' in page
    assert 'value="counter" checked' in page


TEMPLATES = sorted((Path(who.__file__).parent / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.stem)
def test_no_template_has_script_or_style_inside(path: Path) -> None:
    text = path.read_text("utf-8")

    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", text) == []


def test_every_answer_says_that_nothing_comes_from_elsewhere() -> None:
    clients = a_shop()
    for answer in (
        Client().get("/sign-in"),
        clients["owner"].get("/people"),
        Client().get("/nowhere"),
        clients["technician"].get("/people"),
    ):
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_pages_of_people_stay_in_no_cache() -> None:
    clients = a_shop()
    first = clients["owner"].post("/people/new", {"name": "Bo Eck", "login": "bo", "role": "counter"})

    for answer in (
        first,
        clients["owner"].get("/people"),
        Client().get("/sign-in"),
        clients["owner"].get("/me"),
    ):
        assert "no-store" in answer.headers["Cache-Control"]


@pytest.mark.parametrize(
    "asked", ["/static/sheet.css", "/static/pad.js", "/static/fonts/routed-gothic.ttf", "/static/mark.svg"]
)
def test_our_own_files_come_from_the_same_server(asked: str) -> None:
    answer = Client().get(asked)

    assert answer.status_code == 200
    assert len(b"".join(answer.streaming_content)) > 200  # type: ignore[attr-defined]
    answer.close()


def test_the_phone_s_page_says_what_to_do_when_there_is_no_certificate(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settings, "SHOP_FOLDER", tmp_path)

    for there in ("/phones", "/phones/shop.crt"):
        answer = Client().get(there)
        assert answer.status_code == 404
        assert "wheeltapper phones" in answer.content.decode()
