"""The same place last year: lay an earlier unrolled picture onto a later one, and say by how much a line has grown.

The card is never laid twice in the same way, so the surfaces are brought together by what rust and wear have drawn on
them. Grooves look the same everywhere along a drum; a match has to be clearly better than that of the same picture
mirrored, which keeps the grooves and loses the place. Where it is not, there is no answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from wheeltapper.measure.marks.response import Single, coarser
from wheeltapper.measure.marks.size import Mark
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

PX_PER_M = 5_000.0
FINE_M, COARSE_M = 0.3e-3, 3.0e-3  # structures between these are compared
GROOVE_M = 6.0e-3  # what stays the same over so much along the grooves is a groove
MOST_SHIFT_M = 15e-3
TURNS_RAD = np.radians(np.linspace(-5, 5, 21))
LEAST_SCORE = 0.35  # of the correlation (pictures of TUNING)
OVER_CHANCE = 1.8  # times the best that chance gives (pictures of TUNING)
LEAST_OVERLAP = 0.25  # of the smaller picture


@dataclass(frozen=True)
class SamePlace:
    """How card points of the earlier picture come to lie on the later one: turned about the card's origin, then shifted."""

    turn_rad: float
    shift_m: Floats  # (2,)
    sd_m: float  # standard uncertainty of a point so moved
    score: float  # correlation of the two surfaces
    chance: float  # the best that the mirrored picture gives

    def moved(self, points_m: Floats) -> Floats:
        """Card points of the earlier picture (n, 2) [m] in the later one's coordinates (n, 2) [m]."""
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        return np.asarray(np.asarray(points_m, float) @ np.array([[c, s], [-s, c]]) + self.shift_m)


@dataclass(frozen=True)
class Growth:
    """A line then and now."""

    grown_m: float  # end to end, later less earlier; negative: reads shorter now
    doubt_m: float  # nine of ten true growths lie within plus or minus this
    beyond_doubt: bool  # has grown by more than the doubt
    ends_moved_m: (
        tuple[float, float] | None
    )  # outward, each end of the later mark; None without a common place
    apart_m: float | None  # how far the middle of the one lies from the other's path: the same line?


def same_place(
    before: Unrolled,
    after: Unrolled,
    leave_out_m: Floats | None = None,
    axes_rad: tuple[float, float] = (0.0, 0.0),
) -> SamePlace:
    """Lay the earlier picture onto the later one.

    Args:
        before: the earlier picture.
        after: the later one.
        leave_out_m: card points of the later picture (n, 2) round which nothing is compared: the mark itself may have
            grown [m].
        axes_rad: by how much the drum's axis is turned from the card's y, in the earlier and the later picture [rad].

    Returns:
        Turn and shift, with their doubt.

    Raises:
        NoAnswerError: the match is not clearly better than chance, or it lies farther away than the card is ever laid.
    """
    then, then_known = _texture(before, None, axes_rad[0])
    now, now_known = _texture(after, leave_out_m, axes_rad[1])
    found = _best(then, then_known, now, now_known)
    mirrored = _best(then[:, ::-1], then_known[:, ::-1], now, now_known)
    score, chance = found[0], mirrored[0]
    if score < LEAST_SCORE or score < OVER_CHANCE * chance:
        raise NoAnswerError(
            "the two photos do not show the same place for certain",
            "lay the card at the same place, wipe it in the same way, and take the photo again.",
        )
    _, turn, shift_px, width_px = found
    return _as_card(
        before, after, turn, shift_px, then.shape, max(width_px * (1 - score) ** 0.5, 0.25), score, chance
    )


def growth(before: Mark, after: Mark, place: SamePlace | None = None) -> Growth:
    """By how much a line has grown from end to end.

    Both doubts count in full: what two photos of one mark have in common, a tip too thin to be seen, need not be the same
    in both.

    Args:
        before: the earlier mark.
        after: the later one.
        place: how the earlier picture lies on the later one, None where that is not known.

    Returns:
        The growth.
    """
    grown = after.end_to_end_m - before.end_to_end_m
    doubt = float(np.hypot(before.doubt_m, after.doubt_m))
    ends, apart = (None, None) if place is None else _ends_moved(before, after, place)
    return Growth(grown, doubt, grown > doubt, ends, apart)


