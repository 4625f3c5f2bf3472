"""A sheet of paper typed in: what is kept is what taps would have kept, in the writer's name; and the eight questions."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pypdf import PdfReader

from web.bay import entry, look, send, taken_in
from web.people import client_of, person
from web.trailer import THREAD
from wheeltapper.findings.numbered import WHY_NOT, rows_of
from wheeltapper.store import find
from wheeltapper.store.models import KeptVisit
from wheeltapper.web.bench import slots_of
from wheeltapper.web.corner import stations
from wheeltapper.web.live import live, told

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
EVIL = "<script>alert(1)</script>"
HEAD = {"writer": "KR", "date": "2026-11-20", "unit-length": "in", "unit-temperature": "F"}
KINDS = (("electric drum", "12 in"), ("hydraulic drum", "10 in"), ("hydraulic disc", ""))


@pytest.fixture
def bay() -> Client:
    """Jo types; Kim wrote."""
    person("technician", "Kim Roe", "KR")
    return client_of(person("lead"))


@pytest.fixture
def visit(bay: Client) -> KeptVisit:
    """A tandem with electric drum brakes."""
    return taken_in(bay)


def at(visit: KeptVisit, position: str = "1-road") -> str:
    """The address of a sheet."""
    return f"/visit/{visit.number}/from-paper/{position}"


def numbered(visit: KeptVisit) -> dict[str, int]:
    """The numbers of a wheel's rows by their names."""
    now = live(visit)
    assert now.folded.visit is not None
    return {r.said: r.number for r in rows_of(now.folded.visit, now.tables)}


def hidden(client: Client, visit: KeptVisit, position: str = "1-road") -> dict[str, str]:
    """What a fresh page carries along."""
    page = client.get(at(visit, position)).content.decode()
    return {n: re.search(f'name="{n}" value="([^"]*)"', page)[1] for n in ("page", "at", "photo_kept")}  # type: ignore[index]


def put(client: Client, visit: KeptVisit, typed: dict[str, Any], position: str = "1-road") -> Any:
    """Send a sheet."""
    return client.post(at(visit, position), hidden(client, visit, position) | HEAD | typed)


def corner_of(visit: KeptVisit, position: str = "1-road") -> dict[str, Any]:
    """What stands of a wheel."""
    visit.refresh_from_db()
    known = told(visit).folded.visit
    assert known is not None
    return next((c.model_dump(exclude_defaults=True) for c in known.corner if c.position == position), {})


@pytest.mark.parametrize(("brake", "drum"), KINDS)
def test_the_paper_has_the_very_rows_of_the_screens(bay: Client, brake: str, drum: str) -> None:
    """Second way: the order of the wheel's page and of the bench, every check of this kind of brake once."""
    visit = taken_in(bay, brake=brake, drum=drum)
    now = live(visit)
    assert now.folded.visit is not None
    rows = rows_of(now.folded.visit, now.tables)
    screen = [(r.name, r.place) for s in stations(now, "1-road") for r in (*s.rows, *s.also)]

    assert [(r.check.check, r.place) for r in rows if not r.at] == screen
    assert [r.number for r in rows] == list(range(1, len(rows) + 1))
    bench = [(s.check, s.at) for s in slots_of(now, "1-road")]
    paper = [(r.check.check, a) for r in rows if r.at for a in r.at if not r.check.only_if]
    assert paper == bench
    here = {c.check for c in now.tables.checks.values() if brake in c.brakes and not c.of_trailer}
    assert {r.check.check for r in rows} == here


def test_a_check_s_number_does_not_hang_on_the_kind_of_visit(bay: Client) -> None:
    whole, adjust = (live(taken_in(bay, scope=s)) for s in ("hub service", "adjust"))
    assert whole.folded.visit is not None
    assert adjust.folded.visit is not None
    numbers = {r.said: r.number for r in rows_of(whole.folded.visit, whole.tables)}
    fewer = {r.said: r.number for r in rows_of(adjust.folded.visit, adjust.tables)}

    assert 0 < len(fewer) < len(numbers)
    assert fewer == {k: numbers[k] for k in fewer}


