"""Holds the measuring of dark lines against rendered photos with known truth, and our line filter against general ridge filters.

Run: python benchmarks/marks.py FOLDER [--show]. FOLDER holds photos and truth as tests/marks/wall_photo.py writes them; fetch
none, render your own:  python tests/marks/wall_photo.py FOLDER 54 500000 --size 4032x3024. Prints, for lines tapped a millimetre
off, the errors of the end-to-end length, how many lie within the stated doubt, how often "reaches the edge" is right; the
F1 score of filters on the same flat pictures at each one's best common threshold; and computing time on one core.

Photos are simulated: nothing here says how real cracks on real drums are seen. A photo that the gate refuses is counted and
left out, as the product does. Never part of the tests. Report seeds of REPORTING only; what was tuned was tuned on TUNING.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, before numpy starts its own

import json
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card
from wheeltapper.measure.marks.edge import below, open_edge
from wheeltapper.measure.marks.placed import Placed, marked, place
from wheeltapper.measure.marks.response import line_response, log_light
from wheeltapper.measure.marks.size import measure_mark
from wheeltapper.measure.marks.suggest import lasting
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import ours

Array = NDArray[np.float64]
Filter = Callable[[Unrolled, float], NDArray[np.float32]]
RADIUS_M = {"wall 10": 0.127, "wall 12": 0.1524}
MM = 1e-3
TAP_MM = 1.0
TOLERANCE_PX = 2
TAPS = 3  # times each line is tapped
LEAST_MM = 3.0  # shorter lines are not tapped
LINES = ("crack", "check", "network")


@dataclass(frozen=True)
class Case:
    """A photo that was placed, and its truth."""

    name: str
    truth: dict[str, Any]
    placed: Placed
    card: Card
    seconds_s: float

    @property
    def flush_m(self) -> float | None:
        """Height of the card's open side, where it stands at an open edge."""
        pose = self.placed.pose
        return (
            self.card.size_m[1] * pose.print_scale if pose and self.truth["shot"]["bed"] != "face" else None
        )


@dataclass(frozen=True)
class Row:
    """One line, tapped once."""

    kind: str
    error_mm: float  # not a number: no answer
    doubt_mm: float
    scale_error_share: float
    reaches: bool | None
    truly_reaches: bool
    seconds_s: float


def card_named(name: str) -> Card:
    """One of our cards."""
    row = ours(name)
    tags = {k: np.array(v) for k, v in row.tags.items()}
    return Card(row.name, tags, row.opening_m, row.size_m, row.bendable, row.thickness_m, row.bar_m)


def cases(folder: Path) -> list[Case]:
    """Every good card in the folder."""
    out = []
    for path in sorted(folder.glob("*.json")):
        truth = json.loads(path.read_text("utf-8"))
        shot = truth["shot"]
        if shot["fault"] != "none" or shot["glare"]:
            continue
        grey = cv2.imread(str(path.with_suffix(".jpg")), cv2.IMREAD_GRAYSCALE)
        card = card_named("face" if shot["bed"] == "face" else "wall")
        focal = max(shot["size_px"]) / 2 / np.tan(np.radians(shot["view_deg"] / 2)) if shot["exif"] else None
        began = time.perf_counter()
        placed = place(np.asarray(grey, np.uint8), card, focal, RADIUS_M.get(shot["bed"]))
        out.append(Case(path.stem, truth, placed, card, time.perf_counter() - began))
    return out


def tapped(case: Case) -> list[Row]:
    """Each line of a photo, tapped a few times."""
    pose = case.placed.pose
    out = []
    for i, mark in enumerate(case.truth["marks"]):
        ends_px = np.array(mark["ends_px"], float)
        if (
            pose is None
            or mark["kind"] not in LINES
            or np.isnan(ends_px).any()
            or mark["end_to_end_mm"] < LEAST_MM
        ):
            continue
        ends = pose.to_card(ends_px)
        scale = float(np.hypot(*(ends[1] - ends[0]))) / MM / mark["end_to_end_mm"] - 1
        for again in range(TAPS):
            dice = np.random.default_rng([case.truth["shot"]["seed"], i, again])
            out.append(_row(case, mark, ends + dice.normal(0, TAP_MM * MM, (2, 2)), scale))
    return out


