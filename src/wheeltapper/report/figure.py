"""The figures of the computations: a round trace, a face map, a fit against temperature, where one says more than words.

From results to the plain numbers and words that the drawings take, in the reader's unit. No picture is made of what
does not matter.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import degrees
from types import MappingProxyType
from typing import TYPE_CHECKING

from wheeltapper.findings.facts import Worked
from wheeltapper.findings.fit import ROOM_K, CupFit
from wheeltapper.findings.form import FACES, TELLS_SHARE, Face
from wheeltapper.flow import Examination
from wheeltapper.report import drawing_curve, drawing_face, drawing_ring, drawing_trace, ring_figure
from wheeltapper.report.wording import Reader, rounded
from wheeltapper.units import INCH_M, from_si

if TYPE_CHECKING:
    from wheeltapper.measure.trace import Trace


@dataclass(frozen=True)
class Shown:
    """A picture that is ready: a piece of a photo with its mark."""

    title: str
    captions: tuple[str, ...]
    svg: bytes  # not text: it is drawn as it is, and never made printable


Figure = drawing_trace.Trace | drawing_face.Face | drawing_curve.Curve | drawing_ring.Ringing | Shown
CUP_TELLS = ("cup.bore_over", "cup.press_light", "cup.fit_in_doubt", "cup.lets_go_hot", "cup.hot_in_doubt")
STUD_SHARE = 0.75  # of the face's rim, for the drawing only
WEAR_M = (0.0, 0.001 * INCH_M, 0.002 * INCH_M)
STEPS = 12
BEYOND_SHARE = 1.2  # how far past the hottest a curve is drawn
OUTERMOST_SHARE = 0.85  # where the outermost circle read is drawn, of the face's rim
PRINTED_M = 2.5 * INCH_M  # width of a round figure on the sheet


def figure(
    w: Worked, ex: Examination, reader: Reader, pictures: Mapping[str, str] = MappingProxyType({})
) -> Figure | None:
    """The figure of a computation, or None where words say it all; `pictures` are SVG texts by name."""
    if w.kind == "mark":
        svg = pictures.get(w.result.figure or "")
        return (
            None if svg is None else Shown(f"{w.position} {w.at}", (w.result.seen or "a mark",), svg.encode())
        )
    maker = MAKERS.get(w.kind)
    return maker(w, ex, reader) if maker else None


def drawn(f: Figure) -> str:
    """A figure as SVG text."""
    if isinstance(f, drawing_trace.Trace):
        return drawing_trace.trace(f)
    if isinstance(f, drawing_ring.Ringing):
        return drawing_ring.ringing(f)
    if isinstance(f, Shown):
        return f.svg.decode()
    return drawing_face.face(f) if isinstance(f, drawing_face.Face) else drawing_curve.curve(f)


def told(f: Figure) -> str:
    """A figure for readers aloud."""
    if isinstance(f, drawing_ring.Ringing):
        return drawing_ring.told(f)
    return f"{f.title}: {'; '.join(f.captions)}"


def is_wide(f: Figure) -> bool:
    """A curve and a ring need more room than a round figure."""
    return isinstance(f, drawing_curve.Curve | drawing_ring.Ringing)


def _studs(ex: Examination) -> int:
    """Studs by the bolt pattern, '6 on 5.5'; none where it is not known."""
    first = (ex.visit.unit.bolt_pattern or "").split(" ")[0]
    return int(first) if first.isdigit() and int(first) <= 12 else 0


def _signed(size_m: float, reader: Reader) -> str:
    return ("+" if size_m >= 0 else "−") + rounded(abs(size_m), reader)


def _band(w: Worked, ex: Examination, reader: Reader) -> Figure | None:
    t: Trace = w.result
    off_round, off_centre = 2 * t.zone_m, 2 * t.eccentricity.amplitude_m
    tells = off_round > TELLS_SHARE * ex.tables.number("out_of_round")
    if not (tells or off_centre > TELLS_SHARE * ex.tables.number("off_centre")):
        return None
    angles, offs = t.readings.angle_rad.tolist(), t.off_m.tolist()
    high, low = offs.index(max(offs)), offs.index(min(offs))
    unit, centre = reader.length, t.eccentricity
    captions = (
        f"run-out {rounded(t.total_m, reader)}", f"out of round {rounded(off_round, reader)}",
        f"off centre {rounded(centre.amplitude_m, reader)}",
    )  # fmt: skip
    return drawing_trace.Trace(
        title=f"{w.position} friction band",
        marks=tuple((degrees(a), from_si(o, unit)) for a, o in zip(angles, offs, strict=True)),
        inner=from_si(min(offs), unit),
        outer=from_si(max(offs), unit),
        high=_place(angles[high], offs[high], reader),
        low=_place(angles[low], offs[low], reader),
        studs=_studs(ex),
        magnified=_magnified(max(abs(o) for o in offs)),
        offset=(
            degrees(centre.angle_rad),
            from_si(centre.amplitude_m, unit),
            rounded(centre.amplitude_m, reader),
        ),
        captions=captions,
    )


def _place(angle_rad: float, off_m: float, reader: Reader) -> drawing_trace.Place:
    from wheeltapper.measure.readings import clock_text

    return drawing_trace.Place(degrees(angle_rad), clock_text(angle_rad), _signed(off_m, reader))


def _magnified(most_m: float) -> str:
    """How many times larger the deviations are printed than they are."""
    if most_m <= 0:
        return "1 ×"
    times = drawing_trace.REACH / drawing_trace.WIDTH * PRINTED_M / most_m
    return f"about {max(1, round(times, -1)):.0f} × larger"


def _face(w: Worked, ex: Examination, reader: Reader) -> Figure | None:
    f: Face = w.result
    if f.zone_m <= TELLS_SHARE * ex.tables.number(FACES[f"{w.kind} dial"][-1]):
        return None
    rim = max(f.radius_m) / OUTERMOST_SHARE
    marks = zip(f.angle_rad, f.radius_m, f.off_m, strict=True)
    high, low = max(f.off_m), min(f.off_m)
    return drawing_face.Face(
        title=f"{w.position} {w.kind}",
        marks=tuple((degrees(a), r / rim, from_si(o, reader.length)) for a, r, o in marks),
        studs=_studs(ex) if w.kind == "hub face" else 0,
        stud_radius=STUD_SHARE,
        high=_place(f.angle_rad[f.off_m.index(high)], high, reader),
        low=_place(f.angle_rad[f.off_m.index(low)], low, reader),
        straightedge=None,
        captions=(f"flat within {rounded(f.zone_m, reader)}",),
    )


def _cup(w: Worked, ex: Examination, reader: Reader) -> Figure | None:
    """Press against temperature, new wear beside it: only where heat or wear decide."""
    fit: CupFit = w.result
    tells = fit.hub.name == "aluminium" or any(ex.findings.yes(w.position, name) for name in CUP_TELLS)
    if fit.tightest_m <= 0 or not tells:
        return None
    span = (fit.hot_k - ROOM_K) * BEYOND_SHARE
    kelvin = [ROOM_K + span * i / STEPS for i in range(STEPS + 1)]
    fell = (fit.tightest_m - fit.tightest_hot_m) / (fit.hot_k - ROOM_K)  # of press for each kelvin
    ends = (fit.loosest_m + fit.tightest_m) / 2, fit.loosest_m, fit.tightest_m
    unit = "F" if reader.length == "in" else "C"
    lines = []
    for wear in WEAR_M:
        middle, low, high = (
            tuple(_small(end - wear - fell * (k - ROOM_K), reader) for k in kelvin) for end in ends
        )
        said = "as measured, with its doubt" if wear == 0 else f"after {rounded(wear, reader)} more wear"
        band = (low, high) if wear == 0 else ((), ())
        lines.append(drawing_curve.Line(said, tuple(from_si(k, unit) for k in kelvin), middle, *band))
    return drawing_curve.Curve(
        title=f"{w.position} {w.at} cup: what is left of its press",
        x_said=f"hub temperature, {unit}",
        y_said="press, thousandths of an inch" if reader.length == "in" else "press, micrometres",
        lines=tuple(lines),
        level=drawing_curve.Level(0.0, "nothing holds the cup", "below"),
        marks=(drawing_curve.Mark(from_si(fit.hot_k, unit), "stop: too hot"),),
        captions=(f"hub of {fit.hub.name}{' (assumed)' if fit.hub_assumed else ''}",),
    )


def _small(size_m: float, reader: Reader) -> float:
    """A press in thousandths of an inch, or in micrometres."""
    return from_si(size_m, reader.length) * 1000


MAKERS: Mapping[str, Callable[[Worked, Examination, Reader], Figure | None]] = {
    "band": _band, "hub face": _face, "magnet face": _face, "cup": _cup,
    "ring": lambda w, _ex, _reader: ring_figure.figure(w.result),
}  # fmt: skip
