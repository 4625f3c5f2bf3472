"""The ledger's pages: what they show, for whom, and what they do with what is not there. The eight questions of each screen."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from conftest import ROOT
from kept_unit import START, counted, entry, gate, kept, many, sized
from made_fleet import yard
from web.people import client_of, person
from wheeltapper.store import files, keep, outlook
from wheeltapper.store.models import KeptEntry, KeptVisit, Original
from wheeltapper.web import ledger as screen
from wheeltapper.web import live

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
EVIL = "<script>alert(1)</script>"
DAYS = tuple(START + timedelta(days=180 * k) for k in range(4))
THREAD = ROOT / "tests" / "marks" / "pictures" / "thread.jpg"
OUT: dict[str, Any] = {"exit": {"how": "on a hauler", "by": "T1"}}
LEVEL = {
    "every_s": 0.05,
    "level_db": [0.0, -6.0, -14.0, -22.0, -31.0],
    "tones": [[466.0, 1.0, True], [1047.0, 0.6, False]],
}


@pytest.fixture(autouse=True)
def _nothing_remembered() -> None:
    screen._pages.clear()
    for name in (outlook.NOW, outlook.BEFORE):
        (Path(settings.SHOP_FOLDER) / name).unlink(missing_ok=True)


@pytest.fixture
def desk() -> Client:
    """The counter's PC."""
    return client_of(person("counter", "Cy Ray", "CR"), "desk")


def worn(*sizes: str, **more: Any) -> list[KeptVisit]:
    """One drum read every half year and 6,000 miles."""
    return [
        kept(gate(day, **(counted(1000 + 6000 * k) | more)), sized("1-road", s), OUT)
        for k, (day, s) in enumerate(zip(DAYS, sizes, strict=False))
    ]


def pictured(visit: KeptVisit, position: str = "1-road", check: str = "band line") -> str:
    """A photo of a place; its hash."""
    original = files.kept([THREAD.read_bytes()])
    assert isinstance(original, Original)
    keep.add(
        visit, [entry({"sha256": original.sha256, "position": position, "check": check}, "photo")], "bench"
    )
    live.told(KeptVisit.objects.get(pk=visit.pk))
    return original.sha256


def rung(visit: KeptVisit, verdict: str) -> None:
    """A recording of the drum at 1-road, as the ring test keeps it."""
    ring = {"clip": "tap.wav", "verdict": verdict, "hung": True, "drawn": LEVEL, "good": LEVEL}
    keep.add(visit, [entry({"corner": [{"position": "1-road", "ring": [ring]}]})], "bench")
    live.told(KeptVisit.objects.get(pk=visit.pk))


def text(client: Client, at: str = "/ledger/TF0417") -> str:
    """The page without its markup and pictures."""
    answer = client.get(at)
    assert answer.status_code == 200, answer.content.decode()
    page = re.sub(r"<svg.*?</svg>", " ", answer.content.decode(), flags=re.S)
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def test_a_part_with_its_line_its_check_and_the_basis(desk: Client) -> None:
    """By hand, C7 and C8: 12.010 to 12.030 in 12,000 miles; 12.090 less 12.030 and the gauge's 0.003 leave 34,200 miles, of which
    80 % is 27,360; a fleet's hubs come off at 12,000 miles before that. The date is no later than the distance at its pace."""
    worn("12.010", "12.020", "12.030")
    said = text(desk)

    assert "wears 0.0017 in for each 1,000 miles" in said
    assert "about 34,200 mi left from its last visit" in said
    assert "Next check in 12,000 miles (at 25,000 on its count) or by" in said
    assert "Told from its own records alone" in said
    assert "last read 12.030 in ± 0.003; limit 12.090 in (on the part)" in said.replace("Last", "last")
    assert "13,000 on its own count at the last visit; told by a hubometer." in said
    assert "6,000 mi since the visit before, ± 4 % (a hubometer)" in said


def test_too_little_to_say_says_so(desk: Client) -> None:
    """One record, and two that differ by less than their doubt: no distance, but a date all the same."""
    worn("12.010")
    said = text(desk)
    assert "1 record: its own records do not tell a rate" in said.replace("One record", "1 record")
    assert "Next check by" in said
    worn("12.010", "12.012")
    assert "left from its last visit" not in text(desk)


