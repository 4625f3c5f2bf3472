"""The drawn wheel end, the ruler and the marks: well formed, complete, and readable without colour."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from wheeltapper.report.drawing import call_mark, shown, wheel_end
from wheeltapper.report.drawing_ink import Call
from wheeltapper.report.drawing_ruler import ruler
from wheeltapper.report.sheet import Corner, Ruler
from wheeltapper.words import CALLS, CallWord

pytestmark = pytest.mark.reasoned

SVG = "{http://www.w3.org/2000/svg}"
BRAKES = {
    "electric drum": "hub-drum brake-assembly lining magnet bearing-set seal cap studs nuts wheel hub-face spindle axle supply",
    "hydraulic drum": "hub-drum brake-assembly lining bearing-set seal cap studs nuts wheel hub-face spindle axle supply",
    "hydraulic disc": "rotor pads brake-assembly bearing-set seal cap studs nuts wheel hub-face spindle axle supply",
}
EVERY: tuple[Call, ...] = (*CALLS, None)


def corner(brake: str, call: CallWord) -> Corner:
    return Corner("2-curb", tuple((part, call) for part in BRAKES[brake].split()))


def lettering(svg: str) -> list[str]:
    return [t.text or "" for t in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def without_colour(svg: str) -> str:
    return re.sub(r"#[0-9A-Fa-f]{6}", "", re.sub(r"<title>.*?</title>|aria-label=\"[^\"]*\"", "", svg))


@pytest.mark.parametrize("brake", BRAKES)
@pytest.mark.parametrize("call", CALLS)
def test_every_called_part_is_drawn_and_named(brake: str, call: CallWord) -> None:
    svg = wheel_end(corner(brake, call), brake)
    words = lettering(svg)
    assert shown(brake) == set(BRAKES[brake].split())
    assert set(BRAKES[brake].split()) <= set(words)
    assert "2-curb" in words


@pytest.mark.parametrize("brake", BRAKES)
def test_the_picture_has_an_accessible_name(brake: str) -> None:
    root = ElementTree.fromstring(wheel_end(corner(brake, "replace"), brake))
    title = root.find(f"{SVG}title")
    assert root.get("role") == "img"
    assert title is not None
    assert "wheel: replace" in (title.text or "")


def test_a_clip_path_has_one_name_once() -> None:
    for brake in BRAKES:
        names = re.findall(r'clipPath id="([^"]+)"', wheel_end(corner(brake, "dress"), brake))
        assert names
        assert len(names) == len(set(names))


def test_every_mark_differs_without_its_colour() -> None:
    marks = {without_colour(call_mark(call)) for call in EVERY}
    assert len(marks) == len(EVERY)


def test_every_call_changes_the_drawing_of_one_part_without_its_colour() -> None:
    keep = dict(corner("electric drum", "keep").calls)
    for part in BRAKES["electric drum"].split():
        drawings = {
            without_colour(wheel_end(Corner("1-road", tuple((keep | {part: call}).items())), "electric drum"))
            for call in CALLS
        }
        assert len(drawings) == len(CALLS), part


def test_nobody_looked_is_dashed_and_never_drawn_as_fine() -> None:
    nothing = wheel_end(Corner("1-road", ()), "electric drum")
    assert "nothing looked at yet" in nothing
    assert nothing.count('stroke-dasharray="4.5 2.8"') > 20
    assert without_colour(nothing) != without_colour(
        wheel_end(corner("electric drum", "keep"), "electric drum")
    )


def test_the_same_corner_gives_the_same_text() -> None:
    assert wheel_end(corner("electric drum", "recheck"), "electric drum") == wheel_end(
        corner("electric drum", "recheck"), "electric drum"
    )


def test_a_hostile_position_stays_text() -> None:
    svg = wheel_end(Corner('<b>&"x', ()), "electric drum")
    assert '<b>&"x' in lettering(svg)


def made(now: float, next_share: float | None = None, doubt: float = 0.03) -> Ruler:
    return Ruler("1-road friction diameter", now, doubt, next_share, "10.060 in", "10.000 in", "10.045 in ± 0.003", "10.090 in",
                 "on the part", "inside the limit", "wear rate: not enough to say")  # fmt: skip


@pytest.mark.parametrize("now", [-3.0, 0.0, 0.5, 1.0, 1.1, 7.0])
@pytest.mark.parametrize("ahead", [None, -1.0, 0.1, 0.5, 0.99, 1.3, 9.0])
def test_the_ruler_says_its_numbers_and_stays_on_the_paper(now: float, ahead: float | None) -> None:
    svg = ruler(made(now, ahead))
    assert {"new 10.000 in", "now 10.045 in ± 0.003", "limit 10.090 in"} <= set(lettering(svg))
    assert any("next visit" in w for w in lettering(svg)) == (ahead is not None)
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        assert 0 <= float(text.get("x", "-1")) <= 500
    for x in re.findall(r"[ML](-?[\d.]+) ", svg):
        assert 0 <= float(x) <= 500


def test_the_doubt_bar_is_as_wide_as_twice_the_doubt() -> None:
    def width(doubt: float) -> float:
        return float(re.findall(r'<rect [^>]*width="([\d.]+)"', ruler(made(0.5, doubt=doubt)))[0])

    assert width(0.10) == pytest.approx(2 * width(0.05))


def test_past_the_limit_is_right_of_the_limit() -> None:
    def now(svg: str) -> float:
        return float(re.findall(r'<rect x="([\d.]+)"', svg)[0])

    limit = max(float(x) for x in re.findall(r'd="M([\d.]+) 20L\1 40', ruler(made(1.1, doubt=0.0))))
    assert now(ruler(made(1.1, doubt=0.0))) > limit > now(ruler(made(0.9, doubt=0.0)))
