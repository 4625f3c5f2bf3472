"""The return sheet: the eight questions of its screens, races between phones, wrenches, and every line that it owes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from django.test import Client

from web.bay import entry, look, send, taken_in
from web.people import client_of, person
from wheeltapper.cli import main
from wheeltapper.report.refitted import held_besides, owed_here
from wheeltapper.store.models import KeptEntry, KeptVisit
from wheeltapper.web.back import wrenches
from wheeltapper.web.live import Live, live

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
SCREENS = ("back", "back/1-road", "back/wrench")
WHEELS = ("1-road", "1-curb", "2-road", "2-curb")
EVIL = "<script>alert(1)</script>"
TIGHT = {"value": "110 ft-lb", "source": "wheel label", "wrench": "W7", "by": "JT"}
RIGHT: dict[str, Any] = {
    "end_play": "0.003 in", "new_seal": True, "new_pin": True, "faces_clean": True, "seats_match": True, "torque": TIGHT,
    "magnet_volts": "11.9 V", "hub_temperature": "97 F",
}  # fmt: skip
WHOLE: dict[str, Any] = {
    "adjusted": True, "breakaway_locks": True, "plug_volts": "12.4 V", "total_amps": "15.6 A", "bedding_stops": 24, "run_miles": 11,
}  # fmt: skip
WRENCH = {"id": "W7", "doubt": "4 %", "calibrated": "2026-03-02"}


@pytest.fixture
def bay() -> Client:
    """A phone on which a technician is signed in."""
    return client_of(person())


@pytest.fixture
def visit(bay: Client) -> KeptVisit:
    """A tandem, every wheel vouched for."""
    made = taken_in(bay, bolt_pattern="6 on 5.5", studs="1/2-20")
    send(bay, made, *(entry({"corner": [{"position": p, "rest_fine": "JT"}]}) for p in WHEELS))
    return reread(made)


def reread(visit: KeptVisit) -> KeptVisit:
    """The visit as the database has it now."""
    visit.refresh_from_db()
    return visit


def at(visit: KeptVisit, screen: str) -> str:
    """The address of a screen of a visit."""
    return f"/visit/{visit.number}/{screen}"


def page(bay: Client, visit: KeptVisit, screen: str) -> str:
    """A screen as it is drawn."""
    return bay.get(at(visit, screen)).content.decode()


def said(field: str, value: Any, place: str = "trailer") -> dict[str, Any]:
    """One line of the return sheet."""
    here = {field: value} if place == "trailer" else {"wheel": [{"position": place, field: value}]}
    return {"return_sheet": here}


def everything() -> list[dict[str, Any]]:
    """Every line of a whole return sheet."""
    return [said(f, v, p) for p in WHEELS for f, v in RIGHT.items()] + [said(f, v) for f, v in WHOLE.items()]


def now_of(visit: KeptVisit) -> Live:
    """The visit as it stands."""
    return live(reread(visit))


def state(visit: KeptVisit) -> str:
    """Its release state."""
    ex = now_of(visit).examination
    assert ex is not None
    return ex.release.state


@pytest.mark.parametrize("screen", SCREENS)
def test_each_screen_works_and_has_nothing_inline(bay: Client, visit: KeptVisit, screen: str) -> None:
    answer = bay.get(at(visit, screen))
    shown = answer.content.decode()

    assert answer.status_code == 200
    assert "Answers carry: <strong>JT</strong>" in shown
    assert "style=" not in shown
    assert "<script>" not in shown


@pytest.mark.parametrize("screen", SCREENS)
def test_a_visit_that_is_not_there_is_not_found_and_nobody_gets_in_without_signing_in(
    bay: Client, visit: KeptVisit, screen: str
) -> None:
    assert bay.get(f"/visit/26-9999/{screen}").status_code == 404
    assert Client().get(at(visit, screen)).headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("wrong", ["back/3-road", "back/x", "back/trailer", "back/1-road/more"])
def test_a_wheel_that_is_not_there_is_not_found(bay: Client, visit: KeptVisit, wrong: str) -> None:
    assert bay.get(at(visit, wrong)).status_code == 404


def test_roles(visit: KeptVisit) -> None:
    """The bay's own: apprentices too; the counter neither sees nor writes it, and has no link to it."""
    learner = client_of(person("apprentice", "Al Berg", "AB"), "p2")
    desk = client_of(person("counter", "Cy Ray", "CR"), "desk")

    assert [learner.get(at(visit, s)).status_code for s in SCREENS] == [200] * 3
    assert [desk.get(at(visit, s)).status_code for s in SCREENS] == [403] * 3
    assert desk.post(at(visit, "back/wrench"), WRENCH).status_code == 403
    assert send(desk, visit, entry(said("adjusted", True), by="CR"))[0] == 403
    assert at(visit, "back") in learner.get(f"/visit/{visit.number}").content.decode()
    assert at(visit, "back") not in desk.get(f"/visit/{visit.number}").content.decode()