def test_the_quality_of_the_miles_is_told_and_widens_the_window(desk: Client) -> None:
    """A guess is told as a guess; distances to come carry it; storage counts."""
    for day, miles in ((DAYS[0], 1000), (DAYS[1], 1010)):
        kept(gate(day, **counted(miles, "guess")), OUT)
    said = text(desk)
    assert "told by a guess" in said
    assert "Distances to come are taken as doubtful by ± 60 % (assumed for a guess)" in said
    assert "It stood 6 months: seals, shoes and bearings age without miles." in said


def test_a_window_that_opens_before_the_check_says_to_look_sooner(desk: Client) -> None:
    """The same drum by hubometer and by guess: 80 % of 11,100 miles is 8,500; guessed miles may be half as many again."""
    worn("12.010", "12.030", "12.050")
    sure = text(desk)
    assert "Next check in 8,500 miles" in sure
    assert "it may not last to that check" not in sure
    for k, size in enumerate(("12.010", "12.030", "12.050")):
        guessed = gate(DAYS[k], unit={"id": "XY-9"}, **counted(1000 + 6000 * k, "guess"))
        kept(guessed, sized("1-road", size), OUT)
    said = text(desk, "/ledger/XY-9")
    found = re.search(
        r"reaches the limit between ([\d,]+) mi and ([\d,]+) mi; it may not last to that check: look by ([\d,]+) mi",
        said,
    )

    assert "Next check in 8,500 miles" in said
    assert found is not None
    early, late, by = (int(mi.replace(",", "")) for mi in found.groups())
    assert early == by
    assert (
        12_000 / 1.6 < early < 12_000 / 1.49
    )  # 0.040 in left at a third of a hundredth an inch for each 1,000 miles
    assert late > 12_000 / 0.51


def test_a_band_that_reaches_the_limit_already_says_look_now(desk: Client) -> None:
    """Read 0.002 in short of its limit with a gauge of 0.003: no distance is made of that."""
    worn("12.030", "12.060", "12.088")
    said = text(desk)
    assert "reaches the limit already: look now" in said
    assert "reaches the limit between" not in said


def test_an_exchange_is_asked_about_once_under_whatever_name(desk: Client) -> None:
    """The question stands instead of the plain remark that a part grew back, also where names were written in two ways."""
    for k, (name, road, curb) in enumerate(
        (("TF-0417", "12.060", "12.020"), ("tf 0417", "12.024", "12.065"), ("TF-0417", "12.028", "12.068"))
    ):
        kept(
            gate(DAYS[k], unit={"id": name}, **counted(1000 + 6000 * k)),
            sized("1-road", road),
            sized("1-curb", curb),
            OUT,
        )
    said = text(desk)
    assert said.count("change places?") == 1
    assert "no replacement is on record" not in said