def _row(case: Case, mark: dict[str, Any], taps: Array, scale: float) -> Row:
    pose, flat = case.placed.pose, case.placed.flat
    assert pose is not None
    assert flat is not None
    began = time.perf_counter()
    marked(case.placed, case.card, taps)
    sure = pose.doubt_of(taps[0], taps[1]).total_m / max(float(np.hypot(*(taps[1] - taps[0]))), MM)
    try:
        m = measure_mark(
            flat, taps, sure, axis_rad=pose.axis_angle_rad, edge=open_edge(flat, case.flush_m, pose.axis_angle_rad),
            spread_m=max(case.placed.quality.spread_m),
        )  # fmt: skip
    except NoAnswerError:
        return Row(
            mark["kind"], np.nan, np.nan, scale, None, mark["reaches_edge"], time.perf_counter() - began
        )
    took = time.perf_counter() - began
    error = m.end_to_end_m / MM - mark["end_to_end_mm"]
    return Row(mark["kind"], error, m.doubt_m / MM, scale, m.reaches_edge, mark["reaches_edge"], took)


def say(rows: list[Row], title: str) -> None:
    """One line of the table."""
    told = [r for r in rows if np.isfinite(r.error_mm)]
    if not told:
        return
    error = np.array([r.error_mm for r in told])
    inside = np.mean([abs(r.error_mm) <= r.doubt_mm for r in told])
    edge = [r.reaches == r.truly_reaches for r in told if r.reaches is not None]
    scale = 100 * max(abs(r.scale_error_share) for r in told)
    print(
        f"{title:28s} n {len(rows):4d}  no answer {len(rows) - len(told):3d}  bias {error.mean():+.2f}  median "
        f"{np.median(np.abs(error)):.2f}  p90 {np.percentile(np.abs(error), 90):.2f} mm  within the doubt {inside:.3f}  "
        f"doubt {np.median([r.doubt_mm for r in told]):.2f} mm  edge {sum(edge)}/{len(edge)}  scale at most {scale:.2f} %"
    )


def true_lines(case: Case, flat: Unrolled) -> NDArray[np.bool_]:
    """The true lines drawn one pixel wide on the flat picture."""
    out = np.zeros(flat.grey.shape, np.uint8)
    assert case.placed.pose is not None
    for mark in case.truth["marks"]:
        px = np.array(mark["line_px"], float)
        at = flat.to_pixels(case.placed.pose.to_card(px[~np.isnan(px).any(1)]))
        cv2.polylines(out, [np.rint(at).astype(np.int32)], False, 1, 1)
    return np.asarray((out > 0) & flat.known)


def filters() -> dict[str, Filter]:
    """Ours as used, and scikit-image's on the logarithm of the light, each with the same widths."""
    from skimage.filters import frangi, meijering, sato

    def theirs(ridge: Callable[..., Any]) -> Filter:
        def run(flat: Unrolled, axis_rad: float) -> NDArray[np.float32]:
            sigmas = [max(0.7, s * MM * flat.px_per_m) for s in (0.1, 0.16, 0.25, 0.35)]
            out = np.asarray(
                ridge(log_light(flat.grey).astype(float), sigmas=sigmas, black_ridges=True), np.float32
            )
            sure = cv2.erode(flat.known.astype(np.uint8), np.ones((7, 7), np.uint8))
            return np.where(np.asarray(sure) > 0, out, 0).astype(np.float32)

        return run

    def own(flat: Unrolled, axis_rad: float) -> NDArray[np.float32]:
        return line_response(flat, axis_rad, most_px_per_m=np.inf).strength

    return {"ours": own, "sato": theirs(sato), "meijering": theirs(meijering), "frangi": theirs(frangi)}