def test_a_wheel_typed_in_is_the_wheel_tapped(bay: Client, visit: KeptVisit) -> None:
    n, tapped = numbered(visit), taken_in(bay, unit="TF-0999")
    typed = {f"r{i}": "f" for name, i in n.items() if name in ("cap", "nuts", "hub", "hard spots")}
    typed |= {f"r{n['band surface']}": "2", f"r{n['bearings, inner']}": "13", f"r{n['seal']}": "nb"}
    diameter = n["friction diameter"]
    typed |= {f"r{diameter}.{i}": d for i, d in enumerate(("055", "056", "12.054", "055", "060", "058"))}
    typed |= {f"r{n['most allowed, cast in the drum']}.0": "090", f"g{diameter}": "drum gauge"}
    typed |= {f"r{n['magnet resistance']}.0": "3.2", f"g{n['magnet resistance']}": "meter", "rest": "yes"}

    assert put(bay, visit, typed).status_code == 302
    by = {"by": "KR"}
    taps = [entry(look(c, "fine", **by)) for c in ("cap", "nuts", "hub")]
    taps += [entry(look("hard spots", "fine", how="feel", **by))]
    taps += [
        entry(look("band surface", "grooves", **by)),
        entry(look("bearings", "pitted or flaked", "heat tint", place="inner", **by)),
    ]
    taps += [
        entry(
            {"corner": [{"position": "1-road", "not_checked": [{"check": "seal", "why": WHY_NOT[1], **by}]}]}
        )
    ]
    places = zip(
        ("mid 0", "mid 45", "mid 90", "mid 135", "open", "closed"),
        ("055", "056", "054", "055", "060", "058"),
        strict=True,
    )
    taps += [entry(reading("friction diameter", a, f"12.{d}", "in", "drum gauge")) for a, d in places]
    taps += [entry(reading("magnet resistance", "coil", "3.2", "ohm", "meter"))]
    taps += [entry({"corner": [{"position": "1-road", "rest_fine": "KR"}]})]
    assert send(bay, tapped, *taps)[0] == 200
    a, b = corner_of(visit), corner_of(tapped)
    for how in ("look", "feel", "reading"):
        assert {r.pop("note") for r in a[how]} == {"from paper of 20 Nov 2026"}
        key = str
        assert sorted(a.pop(how), key=key) == sorted(b.pop(how), key=key)
    assert a == b
    known = live(visit).folded.visit
    assert known is not None
    assert [(x.value, x.grade, x.position) for x in known.limit] == [("12.090", "on the part", "1-road")]
    assert {g.id for g in known.gauge} == {"drum gauge", "meter"}


def reading(what: str, where: str, value: str, unit: str, gauge: str) -> dict[str, Any]:
    """As the bench's page sends it."""
    row = {"what": what, "at": [where], "value": [value], "unit": unit, "gauge": gauge, "by": "KR"}
    return {"corner": [{"position": "1-road", "reading": [row]}]}


def test_the_entries_are_by_who_types_and_the_answers_by_who_wrote(bay: Client, visit: KeptVisit) -> None:
    put(bay, visit, {"r1": "f"})
    last = find.entries(visit)[-1]

    assert last.by == "JT"
    assert last.body["corner"][0]["look"][0]["by"] == "KR"
    visit.refresh_from_db()
    assert live(visit).answers["1-road"]["wheel", ""][0].by == "KR"


def test_what_is_left_empty_stays_not_looked_at(bay: Client, visit: KeptVisit) -> None:
    put(bay, visit, {"r1": "f"})
    visit.refresh_from_db()
    states = [r.state for s in stations(told(visit), "1-road") for r in s.rows]

    assert states.count("fine") == 1
    assert set(states) == {"fine", "open"}


def test_the_same_page_twice_is_kept_once(bay: Client, visit: KeptVisit) -> None:
    sheet = hidden(bay, visit) | HEAD | {"r1": "f", "r3": "1"}
    assert bay.post(at(visit), sheet).status_code == 302
    many = len(find.entries(visit))
    assert bay.post(at(visit), sheet).status_code == 302
    assert len(find.entries(visit)) == many

    other = bay.post(at(visit), sheet | {"r1": "2"})
    assert other.status_code == 422
    assert "said something else" in other.content.decode()
    assert len(find.entries(visit)) == many


