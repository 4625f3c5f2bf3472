"""`phones` and `verify`."""

from __future__ import annotations

import sqlite3
import stat
import subprocess
import sys
from ipaddress import ip_address
from pathlib import Path

import pytest
from cryptography import x509

from web.serving import command, environment
from wheeltapper.web import certificate
from wheeltapper.web.certificate import papers

pytestmark = pytest.mark.reasoned
FILL = """
import json, os, sys
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from wheeltapper.store.entries import Entry
from wheeltapper.store.keep import add, open_visit
for v in range(3):
    visit = open_visit()
    for n in range(4):
        add(visit, [Entry(id=f"{v}{n:031x}", at="2026-11-26T08:00:00.000Z", by="JT", kind="piece", body={"complaint": f"no {n}"})], "d")
print(json.dumps(visit.number))
"""


OWNER = """
import django; django.setup()
from datetime import timedelta
from django.utils import timezone
from wheeltapper.store.models import BayPin, Device, Person, SignedIn
mary = Person(login="mary", name="Mary Ash", short="MA", role="owner")
mary.set_password("four hubs and a drum")
mary.save()
phone = Device.objects.create(key="k", said="phone")
BayPin.objects.create(person=mary, device=phone, pin="x")
SignedIn.objects.create(session_key="s", person=mary, device=phone, until=timezone.now() + timedelta(hours=1))
"""
KNOWN = """
import sys, django; django.setup()
from wheeltapper.store.models import BayPin, Person, SignedIn
mary = Person.objects.get(login="mary")
print(mary.check_password(sys.argv[1]), mary.check_password("four hubs and a drum"), mary.first_password,
      BayPin.objects.count(), SignedIn.objects.count())
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop with three visits of four entries."""
    subprocess.run(
        [sys.executable, "-c", FILL], check=True, timeout=120, capture_output=True,
        env=environment(WHEELTAPPER_FOLDER=str(tmp_path), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings"),
    )  # fmt: skip
    return tmp_path


def tamper(shop: Path, *statements: str) -> None:
    """As somebody would who can write the file: the triggers go first."""
    with sqlite3.connect(shop / "shop.sqlite3") as file:
        for trigger in ("keptentry_never_changed", "keptentry_never_deleted"):
            file.execute(f"DROP TRIGGER {trigger}")
        for statement in statements:
            assert file.execute(statement).rowcount == 1, statement
    file.close()


def test_verify_counts_what_it_checked(shop: Path) -> None:
    said = command("verify", "--folder", str(shop))

    assert (said.returncode, said.stdout) == (
        0,
        "3 visits, 12 entries checked: every chain holds.\n0 photos and sounds checked: all whole.\n",
    )


@pytest.mark.parametrize(
    ("statement", "names"),
    [
        (
            'UPDATE store_keptentry SET body = \'{"complaint":"none"}\' WHERE visit_id = 2 AND seq = 2',
            "entry 2: it was changed",
        ),
        ("UPDATE store_keptentry SET by = 'XX' WHERE visit_id = 2 AND seq = 3", "entry 3: it was changed"),
        (
            "UPDATE store_keptentry SET received = at WHERE visit_id = 2 AND seq = 1",
            "entry 1: it was changed",
        ),
        (
            "DELETE FROM store_keptentry WHERE visit_id = 2 AND seq = 2",
            "entry 3: entry 2 is missing before it",
        ),
        ("DELETE FROM store_keptentry WHERE visit_id = 2 AND seq = 4", "entries after 3 are missing"),
    ],
)
def test_verify_names_the_first_broken_link_of_each_visit(shop: Path, statement: str, names: str) -> None:
    tamper(shop, statement, "UPDATE store_keptentry SET by = 'YY' WHERE visit_id = 3 AND seq = 4")

    said = command("verify", "--folder", str(shop))

    assert said.returncode == 1
    lines = said.stderr.splitlines()
    assert len(lines) == 2
    assert "-0002" in lines[0]
    assert names in lines[0]
    assert "-0003, entry 4: it was changed" in lines[1]
    assert all("To do:" in line for line in lines)
    assert "2 broken" in said.stdout


def test_verify_makes_no_shop_where_there_is_none(tmp_path: Path) -> None:
    said = command("verify", "--folder", str(tmp_path / "none"))

    assert said.returncode == 1
    assert "To do: name the shop's folder" in said.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_phones_shows_where_the_certificate_is_fetched(tmp_path: Path, ending: str) -> None:
    picture = tmp_path / f"code.{ending}"
    said = command(
        "phones",
        "--folder",
        str(tmp_path / "shop"),
        "--port",
        "8123",
        "--also",
        "shop.test",
        "--picture",
        str(picture),
    )

    assert said.returncode == 0, said.stderr
    assert ":8124/phones" in said.stdout
    assert "serve --tls" in said.stdout
    assert "█" in said.stdout
    assert certificate.fingerprint(tmp_path / "shop" / "certificate" / "authority.crt") in said.stdout
    assert picture.read_bytes().startswith(b"\x89PNG" if ending == "png" else b"<?xml")
    for key in ("authority.key", "server.key"):
        assert stat.S_IMODE((tmp_path / "shop" / "certificate" / key).stat().st_mode) == 0o600


def test_phones_refuses_a_picture_that_is_none(tmp_path: Path) -> None:
    said = command("phones", "--folder", str(tmp_path / "shop"), "--picture", str(tmp_path / "code.pdf"))

    assert said.returncode == 1
    assert "end its name in .png or .svg" in said.stderr


def test_papers_are_renewed_when_addresses_change_and_phones_need_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = [ip_address("192.168.1.20")]
    monkeypatch.setattr(certificate, "addresses_here", lambda: tuple(at))
    first = papers(tmp_path)
    again = papers(tmp_path)
    at[0] = ip_address("192.168.1.77")
    moved = papers(tmp_path)

    assert (first.new_authority, first.new_certificate) == (True, True)
    assert (again.new_authority, again.new_certificate) == (False, False)
    assert (moved.new_authority, moved.new_certificate) == (False, True)
    said = x509.load_pem_x509_certificate(moved.certificate.read_bytes()).extensions
    named = said.get_extension_for_class(x509.SubjectAlternativeName).value.get_values_for_type(
        x509.IPAddress
    )
    assert ip_address("192.168.1.77") in named
    assert ip_address("192.168.1.20") not in named


def test_papers_are_made_anew_for_an_address_that_the_authority_may_not_sign_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(certificate, "addresses_here", lambda: (ip_address("192.168.1.20"),))
    papers(tmp_path)

    assert papers(tmp_path, ("203.0.113.9",)).new_authority
    assert not papers(tmp_path).new_authority  # the further address was kept


def test_papers_are_renewed_before_they_are_used_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    papers(tmp_path)
    monkeypatch.setattr(certificate, "RENEW_DAYS", certificate.SERVER_DAYS)
    server = papers(tmp_path)
    monkeypatch.setattr(certificate, "RENEW_DAYS", certificate.AUTHORITY_DAYS)
    both = papers(tmp_path)

    assert (server.new_authority, server.new_certificate) == (False, True)
    assert (both.new_authority, both.new_certificate) == (True, True)


def test_the_authority_signs_for_the_shop_alone(tmp_path: Path) -> None:
    """RFC 5280 name constraints, critical: a stolen key opens no other site."""
    made = papers(tmp_path)
    paper = x509.load_pem_x509_certificate(made.authority.read_bytes())
    bound = paper.extensions.get_extension_for_class(x509.NameConstraints)

    assert bound.critical
    assert {n.value for n in bound.value.permitted_subtrees or [] if isinstance(n, x509.DNSName)} >= {
        "local",
        "localhost",
    }
    assert paper.extensions.get_extension_for_class(x509.BasicConstraints).value == x509.BasicConstraints(
        True, 0
    )


def test_an_owner_who_forgot_the_password_gets_in_again(shop: Path) -> None:
    """The new one is printed once; the old one, every session and every PIN are gone."""
    setting = environment(WHEELTAPPER_FOLDER=str(shop), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings")
    subprocess.run([sys.executable, "-c", OWNER], check=True, timeout=120, capture_output=True, env=setting)
    said = command("let-in", "MARY", "--folder", str(shop))
    printed = said.stdout.partition(": ")[2].split()[0]
    now = subprocess.run(
        [sys.executable, "-c", KNOWN, printed],
        check=True,
        timeout=120,
        capture_output=True,
        text=True,
        env=setting,
    )

    assert said.returncode == 0, said.stderr
    assert said.stdout.startswith("Mary Ash, login mary: ")
    assert now.stdout.split() == ["True", "False", "True", "0", "0"]


def test_nobody_of_that_login_is_said(shop: Path) -> None:
    """And a folder without a shop stays without one."""
    wrong = command("let-in", "nobody", "--folder", str(shop))
    none = command("let-in", "mary", "--folder", str(shop / "none"))

    assert wrong.returncode == none.returncode == 1
    assert "nobody who works here has that login" in wrong.stderr
    assert "there is no shop in it" in none.stderr
    assert not (shop / "none").exists()
