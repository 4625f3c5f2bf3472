"""What if it waits: the page works, for whom it is for, takes no nonsense, shows nothing as markup, and agrees with the maths."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time
from functools import cache
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from conftest import priced
from made_fleet import visit as made_visit
from made_fleet import yard
from web.bay import entry, send, taken_in
from web.people import client_of, person
from wheeltapper.fleet.foretell import Pooled
from wheeltapper.fleet.outlook import look_ahead
from wheeltapper.fleet.pooled_text import named, text_of
from wheeltapper.fleet.what_if import now_or_later
from wheeltapper.report import what_if as words
from wheeltapper.report import wording
from wheeltapper.store import keep, outlook
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
EVIL = "<script>alert(1)</script>"
DAY = date(2024, 6, 1)
UNIT = {"drum": "10 in", "bolt_pattern": "5 on 4.5", "studs": "1/2-20", "axle_rating_lb": 3500}
LIMIT = [{"what": "friction diameter", "value": "10.090", "unit": "in", "grade": "on the part"}]


@cache
def pool() -> Pooled:
    """Of thirty made-up trailers."""
    return named(Pooled(look_ahead(yard(1, 30), priced(), DAY).families, DAY, 150, "made up", "", ""))


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop folder of its own, with the example's books and a pool."""
    (tmp_path / "house").mkdir()
    for path in (Path(__file__).parents[2] / "examples" / "house").iterdir():
        (tmp_path / "house" / path.name).write_bytes(path.read_bytes())
    monkeypatch.setattr(settings, "SHOP_FOLDER", tmp_path)
    monkeypatch.setattr(settings, "HOUSE_FOLDER", tmp_path / "house")
    (tmp_path / outlook.NOW).write_text(text_of(pool()), "utf-8")
    return tmp_path


@pytest.fixture
def desk() -> Client:
    """The counter's PC."""
    return client_of(person("counter", "Cy Ray", "CR"), "desk")


def worn(name: str = "T-1", curb: str = "10.040", unit: dict[str, str] | None = None) -> KeptVisit:
    """A trailer with both drums of its first axle read once."""
    read = made_visit(
        name, date(2024, 5, 1), {"1-road": "10.030", "1-curb": curb}, unit=UNIT | {"id": name} | (unit or {}), limit=LIMIT,
        mileage={"now": 15000, "quality": "hubometer"}, scope="hub service",
    )  # fmt: skip
    kept = keep.open_visit(datetime.combine(read.date, time(15), UTC))
    body = read.model_dump(mode="json", exclude_none=True, exclude_defaults=True) | {"unit": read.unit.model_dump(mode="json", exclude_none=True) | {"id": name}}  # fmt: skip
    keep.add(kept, [Entry.model_validate(entry(body, by="T1"))], "test")
    return live.told(KeptVisit.objects.get(pk=kept.pk)).kept


