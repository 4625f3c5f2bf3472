"""A measured photo in words, as JSON, as a picture and as an entry of a visit. It never says what a mark is."""

from __future__ import annotations

import json
from collections.abc import Iterator
from math import degrees
from typing import Any

import numpy as np

from wheeltapper.marking import Looked
from wheeltapper.measure.marks.gate import REMEDIES
from wheeltapper.measure.marks.places import Growth
from wheeltapper.measure.marks.size import Mark
from wheeltapper.measure.marks.suggest import Piece, Suggestion
from wheeltapper.report import mark_picture
from wheeltapper.report.record import problems

SET_ON = "Set on rendered pictures: no real drum was photographed. Depth is not in a photo; a thread or a scratch can look the same."
FELT = "draw a fingernail across it, and write who felt it and whether it catches."
NETWORK = "draw a fingernail across it; where none is felt, write whether it runs all round (heat checks) or lies in one patch (roundness and hard spots)."
MOST_LINES = 12  # of the suggestion, that are told one by one
BAR_M = 10e-3
OUTLINE = 24  # points of the line in a picture


def verdict(seen: Looked) -> str:
    """'measured', or 'retake' where the photo or the taps are not good enough."""
    return "retake" if seen.reasons or _missed(seen) else "measured"


def _missed(seen: Looked) -> bool:
    """Were both ends given, and no line measured between them?"""
    return seen.asked.ends is not None and seen.mark is None


def observation(seen: Looked) -> str:
    """What the photo shows, in plain words."""
    s = seen.suggested
    pattern = "" if s is None else s.pattern + (f" {s.spread}" if s.spread else "")
    if seen.mark is None:
        return f"{pattern or 'nothing'} in the opening, as the program sees it"
    edge = ", reaches the edge" if seen.mark.reaches_edge else ""
    kind = (
        "one long dark line"
        if s is None or s.pattern in {"nothing dark", "one long dark line"}
        else f"a dark line among {pattern}"
    )
    return f"{kind}, {length(seen.mark)}{edge}"


def length(mark: Mark) -> str:
    """'17.5 ± 0.9 mm end to end'."""
    return f"{_mm(mark.end_to_end_m):.1f} ± {_mm(mark.doubt_m):.1f} mm end to end"


def wide(mark: Mark) -> str:
    """How wide, or under what the photo can tell; '' where it tells nothing."""
    if mark.width_m is not None:
        return f"about {_mm(mark.width_m):.1f} mm wide"
    return f"under {_mm(mark.width_bound_m):.1f} mm wide" if mark.width_bound_m is not None else ""


def _mm(size_m: float) -> float:
    return size_m * 1e3


def what_to_do(seen: Looked) -> str:
    """The next step."""
    if seen.reasons:
        said = [REMEDIES[r] for r in seen.reasons if r in REMEDIES] or [p.do for p in seen.problems]
        return " ".join(said)
    if _missed(seen):
        return seen.problems[-1].do
    network = seen.suggested is not None and seen.suggested.pattern == "fine network"
    if seen.mark is None and not network:
        return "give both ends of the line, one after the other."
    return NETWORK if network else FELT


def as_json(seen: Looked, grown: Growth | None = None) -> str:
    """The whole answer; lengths in millimetres, 90 of 100 true lengths within plus or minus."""
    m = seen.mark
    out: dict[str, Any] = {
        "photo": seen.name,
        "sha256": seen.photo.sha256 if seen.photo else None,
        "card": seen.card.name if seen.card else None,
        "verdict": verdict(seen),
        "reasons": list(seen.reasons) or (["no line between the ends"] if _missed(seen) else []),
        "observation": "" if seen.reasons else observation(seen),
        "do": what_to_do(seen),
        **_sizes(m),
        "px_per_mm": _px_per_mm(seen),
        "ends_px": None if m is None else [[round(v, 1) for v in p] for p in _file_px(seen, m.ends_m)],
        "suggested": None if seen.suggested is None else _suggested(seen, seen.suggested),
        "growth": None if grown is None else _growth(grown),
        "bar_measured": seen.asked.bar_m is not None,
        "note": SET_ON,
        "problems": problems(seen.problems),
    }
    return json.dumps(out, indent=1, ensure_ascii=False) + "\n"


