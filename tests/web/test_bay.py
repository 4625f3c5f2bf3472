"""The bay's screens: yard, gate, corner, bench, table, walk, why; and the entries that phones send."""

from __future__ import annotations

import pytest
from django.test import Client

from web.bay import GATE, entry, look, send, taken_in
from web.people import client_of, person
from wheeltapper.store.models import KeptEntry, KeptVisit
from wheeltapper.web.corner import missing, stations
from wheeltapper.web.live import live

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
SCREENS = ("/", "/gate", "/visit/{n}", "/visit/{n}/why", "/visit/{n}/wheel/1-road", "/visit/{n}/bench/1-road", "/visit/{n}/bench/trailer",
           "/visit/{n}/walk/1-road/hub-drum")  # fmt: skip


@pytest.fixture
def bay() -> Client:
    """A phone on which a lead is signed in."""
    return client_of(person("lead"))


@pytest.fixture
def visit(bay: Client) -> KeptVisit:
    """A tandem that has rolled in."""
    return taken_in(bay)


@pytest.mark.parametrize("screen", SCREENS)
def test_each_screen_works_and_says_whose_name_answers_carry(
    bay: Client, visit: KeptVisit, screen: str
) -> None:
    answer = bay.get(screen.format(n=visit.number))
    page = answer.content.decode()

    assert answer.status_code == 200
    assert "Answers carry: <strong>JT</strong>" in page
    assert "style=" not in page.replace("font-style=", "")
    assert "<script>" not in page


@pytest.mark.parametrize("screen", SCREENS)
def test_nobody_gets_in_without_signing_in(visit: KeptVisit, screen: str) -> None:
    answer = Client().get(screen.format(n=visit.number))

    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("screen", SCREENS[2:])
def test_a_visit_that_is_not_there_is_not_found(bay: Client, screen: str) -> None:
    assert bay.get(screen.format(n="26-9999")).status_code == 404


@pytest.mark.parametrize(
    "wrong", ["wheel/3-road", "wheel/x", "bench/9-curb", "walk/1-road/sprocket", "walk/7-road/hub-drum"]
)
def test_a_wheel_or_part_that_is_not_there_is_not_found(bay: Client, visit: KeptVisit, wrong: str) -> None:
    assert bay.get(f"/visit/{visit.number}/{wrong}").status_code == 404


@pytest.mark.parametrize(
    "screen", [s for s in SCREENS if s not in {"/gate", "/visit/{n}/walk/1-road/hub-drum"}]
)
def test_a_screen_to_look_at_takes_nothing(bay: Client, visit: KeptVisit, screen: str) -> None:
    assert bay.post(screen.format(n=visit.number)).status_code == 405


def test_entries_are_posted_only(bay: Client, visit: KeptVisit) -> None:
    assert bay.get(f"/visit/{visit.number}/entries").status_code == 405


def test_the_counter_cannot_answer_for_the_bay(visit: KeptVisit) -> None:
    counter = client_of(person("counter", "Al Lee", "AL"), "desk")

    assert counter.get(f"/visit/{visit.number}").status_code == 200
    assert counter.get(f"/visit/{visit.number}/wheel/1-road").status_code == 403
    assert send(counter, visit, entry(look("wheel", "fine"), by="AL"))[0] == 403


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"axles": ""}, "how many axles"), ({"brake": ""}, "what brakes"), ({"unit": " "}, "trailer"), ({"miles": "far"}, "miles"),
     ({"axles": "9"}, "axles"), ({"brake": "steam"}, "brake")],
)  # fmt: skip
def test_a_slip_at_the_gate_keeps_what_was_entered(bay: Client, wrong: dict[str, str], said: str) -> None:
    answer = bay.post("/gate", {**GATE, "complaint": "Pulls to the left <b>", **wrong})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert "Pulls to the left &lt;b&gt;" in page
    assert KeptVisit.objects.count() == 0


def test_the_gate_keeps_what_is_known(bay: Client) -> None:
    visit = taken_in(
        bay,
        miles="31,400",
        quality="hubometer",
        spindle_fitting="true",
        use="salt water",
        axle_rating_lb="5200",
    )
    known = live(visit).folded.visit

    assert known is not None
    assert (known.unit.id, known.unit.axles, known.unit.spindle_fitting, known.unit.use) == (
        "TF-0417",
        2,
        True,
        "salt water",
    )
    assert (known.mileage.now, known.mileage.quality, known.technician) == (31400, "hubometer", "JT")


def test_nothing_is_answered_beforehand(bay: Client, visit: KeptVisit) -> None:
    now = live(visit)

    assert all(
        row.state == "open"
        for p in ("1-road", "2-curb")
        for s in stations(now, p)
        for row in (*s.rows, *s.also)
    )
    assert 'aria-pressed="true"' not in bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()


def test_every_check_that_is_looked_at_has_its_row_once(visit: KeptVisit) -> None:
    now = live(visit)
    rows = [row for s in stations(now, "1-road") for row in (*s.rows, *s.also)]
    here = [
        c for c in now.tables.checks.values() if c.found and "electric drum" in c.brakes and not c.of_trailer
    ]

    assert {r.check.check for r in rows} == {c.check for c in here}
    assert len({r.key for r in rows}) == len(rows) == sum(len(c.places) or 1 for c in here)
    assert all(c.station for c in now.tables.checks.values())


