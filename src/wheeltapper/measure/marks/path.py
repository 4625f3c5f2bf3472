"""From two taps to the line between them: where it runs, and where it ends.

The way between the taps is the cheapest one over the strength of the line; past the taps it is followed a little
farther. The end is where light and tap together put it. It trusts the person that there is one line, and which.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.marks.response import Response, line_response, part, sampled
from wheeltapper.measure.marks.section import SPACING_M, along, sections, smoothed, spaced
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

AROUND_M = 5e-3  # of the taps: what is looked at
SNAP_M = 1.9e-3  # farthest that a tap is moved onto the line
KNOWN_M = 4.0e-3  # farthest that known surface may lie from a tap: a thumb slips over the edge
SNAP_MOST = 40.0  # strength over which a line pulls a tap no more
SNAP_SD_M = 1.0e-3  # how sloppy a tap is taken to be when it is moved
PAST_M = 2.6e-3  # farthest that a line is followed past a tap
TRIM_M = 4.0e-3  # farthest that it is cut back behind a tap
LEAST_M = 1.0e-3  # between the taps
PLAIN = 1.0  # standard deviations added to the strength: what a step over plain surface costs
TURNS_RAD = np.radians(np.arange(-30, 31, 10))
STRIDE_M = 0.15e-3
AHEAD_M = 0.6e-3
TOUCH_M = 0.12e-3  # standard deviation of the bell over a path of pixels
END_SD_M = 0.15e-3  # and over the darkness, before its end is looked for
END_SHARE = 0.10  # of the line's own darkness: less is not the line
END_NOISE = 1.8  # standard deviations of the plain surface's darkness: less is not the line
HALF = 0.5  # of the line's own darkness: half way, where the surface is as rough as the line is dark
UNEVEN = 0.12  # of its own darkness: no line is more even than this (assumed)
APART_M = 0.8e-3  # places nearer than this along a line tell the same (assumed)
TAP_END_M = (
    0.9e-3  # standard deviation of a tap along the line, with the tails of four degrees of freedom (assumed)
)
FALLEN = 6.0  # logarithms of odds lost on the way out: what comes after is another line
LEAST_OWN = 1.0  # standard deviations of the plain surface's darkness: less is no line


@dataclass(frozen=True)
class Trace:
    """A line as followed; its first place belongs to the first tap."""

    path_m: Floats  # (n, 2), evenly spaced
    taps_m: Floats  # (2, 2)
    snapped: bool  # False: the ends are the taps, as given
    end_sd_m: tuple[float, float]  # how sure each end is along the line, by the light and the tap together
    lost_share: (
        float  # of the line's own darkness: where it thins out to less than this, the surface hides it
    )

    @property
    def ends_m(self) -> Floats:
        """Both ends (2, 2) [m]."""
        return self.path_m[[0, -1]]


def follow(
    unrolled: Unrolled, taps_m: Floats, snap: bool = True, axis_rad: float = 0.0, grooves: bool = True
) -> Trace:
    """The line between two taps.

    Args:
        unrolled: the picture; what lies past the drum's open edge should not count as known.
        taps_m: both ends as tapped (2, 2) [m].
        snap: move the taps onto the line and look for its ends; False: measure from tap to tap as given.
        axis_rad: by how much the drum's axis is turned from the card's y [rad].
        grooves: damp lines along the turned grooves.

    Returns:
        The line.

    Raises:
        NoAnswerError: the taps are not two places on known surface, a millimetre apart or more.
    """
    taps = _checked(unrolled, taps_m)
    seen = part(unrolled, taps.min(0) - AROUND_M, taps.max(0) + AROUND_M)
    response = line_response(seen, axis_rad, grooves)
    starts = np.array([_onto(response, tap) for tap in taps]) if snap else taps
    if np.linalg.norm(starts[1] - starts[0]) < LEAST_M / 2:
        starts = taps
    core = _cheapest(response, starts)
    if not snap:
        core[0], core[-1] = taps
        return Trace(smoothed(spaced(core), TOUCH_M), taps, False, (0.0, 0.0), 0.0)
    return _ended(seen, response, core, taps)


def _checked(unrolled: Unrolled, taps_m: Floats) -> Floats:
    taps = np.asarray(taps_m, float)
    if taps.shape != (2, 2) or not np.isfinite(taps).all():
        raise NoAnswerError("a line has two ends", "tap both ends of the line.")
    known = sampled(unrolled.known.astype(np.float32), unrolled.to_pixels(taps))
    near = [_known_near(unrolled, tap) for tap, sure in zip(taps, known, strict=True) if not sure > 0.5]
    if not all(near):
        raise NoAnswerError(
            "an end lies where the photo shows no surface",
            "tap inside the card's opening, or take the photo again.",
        )
    if np.linalg.norm(taps[1] - taps[0]) < LEAST_M:
        raise NoAnswerError(
            "both taps are at the same place", "tap the two ends of the line, one after the other."
        )
    return taps


def _known_near(unrolled: Unrolled, tap: Floats) -> bool:
    """Is known surface within the reach of a sloppy tap?"""
    try:
        return bool(part(unrolled, tap - KNOWN_M, tap + KNOWN_M).known.any())
    except NoAnswerError:
        return False


def _onto(response: Response, tap: Floats) -> Floats:
    """The strongest place near a tap, nearer ones first."""
    col, row = response.to_pixels(tap[None])[0]
    rows, cols = np.indices(response.strength.shape)
    apart_m = np.hypot(cols - col, rows - row) / response.px_per_m
    worth = (
        np.minimum(response.strength, SNAP_MOST)
        * np.exp(-0.5 * (apart_m / SNAP_SD_M) ** 2)
        * (apart_m < SNAP_M)
    )
    best = np.unravel_index(int(np.argmax(worth)), worth.shape)
    if worth[best] <= 0:
        return tap
    return np.asarray(response.to_card(np.array([[best[1], best[0]]], float))[0])


def _cheapest(response: Response, starts_m: Floats) -> Floats:
    """The cheapest way between two places, as card points."""
    from skimage.graph import MCP_Geometric

    shape = response.strength.shape
    cost = 1 / (PLAIN + np.minimum(response.strength, 30.0))
    cost[~response.known] *= 4
    at = np.clip(np.rint(response.to_pixels(starts_m)).astype(int), 0, [shape[1] - 1, shape[0] - 1])
    ways = MCP_Geometric(cost)
    ways.find_costs([tuple(at[0][::-1])], [tuple(at[1][::-1])])
    way = np.array(ways.traceback(tuple(at[1][::-1])), float)[:, ::-1]
    path = response.to_card(way)
    return smoothed(spaced(path), TOUCH_M) if len(path) > 2 else np.asarray(starts_m, float)


def _onward(response: Response, path_m: Floats, far_m: float) -> Floats:
    """Follow a line past the last place of its path: the strongest of a few turns, again and again."""
    back = path_m[max(0, len(path_m) - 24)]
    step = path_m[-1] - back
    heading = float(np.arctan2(step[1], step[0]))
    out = [path_m[-1]]
    ahead = np.arange(1, 6) / 5 * AHEAD_M
    for _ in range(round(far_m / STRIDE_M)):
        ways = heading + TURNS_RAD
        unit = np.stack([np.cos(ways), np.sin(ways)], 1)
        points = out[-1] + unit[:, None] * ahead[None, :, None]
        strength = np.nan_to_num(sampled(response.strength, response.to_pixels(points)))
        worth = np.minimum(strength, 15).mean(1) + 1.0 - 2.0 * np.abs(TURNS_RAD)
        best = int(np.argmax(worth))
        heading = float(ways[best])
        out.append(out[-1] + STRIDE_M * unit[best])
    return np.array(out[1:])


def _ended(unrolled: Unrolled, response: Response, core: Floats, taps: Floats) -> Trace:
    """Follow the line past both taps, and cut it where it most likely ends."""
    before = _onward(response, core[::-1], PAST_M)[::-1]
    after = _onward(response, core, PAST_M)
    whole = smoothed(spaced(np.concatenate([before, core, after])), TOUCH_M)
    at = along(whole)
    from_m, to_m = (
        along(np.concatenate([before, core[:1]]))[-1],
        at[-1] - along(np.concatenate([core[-1:], after]))[-1],
    )
    area, noise = _darkness(unrolled, whole, at)
    inner = area[(at >= from_m) & (at <= to_m)]
    own = float(np.median(inner)) if len(inner) else 0.0
    if not own > LEAST_OWN * noise:
        raise NoAnswerError(
            "no dark line is seen between the taps", "look again where it is, or measure it as tapped."
        )
    bar = max(END_SHARE * own, min(END_NOISE * noise, HALF * own))
    odds = _odds(area, own, noise, bar)
    middle = int(np.searchsorted(at, (from_m + to_m) / 2))
    tapped = [at[int(np.argmin(np.hypot(*(whole - tap).T)))] for tap in taps]
    first, first_sd = _end(
        odds[middle::-1], at[middle] - at[middle::-1], at[middle] - from_m, at[middle] - tapped[0]
    )
    last, last_sd = _end(odds[middle:], at[middle:] - at[middle], to_m - at[middle], tapped[1] - at[middle])
    if last + first < 4:
        raise NoAnswerError(
            "no dark line is seen between the taps", "look again where it is, or measure it as tapped."
        )
    return Trace(whole[middle - first : middle + last + 1], taps, True, (first_sd, last_sd), bar / own)


def _odds(area: Floats, own: float, noise: float, bar: float) -> Floats:
    """What each place of a path adds to the logarithm of the odds that the line still runs there.

    Between a surface of no darkness and a line of its own, both with the same spread, a place of darkness a adds
    (a - own / 2) own / spread^2. A clear line thins out before it ends, so the bar lies lower there; and it
    adds no more than nothing takes away, so that a gap cannot be bridged by a darker line behind it. Neighbouring places
    tell the same and share what APART_M may add.
    """
    spread = max(noise, UNEVEN * own)
    return np.asarray(np.clip(area - bar, -bar, bar) * own / spread**2 * SPACING_M / APART_M)


def _end(odds: Floats, out_m: Floats, start_m: float, tap_m: float) -> tuple[int, float]:
    """How many places out the line ends, and the standard deviation of that.

    Every place is a possible end: as likely as the light up to it makes it, times how likely a person taps so
    far from it. The mean of all of them is taken: a clear end is told by the light, a faint one by the tap.
    """
    least = int(np.clip(np.searchsorted(out_m, start_m - TRIM_M), 0, len(out_m) - 1))
    total = np.cumsum(odds)[least:]
    fallen = np.maximum.accumulate(total) - total > FALLEN
    until = max(int(np.argmax(fallen)) if fallen.any() else len(total), 1)
    at = out_m[least : least + until]
    chance = total[:until] - 2.5 * np.log1p((at - tap_m) ** 2 / (4 * TAP_END_M**2))
    weight = np.exp(chance - chance.max())
    weight /= weight.sum()
    mean = float(weight @ at)
    return int(np.argmin(np.abs(out_m - mean))), float(np.sqrt(weight @ (at - mean) ** 2))


def _darkness(unrolled: Unrolled, whole: Floats, at: Floats) -> tuple[Floats, float]:
    """Darkness along a path, smoothed, and the spread of what the surface beside it shows."""
    area = _even(sections(unrolled, whole).area_m)
    beside = [_even(sections(unrolled, whole, side).area_m) for side in (-3.2e-3, -2.3e-3, 2.3e-3, 3.2e-3)]
    every = np.concatenate(beside)
    every = every[every != 0]
    noise = 1.4826 * float(np.median(np.abs(every))) if len(every) else float(np.median(area))
    return area, noise


def _even(area: Floats) -> Floats:
    """Darkness run over with a short bell; nothing where the picture is not known."""
    half = round(3 * END_SD_M / SPACING_M)
    bell = np.exp(-0.5 * (np.arange(-half, half + 1) * SPACING_M / END_SD_M) ** 2)
    known = np.isfinite(area)
    top = np.convolve(np.where(known, area, 0), bell, "same")
    return np.where(known, top / np.maximum(np.convolve(known.astype(float), bell, "same"), 1e-9), 0.0)