def test_a_slip_keeps_nothing_and_loses_nothing(bay: Client, visit: KeptVisit) -> None:
    n, before = numbered(visit), len(find.entries(visit))
    diameter = n["friction diameter"]
    typed = {"r1": "f", "r2": "x7", f"r{diameter}.0": "955", f"g{diameter}": "drum gauge"}
    photo = SimpleUploadedFile("p.jpg", THREAD.read_bytes(), "image/jpeg")
    answer = put(bay, visit, typed | {"photo": photo})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert len(find.entries(visit)) == before
    assert "1-road, row 2, nuts" in page
    assert "12.955 cannot be right: 11.99 to 12.25 in is possible" in page
    for name, value in (("r1", "f"), ("r2", "x7"), (f"r{diameter}.0", "955")):
        assert re.search(f'name="{re.escape(name)}" value="{value}"', page)
    assert "<option selected>drum gauge</option>" in page
    carried = {k: re.search(f'name="{k}" value="([^"]*)"', page)[1] for k in ("page", "at", "photo_kept")}  # type: ignore[index]
    good = HEAD | typed | carried | {"r2": "f", f"r{diameter}.0": "055"}
    assert bay.post(at(visit), good).status_code == 302
    last = find.entries(visit)[-1]
    assert (last.kind, last.body["sha256"], last.body["said"]) == (
        "photo",
        carried["photo_kept"],
        "from paper of 20 Nov 2026, written by KR",
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"r1": "f", "writer": ""}, "nobody is picked"),
        ({"r1": "f", "writer": EVIL}, "nobody is picked"),
        ({"r1": "f", "date": ""}, "missing or still to come"),
        ({"r1": "f", "date": "2199-01-01"}, "missing or still to come"),
        ({"r1": "f", "date": "2026-02-30"}, "missing or still to come"),
        ({}, "nothing is typed"),
        ({"r1": "n"}, "is no answer to it"),
        ({"r1": "nz"}, "is no answer to it"),
        ({"r1": "f1"}, "is no answer to it"),
        ({"r1": "9"}, "is no answer to it"),
        ({"r1": "²"}, "is no answer to it"),
        ({"r35.0": "055", "g35": "drum gauge", "unit-length": ""}, "which unit the gauge showed"),
        ({"r35.0": "055"}, "not said with which gauge"),
        ({"r35.0": "055", "g35": EVIL}, "not said with which gauge"),
        ({"r35.0": "55", "g35": "drum gauge"}, "2 digits after the printed 12., not 3"),
        ({"r35.0": "nan", "g35": "drum gauge"}, "is no number"),
        ({"r35.0": "1e1", "g35": "drum gauge"}, "is no number"),
        ({"r41.0": "32", "g41": "meter"}, "'32' has no point, and the paper has one between its boxes"),
        ({"r1": "f", "at": "yesterday"}, "did not arrive whole"),
    ],
)  # fmt: skip
def test_bad_input(bay: Client, visit: KeptVisit, typed: dict[str, str], said: str) -> None:
    before = len(find.entries(visit))
    answer = put(bay, visit, typed)

    assert answer.status_code == 422
    assert said in answer.content.decode().replace("&#x27;", "'")
    assert EVIL not in answer.content.decode()
    assert len(find.entries(visit)) == before


def test_a_drum_of_unknown_size_is_asked_about_first(bay: Client) -> None:
    visit = taken_in(bay, drum="")
    answer = put(bay, visit, {"r35.0": "055", "g35": "drum gauge"})

    assert answer.status_code == 422
    assert "the nominal size of its drum is not known" in answer.content.decode()


def test_a_file_that_is_no_photo(bay: Client, visit: KeptVisit) -> None:
    answer = put(
        bay,
        visit,
        {"r1": "f", "photo": SimpleUploadedFile("p.jpg", b"no picture at all, really", "image/jpeg")},
    )

    assert answer.status_code == 422


