"""The fleet board: lines, what is due, alarms, lists out and in, the calendar; the questions asked of every screen."""

from __future__ import annotations

import csv
import io
import re
import secrets
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import icalendar
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from web.people import client_of, person
from wheeltapper.report.board import csv_text, units_of
from wheeltapper.report.calendar import Entry as Day
from wheeltapper.report.calendar import calendar
from wheeltapper.store import board, keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import CalendarKey, DueLine, KeptVisit, UnitLine
from wheeltapper.store.unit_names import plain
from wheeltapper.web import demo_fleet, live

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
TODAY = date.today()
FLEET = ("LH-201", "LH-202", "LH-203", "LH-204", "LH-207")


def came(raw: dict[str, Any], day: date) -> KeptVisit:
    """A visit kept on its own day."""
    then = datetime.combine(day, time(16), UTC)
    visit = keep.open_visit(then)
    at = then.strftime("%Y-%m-%dT%H:%M:%S.000Z")
    entry = Entry.model_validate(
        {"id": secrets.token_hex(16), "at": at, "by": "T2", "kind": "piece", "body": raw}
    )
    keep.add(visit, [entry], "test")
    live.told(KeptVisit.objects.get(pk=visit.pk))
    return KeptVisit.objects.get(pk=visit.pk)


def more(visit: KeptVisit, body: dict[str, Any], **also: Any) -> None:
    """One entry more, of now."""
    said = {"id": secrets.token_hex(16), "at": keep.now(), "by": "T2", "kind": "piece", "body": body}
    keep.add(visit, [Entry.model_validate(said | also)], "test")
    live.told(visit)


@pytest.fixture
def fleet() -> list[KeptVisit]:
    """A few units with their years."""
    return [came(raw, day) for day, raw in demo_fleet.visits(TODAY) if raw["unit"]["id"] in FLEET]


@pytest.fixture
def desk() -> Client:
    """The lead's PC."""
    return client_of(person("lead"), "desk")


def page(client: Client, query: str = "") -> str:
    """The board."""
    answer = client.get(f"/board{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_every_unit_has_a_line_with_its_worst_wheel_its_date_and_its_cost(
    fleet: list[KeptVisit], desk: Client
) -> None:
    shown = page(desk)

    assert all(unit in shown for unit in FLEET)
    assert UnitLine.objects.count() == len(FLEET)
    assert "2-curb friction diameter: 80 % of its wear gone" in shown
    assert 'class="late">late' in shown
    line = UnitLine.objects.get(unit="LH-207")
    assert (line.here, line.come_in, len(line.seen)) == (False, False, 1)
    assert line.on == date.fromisoformat(fleet[-1].summary["date"]) + timedelta(
        days=7
    )  # the first re-torque: a week, assumed


def test_what_is_due_comes_by_the_date_or_by_the_miles_whichever_is_first(
    fleet: list[KeptVisit], desk: Client
) -> None:
    """LH-201 goes 1,300 miles a month: 3,000 miles before the date of the table; LH-207 has one count, so its pace is assumed."""
    of = {(d.line.unit, d.what): d for d in DueLine.objects.select_related("line")}
    known, assumed = of["LH-201", "adjust"], of["LH-207", "adjust"]
    start = date.fromisoformat(known.visit.summary["date"])

    assert (known.pace, known.assumed, known.by_miles) == (1300, False, True)
    assert known.on == start + timedelta(days=int(3000 / 1300 * 365.2425 / 12))
    assert (assumed.pace, assumed.assumed) == (1000, True)
    assert assumed.on is not None
    assert assumed.by is not None
    assert assumed.on <= assumed.by
    late = page(desk, "?when=late")
    assert "LH-201" in late
    assert "1,300 miles a month" in late
    assert "LH-207" not in late.split('<nav class="whens"')[1].split("Lists")[0]
    assert "1,000 miles a month, assumed" in page(desk, "?when=later")


def test_a_thing_that_is_told_done_leaves_the_list(fleet: list[KeptVisit], desk: Client) -> None:
    out = KeptVisit.objects.get(unit="LH-207")
    before = DueLine.objects.filter(line__unit="LH-207", what="retorque").count()
    told = {"follow_up": [{"what": "retorque", "due": 10, "done": 10, "moved": False, "by": "driver"}]}
    more(out, told)

    assert before == 3
    assert list(
        DueLine.objects.filter(line__unit="LH-207", what="retorque").values_list("miles", flat=True)
    ) == [25, 50]