def best_f1(
    strengths: list[NDArray[np.float32]], flats: list[Unrolled], truths: list[NDArray[np.bool_]]
) -> tuple[float, ...]:
    """F1, threshold, precision and recall of centre lines at the best threshold for all pictures together."""
    from skimage.morphology import skeletonize

    every = np.concatenate([s.ravel()[::7] for s in strengths])
    best: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)
    for bar in np.quantile(
        every[every > 0], [0.9, 0.94, 0.96, 0.97, 0.98, 0.985, 0.99, 0.9925, 0.995, 0.9965, 0.998, 0.999]
    ):
        hit = said = found = true = 0
        for strength, flat, lines in zip(strengths, flats, truths, strict=True):
            bones = np.asarray(skeletonize(lasting(strength, bar, bar / 2, 1.5 * MM * flat.px_per_m)))  # type: ignore[no-untyped-call]
            hit, said = hit + int((bones & near(lines)).sum()), said + int(bones.sum())
            found, true = found + int((lines & near(bones)).sum()), true + int(lines.sum())
        precision, recall = hit / max(said, 1), found / max(true, 1)
        best = max(
            best, (2 * precision * recall / max(precision + recall, 1e-9), float(bar), precision, recall)
        )
    return best


def near(lines: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Within the tolerance of a line."""
    if not lines.any():
        return lines
    return np.asarray(cv2.distanceTransform((~lines).astype(np.uint8), cv2.DIST_L2, 5)) <= TOLERANCE_PX


def compare_filters(good: list[Case]) -> None:
    """All filters on the same pictures: those with lines or with nothing; threads and pencil lines are no truth to count."""
    kept = [
        c for c in good if c.placed.flat is not None and {m["kind"] for m in c.truth["marks"]} <= set(LINES)
    ]
    axes = [c.placed.pose.axis_angle_rad for c in kept if c.placed.pose]
    flats = [
        below(c.placed.flat, open_edge(c.placed.flat, c.flush_m, a))
        for c, a in zip(kept, axes, strict=True)
        if c.placed.flat
    ]
    truths = [true_lines(c, f) for c, f in zip(kept, flats, strict=True)]
    for name, run in filters().items():
        began = time.perf_counter()
        strengths = [run(f, a) for f, a in zip(flats, axes, strict=True)]
        took = (time.perf_counter() - began) / len(flats)
        f1, bar, precision, recall = best_f1(strengths, flats, truths)
        print(
            f"{name:10s} F1 {f1:.3f}  precision {precision:.3f}  recall {recall:.3f}  at {bar:.3g}  {took:.2f} s a picture"
        )


def main() -> None:
    """All of it."""
    cv2.setNumThreads(1)
    found = cases(Path(sys.argv[1]))
    good = [c for c in found if not c.placed.reasons]
    print(
        f"{len(found)} photos, {len(good)} let through; refused for",
        dict(Counter(r for c in found for r in c.placed.reasons)),
    )
    rows = {c.name: tapped(c) for c in found}
    for title, chosen in (("let through", good), ("all that have a pose", found)):
        for kind in LINES:
            say([r for c in chosen for r in rows[c.name] if r.kind == kind], f"{kind}, {title}")
    times = [(c.seconds_s, r.seconds_s, c.truth["shot"]["size_px"]) for c in found for r in rows[c.name][:1]]
    for size in sorted({tuple(t[2]) for t in times}):
        both = [a + b for a, b, s in times if tuple(s) == size]
        print(
            f"{size[0]} x {size[1]}: card, pose, laying flat, gate and one mark: median {np.median(both):.2f} s, at most {max(both):.2f} s"
        )
    compare_filters(found)


if __name__ == "__main__":
    main()