def test_open_coil_dial_and_trailer(bay: Client, visit: KeptVisit) -> None:
    n = numbered(visit)
    coil, dial = n["magnet resistance"], n["band dial"]
    typed = {
        f"r{coil}.0": "o",
        f"g{coil}": "meter",
        f"r{dial}.0": "004",
        f"r{dial}.1": "-012",
        f"g{dial}": "dial indicator",
    }
    assert put(bay, visit, typed).status_code == 302
    read = {(r["what"], r["at"][0]): r["value"][0] for r in corner_of(visit)["reading"]}
    assert read == {
        ("magnet resistance", "coil"): "open",
        ("band dial", "0"): "0.004",
        ("band dial", "45"): "-0.012",
    }

    assert put(bay, visit, {"r201.0": "12.6", "g201": "meter"}, "trailer").status_code == 302
    visit.refresh_from_db()
    known = told(visit).folded.visit
    assert known is not None
    assert [(r.what, r.value) for r in known.reading] == [("volts at plug", ("12.6",))]


def test_a_paper_by_somebody_who_is_still_learning_gets_a_second_look(bay: Client, visit: KeptVisit) -> None:
    person("apprentice", "Al Berg", "AB")
    put(bay, visit, {"r1": "f", "writer": "AB"})
    visit.refresh_from_db()
    known = told(visit).folded.visit

    assert known is not None
    assert known.learning == ("AB",)


def test_who_is_still_learning_types_in_only_their_own(visit: KeptVisit) -> None:
    learner = client_of(person("apprentice", "Al Berg", "AB"), "phone-2")

    assert put(learner, visit, {"r1": "f"}).status_code == 422
    assert put(learner, visit, {"r1": "f", "writer": "AB"}).status_code == 302


@pytest.mark.parametrize(
    ("role", "may"),
    [("apprentice", True), ("technician", True), ("lead", True), ("counter", False), ("owner", True)],
)
def test_role(visit: KeptVisit, role: str, may: bool) -> None:
    client = client_of(person(role, "Some One", "SO"), "phone-3")

    assert client.get(at(visit)).status_code == (200 if may else 403)
    assert client.post(at(visit), {}).status_code == (422 if may else 403)


def test_another_shop_bad_id_missing_id_and_method(bay: Client, visit: KeptVisit) -> None:
    assert Client().get(at(visit)).headers["Location"].startswith("/sign-in")
    for there in (
        "/visit/26-9999/from-paper/1-road",
        at(visit, "9-road"),
        at(visit, EVIL),
        "/visit/%00/from-paper/1-road",
    ):
        assert bay.get(there).status_code == 404, there
    assert bay.put(at(visit)).status_code == 405
    assert bay.delete(at(visit)).status_code == 405


def test_what_is_there_already_is_shown_and_nothing_is_filled_in(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry(look("cap", "missing")))
    page = bay.get(at(visit)).content.decode()

    assert "stands already: missing" in page
    values = re.findall(r'name="r[0-9.]+" value="([^"]*)"', page)
    assert set(values) == {""}
    assert "checked" not in re.findall(r'<input type="checkbox"[^>]*>', page)[0].replace(
        'type="checkbox"', ""
    )


@pytest.mark.parametrize(("size", "points"), [("letter", 612), ("a4", 595)])
def test_the_paper_is_printed_from_the_page_too(
    bay: Client, visit: KeptVisit, size: str, points: int
) -> None:
    """With what was found at the visit before; US Letter is 612 points wide (8.5 in of 72), A4 595 (ISO 216, 210 mm)."""
    send(bay, visit, entry(look("rim and chamfer", "ridge at the lip")))
    again = taken_in(bay)
    answer = bay.get(f"/visit/{again.number}/paper.pdf?paper={size}")
    pdf = PdfReader(BytesIO(answer.content))

    assert answer["Content-Type"] == "application/pdf"
    assert round(float(pdf.pages[0].mediabox.width)) == points
    assert len(pdf.pages) == 9
    assert "Last here" in pdf.pages[0].extract_text()
    assert f"/visit/{again.number}/paper.pdf" in bay.get(at(again)).content.decode()


def test_nobody_prints_a_visit_that_is_not_there(bay: Client, visit: KeptVisit) -> None:
    assert bay.get("/visit/26-9999/paper.pdf").status_code == 404
    assert bay.post(f"/visit/{visit.number}/paper.pdf").status_code == 405
    counter = client_of(person("counter", "Cy Ray", "CR"), "desk")
    assert counter.get(f"/visit/{visit.number}/paper.pdf").status_code == 403