@pytest.mark.parametrize("screen", SCREENS[:2])
def test_a_screen_to_look_at_takes_nothing(bay: Client, visit: KeptVisit, screen: str) -> None:
    assert bay.post(at(visit, screen)).status_code == 405


def test_a_corner_links_here_when_nothing_is_missing_on_it(bay: Client, visit: KeptVisit) -> None:
    bare = taken_in(bay, unit="TF-2")

    assert at(visit, "back/1-road") in page(bay, visit, "wheel/1-road")
    assert at(bare, "back/1-road") not in page(bay, bare, "wheel/1-road")


def test_nothing_is_answered_beforehand_and_nothing_counts_as_done(bay: Client, visit: KeptVisit) -> None:
    """A sheet that nobody began owes every line of every wheel, and no button is pressed."""
    for screen in SCREENS:
        shown = page(bay, visit, screen)
        assert 'aria-pressed="true"' not in shown
        assert " checked" not in shown.replace("not checked", "")
    ex = now_of(visit).examination
    assert ex is not None
    assert [len(owed_here(ex, p)) for p in WHEELS] == [8] * 4
    assert "8 owed" in page(bay, visit, "back")


@pytest.mark.parametrize(
    ("field", "place"), [*((f, "1-road") for f in RIGHT), *((f, "trailer") for f in WHOLE)]
)
def test_each_line_is_owed_until_it_is_entered(bay: Client, visit: KeptVisit, field: str, place: str) -> None:
    """All but one: ready for check. That one too: clear to roll."""
    missing = said(field, RIGHT.get(field, WHOLE.get(field)), place)
    send(bay, visit, *(entry(b) for b in everything() if b != missing))
    assert state(visit) == "ready for check"
    send(bay, visit, entry(missing))
    assert state(visit) == "clear to roll"
    assert "It has left on its wheels" in page(bay, visit, "back")


def test_out_is_offered_only_when_it_is_clear_to_roll(bay: Client, visit: KeptVisit) -> None:
    assert "It has left on its wheels" not in page(bay, visit, "back")
    send(bay, visit, *(entry(b) for b in everything()), entry(said("out", True)))
    assert state(visit) == "out, re-torque due"
    send(bay, visit, entry(said("breakaway_locks", False)))
    assert state(visit) == "held"


