"""The round trace, the face map and the curve: through the numbers given, on the paper, readable without colour."""

from __future__ import annotations

import re
from itertools import combinations
from math import atan2, cos, degrees, hypot, radians, sin
from xml.etree import ElementTree

import pytest

from wheeltapper.report.drawing_curve import Curve, Level, Line, Mark, curve, steps
from wheeltapper.report.drawing_face import CENTRE, Face, face, height_at
from wheeltapper.report.drawing_trace import REACH, Place, R, Trace, X, Y, smooth, trace

pytestmark = pytest.mark.reasoned

SVG = "{http://www.w3.org/2000/svg}"
Marks = tuple[tuple[float, float], ...]
Box = tuple[float, float, float, float, str]


def lobes(points: int, count: int, amount: float) -> Marks:
    """A trace of a number of lobes."""
    return tuple(
        (a, amount * cos(radians(count * (a - 20)))) for a in (360 * i / points for i in range(points))
    )


def outlier(value: float) -> Marks:
    """Eight readings, one of which stands out."""
    return tuple((45.0 * i, value if i == 2 else -value / 7) for i in range(8))


TRACES: dict[str, Marks] = {
    "oval": lobes(8, 2, 0.004),
    "three lobes": lobes(12, 3, 0.003),
    "many": lobes(36, 2, 0.005),
    "outlier": outlier(0.012),
    "equal": lobes(8, 2, 0.0),
    "high beside low": tuple((30.0 * i, {0: 0.004, 1: -0.004}.get(i, 0.0)) for i in range(12)),
    "two readings": ((0.0, 0.001), (180.0, -0.001)),
}  # fmt: skip


def spot(at: tuple[float, ...]) -> Place:
    """A place with its words, as a caller writes them."""
    return Place(at[0], f"{round(at[0] / 30) % 12 or 12} o'clock", f"{at[-1]:+.4f} in".replace("-", "−"))


def traced(marks: Marks, offset: tuple[float, float, str] | None = (40, 0.003, "0.0030 in")) -> str:
    """A trace as the product would draw it."""
    high, low = max(marks, key=lambda m: m[1]), min(marks, key=lambda m: m[1])
    captions = ("run-out 0.0121 in", "out-of-round 0.0080 in", "off-centre 0.0030 in")
    return trace(
        Trace("1-road band", marks, low[1], high[1], spot(high), spot(low), 5, "400 x", offset, captions)
    )


def faced(marks: tuple[tuple[float, float, float], ...], edge: bool = True) -> str:
    """A face as the product would draw it."""
    high, low = max(marks, key=lambda m: m[2]), min(marks, key=lambda m: m[2])
    straightedge = (60.0, "gap 0.0062 in, 2 to 8 o'clock") if edge else None
    return face(Face("1-road hub face", marks, 5, 0.6, spot(high), spot(low), straightedge, ("flatness 0.0082 in", "tilt 0.0021 in", "8 readings")))  # fmt: skip


RING = tuple((45.0 * i, 0.85, 0.004 * cos(radians(2 * 45 * i - 40))) for i in range(8))
TWO_RINGS = tuple(
    (45.0 * i, part, 0.003 * cos(radians(90 * i)) * (part - 0.6)) for part in (0.5, 0.88) for i in range(8)
)
FACES = {"one ring": RING, "two rings": TWO_RINGS, "level": tuple((45.0 * i, 0.85, 0.0) for i in range(8))}
HEAT = tuple(float(t) for t in range(70, 451, 20))


def fit(per_degree: float, start: float) -> Curve:
    """A cup's fit in a hub against temperature, new and worn."""
    lines = []
    for said, wear in (("new", 0.0), ("after 0.001 in wear", 1.0), ("after 0.002 in wear", 2.0)):
        y = tuple(start - wear - per_degree * (t - 70) for t in HEAT)
        band = () if wear else tuple(v - 0.5 for v in y), () if wear else tuple(v + 0.5 for v in y)
        lines.append(Line(said, HEAT, y, *band))
    found = Mark(230, "hub found at 230 °F", start - per_degree * 160)
    return Curve("Outer cup", "hub temperature, °F", "interference, thousandths of an inch", tuple(lines), Level(0, "cup lets go", "below"), (found,), ("lets go at 310 to 390 °F", "at 230 °F still 0.0009 in"))  # fmt: skip


