"""What the computations say on the sheet: a line where it matters, none where it does not, the same on every face."""

from __future__ import annotations

import json
from typing import Any

import pytest

from conftest import bases, examined, laid_over
from wheeltapper.flow import Examination
from wheeltapper.report.figure import drawn, figure
from wheeltapper.report.pdf import pdf
from wheeltapper.report.record import as_json
from wheeltapper.report.sheet import sheet
from wheeltapper.report.terminal import text
from wheeltapper.report.wording import INCH, MILLIMETRE
from wheeltapper.report.worked import notes

pytestmark = pytest.mark.reasoned
FINE = {"id": "G6", "kind": "bore gauge", "u": "0.0003 in"}


def visit(unit: dict[str, Any], *corners: dict[str, Any], **rest: Any) -> Examination:
    """A tandem with these corners."""
    gauges = [*bases()["tandem-12-6"]["gauge"], FINE]
    whole = {"unit": unit, "corner": [{"rest_fine": "T1", **c} for c in corners], "gauge": gauges, **rest}
    return examined(laid_over(bases()["tandem-12-6"], whole))


def dial(what: str, *values: str, **more: Any) -> dict[str, Any]:
    """A dial reading at 1-road."""
    return {
        "position": "1-road",
        "reading": [{"what": what, "value": list(values), "unit": "in", "gauge": "G3", **more}],
    }


def bore(value: str, at: str = "inner") -> dict[str, Any]:
    """A cup bore at 1-road."""
    return {
        "position": "1-road",
        "reading": [{"what": "cup bore", "at": at, "value": value, "unit": "in", "gauge": "G6"}],
    }


def said(ex: Examination, title: str = "") -> str:
    """All lines of the computations that have this in their title."""
    return " ".join(line for n in notes(ex, INCH) if title in n.title for line in n.lines)


def drawings(ex: Examination) -> int:
    """How many computations get a picture."""
    return sum(figure(w, ex, INCH) is not None for w in ex.findings.worked)


def test_nothing_to_say() -> None:
    """A trailer that is fine has no computations, no lines and no part of the sheet for them."""
    ex = visit({})

    assert ex.findings.worked == ()
    assert "Worked out" not in text(sheet(ex))


def test_a_loose_cup_has_no_press() -> None:
    """Bore 3.2668 less 0.0003 over the largest cup, 3.2660: loose by 0.0005 in or more."""
    ex = visit({"inner_bearing": "25580/25520"}, bore("3.2668"))

    assert "loose by 0.0005 in or more" in said(ex, "cup in its bore, inner")
    assert drawings(ex) == 0


def test_a_tight_cup_in_iron_needs_no_picture() -> None:
    """Bore 3.2625: 3.2650 to 3.2660 less 3.2622 to 3.2628 is 0.0022 to 0.0038 in of press; iron loses none of it."""
    ex = visit({"inner_bearing": "25580/25520"}, bore("3.2625"))

    assert "0.0022 to 0.0038 in of press" in said(ex)
    assert "falls" not in said(ex)
    assert drawings(ex) == 0


def test_aluminium_lets_go() -> None:
    """The same in aluminium: 3.2655 in x 11.3e-6 x 87.1 K = 0.0032 in of it goes at 225 F, drawn as a curve."""
    ex = visit({"inner_bearing": "25580/25520", "hub_material": "aluminium"}, bore("3.2625"))

    assert "falls by 0.0032 in" in said(ex)
    assert drawings(ex) == 1


def test_a_three_lobed_band_is_seen_and_drawn() -> None:
    """r = 0.004 cos 3t at twelve places: out of round by 0.016 in as a diameter, three high places."""
    wave = ("0.004", "0.000", "-0.004", "0.000")
    ex = visit({}, dial("band dial", *(wave * 3)))

    assert "out of round 0.016 in" in said(ex, "friction band by dial")
    assert "mostly three-lobed: furthest out at" in said(ex)
    assert drawings(ex) == 1


def test_a_round_band_has_its_line_and_no_picture() -> None:
    """A thousandth of run-out: one sentence, nothing drawn."""
    ex = visit({}, dial("band dial", "0.001", "0.000", "0.000", "0.000", "0.001", "0.000", "0.000", "0.000"))

    assert "run-out 0.001 in" in said(ex)
    assert drawings(ex) == 0