def test_a_failure_that_another_phone_entered_after_this_page_was_opened_is_not_replaced(
    bay: Client, visit: KeptVisit
) -> None:
    """What a page stands instead of is what it showed; the other phone's failed line stays and holds."""
    first = entry(said("end_play", "0.003 in", "1-road"))
    send(bay, visit, *(entry(b) for b in everything() if b != said("end_play", "0.003 in", "1-road")), first)
    assert state(visit) == "clear to roll"
    assert f'data-ids="{first["id"]}"' in page(bay, visit, "back/1-road")
    other = client_of(person("technician", "Kim Roe", "KR"), "phone-2")
    send(other, visit, entry(said("end_play", "0.030 in", "1-road"), by="KR", instead_of=[first["id"]]))
    send(bay, visit, entry(said("end_play", "0.004 in", "1-road"), instead_of=[first["id"]]))  # the old page

    assert state(visit) == "held"
    shown = page(bay, visit, "back/1-road")
    assert "Said twice, differently" in shown
    assert "0.004 in and 0.030 in" in shown or "0.030 in and 0.004 in" in shown
    both = [e.entry_id for e in KeptEntry.objects.filter(visit=visit).order_by("-seq")[:2]]
    send(bay, visit, entry(said("end_play", "0.002 in", "1-road"), instead_of=both))
    assert state(visit) == "clear to roll"


def test_a_page_names_only_entries_that_say_nothing_else(bay: Client, visit: KeptVisit) -> None:
    """Else an answer to one line would take other lines away with it."""
    both = entry({"return_sheet": {"adjusted": True, "breakaway_locks": False}})
    send(bay, visit, both)

    assert both["id"] not in page(bay, visit, "back")


def test_two_wheels_that_were_tightened_differ_and_each_bad_number_is_explained(
    bay: Client, visit: KeptVisit
) -> None:
    send(
        bay, visit, entry(said("torque", TIGHT | {"value": "160 ft-lb"}, "1-road")), entry(said("end_play", "0.030 in", "1-road")),
        entry(said("plug_volts", "12.4 V")), entry(said("total_amps", "11.0 A")), entry(said("magnet_volts", "0.3 V", "2-curb")),
        *(entry(said("magnet_volts", "11.9 V", p)) for p in WHEELS[:3]),
        entry(said("hub_temperature", "150 F", "1-road")), entry(said("hub_temperature", "100 F", "1-curb")),
    )  # fmt: skip
    wheel, trailer = page(bay, visit, "back/1-road"), page(bay, visit, "back")

    assert "160 ft-lb on 1/2-20 is outside every published torque" in wheel
    assert "a second person reads the label" in wheel
    assert "outside 0.001 to 0.010 in" in wheel
    assert "Too much: the hub rocks" in wheel
    assert "no feed to 2-curb" in trailer
    assert "only 0.3 V reach the magnet" in page(bay, visit, "back/2-curb")
    assert "2-curb: only 0.3 V reach the magnet" in trailer
    assert "1-road: hub more than 30 F over its axle mate" in trailer
    assert "1-road ran 50 F over 1-curb" in trailer
    assert "50 F over its mate: about" in trailer
    assert state(visit) == "held"


def test_published_values_stand_beside_with_their_sources_and_none_is_picked(
    bay: Client, visit: KeptVisit
) -> None:
    shown = page(bay, visit, "back/1-road")

    assert {"0.001 to 0.005 in", "0.001 to 0.010 in", "50 to 75 ft-lb", "90 to 120 ft-lb", "20 to 25 ft-lb", "50 to 60 ft-lb"} <= {
        text for text in ("0.001 to 0.005 in", "0.001 to 0.010 in", "50 to 75 ft-lb", "90 to 120 ft-lb", "20 to 25 ft-lb", "50 to 60 ft-lb") if text in shown
    }  # fmt: skip
    assert "TMC RP 618" in shown
    assert "wheel-torque tables" in shown
    assert "Order for 6 nuts" in shown


def test_the_second_initial_is_of_another_and_one_s_own_is_none(bay: Client, visit: KeptVisit) -> None:
    person("technician", "Kim Roe", "KR")
    torque = entry(said("torque", TIGHT | {"second": "JT"}, "1-road"))
    rest = [b for b in everything() if b != said("torque", TIGHT, "1-road")]
    send(bay, visit, *(entry(b) for b in rest), torque)

    assert state(visit) == "ready for check"
    shown = page(bay, visit, "back/1-road")
    assert "the second initial is JT&#x27;s own" in shown
    assert 'data-second="KR"' in shown
    assert 'data-second="JT"' not in shown
    send(bay, visit, entry(said("torque", TIGHT | {"second": "KR"}, "1-road"), instead_of=[torque["id"]]))
    assert state(visit) == "clear to roll"


