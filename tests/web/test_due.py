"""What is due after the gate: behind the owner's link, behind the tag on the tongue, and in the shop."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from datetime import date as Date
from hashlib import sha256
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from web.after import out_today
from web.owned import kept_example, link_to, said
from web.people import client_of, person
from wheeltapper.report import due_words
from wheeltapper.store import keep, links, tags
from wheeltapper.store.files import path_of
from wheeltapper.store.models import KeptEntry, KeptVisit, Original, OwnerLink, UnitTag
from wheeltapper.web import due, live, owner, owner_link

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
EVIL = "<script>alert(1)</script>"


@pytest.fixture(autouse=True)
def nobody_wrong() -> None:
    """Nobody has tried wrong links yet."""
    owner_link._wrong.clear()


@pytest.fixture
def visit() -> KeptVisit:
    """A tandem that left today."""
    return out_today()


def told(visit: KeptVisit) -> list[Any]:
    """The follow-ups as the visit has them."""
    known = live.live(KeptVisit.objects.get(pk=visit.pk)).folded.visit
    assert known is not None
    return list(known.follow_up)


def state(visit: KeptVisit) -> str:
    """As the Yard shows it."""
    return str(KeptVisit.objects.get(pk=visit.pk).state)


def tag_of(unit: str = "KM-7") -> tuple[UnitTag, str]:
    """A tag and its address."""
    tag = tags.make(unit, "CW")
    return tag, f"/t/{tags.token_of(tag)}/"


def tap(at: str, key: str, word: str, client: Client | None = None, **more: str) -> Any:
    """Tap, on the owner's page or the tag's."""
    send = f"{at}due/done" if at.startswith("/o/") else f"{at}done" if at.startswith("/t/") else at
    return (client or Client()).post(send, {"key": key, "word": word, **more})


def test_the_owners_page_leads_to_the_list_once_it_is_out(visit: KeptVisit) -> None:
    page = Client().get(link_to(visit)[1]).content.decode()
    here = Client().get(link_to(kept_example())[1]).content.decode()

    assert 'id="after"' in page
    assert 'href="./due"' in page
    assert 'id="after"' not in here


def test_one_tap_says_that_no_nut_moved(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    page = Client().get(f"{at}due").content.decode()
    assert page.count(due_words.WORDS["still"]) == 3
    assert "<script" not in page

    answer = tap(at, "retorque 10", "still")
    (row,) = told(visit)
    entry = KeptEntry.objects.latest("pk")

    assert (answer.status_code, answer["Location"]) == (302, "../due#retorque-10")
    assert (row.what, row.due, row.moved, row.done, row.date, row.by, row.how) == ("retorque", 10, False, None, Date.today(), "Dana Reed", "on the page")  # fmt: skip
    assert (entry.by, entry.kind) == ("owner", "piece")
    assert entry.device.startswith("link ")


def test_three_checks_without_movement_settle_it(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    for n, miles in enumerate((10, 25, 50)):
        assert state(visit) == "out, re-torque due", n
        assert tap(at, f"retorque {miles}", "still", miles=str(miles)).status_code == 302
    assert state(visit) == "settled"
    assert [f.done for f in told(visit)] == [10, 25, 50]


@pytest.mark.parametrize("miles", [25, 50])
@pytest.mark.parametrize("through", ["link", "tag"])
def test_movement_at_the_second_check_or_later_means_come_in(
    visit: KeptVisit, miles: int, through: str
) -> None:
    at = link_to(visit)[1] if through == "link" else tag_of()[1]
    assert tap(at, f"retorque {miles}", "moved").status_code == 302
    kept = KeptVisit.objects.get(pk=visit.pk)
    item = next(d for d in kept.summary["due"] if d["miles"] == miles)
    page = Client().get(f"{at}due" if through == "link" else at).content.decode()
    yard = client_of(person("technician")).get("/").content.decode()

    assert (kept.state, kept.open) == ("held", True)
    assert (item["done"], item["come_in"]) == (False, True)
    assert due_words.COME_IN in page
    assert "A nut still moved: come in" in yard
    assert due_words.WORDS["still"] not in page
    assert (
        tap(at, f"retorque {miles}", "still").status_code == 302
    )  # a tap from an older page: kept, and closes nothing
    assert state(visit) == "held"


def test_movement_at_the_first_check_may_be_and_far_movement_may_not(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    tap(at, "retorque 10", "moved")
    page = Client().get(f"{at}due").content.decode()
    assert due_words.FIRST_MOVED in page
    assert due_words.WORDS["far"] in page
    assert state(visit) == "out, re-torque due"

    assert tap(at, "retorque 10", "moved 180 deg").status_code == 302
    assert [f.turned for f in told(visit)] == [None, "180 deg"]
    assert state(visit) == "held"
    assert due_words.COME_IN in Client().get(f"{at}due").content.decode()


def test_a_little_at_the_first_check_is_settling(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    tap(at, "retorque 10", "moved 20 deg")
    assert state(visit) == "out, re-torque due"
    assert due_words.WORDS["far"] not in Client().get(f"{at}due").content.decode()


def test_what_nobody_said_of_movement_stays_open(visit: KeptVisit) -> None:
    keep.add(visit, [said({"follow_up": [{"what": "retorque", "due": 10, "done": 10}]})], "phone")
    _, at = link_to(visit)
    page = Client().get(f"{at}due").content.decode()

    assert due_words.NOBODY_SAID in page
    assert tap(at, "retorque 10", "done").status_code == 422
    assert tap(at, "retorque 10", "").status_code == 422
    assert tap(at, "retorque 10", "still").status_code == 302
    assert next(d for d in live.told(visit).due if d.miles == 10 and d.what == "retorque").closed


def test_the_same_tap_again_is_one_entry(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    for _ in range(3):
        assert tap(at, "retorque 10", "still").status_code == 302
    assert tap(tag_of()[1], "retorque 10", "still").status_code == 302
    assert len(told(visit)) == 1


def test_a_withdrawn_word_may_be_said_again(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    tap(at, "retorque 10", "still")
    wrong = KeptEntry.objects.latest("pk").entry_id
    back = said({"complaint": "x"}).model_copy(
        update={"kind": "withdraw", "instead_of": (wrong,), "body": {"why": "the other trailer"}}
    )
    keep.add(visit, [back], "phone")
    assert told(visit) == []

    assert tap(at, "retorque 10", "still").status_code == 302
    assert len(told(visit)) == 1


def test_an_adjustment_opens_the_next_and_not_on_the_same_day(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    assert tap(at, "adjust 3000", "done", miles="2,900").status_code == 302
    assert any(d.miles == 5900 and not d.closed for d in live.told(visit).due)
    again = tap(at, "adjust 5900", "done")
    assert again.status_code == 422
    assert "already" in again.content.decode()
    assert len(told(visit)) == 1


@pytest.mark.parametrize("key", ["hubs off 12000", "retorque 11", "", "x" * 500, "retorque", EVIL])
def test_what_is_not_due_or_not_theirs_is_not_taken(visit: KeptVisit, key: str) -> None:
    for at in (link_to(visit)[1], tag_of()[1]):
        answer = tap(at, key, "still")
        assert answer.status_code == 422
        assert EVIL not in answer.content.decode()
    assert told(visit) == []


@pytest.mark.parametrize("miles", ["-3", "ten", "1e3", "999999999999", "100001", "٣"])
def test_bad_miles_are_told_and_what_was_typed_stays(visit: KeptVisit, miles: str) -> None:
    _, at = tag_of()
    answer = tap(at, "retorque 10", "still", miles=miles, said=f"wet {EVIL}", name="Sam")
    page = answer.content.decode()

    assert answer.status_code == 422
    assert "write a whole number" in page
    for typed in (miles, "wet &lt;script&gt;", 'value="Sam"'):
        assert typed in page
    assert EVIL not in page
    assert told(visit) == []


def test_a_tag_shows_no_name_no_price_and_no_photo(visit: KeptVisit) -> None:
    link_to(visit, "Dana Reed")
    keep.add(visit, [said({"complaint": "pulls left", "owner_said": ["call me on the hill"]})], "phone")
    _, at = tag_of("km 7")
    answer = Client().get(at)
    page = answer.content.decode()

    assert answer.status_code == 200
    assert "KM-7" in page
    for hidden in ("Dana", "$", "<img", "pulls left", "call me", "/o/"):
        assert hidden not in page
    assert (answer["Referrer-Policy"], answer["Cache-Control"], answer["X-Robots-Tag"]) == (
        "no-referrer",
        "no-store",
        "noindex",
    )
    assert answer.cookies == {}


def test_who_taps_the_tag_may_give_a_name(visit: KeptVisit) -> None:
    _, at = tag_of()
    tap(at, "retorque 10", "still")
    tap(at, "retorque 25", "still", name="  Sam\nReed ")

    assert [(f.by, f.how) for f in told(visit)] == [
        ("whoever scanned the tag", "by the tag"),
        ("Sam Reed", "by the tag"),
    ]
    assert {e.by for e in KeptEntry.objects.filter(device__startswith="tag ")} == {"tag"}


def test_a_tag_follows_its_unit_to_the_latest_visit_that_is_out(visit: KeptVisit) -> None:
    _, at = tag_of()
    kept_example(unit={"id": "KM-7", "axles": 2, "brake": "electric drum"})  # here again, not out
    later = out_today("km7")
    other = out_today("ZZ-1")
    tap(at, "retorque 10", "still")

    assert [len(told(v)) for v in (visit, later, other)] == [0, 1, 0]


def test_forged_ended_and_idle_tags(visit: KeptVisit) -> None:
    tag, at = tag_of()
    idle = Client().get(tag_of("nobody's")[1])
    assert idle.status_code == 200
    assert "nothing is due" in idle.content.decode()
    tags.end(tag, "CW")
    ended = Client().get(at)
    assert ended.status_code == 410
    assert "KM-7" not in ended.content.decode()
    assert tap(at, "retorque 10", "still").status_code == 410
    for wrong in ("A" * 43, "x", links.token_of(link_to(visit)[0])):
        assert Client().get(f"/t/{wrong}/").status_code == 404
        assert tap(f"/t/{wrong}/", "retorque 10", "still").status_code == 404
    assert Client().get(f"/o/{tags.token_of(tag_of()[0])}/due").status_code == 404
    assert told(visit) == []


def test_wrong_tags_are_soon_answered_shortly_and_a_right_one_opens(visit: KeptVisit) -> None:
    client = Client()
    status = [client.get("/t/" + "B" * 43 + "/").status_code for _ in range(owner_link.WRONG + 2)]

    assert status[-1] == 429
    assert client.get(tag_of()[1]).status_code == 200


def test_an_ended_link_takes_nothing(visit: KeptVisit) -> None:
    link, at = link_to(visit)
    OwnerLink.objects.filter(pk=link.pk).update(until=timezone.now() - timedelta(seconds=1))
    assert tap(at, "retorque 10", "still").status_code == 410
    assert Client().get(f"{at}due").status_code == 410
    assert told(visit) == []


def test_the_wrong_way_to_ask(visit: KeptVisit) -> None:
    link, tag = link_to(visit)[1], tag_of()[1]
    assert [Client().get(f"{link}due/done").status_code, Client().get(f"{tag}done").status_code] == [405, 405]
    assert [Client().post(f"{link}due").status_code, Client().post(tag).status_code] == [405, 405]
    assert Client().get(tag.rstrip("/"))["Location"] == tag


def test_the_shop_says_it_with_degrees_and_its_short(visit: KeptVisit) -> None:
    client = client_of(person("technician"))
    at = f"/visit/{visit.number}/due"
    assert "No nut moved" in client.get(at).content.decode()
    answer = tap(at, "retorque 10", "moved", client, degrees="15", miles="11")

    assert answer.status_code == 302
    (row,) = told(visit)
    assert (row.by, row.how, row.moved, row.turned, row.done) == ("JT", "in the shop", True, "15 deg", 11)
    assert KeptEntry.objects.latest("pk").by == "JT"
    wrong = tap(at, "retorque 25", "moved", client, degrees="fast")
    assert wrong.status_code == 422
    assert 'value="fast"' in wrong.content.decode()


def test_the_shops_page_is_behind_the_sign_in_and_knows_its_visits(visit: KeptVisit) -> None:
    client = client_of(person("apprentice"))
    assert Client().get(f"/visit/{visit.number}/due").status_code == 302
    assert client.get("/visit/99-9999/due").status_code == 404
    assert client.put(f"/visit/{visit.number}/due").status_code == 405
    assert (
        "falls due once the trailer is out"
        in client.get(f"/visit/{kept_example().number}/due").content.decode()
    )
    assert f'/visit/{visit.number}/due"' in client.get("/").content.decode()
    assert f'/visit/{visit.number}/due"' in client.get(f"/visit/{visit.number}").content.decode()


def test_the_counter_makes_prints_and_ends_a_tag(visit: KeptVisit) -> None:
    desk = client_of(person("counter", "Cora Webb", "CW"), "desk")
    at = f"/visit/{visit.number}/tags"
    made = desk.post(f"{at}/make")
    page = desk.get(made["Location"]).content.decode()
    url = re.search(r"http://testserver(/t/[\w-]+/)", page)

    assert url is not None
    assert "<svg" in page
    assert "Re-torque at 10, 25 and 50 miles" in page
    assert Client().get(url[1]).status_code == 200
    assert "first scanned" in desk.get(at).content.decode()
    assert desk.post(f"{made['Location']}/end").status_code == 302
    assert Client().get(url[1]).status_code == 410
    assert "has ended" in desk.get(made["Location"]).content.decode()


@pytest.mark.parametrize("path", ["tags", "tags/make", "tags/{k}", "tags/{k}/end"])
def test_tags_are_for_the_counter_and_of_this_unit(visit: KeptVisit, path: str) -> None:
    tag, other = tag_of()[0], out_today("ZZ-1")
    does = path.endswith(("make", "end"))
    bay, desk = client_of(person("technician")), client_of(person("counter", "Cora Webb", "CW"), "desk")

    def ask(client: Client, number: str) -> int:
        there = f"/visit/{number}/{path.format(k=tag.pk)}"
        return int((client.post if does else client.get)(there).status_code)

    assert ask(bay, visit.number) == 403
    assert ask(Client(), visit.number) == 302
    assert ask(desk, "99-9999") == 404
    if "{k}" in path:
        assert ask(desk, other.number) == 404
        assert tags.stands(UnitTag.objects.get(pk=tag.pk))
    wrong = (desk.get if does else desk.post)(f"/visit/{visit.number}/{path.format(k=tag.pk)}")
    assert wrong.status_code == 405


def test_the_counter_sees_the_shops_clock(settings: Any) -> None:
    """23:30 UTC on 7 March 2026 is 18:30 in New York; a day later, after the clocks changed there (8 March 2026, 2:00), 19:30."""
    with timezone.override("America/New_York"):
        shown = [owner.shop_time(f"2026-03-0{d}T23:30:00.000Z") for d in (7, 8)]
    assert shown == ["2026-03-07 18:30", "2026-03-08 19:30"]
    assert datetime(2026, 3, 7, 23, 30, tzinfo=UTC).tzinfo is UTC


def test_the_counter_reads_what_was_said_to_be_done(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    tap(at, "retorque 10", "moved 20 deg", said="at the <fuel> stop")
    tap(tag_of()[1], "adjust 3000", "done")
    page = (
        client_of(person("counter", "Cora Webb", "CW"), "desk")
        .get(f"/visit/{visit.number}/owner")
        .content.decode()
    )

    assert "re-torque at 10 mi: a nut moved, 20 deg" in page
    assert "at the &lt;fuel&gt; stop" in page
    assert "adjust at 3,000 mi: done" in page
    assert "whoever scanned the tag, by the tag" in page
    assert f"{timezone.localtime():%Y-%m-%d %H:}" in page


def test_what_is_said_names_the_list_that_was_seen(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    page = Client().get(f"{at}due").content.decode()
    version = re.findall(r'name="version" value="([0-9a-f]{64})"', page)[0]
    tap(at, "retorque 10", "still", version=version)
    tap(
        at, "adjust 3000", "done", version=version
    )  # the list is another one by now: what was done counts all the same
    first, second = told(visit)
    desk = client_of(person("counter", "Cora Webb", "CW"), "desk")
    shown = desk.get(f"/visit/{visit.number}/owner/shown/{version}")

    assert first.seen is not None
    assert (first.seen.version, second.seen) == (version, None)
    assert sha256(path_of(Original.objects.get(sha256=version)).read_bytes()).hexdigest() == version
    assert shown.status_code == 200
    assert "10 miles: tighten the wheel nuts again" in shown.content.decode()
    assert "<form" not in shown.content.decode()


def test_an_old_link_says_that_the_trailer_was_here_again(visit: KeptVisit) -> None:
    _, at = link_to(visit)
    out_today()
    page = Client().get(f"{at}due").content.decode()

    assert "has been with us again since" in page
    assert due_words.WORDS["still"] not in page


def test_all_units_with_the_latest_visit_and_an_old_line_made_anew(visit: KeptVisit) -> None:
    later, other = out_today("KM 7"), out_today("ZZ-1")
    here = kept_example(unit={"id": "ZZ-1", "axles": 2, "brake": "electric drum"})
    old = {k: v for k, v in later.summary.items() if k != "due"}
    KeptVisit.objects.filter(pk=later.pk).update(summary=old)

    assert here.open
    assert {(k.number, again) for k, again in due.all_out()} == {(later.number, False), (other.number, True)}