def test_an_answer_is_kept_once_and_shown(bay: Client, visit: KeptVisit) -> None:
    grooves = entry(look("band surface", "grooves"))
    first, again = send(bay, visit, grooves), send(bay, visit, grooves, grooves)

    assert (first[0], again[0]) == (200, 200)
    assert first[1]["kept"] == again[1]["kept"] == [grooves["id"]]
    assert KeptEntry.objects.filter(entry_id=grooves["id"]).count() == 1
    page = bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()
    assert 'id="band-surface"' in page
    assert "grooves <small>JT</small>" in page
    assert "groove depth, deepest" in bay.get(f"/visit/{visit.number}/bench/1-road").content.decode()


def test_a_correction_stands_instead_and_the_first_answer_is_kept(bay: Client, visit: KeptVisit) -> None:
    felt = entry(look("cups", "moves by hand", how="feel", place="inner"))
    send(bay, visit, felt)
    assert any(c.call == "replace" and "F3" in c.because for c in live(reread(visit)).examination.calls)
    send(bay, visit, entry(look("cups", "fine", how="feel", place="inner"), instead_of=[felt["id"]]))

    assert not any("F3" in c.because for c in live(reread(visit)).examination.calls)
    assert KeptEntry.objects.filter(entry_id=felt["id"]).exists()


def reread(visit: KeptVisit) -> KeptVisit:
    """The visit as the database has it now."""
    visit.refresh_from_db()
    return visit


def test_two_phones_that_answer_one_check_both_stand(bay: Client, visit: KeptVisit) -> None:
    other = client_of(person("technician", "Kim Roe", "KR"), "phone-2")
    send(bay, visit, entry(look("seal", "fine")))
    send(other, visit, entry(look("seal", "weeps"), by="KR"))
    row = next(r for s in stations(live(reread(visit)), "1-road") for r in s.rows if r.key == "seal")

    assert (row.state, set(row.by), set(row.found)) == ("finding", {"JT", "KR"}, {"fine", "weeps"})


@pytest.mark.parametrize(
    ("wrong", "said"),
    [({"by": "KR"}, "carries the name KR"), ({"id": "short"}, ""), ({"kind": "gossip"}, ""), ({"at": "yesterday"}, ""),
     ({"body": {"corner": [{"position": "1-road", "look": [{"check": "wheel"}]}]}}, ""), ({"body": {"colour": "red"}}, "")],
)  # fmt: skip
def test_a_wrong_entry_is_refused_with_a_sentence_and_the_others_are_kept(
    bay: Client, visit: KeptVisit, wrong: dict[str, object], said: str
) -> None:
    bad, good = {**entry(look("wheel", "fine")), **wrong}, entry(look("nuts", "fine"))
    status, answer = send(bay, visit, bad, good)

    assert status == 207
    assert answer["kept"] == [good["id"]]
    assert [r["id"] for r in answer["refused"]] == [bad["id"]]
    assert said in answer["refused"][0]["what"]
    assert answer["refused"][0]["do"]


@pytest.mark.parametrize("body", [b"", b"not json", b"[]", b'{"entries": 3}', b'{"entries": ["x", null, 7]}'])
def test_what_is_no_batch_of_entries_is_said_to_be_none(bay: Client, visit: KeptVisit, body: bytes) -> None:
    answer = bay.post(f"/visit/{visit.number}/entries", body, "application/json")

    assert answer.status_code in {422, 207}
    assert answer.json().get("kept", []) == []
    assert KeptEntry.objects.filter(visit=visit, kind="piece").count() == 1


def test_an_entry_of_another_visit_is_not_taken_over(bay: Client, visit: KeptVisit) -> None:
    mine, other = entry(look("wheel", "fine")), taken_in(bay, unit="TF-0500")
    send(bay, visit, mine)
    status, answer = send(bay, other, mine)

    assert (status, answer["kept"]) == (207, [])
    assert "another visit" in answer["refused"][0]["what"]


def test_a_note_with_markup_is_shown_as_text(bay: Client, visit: KeptVisit) -> None:
    send(
        bay,
        visit,
        entry(
            {
                "corner": [
                    {
                        "position": "1-road",
                        "not_checked": [{"check": "wheel", "why": "<script>alert(1)</script>"}],
                    }
                ]
            }
        ),
    )
    page = bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()

    assert "&lt;script&gt;alert(1)" in page
    assert "<script>alert" not in page