def test_a_nut_that_still_moved_stands_first(fleet: list[KeptVisit], desk: Client) -> None:
    out = KeptVisit.objects.get(unit="LH-207")
    told = {"follow_up": [{"what": "retorque", "due": 25, "done": 25, "moved": True, "by": "driver"}]}
    more(out, told)
    shown = page(desk)

    assert UnitLine.objects.get(unit="LH-207").come_in
    assert "Has to come in" in shown
    assert shown.index("LH-207") < shown.index("What keeps coming back")


def test_a_unit_that_is_here_again_says_so_and_keeps_what_is_due(
    fleet: list[KeptVisit], desk: Client
) -> None:
    came({"date": TODAY.isoformat(), "technician": "T2", "unit": demo_fleet.TANDEM | {"id": "lh 201"}}, TODAY)
    line = UnitLine.objects.get(tag=board.plain("LH-201"))

    assert line.here
    assert line.due.exists()
    assert "in the yard now" in page(desk, "?when=late")


def test_a_finding_shows_on_the_board_at_once(fleet: list[KeptVisit], desk: Client) -> None:
    """While the trailer is still in the yard, and its state was held before."""
    one = came(
        {
            "date": TODAY.isoformat(),
            "technician": "T2",
            "unit": demo_fleet.TANDEM | {"id": "LH-202"},
            "corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["fine"]}]}],
        },
        TODAY,
    )
    before = UnitLine.objects.get(unit="LH-202").worst
    body = {
        "corner": [
            {"position": "1-road", "feel": [{"check": "cups", "place": "inner", "found": ["moves by hand"]}]}
        ]
    }
    more(one, body)

    assert one.state == "held"
    assert UnitLine.objects.get(unit="LH-202").worst > before
    assert "1-road hub-drum: replace" in page(desk, "?q=LH-202")


def test_what_keeps_coming_back_is_told_with_what_else_it_may_be(
    fleet: list[KeptVisit], desk: Client
) -> None:
    shown = page(desk)

    assert "3 bearing sets at 2-curb" in shown
    assert "brakes not adjusted on 3 of 5 units seen within a year" in shown
    assert "It may also be" in shown
    assert "A pattern is no cause" in shown


def test_a_corrected_name_moves_the_line(fleet: list[KeptVisit]) -> None:
    """No line stays behind under a name that no visit carries."""
    one = came(
        {"date": TODAY.isoformat(), "technician": "T2", "unit": demo_fleet.TANDEM | {"id": "WRONG"}}, TODAY
    )
    first = next(iter(live.live(one).folded.standing))
    body = {"date": TODAY.isoformat(), "technician": "T2", "unit": demo_fleet.TANDEM | {"id": "RIGHT"}}
    more(one, body, instead_of=[first.id])

    assert set(UnitLine.objects.values_list("unit", flat=True)) == {*FLEET, "RIGHT"}


def test_lines_of_before_there_was_a_board_are_made_when_it_is_opened(
    fleet: list[KeptVisit], desk: Client
) -> None:
    UnitLine.objects.all().delete()

    assert "LH-201" in page(desk)
    assert DueLine.objects.filter(line__unit="LH-201").exists()


def test_pages_and_a_look_for_a_name(desk: Client) -> None:
    board.bring_in([(f"R-{k:03d}", {"owner": "River Haul"}) for k in range(60)])
    first, second = page(desk), page(desk, "?page=1")

    assert "R-049" in first
    assert "R-050" not in first
    assert "R-050" in second
    assert "Further" in first
    assert "Before" in second
    assert "R-007" in page(desk, "?q=r-007")
    assert "R-007" in page(desk, "?q=r007")
    assert "R-008" not in page(desk, "?q=r-007")
    assert "R-008" in page(desk, "?q=river")
    assert "looks like “nobody”" in page(desk, "?q=nobody")
    assert page(desk, "?page=zz&when=never")