def test_the_wheel_before_is_offered_without_the_names_of_who_tightened_it(
    bay: Client, visit: KeptVisit
) -> None:
    send(
        bay,
        visit,
        entry(said("torque", TIGHT | {"second": "KR", "stages": ["20 to 25 ft-lb", "110 ft-lb"]}, "1-road")),
    )
    shown = page(bay, visit, "back/1-curb")

    assert "Same as 1-road: 110 ft-lb, by the wheel label, star order in 2 stages, wrench W7" in shown
    assert "KR" not in shown.partition('id="nuts"')[2].partition("</button>")[0]


def test_parts_agreed_are_ticked_and_unticked(bay: Client, visit: KeptVisit) -> None:
    """A replace holds until its part is fitted; taken back, it holds again; what was fitted unasked is told."""
    send(bay, visit, entry(look("cap", "damaged")))
    assert "1-road cap: replace not done" in page(bay, visit, "back")
    done = entry({"done": [{"position": "1-road", "part": "cap", "action": "replaced", "by": "JT"}]})
    send(
        bay,
        visit,
        done,
        entry({"done": [{"position": "2-curb", "part": "studs", "action": "replaced", "by": "JT"}]}),
    )
    shown = page(bay, visit, "back")
    assert f'data-part="cap" data-ids="{done["id"]}" data-on="yes"' in shown
    assert "fitted, not agreed" in shown
    ex = now_of(visit).examination
    assert ex is not None
    assert held_besides(ex) == ()
    send(bay, visit, entry({"why": "not fitted after all"}, kind="withdraw", instead_of=[done["id"]]))
    assert "1-road cap: replace not done" in page(bay, visit, "back")


def test_bench_work_is_done_with_its_photo(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry(look("hub face", "paint")))
    row = {"position": "1-road", "part": "hub-face", "action": "dressed", "by": "JT"}
    bare = entry({"done": [row]})
    send(bay, visit, bare)
    assert "done, no after-photo yet" in page(bay, visit, "back")
    assert "no after-photo" in " ".join(now_of(visit).examination.release.because)  # type: ignore[union-attr]
    send(bay, visit, entry({"done": [row | {"after": "0123456789abcdef"}]}, instead_of=[bare["id"]]))
    assert "done, with its photo" in page(bay, visit, "back")


def test_an_adjust_owes_its_adjust_and_no_wheel(bay: Client) -> None:
    visit = taken_in(bay, scope="adjust")
    shown = page(bay, visit, "back")

    assert "brake adjust" in shown
    assert "breakaway" not in shown
    assert "bedding stops" not in shown
    assert "no hub was opened" in page(bay, visit, "back/1-road")


def test_a_wrench_is_put_on_the_list_and_offered_with_its_calibration_day(
    bay: Client, visit: KeptVisit
) -> None:
    assert bay.post(at(visit, "back/wrench?wheel=1-curb"), WRENCH).headers["Location"] == at(
        visit, "back/1-curb"
    )
    assert "W7, calibrated 2 Mar 2026" in page(bay, visit, "back/1-road")
    bay.post(at(visit, "back/wrench"), WRENCH | {"calibrated": "2026-10-01"})
    ex = now_of(visit).examination
    assert ex is not None
    assert [str(g.calibrated) for g in ex.visit.gauge if g.id == "W7"] == ["2026-10-01"]
    later = taken_in(bay, unit="TF-2")
    known = now_of(later).examination
    assert known is not None
    assert [(g.id, here) for g, here in wrenches(known.visit)] == [("W7", False)]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"id": " "}, "it has no name"),
        ({"id": "W" * 41}, "it has no name, or one too long"),
        ({"doubt": "0 %"}, "nothing was picked"),
        ({"calibrated": "2026-13-45"}, "&#x27;2026-13-45&#x27; is not a day"),
        ({"calibrated": "2025-02-29"}, "is not a day"),
        ({"calibrated": "soon"}, "is not a day"),
        ({"calibrated": "2999-01-01"}, "is after this visit"),
    ],
)
def test_a_wrench_that_cannot_be_is_told_and_what_was_typed_stays(
    bay: Client, visit: KeptVisit, typed: dict[str, str], words: str
) -> None:
    before = visit.entries
    answer = bay.post(at(visit, "back/wrench"), WRENCH | typed)
    shown = answer.content.decode()

    assert answer.status_code == 422
    assert words in shown
    assert "To do:" in shown
    assert all(f'value="{v}"' in shown for k, v in (WRENCH | typed).items() if v.strip() and k != "doubt")
    assert reread(visit).entries == before