def test_a_stricter_call_needs_a_reason_and_a_milder_one_is_not_taken(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry(look("cups", "has spun", how="feel", place="outer")))
    address = f"/visit/{visit.number}/walk/1-road/hub-drum"

    assert (
        "is not stricter" in bay.post(address, {"call": "keep", "why": "looks good to me"}).content.decode()
    )
    send(bay, visit, entry(look("wheel", "fine")))
    wheel = f"/visit/{visit.number}/walk/1-road/wheel"
    nothing = bay.post(wheel, {"call": "replace", "why": ""})
    assert (
        nothing.status_code,
        "has none" in nothing.content.decode() or "it has none" in nothing.content.decode(),
    ) == (422, True)
    assert bay.post(wheel, {"call": "replace", "why": "hairline behind the rim"}).status_code == 302
    call = next(
        c for c in live(reread(visit)).examination.calls if (c.position, c.part) == ("1-road", "wheel")
    )
    assert (call.call, call.persons) == ("replace", ("JT: replace (hairline behind the rim)",))


def test_a_call_leads_back_to_rule_fact_person_and_source(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry(look("cups", "has spun", how="feel", place="outer")))
    page = bay.get(f"/visit/{visit.number}/walk/1-road/hub-drum").content.decode()

    assert all(
        word in page
        for word in (
            "<h3>F3</h3>",
            "It rests on",
            "has spun",
            "felt, JT",
            "Source: a published trade article on wheel-bearing fit: a hub bored",
        )
    )


def test_the_yard_shows_each_wheels_worst_call(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry(look("cups", "has spun", how="feel", place="outer")))
    page = bay.get("/").content.decode()

    assert "TF-0417" in page
    assert "held" in page
    assert "mark: replace" in page


def test_an_apprentices_wheel_is_marked_for_a_second_look(bay: Client, visit: KeptVisit) -> None:
    learner = client_of(person("apprentice", "Lee Fox", "LF"), "phone-3")
    send(learner, visit, entry(look("wheel", "fine"), by="LF"))

    assert live(reread(visit)).folded.visit.learning == ("LF",)
    page = bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()
    assert "Second look due" in page
    send(bay, visit, entry({"second_look": [{"position": "1-road", "by": "JT", "agrees": True}]}))
    assert "Second look due" not in bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()


def test_a_unit_that_comes_back_is_found_by_a_piece_of_its_name_and_brings_its_past(
    bay: Client, visit: KeptVisit
) -> None:
    """Last time's findings are told, what is fixed on the trailer is marked, and its readings come along."""
    gauge = {"gauge": [{"id": "G1", "kind": "drum gauge", "u": ["0.003 in"]}]}
    sized = {"what": "friction diameter", "at": ["mid 0"], "value": ["12.041"], "unit": "in", "gauge": "G1"}
    send(
        bay,
        visit,
        entry(look("band surface", "grooves")),
        entry(gauge),
        entry({"corner": [{"position": "1-road", "reading": [sized]}]}),
    )
    found = bay.get("/gate?q=tfo41").content.decode()  # no dash, and an O for the 0
    form = bay.get("/gate?unit=TF-0417").content.decode()

    assert "TF-0417" in found
    assert "band surface: grooves" in form
    assert 'value="electric drum" checked' in form
    again = taken_in(bay)
    known = live(again).folded.visit
    assert [(p.position, p.value, p.gauge) for p in known.history] == [("1-road", "12.041", "G1")]
    assert all(s.open == len(s.rows) for s in stations(live(again), "1-road"))


def test_a_check_that_was_not_made_is_still_missing(bay: Client, visit: KeptVisit) -> None:
    """The reason is kept; the gap stays."""
    before = missing(live(visit), "1-road")
    why = {"check": "wheel", "why": "part is not here"}
    send(bay, visit, entry({"corner": [{"position": "1-road", "not_checked": [why]}]}))

    assert missing(live(reread(visit)), "1-road") == before
    assert "not checked: part is not here" in bay.get(f"/visit/{visit.number}/wheel/1-road").content.decode()


def test_a_trailer_that_left_is_no_longer_open_work(bay: Client, visit: KeptVisit) -> None:
    """It stands among those that left, with how it left."""
    send(bay, visit, entry({"exit": {"how": "on a hauler", "by": "JT"}}))
    page = bay.get("/").content.decode()

    assert "No trailer is open" in page
    assert "left on a hauler" in page[page.index("Left lately") :]


def test_what_two_entries_say_differently_stands_on_the_table(bay: Client, visit: KeptVisit) -> None:
    """The later counts, and the difference is told."""
    other = {"id": "TF-0417", "axles": 2, "brake": "electric drum", "drum": "10 in"}
    send(bay, visit, entry({"unit": other}, at="2999-01-01T00:00:00.000Z"))
    page = bay.get(f"/visit/{visit.number}").content.decode()

    assert "Said twice, differently" in page
    assert "10 in&#x27; and &#x27;12 in" in page[page.index("Said twice") :]


def test_the_gauges_of_the_last_visits_are_offered_again(bay: Client, visit: KeptVisit) -> None:
    """With the doubt that was written then, before those whose doubt is assumed."""
    send(bay, visit, entry({"gauge": [{"id": "old reliable", "kind": "drum gauge", "u": ["0.002 in"]}]}))
    page = bay.get(f"/visit/{taken_in(bay, unit='TF-0999').number}/bench/1-road").content.decode()

    assert "old reliable, ± 0.002 in</button>" in page
    assert page.index("old reliable") < page.index("micrometer, ± 0.001 in (assumed)")