def _ends_moved(before: Mark, after: Mark, place: SamePlace) -> tuple[tuple[float, float], float]:
    """Outward movement of each end along the later line, and the distance of the lines."""
    then = place.moved(before.ends_m)
    now = after.ends_m
    if np.linalg.norm(then - now, axis=1).sum() > np.linalg.norm(then[::-1] - now, axis=1).sum():
        then = then[::-1]
    out = (now[1] - now[0]) / max(float(np.linalg.norm(now[1] - now[0])), 1e-12)
    moved = float((now[0] - then[0]) @ -out), float((now[1] - then[1]) @ out)
    middle = place.moved(before.path_m[[len(before.path_m) // 2]])
    return moved, float(np.linalg.norm(after.path_m - middle, axis=1).min())


def _texture(unrolled: Unrolled, leave_out_m: Floats | None, axis_rad: float) -> tuple[Single, Single]:
    """What rust and wear have drawn: light between two coarsenesses, without spikes; and where it counts."""
    if unrolled.px_per_m < PX_PER_M:
        raise NoAnswerError(
            "a photo shows too few points for each millimetre", "go nearer, and take the photo again."
        )
    light, known, _ = coarser(unrolled, PX_PER_M)
    known = (np.asarray(cv2.erode(known, np.ones((5, 5), np.uint8))) > 0.99).astype(np.float32)
    if leave_out_m is not None:
        at = np.rint(unrolled.to_pixels(leave_out_m) * (PX_PER_M / unrolled.px_per_m)).astype(int)
        for col, row in at:
            cv2.circle(known, (int(col), int(row)), round(1e-3 * PX_PER_M), 0.0, -1)
    fine, coarse = (_mean(light, known, s * PX_PER_M) for s in (FINE_M, COARSE_M))
    band = _without_grooves(fine - coarse, known, axis_rad) * known
    spread = 1.4826 * float(np.median(np.abs(band[known > 0]))) if known.any() else 0.0
    return np.asarray(np.clip(band / max(spread, 1e-6), -3, 3) * known, np.float32), known


def _without_grooves(band: Single, known: Single, axis_rad: float) -> Single:
    """Less its own mean along the grooves: they would match anywhere along the drum."""
    rows, cols = band.shape
    slope = float(np.tan(axis_rad))
    level = np.array([[1, 0, 0], [slope, 1, -slope * (cols - 1) / 2]])
    both = cv2.warpAffine(np.dstack([band * known, known]), level, (cols, rows))
    both = cv2.GaussianBlur(both, (0, 1), GROOVE_M * PX_PER_M, sigmaY=1e-6)
    both = np.asarray(
        cv2.warpAffine(both, level, (cols, rows), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    )
    return np.asarray(band - both[..., 0] / np.maximum(both[..., 1], 1e-2), np.float32)


def _mean(light: Single, known: Single, sd_px: float) -> Single:
    """Mean over known places under a bell."""
    top = cv2.GaussianBlur(light * known, (0, 0), sd_px)
    return np.asarray(top / np.maximum(cv2.GaussianBlur(known, (0, 0), sd_px), 1e-3), np.float32)


def _best(
    then: Single, then_known: Single, now: Single, now_known: Single
) -> tuple[float, float, Floats, float]:
    """Score, turn, shift in pixels and width of the best match over turns and shifts."""
    best: tuple[float, float, Floats, float] = (-1.0, 0.0, np.zeros(2), 1.0)
    rows, cols = (a + b for a, b in zip(then.shape, now.shape, strict=True))
    size = cv2.getOptimalDFTSize(rows), cv2.getOptimalDFTSize(cols)
    spectra = [np.fft.rfft2(a, size) for a in (now, now_known, now * now)]
    coarse = [_turned_score(then, then_known, turn, spectra, size, now.shape) for turn in TURNS_RAD]
    best = max(coarse, key=lambda b: b[0])
    step = float(TURNS_RAD[1] - TURNS_RAD[0])
    for fine in best[1] + step * np.array([-0.6, -0.4, -0.2, 0.2, 0.4, 0.6]):
        best = max(
            best, _turned_score(then, then_known, float(fine), spectra, size, now.shape), key=lambda b: b[0]
        )
    return best


def _turned_score(
    then: Single,
    then_known: Single,
    turn: float,
    spectra: list[np.ndarray],
    size: tuple[int, int],
    shape: tuple[int, ...],
) -> tuple[float, float, Floats, float]:
    """Best normalised correlation over all shifts at one turn; only places that both know count."""
    rows, cols = then.shape
    to = cv2.getRotationMatrix2D(((cols - 1) / 2, (rows - 1) / 2), np.degrees(turn), 1.0)
    a = cv2.warpAffine(then, to, (cols, rows), flags=cv2.INTER_LINEAR)
    k = (cv2.warpAffine(then_known, to, (cols, rows), flags=cv2.INTER_LINEAR) > 0.99).astype(np.float32)
    a = a * k
    of_a, of_k, of_a2 = (np.conj(np.fft.rfft2(v, size)) for v in (a, k, a * a))
    both, count, a2, b2 = (
        np.fft.irfft2(p, size)
        for p in (of_a * spectra[0], of_k * spectra[1], of_a2 * spectra[1], of_k * spectra[2])
    )
    least = LEAST_OVERLAP * min(float(k.sum()), float(count.max()))
    score = np.where(count > least, both / np.sqrt(np.maximum(a2 * b2, 1e-6)), -1.0)
    reach = int(MOST_SHIFT_M * PX_PER_M)
    dr, dc = (np.rint((n - m) / 2).astype(int) for n, m in zip(shape, then.shape, strict=True))
    row, col = np.meshgrid(
        np.arange(dr - reach, dr + reach + 1), np.arange(dc - reach, dc + reach + 1), indexing="ij"
    )
    part = score[row % size[0], col % size[1]]
    at = np.unravel_index(int(np.argmax(part)), part.shape)
    shift, width = _peak(part, int(at[0]), int(at[1]))
    return float(part[at]), turn, np.array([col[at] + shift[0], row[at] + shift[1]]), width


def _peak(part: np.ndarray, row: int, col: int) -> tuple[tuple[float, float], float]:
    """Top of the peak between pixels (columns, rows), and its width in pixels."""
    if not (0 < row < part.shape[0] - 1 and 0 < col < part.shape[1] - 1):
        return (0.0, 0.0), 3.0
    out, widths = [], []
    for low, mid, high in (part[row, col - 1 : col + 2], part[row - 1 : row + 2, col]):
        bend = min(float(low - 2 * mid + high), -1e-6)
        out.append(float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5)))
        widths.append(float(np.sqrt(max(float(mid), 1e-6) / -bend)))
    return (out[0], out[1]), min(max(widths), 10.0)


def _as_card(
    before: Unrolled, after: Unrolled, turn: float, shift_px: Floats, shape: tuple[int, ...],
    sd_px: float, score: float, chance: float,
) -> SamePlace:  # fmt: skip
    """From pixels of the two coarse pictures to card points: turned about the picture's middle, y upward."""
    middle = np.array([(shape[1] - 1) / 2, (shape[0] - 1) / 2]) / PX_PER_M * [1, -1]
    corner = np.array([before.left_m, before.top_m]) + _half(before)
    to_corner = np.array([after.left_m, after.top_m]) + _half(after)
    c, s = np.cos(turn), np.sin(turn)
    turned = np.array([[c, -s], [s, c]])
    pivot = corner + middle
    shift = to_corner + middle + shift_px / PX_PER_M * [1, -1] - turned @ pivot
    return SamePlace(float(turn), shift, float(sd_px / PX_PER_M), score, chance)


def _half(unrolled: Unrolled) -> Floats:
    """From the middle of a picture's first pixel to that of the coarse picture's first one."""
    return (0.5 / PX_PER_M - 0.5 / unrolled.px_per_m) * np.array([1.0, -1.0])