def test_few_places_say_what_they_cannot_see() -> None:
    """Four places cannot tell an oval from a shift: the sheet says so."""
    ex = visit({}, dial("band dial", "0.001", "0.000", "0.001", "0.000"))

    assert "fewer than 8" in said(ex)
    assert "cannot tell" in said(ex)


def test_a_tilt_is_no_warp() -> None:
    """A face that only tilts is flat; two lobes are not, and their high places are named."""
    tilt = dial(
        "hub face dial",
        "0.0120",
        "0.0085",
        "0.0000",
        "-0.0085",
        "-0.0120",
        "-0.0085",
        "0.0000",
        "0.0085",
        radius="2.75 in",
    )
    lobes = dial(
        "hub face dial",
        "0.006",
        "0.000",
        "-0.006",
        "0.000",
        "0.006",
        "0.000",
        "-0.006",
        "0.000",
        radius="2.75 in",
    )

    assert "flat within 0.000 in" in said(visit({}, tilt))
    assert "tilt" in said(visit({}, tilt))
    assert "flat within 0.012 in" in said(visit({}, lobes))
    assert "High at 12:00 and 6:00, low at 3:00 and 9:00" in said(visit({}, lobes))


def test_diameters_that_differ_name_the_long_axis() -> None:
    """12.030, 12.036, 12.042, 12.036 at 0, 45, 90, 135: the long axis lies across, and odd lobes stay unseen."""
    sizes = {"position": "1-road", "reading": [{"what": "friction diameter", "value": ["12.030", "12.036", "12.042", "12.036"], "unit": "in", "gauge": "G1"}]}  # fmt: skip
    ex = visit({}, sizes)

    assert "differ by 0.012 in" in said(ex)
    assert "3:00" in said(ex)
    assert "no three-lobed form" in said(ex)


@pytest.mark.parametrize(
    ("torque", "unit", "words"),
    [
        (
            "110 ft-lb",
            {"studs": "1/2-20", "nut": "cone", "wheel": "14 to 16 in"},
            "is inside the published 90 to 120 ft-lb",
        ),
        ("110 ft-lb", {"studs": "9/16-18"}, "differ: 90 to 120 ft-lb"),
        ("160 ft-lb", {"studs": "9/16-18"}, "outside every published torque"),
        ("300 ft-lb", {"studs": "5/8-18", "nut": "cone"}, "outside every published torque"),
        ("300 ft-lb", {"studs": "5/8-18", "nut": "flange"}, "is inside the published 275 to 325 ft-lb"),
        ("90 ft-lb", {"studs": "M12x1.5"}, "no torque is published here for this stud"),
        ("90 ft-lb", {"studs": None}, "the stud is not on the visit"),
    ],
)
def test_torque_beside_what_is_published(torque: str, unit: dict[str, str], words: str) -> None:
    """Inside, outside, or beside rows that differ: the value stands beside all that is published, and none is picked."""
    wheel = {"position": "1-road", "torque": {"value": torque, "source": "label", "wrench": "W1", "by": "T1"}}
    ex = visit(unit, return_sheet={"wheel": [wheel]})

    assert words in said(ex, "torque")
    assert any("a second person reads the label" in why for why in ex.release.because) == ("outside" in words)


def test_a_second_initial_settles_an_unusual_torque() -> None:
    """A value outside the published rows stands once a second person has read the label."""
    torque = {"value": "160 ft-lb", "source": "label", "wrench": "W1", "by": "T1", "second": "T2"}
    ex = visit({"studs": "9/16-18"}, return_sheet={"wheel": [{"position": "1-road", "torque": torque}]})

    assert not any("second person" in why for why in ex.release.because)


def test_a_turned_nut_has_lost_clamp() -> None:
    """Twenty degrees on 1/2-20: a part of 1.27 mm x 20 / 360 of stretch is gone, and the sheet says how much clamp."""
    item = {"what": "retorque", "due": 10, "done": 12, "moved": True, "turned": "20 deg"}
    ex = visit({"studs": "1/2-20"}, follow_up=[item])

    assert "turned 20°" in said(ex, "nut that turned")
    assert "lbf" in said(ex, "nut that turned")


def test_paint_takes_clamp() -> None:
    """Paint on a face: what it takes of the clamp as it flows out, beside what the torque makes."""
    ex = visit({"studs": "1/2-20"}, {"position": "1-road", "look": [{"check": "hub face", "found": "paint"}]})

    assert "Paint of 0.0010 to 0.0030 in" in said(ex, "paint under the clamp")
    assert "of the 6,000 lbf to 19,200 lbf that the published torques make" in said(ex)