def test_a_replaced_drum_is_told_as_gone_and_the_new_one_as_its_own(desk: Client) -> None:
    new = {"done": [{"position": "1-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]}
    kept(gate(DAYS[0], **counted(1000)), sized("1-road", "12.060"), OUT)
    kept(gate(DAYS[1], **counted(7000)), sized("1-road", "12.080"), new, OUT)
    kept(gate(DAYS[2], **counted(13_000)), sized("1-road", "12.004"), OUT)
    said = text(desk)

    assert (
        f"Another one was fitted by {_day(DAYS[1])}: 2 records, 12.060 in to 12.080 in, over 6,000 mi" in said
    )
    assert "1 reading of the part that is on" in said
    assert f"hub-drum fitted {_day(DAYS[1])}" in said
    assert "Done: 1-road hub-drum: replaced, T1." in said


def _day(day: date) -> str:
    return f"{day.day} {day:%b} {day.year}"


def test_other_axles_stand_in_the_list_and_in_no_line(desk: Client) -> None:
    kept(gate(DAYS[0], unit={"axles": 3}, **counted(1000)), sized("1-road", "12.010"), OUT)
    kept(gate(DAYS[1], **counted(7000)), sized("1-road", "12.020"), OUT)
    said = text(desk)
    assert "Other axles, brakes or drums than now: in no wear line." in said
    assert "1 reading of the part that is on" in said
    assert "see whether it is the same unit" in said.replace("See", "see")


def test_an_odometer_that_went_back_is_asked_about(desk: Client) -> None:
    kept(gate(DAYS[0], **counted(9000)), sized("1-road", "12.010"), OUT)
    kept(gate(DAYS[1], **counted(500)), sized("1-road", "12.020"), OUT)
    said = text(desk)
    assert "the count went back from 9,000 to 500 miles" in said
    assert "1 of 2 visits are joined to the last one by no distance that anybody can vouch for" in said


def test_kilometres_beside_miles_count_for_neither(desk: Client) -> None:
    """6,000 by the count and 9,656 told: the ratio of mile and kilometre."""
    kept(gate(DAYS[0], **counted(1000)), sized("1-road", "12.010"), OUT)
    more = {"mileage": {"now": 7000, "since_last": 9656, "quality": "hubometer"}}
    kept(gate(DAYS[1], **more), sized("1-road", "12.020"), OUT)
    assert "one may be kilometres" in text(desk)


def test_a_shop_that_reads_millimetres_sees_millimetres(desk: Client) -> None:
    """The unit that the last readings were taken in."""
    for k, value in enumerate(("305.05", "305.40", "305.75")):
        body = sized("1-road", value)
        body["corner"][0]["reading"][0]["unit"] = "mm"
        kept(gate(DAYS[k], **counted(1000 + 6000 * k)), body, OUT)
    said = text(desk)
    assert "ast read 305.75 mm ± 0.076" in said
    assert "mm for each 1,000 miles" in said


def test_names_that_are_the_same_unit_and_other_units(desk: Client) -> None:
    """All ways to write it are one page that says so; another unit's visits are on its own."""
    kept(gate(DAYS[0], unit={"id": "tf O4I7"}), sized("1-road", "12.010"), OUT)
    kept(gate(DAYS[1]), sized("1-road", "12.020"), OUT)
    kept(gate(DAYS[1], unit={"id": "XY-9"}), sized("1-road", "12.077"), OUT)
    said = text(desk, "/ledger/tf%20o417")
    assert "Also written tf O4I7: taken for the same trailer." in said
    assert "12.077" not in said
    assert "ledger, 2 visits" in said


def test_what_was_called_done_and_put_off(desk: Client) -> None:
    """The severest call first, with its rule; what the owner put off in the owner's words with the price then."""
    look = {"corner": [{"position": "1-curb", "look": [{"check": "cap", "found": ["missing"]}]}]}
    answer = {
        "position": "1-road",
        "part": "lining",
        "answer": "not now",
        "by": "Mr Hale",
        "said": "after the season",
        "cents": 14_900,
    }
    kept(gate(DAYS[0]), look, {"answer": [answer]}, OUT)
    said = text(desk)
    assert re.search(r"replace 1-curb cap \w+", said)
    assert "Put off: 1-road lining: “after the season”, Mr Hale, $149.00 then" in said


def test_two_drums_that_changed_places_are_asked_about_and_an_answer_is_an_entry(desk: Client) -> None:
    """Yes: both start anew that day, on the record of the last visit under the name of who said so; asked no more."""
    for k, (road, curb) in enumerate((("12.060", "12.020"), ("12.024", "12.065"))):
        kept(gate(DAYS[k], **counted(1000 + 6000 * k)), sized("1-road", road), sized("1-curb", curb), OUT)
    page = desk.get("/ledger/TF0417").content.decode()
    assert "Did 1-road and 1-curb change places?" in page
    assert "Looks swapped with 1-curb" in page
    assert "Looks swapped with 1-road" in page
    name = re.search(r'name="swap" value="([^"]+)"', page)
    assert name is not None
    before = KeptEntry.objects.count()

    assert desk.post("/ledger/TF0417/swapped", {"swap": name[1], "said": "yes"}).status_code == 302
    last = KeptEntry.objects.latest("pk")
    said = text(desk)
    assert KeptEntry.objects.count() == before + 1
    assert (last.by, last.visit) == ("CR", KeptVisit.objects.latest("pk"))
    assert "change places?" not in said
    assert f"hub-drum fitted {_day(DAYS[1])}" in said
    assert desk.post("/ledger/TF0417/swapped", {"swap": name[1], "said": "yes"}).status_code == 422
    assert KeptEntry.objects.count() == before + 1


def test_another_part_at_one_place_alone(desk: Client) -> None:
    """No: only the place that grew back starts anew; the other goes on, worn so fast."""
    for k, (road, curb) in enumerate((("12.060", "12.020"), ("12.024", "12.065"))):
        kept(gate(DAYS[k], **counted(1000 + 6000 * k)), sized("1-road", road), sized("1-curb", curb), OUT)
    said = {"swap": f"{DAYS[1]} 1-road friction diameter", "said": "no"}

    assert desk.post("/ledger/TF0417/swapped", said).status_code == 302
    assert KeptEntry.objects.latest("pk").body.count('"hub-drum"') == 1
    page = text(desk)
    assert "change places?" not in page
    assert "2 readings of the part that is on" in page


def test_a_visit_dated_after_today_is_in_no_line(desk: Client) -> None:
    """A slip of the day: it stands in the list and says why, and what it read moves nothing."""
    worn("12.010", "12.020")
    kept(gate(date.today() + timedelta(days=40), **counted(99_000)), sized("1-road", "12.080"), OUT)
    said = text(desk)
    assert "Dated after today: in no wear line until its day is put right." in said
    assert "12.080" not in said
    assert "7,000 on its own count at the last visit" in said


def test_a_part_fitted_elsewhere_is_told_once_however_often_visits_tell_it(desk: Client) -> None:
    new = {"fitted": [{"position": "1-road", "part": "hub-drum", "date": DAYS[0].isoformat()}]}
    for k, size in enumerate(("12.010", "12.020", "12.030")):
        kept(gate(DAYS[k], **counted(1000 + 6000 * k)), sized("1-road", size), new, OUT)
    said = text(desk)
    assert said.count("hub-drum fitted") == 1
    assert "3 readings of the part that is on" in said


@pytest.mark.parametrize(
    "typed",
    [{}, {"swap": EVIL, "said": "yes"}, {"swap": "2024-01-01 1-road friction diameter", "said": "perhaps"}],
)
def test_an_answer_to_nothing_writes_nothing_and_shows_the_page(desk: Client, typed: dict[str, str]) -> None:
    worn("12.010", "12.020")
    before = KeptEntry.objects.count()
    answer = desk.post("/ledger/TF0417/swapped", typed)
    assert (answer.status_code, KeptEntry.objects.count()) == (422, before)
    assert "To do: look at what is asked now" in answer.content.decode()
    assert EVIL not in answer.content.decode()


def test_two_photos_of_one_place_from_two_visits(desk: Client) -> None:
    """The last two where none are picked; any two that were; a part fitted in between is told."""
    visits = worn("12.010", "12.020", "12.030")
    pictured(visits[0])
    pictured(visits[1])
    assert "1-road band line" in text(desk)
    pictured(visits[2])
    at = "/ledger/TF0417/beside?position=1-road&check=band+line"
    assert f"Then: {_day(DAYS[1])} Now: {_day(DAYS[2])}" in text(desk, at)
    picked = desk.get(f"{at}&then={visits[0].number}&now={visits[2].number}").content.decode()
    assert f'<option value="{visits[0].number}" selected>' in picked
    assert picked.count("?clean") == 2
    assert "may not be the same part" not in picked
    keep.add(
        visits[1],
        [entry({"done": [{"position": "1-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]})],
        "bench",
    )
    assert "hub-drum fitted" in text(desk, at)


def test_one_photo_alone_is_no_pair(desk: Client) -> None:
    visits = worn("12.010", "12.020")
    pictured(visits[0])
    assert "Then and now" not in text(desk)
    assert desk.get("/ledger/TF0417/beside?position=1-road&check=band+line").status_code == 404


def test_two_rings_of_one_drum(desk: Client) -> None:
    """Drawn under each other, with what each was called; alike clears nothing."""
    visits = worn("12.010", "12.020")
    rung(visits[0], "rings like its references")
    rung(visits[1], "inspect")
    assert (
        "/ledger/TF0417/beside?position=1-road&amp;check=ring" in desk.get("/ledger/TF0417").content.decode()
    )
    answer = desk.get("/ledger/TF0417/beside?position=1-road&check=ring").content.decode()
    assert "Then and now: inspect" in answer
    assert "rings like its references" in answer
    assert "clears nothing" in answer


def test_the_shops_records_tell_what_is_ahead_where_they_have_shown_themselves(desk: Client) -> None:
    """Thirty made-up trailers, pooled: their windows stand on the page, for a unit whose name was written in two ways, too."""
    worn("12.010", "12.022", "12.034")
    assert "The shop's records were not gone through together yet" in text(desk).replace("&#x27;", "'")
    for v in yard(1, 30):
        kept(v.model_dump(mode="json", exclude_none=True, exclude_defaults=True))
    kept(gate(DAYS[3], unit={"id": "tf 0417"}, **counted(19_000)), sized("1-road", "12.046"), OUT)
    assert outlook.pool_them(live.tables(), date.today()) is not None
    said = text(desk).replace("&#x27;", "'")

    assert "gone through together on" in said
    assert "Told from this shop's records together, which has shown itself on them." in said
    assert re.search(r"about [\d,]+ mi left from its last visit, 90 % sure of [\d,]+ mi to [\d,]+ mi", said)
    assert "pooled over the shop's records" in said


def test_who_may(desk: Client) -> None:
    """Whoever has the table: lead, counter, owner. The bay is told whom to ask."""
    visits = worn("12.010", "12.020")
    for v in visits:
        pictured(v)
    at = ("/ledger/TF0417", "/ledger/TF0417/beside?position=1-road&check=band+line")
    for role, short, status in (
        ("technician", "KR", 403),
        ("apprentice", "AL", 403),
        ("lead", "LE", 200),
        ("owner", "OW", 200),
    ):
        client = client_of(person(role, f"{role} person", short), short)
        assert [client.get(a).status_code for a in at] == [status, status]
        assert client.post("/ledger/TF0417/swapped").status_code == (403 if status == 403 else 422)
    for a in (*at, "/ledger/TF0417/swapped"):
        assert Client().get(a).headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("unit", ["NOPE", "--", "%3Cscript%3Ealert(1)%3C/script%3E", "x" * 300, "%00"])
def test_a_unit_that_is_not_there_is_not_found(desk: Client, unit: str) -> None:
    worn("12.010")
    for at in (f"/ledger/{unit}", f"/ledger/{unit}/beside"):
        answer = desk.get(at)
        assert answer.status_code == 404
        assert EVIL not in answer.content.decode()
    assert desk.post(f"/ledger/{unit}/swapped").status_code == 404
    assert desk.get("/ledger/").status_code == 404


@pytest.mark.parametrize(
    "query",
    [
        "",
        "?position=9-road&check=band+line",
        "?position=1-road&check=nothing",
        f"?position={EVIL}&check={EVIL}",
    ],
)
def test_a_place_without_pictures_is_not_found(desk: Client, query: str) -> None:
    worn("12.010")
    assert desk.get(f"/ledger/TF0417/beside{query}").status_code == 404


def test_only_asked_for_ways(desk: Client) -> None:
    worn("12.010")
    assert desk.post("/ledger/TF0417").status_code == 405
    assert desk.post("/ledger/TF0417/beside").status_code == 405
    assert desk.get("/ledger/TF0417/swapped").status_code == 405


def test_what_was_typed_cannot_become_markup(desk: Client) -> None:
    """Names, words of owners and people: text, in the page and in its pictures; nothing is inline."""
    answer = {"position": "1-road", "part": "lining", "answer": "not now", "by": EVIL, "said": EVIL}
    done = {"position": "1-road", "part": "lining", "action": EVIL, "by": EVIL}
    kept(
        gate(DAYS[0], unit={"id": f"A {EVIL}"}, technician=EVIL),
        sized("1-road", "12.010"),
        {"answer": [answer], "done": [done]},
        OUT,
    )
    page = desk.get("/ledger/ASCRIPTALERT1SCRIPT").content.decode()
    assert "ledger, 1 visit" in page
    assert EVIL not in page
    assert "style=" not in page
    assert "<script" not in page


def test_every_way_to_it(desk: Client) -> None:
    """From the Yard, from what the gate found, and from the Table, for those who may; by the tag, whatever stands in the name."""
    visit = kept(gate(DAYS[0], unit={"id": "A/B 17"}), sized("1-road", "12.010"))
    bay = client_of(person("technician", "Kim Roe", "KR"), "bay")
    for at in ("/", "/gate?q=17", f"/visit/{visit.number}"):
        assert 'href="/ledger/AB17"' in desk.get(at).content.decode()
        assert "/ledger/" not in bay.get(at).content.decode()
    assert desk.get("/ledger/AB17").status_code == 200


def test_many_visits_fold_the_early_ones_away_and_few_questions_are_shown_at_once(desk: Client) -> None:
    """Twelve visits: eight in sight; each is one link to its table."""
    many(12)
    page = desk.get("/ledger/TF0417").content.decode()
    assert "<summary>4 earlier</summary>" in page
    assert len(set(re.findall(r'href="/visit/([\w-]+)"', page))) == 12


def test_a_page_is_remembered_until_something_moves_on(desk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []
    real = screen.words.page
    monkeypatch.setattr(screen.words, "page", lambda *a: made.append(1) or real(*a))
    visits = worn("12.010", "12.020")
    text(desk)
    text(desk, "/ledger/tf-0417")
    assert made == [1]
    keep.add(visits[1], [entry(sized("1-curb", "12.044"))], "bench")
    assert "12.044" in text(desk)
    assert made == [1, 1]