def test_a_wrench_takes_no_other_gauges_name(bay: Client, visit: KeptVisit) -> None:
    send(bay, visit, entry({"gauge": [{"id": "W7", "kind": "drum gauge", "u": ["0.003 in"]}]}))
    answer = bay.post(at(visit, "back/wrench"), WRENCH)

    assert answer.status_code == 422
    assert "another gauge of this visit" in answer.content.decode()


def test_a_calibration_day_that_is_none_is_refused_from_a_phone_too(bay: Client, visit: KeptVisit) -> None:
    row = {"id": "W9", "kind": "torque wrench", "u": ["4 %"], "calibrated": "2026-13-45"}
    status, answer = send(bay, visit, entry({"gauge": [row]}))

    assert (status, answer["kept"]) == (207, [])
    assert "calibrated" in answer["refused"][0]["what"] or "date" in answer["refused"][0]["what"]


def test_a_visit_file_with_the_same_entries_has_the_same_release_state(
    bay: Client, visit: KeptVisit, tmp_path: Path
) -> None:
    """`examine --json` on the visit as its entries make it: held, then ready for check with what is owed, then clear to roll."""
    extra = [said(f, v, "1-road") for f, v in (("method", "seat while turning"), ("seat_torque", "50 ft-lb"), ("back_off", "1/6 turn"), ("nut", "cone"))]  # fmt: skip
    failed = entry(said("end_play", "0.030 in", "1-road"))
    good = said("end_play", "0.003 in", "1-road")
    rest = [entry(b) for b in [*everything(), *extra] if b not in (good, said("adjusted", True))]
    steps = [[failed, *rest], [entry(good, instead_of=[failed["id"]])], [entry(said("adjusted", True))]]
    states = []
    for batch in steps:
        send(bay, visit, *batch)
        now = now_of(visit)
        assert now.folded.visit is not None
        assert now.examination is not None
        file = tmp_path / "visit.json"
        file.write_text(now.folded.visit.model_dump_json(exclude_unset=True), "utf-8")
        out = CliRunner().invoke(main, ["examine", str(file), "--json"])
        release = json.loads(out.stdout)["release"]
        assert release == {
            "state": now.examination.release.state,
            "because": list(now.examination.release.because),
        }
        states.append((release["state"], release["because"][:1]))

    assert states == [
        ("held", ["1-road: end play 0.030 in is outside 0.001 to 0.010 in"]),
        ("ready for check", ["brakes: adjust not recorded"]),
        ("clear to roll", []),
    ]


def test_what_people_wrote_stays_text(bay: Client, visit: KeptVisit) -> None:
    send(
        bay,
        visit,
        entry(said("method", EVIL, "1-road")),
        entry(said("torque", TIGHT | {"source": EVIL}, "1-road")),
    )
    bay.post(at(visit, "back/wrench"), WRENCH | {"id": "<b>x"})
    shown = page(bay, visit, "back/1-road") + page(bay, visit, "back/1-curb") + page(bay, visit, "back")

    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in shown
    assert EVIL not in shown
    assert "<b>x" not in shown