COOLED = Curve(
    "Drum cooling", "minutes since it stopped", "drum, °F", (Line("drum", (0, 20, 40, 60), (550, 290, 170, 120)),),
    Level(250, "seal ends", "above"), (Mark(20, "felt at 20 min"), Mark(60, "felt again after an hour")),
)  # fmt: skip
CURVES = {"iron": fit(0.0012, 1.8), "aluminium": fit(0.0123, 3.2), "cooling": COOLED, "flat": Curve("Flat", "x", "y", (Line("even", (0, 1), (5, 5)),))}  # fmt: skip
FIGURES = (
    {f"trace {name}": traced(marks) for name, marks in TRACES.items()}
    | {f"face {name}": faced(marks) for name, marks in FACES.items()}
    | {f"curve {name}": curve(c) for name, c in CURVES.items()}
)


def lettering(svg: str) -> list[Box]:
    """Every lettering once, as a box on the paper with its text; letters are about 0.42 of their size wide."""
    boxes = {}
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        said, size = text.text or "", float(text.get("font-size", "0"))
        x, y, wide = float(text.get("x", "0")), float(text.get("y", "0")), 0.42 * size * len(said)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[text.get("text-anchor", "start")]
        boxes[said, x, y] = (left, y - 0.7 * size, left + wide, y + 0.1 * size, said)
    return list(boxes.values())


def dots(svg: str, radius: str) -> list[tuple[float, float]]:
    """Centres of the circles of a radius."""
    found = ElementTree.fromstring(svg).iter(f"{SVG}circle")
    return [(float(c.get("cx", "0")), float(c.get("cy", "0"))) for c in found if c.get("r") == radius]


def without_colour(svg: str) -> str:
    """The same ink with every colour the same."""
    return re.sub(r"#[0-9A-Fa-f]{6}", "", svg)