def page_of(client: Client, kept: KeptVisit, asked: str = "") -> str:
    """The page."""
    answer = client.get(f"/visit/{kept.number}/what-if{asked}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_works_and_the_table_leads_to_it(desk: Client) -> None:
    kept = worn()
    page = page_of(desk, kept, "?miles=9000")

    assert f'href="/visit/{kept.number}/what-if"' in desk.get(f"/visit/{kept.number}").content.decode()
    assert f"The next check only after {wording.miles(9000)}" in page
    assert "1-curb friction diameter" in page
    assert "Axle 1: hub-drum at both ends" in page
    assert "as of 1 Jun 2024 from 150 visits" in page
    assert "style=" not in page
    assert "<script" not in page


@pytest.mark.second_way
def test_it_says_what_the_maths_says(desk: Client) -> None:
    """Chances and costs from the visit itself, computed beside the page."""
    kept = worn()
    now = live.live(kept)
    assert now.examination is not None
    ahead = outlook.ahead(kept, now.examination.visit, now.tables, pool(), 9000)
    choice = now_or_later(now.examination, ahead, "1", "friction diameter", 9000)
    page = page_of(desk, kept, "?miles=9,000")

    assert len(ahead) == 2
    for a in ahead:
        assert a.chance is not None
        assert f"before {wording.miles(9000)}: {wording.percent(a.chance)}." in page
    assert choice.now_cents is not None
    assert f"Now: {wording.money(choice.now_cents, 'USD')}" in page
    assert f"{wording.percent(choice.worst_end or 0)} at the worse end" in page


def test_chances_grow_with_each_step(desk: Client) -> None:
    """The taps lead there, and a longer wait is never a smaller chance."""
    kept = worn()
    page, seen = page_of(desk, kept, "?miles=500"), []
    for _ in range(4):
        found = re.search(r'href="\?miles=(\d+)">\+ 5,000', page)
        assert found is not None
        page = page_of(desk, kept, f"?miles={found[1]}")
        seen.append(live_chance(kept, int(found[1])))

    assert seen == sorted(seen)
    assert seen[-1] > seen[0]


def live_chance(kept: KeptVisit, miles: int) -> float:
    """Of the worse end."""
    ex = live.live(kept).examination
    assert ex is not None
    return max(a.chance or 0 for a in outlook.ahead(kept, ex.visit, ex.tables, pool(), miles))


def test_without_a_pool_nobody_can_say(desk: Client, folder: Path) -> None:
    """One reading and no pool: no chance is made up, and the page says what it rests on."""
    (folder / outlook.NOW).unlink()
    page = page_of(desk, worn(), "?miles=9000")

    assert "nobody can say from the records there are" in page
    assert "No pool of a shop&#x27;s records was at hand" in page
    assert " % at the worse end" not in page


def test_what_cannot_go_back_has_no_chance(desk: Client) -> None:
    """A drum past its limit: waiting is no choice for it, and no price of waiting is shown."""
    page = page_of(desk, worn(curb="10.120"), "?miles=9000")

    assert "1-curb hub-drum cannot go back: waiting is no choice for it." in page
    assert "waiting gains" not in page
    assert page.count("Chance that it reaches") == 1  # the other end's


def test_a_trailer_on_which_nothing_was_measured(desk: Client) -> None:
    bay = client_of(person("lead"))

    assert "Nothing that wears has been measured" in page_of(desk, taken_in(bay))


@pytest.mark.parametrize("typed", ["-5", "0", "499", "100001", "9" * 40, "1e3", "٣٠٠٠", EVIL, "nan", "5000.5"])  # fmt: skip
def test_bad_miles_are_said_and_kept(desk: Client, typed: str) -> None:
    """What was typed stands in the box, as text; the page still shows the soonest check."""
    answer = desk.get(f"/visit/{worn().number}/what-if", {"miles": typed})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert "is no distance to ask for" in page
    assert EVIL not in page
    assert f'value="{typed[:20].replace("<", "&lt;").replace(">", "&gt;")}"' in page
    assert "The next check only after" in page


def test_a_name_that_is_markup_is_text(desk: Client) -> None:
    assert EVIL not in page_of(desk, worn(name=EVIL))


def test_roles_and_who_is_not_signed_in() -> None:
    """Money and chances are for lead, counter and owner."""
    kept = worn()
    clients = {r: client_of(person(r, f"Jo {r}", r[:2].upper()), r) for r in ("technician", "apprentice", "lead", "counter", "owner")}  # type: ignore[arg-type]  # fmt: skip
    there = f"/visit/{kept.number}/what-if"

    assert {r: c.get(there).status_code for r, c in clients.items()} == {
        "technician": 403, "apprentice": 403, "lead": 200, "counter": 200, "owner": 200,
    }  # fmt: skip
    assert Client().get(there).headers["Location"].startswith("/sign-in")


def test_another_shop_s_cookies_open_nothing() -> None:
    person("owner")
    kept, client = worn(), Client()
    client.cookies["sessionid"] = "k" * 32

    assert client.get(f"/visit/{kept.number}/what-if").headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("number", ["26-9999", "x", "%00", "../1"])
def test_a_visit_that_is_not_there(desk: Client, number: str) -> None:
    assert desk.get(f"/visit/{number}/what-if").status_code == 404


def test_a_visit_of_which_nobody_said_which_trailer(desk: Client) -> None:
    assert desk.get(f"/visit/{keep.open_visit().number}/what-if").status_code == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
def test_it_takes_nothing(desk: Client, method: str) -> None:
    kept = worn()
    before = kept.entries

    assert desk.generic(method, f"/visit/{kept.number}/what-if").status_code == 405
    assert KeptVisit.objects.get(pk=kept.pk).entries == before


def test_far_beyond_the_service_it_says_so(desk: Client) -> None:
    """The hubs come off first."""
    kept = worn()
    service = next(n.miles for n in live.live(kept).examination.next if n.what == "hubs off")  # type: ignore[union-attr]

    assert "The hubs come off before that anyway" in page_of(desk, kept, "?miles=90000")
    assert service is not None
    assert "The hubs come off before that anyway" not in page_of(desk, kept, f"?miles={words.LEAST_MI}")


def test_nothing_on_the_visit_changes_by_looking(desk: Client) -> None:
    bay = client_of(person("lead"))
    kept = taken_in(bay)
    status, _ = send(bay, kept, entry({"corner": [{"position": "1-road", "rest_fine": "JT"}]}))
    before = KeptVisit.objects.get(pk=kept.pk).tail
    page_of(desk, kept, "?miles=9000")

    assert status in (200, 207)
    assert KeptVisit.objects.get(pk=kept.pk).tail == before