def test_the_lists_go_out(fleet: list[KeptVisit], desk: Client) -> None:
    units = list(csv.DictReader(io.StringIO(desk.get("/board/units.csv").content.decode("utf-8-sig"))))
    due = list(csv.DictReader(io.StringIO(desk.get("/board/due.csv").content.decode("utf-8-sig"))))

    assert {u["unit"] for u in units} == set(FLEET)
    assert {(u["axles"], u["brake"], u["drum"]) for u in units} == {("2", "electric drum", "12 in")}
    assert {u["state"] for u in units} == {"settled", "out, re-torque due"}
    assert len(due) == DueLine.objects.count()
    assert {d["pace_assumed"] for d in due} == {"yes", "no"}


def test_a_list_comes_in_and_the_gate_knows_its_units(desk: Client) -> None:
    """A lead may bring one in; the gate finds the unit and marks what the list says."""
    text = "Unit;Axles;Brake;Drum;Owner\nRV-9;2;electric drum;12 in;River Haul\n\nRV-10;1;hydraulic disc;;\n"
    tried = sent(desk, text, "try")
    assert "2 units would come in, new: RV-9, RV-10" in tried.content.decode()
    assert not UnitLine.objects.exists()
    done = sent(desk, text)
    assert "2 units came in" in done.content.decode()
    assert UnitLine.objects.get(unit="RV-9").told == {
        "axles": "2",
        "brake": "electric drum",
        "drum": "12 in",
        "owner": "River Haul",
    }
    assert "on the fleet’s list, never here" in desk.get("/gate?q=rv9").content.decode()
    gate = desk.get("/gate?unit=RV-9").content.decode()
    assert "from the fleet’s list" in gate
    assert set(re.findall(r'name="(\w+)" value="([^"]+)"[^>]* checked', gate)) >= {
        ("axles", "2"),
        ("brake", "electric drum"),
        ("drum", "12 in"),
    }
    assert "none of them new" in sent(desk, text).content.decode()
    assert "never here" in page(desk)


def sent(client: Client, text: str | bytes, button: str = "in") -> Any:
    """A list brought in."""
    data = text.encode() if isinstance(text, str) else text
    return client.post("/board/units", {"file": SimpleUploadedFile("units.csv", data), button: "yes"})


@pytest.mark.parametrize(
    "text, said",
    [
        ("unit,axles\nRV-1,two\n", "row 2, axles"),
        ("unit,axles\n,2\n", "row 2"),
        ("unit,axles\nRV-1,2\nrv-1,2\n", "stands in row 2 already"),
        ("unit,axles\nRV-1,2\nRV 1,2\n", "stands in row 2 already"),
        ("unit,axles\n---,2\n", "it names no unit"),
        ("unit,axles,owner\nRV-1,2,River Haul, Ltd\n", "more or fewer cells"),
        ("unit,axles,owner\nRV-1,2\n", "more or fewer cells"),
        ("unit,axles,Axles\nRV-1,2,3\n", "stands twice"),
        ("unit,brake\nRV-1,magic\n", "row 2, brake"),
        ("unit,drum\nRV-1,11 in\n", "&#x27;11 in&#x27; is not known at the gate"),
        ("unit,studs\nRV-1,half inch\n", "row 2, studs"),
        ("unit,axels\nRV-1,2\n", "the column &#x27;axels&#x27; is not known"),
        ("name,axles\nRV-1,2\n", "no column named unit"),
        ("unit,axles\n", "it has no rows"),
        ("", "no column named unit"),
        (b"unit,owner\nRV-1,\xff\xfe\n", "not UTF-8"),
        ('unit,axles\n"RV-1,2\n', "no CSV"),
        ("unit,owner\nRV-1," + "x" * 81 + "\n", "over 80 letters"),
        ("unit\n" + "y" * 81 + "\n", "over 80 letters"),
    ],
)
def test_a_list_with_a_fault_brings_nothing_in(desk: Client, text: str | bytes, said: str) -> None:
    answer = sent(desk, text)

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "To do:" in answer.content.decode()
    assert not UnitLine.objects.exists()


def test_no_file_and_a_file_too_large_are_told(desk: Client) -> None:
    assert desk.post("/board/units", {}).status_code == 422
    assert "over 2 MB" in sent(desk, b"unit\n" + b"x" * 2_000_001).content.decode()


@pytest.mark.parametrize("name", ["=1+1", "+47", "-RV", "@home"])
def test_no_cell_becomes_a_sum_in_a_spreadsheet_and_the_list_comes_back_the_same(name: str) -> None:
    out = csv_text(("unit", "owner"), [{"unit": name, "owner": name}])

    assert f"'{name}" in out
    assert units_of(out.encode(), plain, {}) == ([(name, {"owner": name})], [])