def _sizes(m: Mark | None) -> dict[str, Any]:
    names = (
        "end_to_end_mm", "plus_minus_mm", "doubts_mm", "along_mm", "along_smoothed_over_mm", "straightness_share", "width_mm", "width_under_mm",
        "angle_to_axis_deg", "edge_mm", "edge_seen", "reaches_edge", "darkness_share", "snapped",
    )  # fmt: skip
    if m is None:
        return dict.fromkeys(names)
    values = (
        round(_mm(m.end_to_end_m), 2), round(_mm(m.doubt_m), 2), {t.name: round(_mm(t.sd_m), 3) for t in m.terms}, round(_mm(m.along_m), 2),
        _mm(m.smoothing_m), round(m.straightness_share, 4), _rounded(m.width_m), _rounded(m.width_bound_m), round(degrees(m.angle_to_axis_rad), 1),
        _rounded(m.edge_m), m.edge_seen, m.reaches_edge, round(m.darkness_share, 3), m.snapped,
    )  # fmt: skip
    return dict(zip(names, values, strict=True))


def _rounded(size_m: float | None) -> float | None:
    return None if size_m is None else round(_mm(size_m), 2)


def _px_per_mm(seen: Looked) -> float | None:
    found = None if seen.placed is None else seen.placed.quality.px_per_m
    return None if found is None or seen.photo is None else round(found * seen.photo.reduced / 1e3, 2)


def _suggested(seen: Looked, s: Suggestion) -> dict[str, Any]:
    lines = [
        {"ends_px": _ends_px(seen, p), "end_to_end_mm": round(_mm(p.end_to_end_m), 1)}
        for p in s.pieces[:MOST_LINES]
    ]
    return {
        "pieces": len(s.pieces), "total_mm": round(_mm(s.total_m), 1), "branches": len(s.branches_m), "mm_per_cm2": round(s.density_per_m / 10, 2),
        "pattern": s.pattern, "spread": s.spread, "lines": lines,
    }  # fmt: skip


def _ends_px(seen: Looked, piece: Piece) -> list[list[float]]:
    return [[round(v, 1) for v in p] for p in _file_px(seen, piece.path_m[[0, -1]])]


def _growth(g: Growth) -> dict[str, Any]:
    return {
        "grown_mm": round(_mm(g.grown_m), 2), "plus_minus_mm": round(_mm(g.doubt_m), 2), "beyond_doubt": g.beyond_doubt,
        "ends_moved_mm": None if g.ends_moved_m is None else [round(_mm(v), 2) for v in g.ends_moved_m], "apart_mm": _rounded(g.apart_m),
    }  # fmt: skip


def _shown_px(seen: Looked, points_m: Any) -> list[tuple[float, float]]:
    """Card points in pixels of the photo as read."""
    assert seen.placed is not None
    assert seen.placed.pose is not None
    return [(float(x), float(y)) for x, y in seen.placed.pose.to_picture(np.asarray(points_m, float))]


def _file_px(seen: Looked, points_m: Any) -> list[tuple[float, float]]:
    """The same in pixels of the upright photo as it was sent."""
    times = seen.photo.reduced if seen.photo else 1
    return [(x * times, y * times) for x, y in _shown_px(seen, points_m)]


def text(seen: Looked, grown: Growth | None = None) -> str:
    """The answer for a person."""
    return "\n".join(_lines(seen, grown)) + f"\n{SET_ON}\n"


