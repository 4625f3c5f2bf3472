"""The gate: each fault of a photo is named, a good photo passes, and every word has a remedy."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import cv2
import numpy as np
import pytest

from marks.card_camera import Array, Shot, photo, plain, texture
from wheeltapper.measure.marks.card import card_of
from wheeltapper.measure.marks.gate import GATES, REASONS, REMEDIES, Quality, reasons_of, washed_share
from wheeltapper.measure.marks.placed import Placed, marked, place
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import ours

pytestmark = pytest.mark.reasoned
CARDS = {name: card_of(ours(name)) for name in ("wall", "face")}
DRUM_M = 0.1524
GOOD = Shot(tilt_deg=25, roll_deg=175, axis_deg=1, seed=31)
MARK = np.array([[0.045, 0.030], [0.060, 0.040]])


@cache
def placed(shot: Shot, radius_m: float | None = DRUM_M, named: str = "wall", lies: str = "wall") -> Placed:
    """A picture taken and judged once."""
    return place(photo(shot, plain(lies)), CARDS[named], shot.focal_px, radius_m)


def test_good_photos_pass() -> None:
    """Square on, tilted, upside down, on a 10 in drum, on a face, with no record of the focal length."""
    assert placed(GOOD).reasons == ()
    assert placed(Shot(127.0, tilt_deg=-40, seed=32), 0.127).reasons == ()
    face = photo(Shot(None, away_mm=170, tilt_deg=15, seed=33), plain("face"))
    assert place(face, CARDS["face"]).reasons == ()


FAULTS: list[tuple[str, Shot, float | None]] = [
    ("card bridging the curve", replace(GOOD, lies_mm=None), DRUM_M),
    ("card bridging the curve", Shot(lies_mm=None, seed=34), DRUM_M),
    ("card bridging the curve", replace(GOOD, lies_mm=90.0), DRUM_M),
    ("wrong surface chosen", GOOD, None),
    ("blurred", replace(GOOD, blur_px=(2.5, 2.5)), DRUM_M),
    ("moved", replace(GOOD, roll_deg=180, blur_px=(2.5, 0.6)), DRUM_M),
    ("moved", replace(GOOD, roll_deg=180, blur_px=(0.6, 2.5)), DRUM_M),
    ("too dark", replace(GOOD, light=0.1), DRUM_M),
    ("overexposed", replace(GOOD, light=1.5), DRUM_M),
    ("too far", replace(GOOD, away_mm=300), DRUM_M),
    ("too steep", replace(GOOD, tilt_deg=65, away_mm=120), DRUM_M),
]


@pytest.mark.parametrize(
    ("word", "shot", "radius_m"), FAULTS, ids=[f"{w}-{i}" for i, (w, _, _) in enumerate(FAULTS)]
)
def test_each_fault_is_named(word: str, shot: Shot, radius_m: float | None) -> None:
    """The same good photo with one thing wrong; what else follows from it may be named too, but not the contrary."""
    reasons = placed(shot, radius_m).reasons

    assert word in reasons
    if word in {"card bridging the curve", "blurred", "moved", "too dark", "overexposed"}:
        assert reasons == (word,)


def test_a_wrong_drum_size_by_one_step_passes() -> None:
    """12 in chosen for a 10 in drum: the scale stays true, so the photo need not be taken again."""
    assert placed(Shot(127.0, tilt_deg=-40, seed=32), DRUM_M).reasons == ()


def test_without_a_card_or_with_another() -> None:
    """Nothing, the wrong card, a mirror: each has its own word and nothing is measured."""
    bare = place(np.full((600, 800), 130, np.uint8), CARDS["wall"])
    other = placed(GOOD, DRUM_M, "face")
    mirror = place(np.ascontiguousarray(photo(GOOD, plain("wall"))[:, ::-1]), CARDS["wall"], 1000.0, DRUM_M)

    assert bare.reasons == ("card missing",)
    assert other.reasons == ("wrong card",)
    assert mirror.reasons == ("mirrored",)
    assert (bare.pose, other.flat, mirror.curve) == (None, None, None)
    assert marked(bare, CARDS["wall"], MARK) is bare


@pytest.mark.parametrize("covered", [(0, 1, 2, 3, 4, 5), (5, 6, 7, 8), (0, 5, 6), (2, 3, 4, 7, 8)], ids=str)
def test_a_card_partly_hidden(covered: tuple[int, ...]) -> None:
    """Three tags left, the foot alone, one leg lost: the opening is no longer between tags."""
    hidden = place(photo(GOOD, texture(ours("wall"), covered=covered)), CARDS["wall"], 1000.0, DRUM_M)

    assert hidden.reasons == ("card partly hidden",)


def test_a_mark_beside_the_tags_that_are_left_is_judged_by_itself() -> None:
    """The left leg hidden: a mark on the right is between tags, one on the left is not."""
    hidden = place(photo(GOOD, texture(ours("wall"), covered=(0, 5, 6))), CARDS["wall"], 1000.0, DRUM_M)
    right, left = (MARK + np.array([x, 0.0]) for x in (0.022, -0.02))

    assert marked(hidden, CARDS["wall"], right).reasons == ()
    assert marked(hidden, CARDS["wall"], left).reasons == ("card partly hidden",)


def spot(at_mm: tuple[float, float], strength: float, radius_px: float) -> Array:
    """Light laid over the picture round a place of the card."""
    pose = placed(GOOD).pose
    assert pose is not None
    x, y = pose.to_picture(np.array([at_mm]) * 1e-3)[0]
    columns, rows = np.meshgrid(np.arange(GOOD.size_px[0]), np.arange(GOOD.size_px[1]))
    return np.asarray(strength * np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / 2 / radius_px**2))


def glared(
    at_mm: tuple[float, float], strength: float, radius_px: float, mark: Floats | None
) -> tuple[str, ...]:
    """Reasons under a light."""
    grey = photo(GOOD, plain("wall"), spot(at_mm, strength, radius_px))
    seen = place(grey, CARDS["wall"], 1000.0, DRUM_M)
    return (seen if mark is None else marked(seen, CARDS["wall"], mark)).reasons


def test_glare_counts_where_the_mark_is() -> None:
    """A burnt-out spot on the mark, the same spot away from it, and over most of the opening with no mark named."""
    assert "glare over the mark" in glared((52, 35), 3.0, 12, MARK)
    assert "glare over the mark" not in glared((82, 44), 3.0, 12, MARK)
    assert "glare over the mark" in glared((55, 33), 3.0, 60, None)


def test_a_veil_over_the_mark_is_seen_though_nothing_is_clipped() -> None:
    """Light that fills the texture without burning out, over the mark; away from it, it does not matter."""
    assert glared((52, 35), 0.6, 40, MARK) == ("washed out",)
    assert glared((84, 26), 0.5, 25, MARK) == ()


def test_a_fog_over_everything_shows_in_the_tags_black() -> None:
    """A dirty lens: black is no longer black."""
    grey = photo(replace(GOOD, light=0.7), plain("wall"), np.full(GOOD.size_px[::-1], 0.2))

    assert place(grey, CARDS["wall"], 1000.0, DRUM_M).reasons == ("washed out",)


def surface(change: str) -> Unrolled:
    """A flat picture with a rough texture, its middle third changed."""
    rng = np.random.default_rng(35)
    rough = cv2.GaussianBlur(rng.normal(0, 1, (240, 480)), (0, 0), 1.2)
    light = 0.25 * (1 + 0.4 * rough)
    middle = light[:, 160:320]
    light[:, 160:320] = {
        "veil": middle + 0.35,
        "lamp": middle * 2.2,
        "polished": 0.25 * (2.2 + 0.08 * rough[:, 160:320]),
        "nothing": middle,
    }[change]
    grey = np.round(255 * np.clip(light, 0, 1) ** (1 / 2.2)).astype(np.uint8)
    return Unrolled(grey, 6_000.0, 0.0, 0.04, np.ones(grey.shape, bool))


@pytest.mark.parametrize(
    ("change", "share"), [("veil", 1.0), ("lamp", 0.0), ("polished", 0.0), ("nothing", 0.0)]
)
def test_a_veil_is_told_from_a_lamp_and_from_a_polished_band(change: str, share: float) -> None:
    """Added light washes texture out; a brighter lamp lifts it along; a polished band has less of its own."""
    flat = surface(change)
    near = np.zeros(flat.grey.shape, bool)
    near[:, 180:300] = True

    assert washed_share(flat, near) == pytest.approx(share, abs=0.05)
    assert washed_share(flat, ~flat.known) == 0.0


def test_every_reason_has_a_remedy_and_can_be_reached() -> None:
    """The words are closed; each is met by some quality, and its remedy is a sentence that says what to do."""
    good = placed(GOOD).quality
    met = {w for w, s, r in FAULTS for w in placed(s, r).reasons} | {"card missing", "mirrored", "wrong card"}
    met |= {"card partly hidden", "glare over the mark", "washed out"}
    met |= set(reasons_of(replace(good, rms_m=2e-4)))

    assert met == set(REASONS) == set(REMEDIES)
    assert all(r.endswith(".") and len(r.split()) > 4 for r in REMEDIES.values())
    assert reasons_of(good) == ()


def test_thresholds_are_sharp() -> None:
    """Each number just inside and just outside its threshold, one at a time."""
    good = placed(GOOD).quality
    good = replace(good, spread_px=(1.6, 1.7))
    coarse = replace(good, spread_px=(1.1, 1.2))
    near = replace(good, near_mark=True)
    cases: list[tuple[Quality, Quality, str]] = [
        (replace(good, tags=4), replace(good, tags=3), "card partly hidden"),
        (replace(good, off_line_m=0.009), replace(good, off_line_m=0.007), "card partly hidden"),
        (replace(good, covered_share=0.76), replace(good, covered_share=0.74), "card partly hidden"),
        (replace(good, px_per_m=5_001.0), replace(good, px_per_m=4_999.0), "too far"),
        (replace(good, spread_m=(1.7e-4, 1.8e-4)), replace(good, spread_m=(1.8e-4, 1.9e-4)), "blurred"),
        (replace(good, spread_m=(1e-4, 2.4e-4)), replace(good, spread_m=(1e-4, 2.6e-4)), "blurred"),
        (replace(coarse, spread_m=(1.7e-4, 1.8e-4)), replace(coarse, spread_m=(1.8e-4, 1.9e-4)), "too far"),
        (replace(good, white=101.0), replace(good, white=99.0), "too dark"),
        (replace(good, white=251.0), replace(good, white=253.0), "overexposed"),
        (replace(good, black_share=0.14), replace(good, black_share=0.16), "washed out"),
        (replace(good, rms_m=9e-5), replace(good, rms_m=1.1e-4), "fit poor"),
        (replace(good, tilt_rad=1.04), replace(good, tilt_rad=1.06), "too steep"),
        (replace(near, clipped_share=0.02), replace(near, clipped_share=0.04), "glare over the mark"),
        (replace(good, clipped_share=0.09), replace(good, clipped_share=0.11), "glare over the mark"),
        (replace(near, washed_share=0.24), replace(near, washed_share=0.26), "washed out"),
        (replace(good, washed_share=0.49), replace(good, washed_share=0.51), "washed out"),
        (replace(good, curve_per_m=5.0), replace(good, curve_per_m=4.9), "card bridging the curve"),
        (replace(good, curve_per_m=8.8), replace(good, curve_per_m=8.9), "card bridging the curve"),
    ]
    for inside, outside, word in cases:
        assert reasons_of(inside) == ()
        assert reasons_of(outside) == (word,)
    assert len(fields(GATES)) >= 20


def test_what_cannot_be_laid_flat_is_a_reason_and_no_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the fit or the unrolling refuses though no number is out of bounds, the photo still comes back with a word."""
    from wheeltapper.measure.marks import placed as room

    def refuse(*_: object) -> None:
        raise NoAnswerError("it cannot be", "do otherwise.")

    grey = photo(GOOD, plain("wall"))
    monkeypatch.setattr(room, "unroll", refuse)
    assert place(grey, CARDS["wall"], 1000.0, DRUM_M).reasons == ("card partly hidden",)
    monkeypatch.setattr(room, "fit_pose", refuse)
    assert place(grey, CARDS["wall"], 1000.0, DRUM_M).reasons == ("fit poor",)