@pytest.mark.parametrize("name", FIGURES)
def test_lettering_is_large_on_the_paper_and_apart(name: str) -> None:
    """No letter under 12 units, nothing over the edge, no two texts on each other, and a name for readers aloud."""
    root = ElementTree.fromstring(FIGURES[name])
    wide, high = float(root.get("width", "0")), float(root.get("height", "0"))
    boxes = lettering(FIGURES[name])

    assert len(boxes) > 4
    assert min(float(t.get("font-size", "0")) for t in root.iter(f"{SVG}text")) >= 12
    assert [b for b in boxes if b[0] < 0 or b[1] < 0 or b[2] > wide or b[3] > high] == []
    assert [
        (a[4], b[4])
        for a, b in combinations(boxes, 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ] == []
    assert root.get("role") == "img"
    assert len(root.get("aria-label", "")) > 20


@pytest.mark.parametrize("name", ["oval", "three lobes", "outlier", "high beside low"])
def test_marks_stand_at_their_clock_place_and_height(name: str) -> None:
    """Each mark at its angle from the top and its share of the reach off the fitted circle, and the line through it."""
    marks = TRACES[name]
    most = max(abs(v) for _, v in marks)
    found = dots(traced(marks), "2.8")

    assert len(found) == len(marks)
    for (x, y), (angle, value) in zip(found, marks, strict=True):
        assert degrees(atan2(x - X, Y - y)) % 360 == pytest.approx(angle, abs=0.02)
        assert hypot(x - X, y - Y) == pytest.approx(R + REACH * value / most, abs=0.01)


@pytest.mark.parametrize("name", ["oval", "three lobes", "many", "outlier"])
def test_the_smooth_line_goes_through_every_mark(name: str) -> None:
    """In the order given or any other; and it swings past the marks by a fifth of their spread at most."""
    marks = TRACES[name]
    line = smooth(marks)
    spread = max(v for _, v in marks) - min(v for _, v in marks)

    for angle, value in marks:
        assert min(abs((a - angle + 180) % 360 - 180) + 1e3 * abs(v - value) for a, v in line) < 1e-6
    assert smooth(marks[::-1]) == line
    assert max(v for _, v in line) < max(v for _, v in marks) + spread / 5
    assert min(v for _, v in line) > min(v for _, v in marks) - spread / 5


def test_the_smooth_line_of_an_oval_is_an_oval() -> None:
    """From twelve marks of two lobes the line between them is the oval to a twentieth of its height."""
    for angle, value in smooth(lobes(12, 2, 1.0)):
        assert value == pytest.approx(cos(radians(2 * (angle - 20))), abs=0.05)


def test_high_and_low_places_differ_by_how_they_are_drawn() -> None:
    """A filled and an open pointer; words name both; equal readings have neither and say so."""
    words = [b[4] for b in lettering(traced(TRACES["oval"]))]
    equal = [b[4] for b in lettering(traced(TRACES["equal"]))]

    assert {"high", "low", "12 o'clock", "9 o'clock", "drawn 400 x", "off 0.0030 in", "stud 1"} <= set(words)
    assert "all readings equal" in equal
    assert {"high", "low"} & set(equal) == set()
    assert "Centre off" not in traced(TRACES["oval"], None)
    assert "High place 3 o'clock, +0.0120 in" in traced(TRACES["outlier"])


def test_the_offset_arrow_points_at_its_angle() -> None:
    """Longer for more, to a most; none where the centre is not off."""
    for angle in (0, 40, 130, 250):
        svg = traced(TRACES["oval"], (angle, 0.003, "0.0030 in"))
        (tip,) = re.findall(rf'd="M{X:g} {Y:g}L([-\d.]+) ([-\d.]+)"', svg)
        assert degrees(atan2(float(tip[0]) - X, Y - float(tip[1]))) % 360 == pytest.approx(angle, abs=0.1)
    assert f'd="M{X:g} {Y:g}L' not in traced(TRACES["oval"], (0, 0.0, "0.0000 in"))


def test_triangles_tell_high_from_low_without_colour() -> None:
    """Turning a face over turns every triangle over and fills the other ones; size goes with the amount."""
    over = tuple((a, p, -h) for a, p, h in RING)
    shapes = re.compile(
        r'd="M[\d.]+ ([\d.]+)L[\d.]+ ([\d.]+)L[\d.]+ [\d.]+Z" fill="(#\w+)"[^>]*stroke-width="1.1"'
    )
    ups = [(float(tip) < float(foot), fill) for tip, foot, fill in shapes.findall(faced(RING))]
    downs = [(float(tip) < float(foot), fill) for tip, foot, fill in shapes.findall(faced(over))]
    sizes = [abs(float(tip) - float(foot)) for tip, foot, _ in shapes.findall(faced(RING))]

    assert len(ups) == len(RING)
    assert [up for up, _ in ups] == [h > 0 for _, _, h in RING]
    assert [up for up, _ in ups] == [not up for up, _ in downs]
    assert len({fill for up, fill in ups if up}) == 1
    assert {fill for up, fill in ups if up}.isdisjoint(fill for up, fill in ups if not up)
    assert sorted(range(8), key=lambda i: sizes[i])[-1] in [i for i, m in enumerate(RING) if abs(m[2]) == max(abs(h) for _, _, h in RING)]  # fmt: skip
    assert without_colour(faced(RING)) != without_colour(faced(over))


def test_hatching_lies_only_where_the_face_is_low() -> None:
    """Every slanted line starts and ends at a place that the shading takes for low; a level face has none."""
    f = Face("x", RING, 0, 0.6, spot(RING[0]), spot(RING[2]), None, ())
    most = max(abs(h) for _, _, h in RING)
    hatches = re.findall(r'<path d="([^"]+)"[^>]*stroke-width="0.6"', face(f))
    ends = [(float(x), float(y)) for path in hatches for x, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", path)]

    assert len(ends) > 50
    assert max(height_at(f, x, y) for x, y in ends) < -0.14 * most
    assert re.findall(r'<path d="[^"]+"[^>]*stroke-width="0.6"', faced(FACES["level"], edge=False)) == []
    assert "all readings level" in [b[4] for b in lettering(faced(FACES["level"]))]


def test_height_between_marks_is_that_of_the_nearest() -> None:
    """At a mark the rough height is the mark's, to a tenth; at the centre of an even ring it is their mean."""
    f = Face("x", RING, 0, 0.6, spot(RING[0]), spot(RING[2]), None, ())
    for angle, part, height in RING:
        x, y = CENTRE[0] + 112 * part * sin(radians(angle)), CENTRE[1] - 112 * part * cos(radians(angle))
        assert height_at(f, x, y) == pytest.approx(height, abs=0.1 * 0.004)
    assert height_at(f, *CENTRE) == pytest.approx(0, abs=1e-9)


def test_the_straightedge_lies_in_its_direction() -> None:
    """Two lines through the face at 60 degrees from the top; its words stand on the sheet; none without it."""
    lines = re.findall(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)" [^>]*stroke="#B4452C"', faced(RING))

    assert len(lines) == 2
    for x0, y0, x1, y1 in lines:
        assert degrees(atan2(float(x0) - float(x1), float(y1) - float(y0))) % 180 == pytest.approx(
            60, abs=0.1
        )
    assert "straightedge gap 0.0062 in, 2 to 8 o'clock" in [b[4] for b in lettering(faced(RING))]
    assert "straightedge" not in faced(RING, edge=False).lower()


def test_axes_are_round_numbers_over_all() -> None:
    """Steps of 1, 2 or 5 that hold both ends; a single value gets room on both sides."""
    assert steps(70, 450, 9) == (50, 100, 150, 200, 250, 300, 350, 400, 450)
    assert steps(-0.7, 3.2, 6) == (-1, 0, 1, 2, 3, 4)
    assert steps(0, 0.034, 6) == pytest.approx((0, 0.01, 0.02, 0.03, 0.04))
    assert steps(5, 5, 6) == (4, 4.5, 5, 5.5, 6)
    for low, high in ((0.0, 0.0), (-3e-7, 9e-7), (1e6, 7e6), (99.9, 100.1)):
        got = steps(low, high, 6)
        assert got[0] <= low
        assert got[-1] >= high
        assert 2 <= len(got) <= 7


def test_marks_and_level_stand_where_the_numbers_put_them() -> None:
    """The ring on the curve, the level at zero, both by the axes as written."""
    svg = curve(CURVES["aluminium"])
    texts = {b[4]: b for b in lettering(svg)}
    (ring,) = dots(svg, "4")

    def across(x: float) -> float:
        left, right = (sum(texts[t][0:3:2]) / 2 for t in ("50", "400"))
        return left + (right - left) * (x - 50) / 350

    assert ring[0] == pytest.approx(across(230), abs=1)
    zero = (texts["0"][1] + texts["0"][3]) / 2
    two = (texts["2"][1] + texts["2"][3]) / 2
    assert zero - ring[1] == pytest.approx((zero - two) / 2 * (3.2 - 0.0123 * 160), abs=1)
    (level,) = re.findall(r'd="M50 ([\d.]+)L492 \1M50 [\d.]+L492 [\d.]+"', svg)
    assert float(level) == pytest.approx(zero, abs=1)


def test_lines_and_bands_differ_without_colour() -> None:
    """Three lines, three kinds of dash; the band is drawn for the one that has a doubt."""
    svg = curve(CURVES["iron"])

    assert {'stroke-dasharray="8 3"', 'stroke-dasharray="2.5 2.5"'} <= set(
        re.findall(r'stroke-dasharray="[^"]+"', svg)
    )
    assert svg.count('fill-opacity="0.22"') == 2  # the band and its sample
    assert 'fill-opacity="0.22"' not in curve(COOLED)
    assert {"new", "after 0.001 in wear", "after 0.002 in wear", "doubt", "cup lets go"} <= {
        b[4] for b in lettering(svg)
    }
    assert "−1" in {b[4] for b in lettering(svg)}


def test_the_same_numbers_give_the_same_text_and_hostile_words_stay_words() -> None:
    """Nothing by chance; nothing typed becomes a drawing."""
    bad = Curve('<b>&"x', "x", "y", (Line("<i>", (0, 1), (0, 1)),))

    assert traced(TRACES["oval"]) == traced(TRACES["oval"])
    assert faced(RING) == faced(RING)
    assert '<b>&"x' in [b[4] for b in lettering(curve(bad))]