def test_the_calendar_has_every_open_thing_as_a_whole_day(fleet: list[KeptVisit], desk: Client) -> None:
    """RFC 5545 read back by a library: days without hours, so no time zone moves them; DTEND is the day after (3.6.1)."""
    desk.post("/board/calendar", {"make": "yes"})
    at = page(desk).split('<p class="copy">')[1].split("</p>")[0]
    answer = Client().get("/calendar/" + at.rsplit("/", 1)[1])
    text = answer.content.decode()
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")

    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert len(events) == DueLine.objects.exclude(on=None).count()
    assert len({e["UID"] for e in events}) == len(events)
    assert all(e["DTEND"].dt - e["DTSTART"].dt == timedelta(days=1) for e in events)
    assert all(type(e["DTSTART"].dt) is date for e in events)
    assert any("LH-207: re-torque" in e["SUMMARY"] for e in events)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))  # section 3.1
    assert "\n" not in text.replace("\r\n", "")
    assert "driver" not in text
    assert "$" not in text


@pytest.mark.published("rfc5545")
def test_a_calendar_entry_is_folded_and_escaped_as_the_standard_has_it() -> None:
    """RFC 5545, section 3.3.11: a comma, a semicolon, a backslash and a line break in a text are escaped; section 3.1: folded with a blank."""
    made = calendar(
        [Day("a@b", date(2028, 2, 29), "one, two; three\\four\nfive", "x" * 200)],
        "Shop",
        datetime(2028, 1, 1, tzinfo=UTC),
    )

    assert b"SUMMARY:one\\, two\\; three\\\\four\\nfive\r\n" in made
    assert b"DTSTART;VALUE=DATE:20280229\r\nDTEND;VALUE=DATE:20280301\r\n" in made
    assert b"DTSTAMP:20280101T000000Z\r\n" in made
    assert b"\r\n x" in made


def test_an_address_that_has_ended_opens_nothing(fleet: list[KeptVisit], desk: Client) -> None:
    desk.post("/board/calendar", {"make": "yes"})
    old = board.token_of(CalendarKey.objects.get(revoked=None))
    desk.post("/board/calendar", {"make": "yes"})
    new = board.token_of(CalendarKey.objects.get(revoked=None))

    assert Client().get(f"/calendar/{old}.ics").status_code == 410
    assert Client().get(f"/calendar/{new}.ics").status_code == 200
    desk.post("/board/calendar", {"end": "yes"})
    assert Client().get(f"/calendar/{new}.ics").status_code == 410
    assert Client().get("/calendar/" + "A" * 43 + ".ics").status_code == 404


@pytest.mark.parametrize(
    "role, status",
    [("technician", 403), ("apprentice", 403), ("counter", 200), ("lead", 200), ("owner", 200)],
)
def test_who_may_see_it(role: str, status: int) -> None:
    who = client_of(person(role), "desk")

    assert who.get("/board").status_code == status
    assert who.get("/board/units.csv").status_code == status
    assert who.get("/board/due.csv").status_code == status


def test_who_may_change_it() -> None:
    counter = client_of(person("counter", "Cy Ray", "CR"), "desk")

    assert sent(counter, "unit\nRV-1\n").status_code == 403
    assert counter.post("/board/calendar", {"make": "yes"}).status_code == 403
    assert "Bring the units in" not in counter.get("/board").content.decode()


def test_nobody_else_gets_in_and_no_other_method_does(desk: Client) -> None:
    assert Client().get("/board").status_code == 302
    assert desk.post("/board").status_code == 405
    assert desk.get("/board/units").status_code == 405
    assert desk.get("/board/calendar").status_code == 405
    assert desk.post("/calendar/" + "A" * 43 + ".ics").status_code in (404, 405)


def test_what_is_typed_is_shown_as_it_is_and_runs_nothing(desk: Client) -> None:
    board.bring_in([("<b>RV</b>", {"owner": "<script>x</script>"})])
    shown = page(desk, "?q=%3Cb%3E")

    assert "<script>x" not in shown
    assert "<b>RV</b>" not in shown
    assert "&lt;b&gt;RV&lt;/b&gt;" in shown