@pytest.mark.parametrize(
    ("play", "words"), [("0.004 in", ""), ("0.007 in", "past another"), ("0.012 in", "")]
)
def test_end_play_between_two_published_ranges(play: str, words: str) -> None:
    """Inside both ranges: silence. Inside one only: both are shown. Past both: the return sheet has failed already."""
    ex = visit({}, return_sheet={"wheel": [{"position": "1-road", "end_play": play}]})

    assert words in said(ex, "end play")
    assert bool(words) == bool(said(ex, "end play"))


def test_a_hub_over_its_mate() -> None:
    """150 F against 100 F: 27.8 K x 20 to 60 W/m2K x 0.1 to 0.2 m2 is 56 to 333 W more."""
    wheels = [
        {"position": "1-road", "hub_temperature": "150 F"},
        {"position": "1-curb", "hub_temperature": "100 F"},
    ]
    ex = visit({}, return_sheet={"wheel": wheels})

    assert "50 F over its mate: about 56 to 333 W more" in said(ex, "hub against its mate")


def test_where_the_current_goes() -> None:
    """Three of four 3.2 ohm magnets at 12.4 V draw 11.6 A: one dead leg of four explains it, and where to measure next."""
    corners = [
        {
            "position": p,
            "reading": [{"what": "magnet resistance", "value": "3.2", "unit": "ohm", "gauge": "G5"}],
        }
        for p in ("1-road", "1-curb", "2-road", "2-curb")
    ]
    amps = [
        {"what": "total amps", "value": "11.6", "unit": "A", "gauge": "G5"},
        {"what": "volts at plug", "value": "12.4", "unit": "V", "gauge": "G5"},
    ]
    ex = visit({}, *corners, reading=amps)

    assert "2.90 A for each brake" in said(ex, "where the current goes")
    assert "Only one thing" not in said(ex)
    assert "no feed to one of 1-road, 1-curb, 2-road and 2-curb" in said(ex)
    assert "Measure the volts at the magnet of" in said(ex)


def test_a_weak_leg_beside_its_wire() -> None:
    """8.2 of 12.4 V over 3.2 ohm: 4.2 V at 2.56 A is 1.64 ohm, far more than 30 ft of 12 AWG."""
    corner = {
        "position": "1-road",
        "reading": [
            {"what": "magnet resistance", "value": "3.2", "unit": "ohm", "gauge": "G5"},
            {"what": "volts at magnet", "value": "8.2", "unit": "V", "gauge": "G5"},
        ],
    }
    plug = [{"what": "volts at plug", "value": "12.4", "unit": "V", "gauge": "G5"}]
    ex = visit({"wire_awg": 12, "wire_feet": 30}, corner, reading=plug)

    assert "1.64 ohm" in said(ex, "feed of this magnet")
    assert "a splice, ground or plug takes the rest" in said(ex)


def test_a_colour_asks_how_it_was_braked() -> None:
    """Blue without a story: the range of the colour, its caution, and the question."""
    ex = visit({}, {"position": "1-road", "look": [{"check": "heat colour", "found": "blue on the band"}]})

    assert "540 F or more, up to 650 F; on cast iron only a rough guide" in said(ex, "heat colour")
    assert "Ask how it was braked" in said(ex)


def test_a_tinted_bearing_has_spent_its_grease() -> None:
    """A colour on a bearing: 400 F or more, where lithium grease ends at 121 C, 250 F. No question about braking."""
    bad = {"position": "1-road", "look": [{"check": "bearings", "place": "inner", "found": "heat tint"}]}
    ex = visit({}, bad)

    assert "400 F or more: a nitrile seal and lithium grease give up near 250 F" in said(ex, "heat colour")
    assert "braked" not in said(ex)


def test_a_bad_bearing_beside_its_life() -> None:
    """25580 under 3,000 lb a wheel lasts far longer than any trailer runs: load did not wear it out."""
    bad = {"position": "1-road", "look": [{"check": "bearings", "place": "inner", "found": "etched"}]}
    unit = {
        "inner_bearing": "25580/25520",
        "outer_bearing": "15123/15245",
        "axle_rating_lb": 6000,
        "tire_radius": "14.5 in",
    }
    ex = visit(unit, bad)

    assert "ISO 281, L10" in said(ex, "bearing life")
    assert "load alone did not wear it out" in said(ex)


