"""The invented shop of `wheeltapper demo --serve`: what a newcomer finds in it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from web.people import client_of
from wheeltapper.store.find import broken_chains
from wheeltapper.store.models import KeptVisit, Person
from wheeltapper.web import demo_fleet
from wheeltapper.web.board import as_text, told
from wheeltapper.web.demo_shop import fill

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]


def test_the_shop_opens_with_work_in_the_yard_and_a_fleet_that_left() -> None:
    fill()
    fill()  # a second start adds nothing
    here = KeptVisit.objects.filter(open=True)
    gone = KeptVisit.objects.filter(open=False)

    assert sorted(here.values_list("unit", flat=True)) == ["TF-0233", "TF-0417", "TF-0533"]
    assert gone.count() == sum(len(t.days) for t in demo_fleet.FLEET) + 2
    assert set(gone.values_list("state", flat=True)) == {"settled", "out, re-torque due"}
    assert not list(broken_chains())
    then_and_now = client_of(Person.objects.get(short="T1"), "desk").get("/ledger/TF-0417").content.decode()
    assert "band surface" in then_and_now.split('id="pictures"')[1]
    page = client_of(Person.objects.get(short="T1")).get("/").content.decode()
    assert "LH-207" in page


def test_the_story_is_the_same_whatever_the_day() -> None:
    """Only the fleet's days move."""
    one, two = (
        [v for v in demo_fleet.visits(day) if v[1]["unit"]["id"] != "TF-0417"]
        for day in (date(2026, 11, 26), date(2028, 2, 29))
    )
    apart = date(2028, 2, 29) - date(2026, 11, 26)

    assert [d + apart for d, _ in one] == [d for d, _ in two]
    assert [{k: v for k, v in raw.items() if k != "date"} for _, raw in one] == [
        {k: v for k, v in raw.items() if k != "date"} for _, raw in two
    ]
    assert one[-1][0] == date(2026, 11, 26) - timedelta(days=6)


def test_a_return_sheet_of_the_invented_fleet_can_be_put_right_line_by_line() -> None:
    """Its entries are such as people make: each line of the page names the one that gave it."""
    fill()
    visit = KeptVisit.objects.filter(open=False).latest("pk")
    client = client_of(Person.objects.get(short="T2"))
    page = client.get(f"/visit/{visit.number}/back/1-road").content.decode()

    assert "Nothing is owed on this page" in page
    for field in ("end_play", "new_seal", "torque"):
        row = page.partition(f'data-line="{field}"')[2].partition("data-value")[0]
        assert 'data-ids=""' not in row


def test_the_fleets_story_is_found_on_the_board() -> None:
    """It was made with three things in it that keep coming back."""
    fill()
    said = as_text(told(date.today()))

    assert "LH-201: 3 bearing sets at 2-curb" in said
    assert "brakes not adjusted on 3 of 10 units" in said
    assert all(unit in said for unit in ("LH-202", "LH-203", "LH-204"))
    assert "LH-205: 1-curb and 2-curb worn ahead of the other side" in said