def _lines(seen: Looked, grown: Growth | None) -> Iterator[str]:
    said = verdict(seen)
    why = f" ({', '.join(seen.reasons)})" if seen.reasons else ""
    yield f"{seen.name}: {said.upper()}{why}"
    if not seen.reasons:
        yield f"  Seen: {observation(seen)}."
    yield f"  To do: {what_to_do(seen)}"
    m = seen.mark
    if m is not None:
        told = [
            f"{_mm(m.along_m):.1f} mm along it (smoothed over {_mm(m.smoothing_m):.2f} mm)",
            f"{degrees(m.angle_to_axis_rad):.0f}° to the drum's axis",
        ]
        told += [w for w in (wide(m), _edge(m)) if w]
        yield f"  Line: {', '.join(told)}."
        if seen.asked.bar_m is None:
            yield "  The card is taken to be printed at 100 %: measure its bar once with a rule and give --bar."
    if grown is not None:
        beyond = "more than the doubt" if grown.beyond_doubt else "inside the doubt"
        yield f"  Since last time: {_mm(grown.grown_m):+.1f} ± {_mm(grown.doubt_m):.1f} mm, {beyond}."


def _edge(m: Mark) -> str:
    if m.edge_m is None:
        return ""
    how = "" if m.edge_seen else ", the card taken to be flush with it"
    return f"{'at' if m.reaches_edge else f'{_mm(m.edge_m):.1f} mm from'} the open edge{how}"


def drawn_mark(seen: Looked, said: tuple[str, ...]) -> mark_picture.Mark | None:
    """What to draw into the photo; None where nothing was measured. `said`: position, unit and the like."""
    m, card = seen.mark, seen.card
    if m is None or card is None:
        return None
    path = m.path_m[np.unique(np.linspace(0, len(m.path_m) - 1, OUTLINE).round().astype(int))]
    around = _shown_px(seen, [p for corners in card.tags.values() for p in corners])
    bar = _bar(m, card.opening_m)
    return mark_picture.Mark(
        tuple(_shown_px(seen, path)), (*_shown_px(seen, m.ends_m),), (*_shown_px(seen, bar),), "10 mm", length(m),  # type: ignore[arg-type]
        tuple(w for w in (*said, wide(m), "reaches the edge" if m.reaches_edge else "") if w), tuple(around),
    )  # fmt: skip


def _bar(m: Mark, opening_m: tuple[float, float, float, float]) -> Any:
    """Ten millimetres, level, low in the opening on the side away from the mark."""
    left, bottom, right, _ = opening_m
    away = right - BAR_M - 4e-3 if float(m.path_m[:, 0].mean()) < (left + right) / 2 else left + 4e-3
    return np.array([[away, bottom + 4e-3], [away + BAR_M, bottom + 4e-3]])


def entry(seen: Looked, grown: Growth | None, figure: str | None) -> str:
    """The table that goes under a [[corner]] of a visit file; the fingernail's answer is left for the person who felt."""
    m = seen.mark
    rows: list[tuple[str, Any]] = [
        ("photo", seen.name), ("sha256", seen.photo.sha256 if seen.photo else None), ("verdict", verdict(seen)),
        ("seen", None if seen.reasons else observation(seen)), ("pattern", seen.suggested.pattern if seen.suggested else None),
    ]  # fmt: skip
    if m is not None:
        rows += [
            ("end_to_end_mm", round(_mm(m.end_to_end_m), 1)), ("plus_minus_mm", round(_mm(m.doubt_m), 1)), ("reaches_edge", m.reaches_edge),
        ]  # fmt: skip
    rows += [("grown", None if grown is None else grown.beyond_doubt), ("figure", figure)]
    lines = [f"{k} = {json.dumps(v, ensure_ascii=False)}" for k, v in rows if v is not None]
    return (
        "\n".join(["[[corner.mark]]", *lines, '# felt = "catches" or "smooth"', '# felt_by = "who felt it"'])
        + "\n"
    )