def test_shoes_against_a_worn_drum() -> None:
    """A drum 0.095 over goes; its old shoes would stand off the crown of a new one by part of 0.0475 in."""
    drum = {
        "position": "1-road",
        "reading": [{"what": "friction diameter", "value": "12.095", "unit": "in", "gauge": "G1"}],
    }
    ex = visit({}, drum)

    assert "sit on heel and toe" in said(ex, "shoes against drum")


def test_every_face_says_the_same() -> None:
    """Terminal, JSON and PDF carry the lines; the JSON has the results in SI; the PDF draws the figure."""
    wave = ("0.004", "0.000", "-0.004", "0.000")
    ex = visit({}, dial("band dial", *(wave * 3)))
    data = json.loads(as_json(ex))["worked"]
    shown = sheet(ex).worked

    assert [row["what"] for row in data] == ["band"]
    assert data[0]["results"]["zone_m"] == pytest.approx(0.008 * 0.0254, rel=1e-9)
    assert tuple(data[0]["say"]) == shown[0].lines
    assert shown[0].lines[0][:20] in text(sheet(ex))
    assert shown[0].figure is not None
    assert drawn(shown[0].figure).startswith("<svg")
    assert pdf(sheet(ex)).startswith(b"%PDF")


def test_millimetres_for_a_metric_reader() -> None:
    """The same cup for a reader of millimetres: 0.0022 in is 0.056 mm, torque in N m."""
    ex = visit({"inner_bearing": "25580/25520"}, bore("3.2625"))
    lines = " ".join(notes(ex, MILLIMETRE)[0].lines)

    assert "0.056 to 0.097 mm of press" in lines
    assert "N m" in lines


def hot(**braking: Any) -> str:
    """What is said of a blue band after this braking, 7,000 lb on four brakes."""
    corner = {"position": "1-road", "look": [{"check": "heat colour", "found": "blue on the band"}]}
    return said(visit({"loaded_lb": 7000}, corner, braking=braking), "heat colour")


def test_stops_without_a_pause_are_a_story_too() -> None:
    """No minutes between stops, or none written down, is told like any other braking."""
    assert "the braking described makes" in hot(stops=10, from_mph=60, minutes_apart=0)
    assert "the braking described makes" in hot(stops=10, from_mph=60)
    assert hot(stops=10, from_mph=60, minutes_apart=0) == hot(stops=10, from_mph=60)


def test_a_story_no_lining_lives_through_explains_nothing() -> None:
    """A hundred stops from 60 mph without a pause: 20 K each at the least, over 1,100 K in all; that is asked about, and no cause leans on it."""
    assert "more than any lining lives through" in hot(stops=100, from_mph=60, minutes_apart=0)
    assert "explains it" not in hot(stops=100, from_mph=60, minutes_apart=0)


def test_a_dial_names_the_circle_and_the_centre() -> None:
    """A dished face is high all round one circle and low all round the other, named from stud 1 on; a centred band gets no direction."""
    dished = {
        "position": "1-road",
        "reading": [
            {
                "what": "hub face dial",
                "value": ["0.009"] * 8,
                "unit": "in",
                "gauge": "G3",
                "radius": "2.0 in",
            },
            {"what": "hub face dial", "value": ["0"] * 8, "unit": "in", "gauge": "G3", "radius": "3.0 in"},
        ],
    }
    oval = dial("band dial", "0.004", "0", "-0.004", "0", "0.004", "0", "-0.004", "0")
    many = dial("band dial", *["0.004", "-0.004"] * 8)

    assert "High at 12:00 inner" in said(visit({}, dished))
    assert "low at 12:00 outer" in said(visit({}, dished))
    assert "on centre inside the dial's doubt" in said(visit({}, oval))
    assert "mostly oval" in said(visit({}, oval))
    assert "no simple form" in said(visit({}, many))


def test_a_cup_that_moves_is_not_held_by_a_number() -> None:
    """A press by the numbers beside a cup that moves by hand: the hand decides, and the sheet says so."""
    moving = bore("3.2630") | {"feel": [{"check": "cups", "place": "inner", "found": "moves by hand"}]}

    assert "that decides, whatever the gauge says" in said(visit({"inner_bearing": "25580/25520"}, moving))
    assert "that decides" not in said(visit({"inner_bearing": "25580/25520"}, bore("3.2630")))
