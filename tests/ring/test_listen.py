"""A whole recording: taps and modes against the truth, what must not matter, and what must be refused."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from drum_sound import (
    KINDS,
    RATE_HZ,
    REPORTING,
    TUNING,
    Clip,
    Setting,
    drum,
    recording,
    ringing,
    setting,
    table,
    through_aac,
)

from wheeltapper.measure.ring import REASONS, Family, Mode, Ring, listen, loudness
from wheeltapper.problems import NoAnswerError

pytestmark = pytest.mark.reasoned
PLAIN = Setting(taps=4, quiet_s=0.7, apart_s=1.0, room_share=0.02, hum=0.1, snr_db=40)
SEED = 30_000


@pytest.fixture(scope="module")
def clip() -> Clip:
    """A good drum, recorded well."""
    return recording(drum(SEED), SEED, PLAIN)


@pytest.fixture(scope="module")
def ring(clip: Clip) -> Ring:
    """What is heard of it."""
    return listen(clip.samples, clip.rate_hz)


def lone(clip: Clip) -> list[int]:
    """Modes of the truth in the band with no other within 2 %."""
    hz = clip.drum.hz
    return [i for i, f in enumerate(hz) if 300 < f < 4000 and np.sum(np.abs(hz / f - 1) < 0.02) == 1]


@pytest.mark.parametrize("kind", KINDS)
def test_taps_are_where_they_were(kind: str) -> None:
    """Every tap within 6 ms, and no other."""
    made = recording(drum(SEED, kind, 10), SEED, PLAIN)
    heard = listen(made.samples, made.rate_hz)

    assert [t.at_s for t in heard.taps] == pytest.approx(made.taps_s.tolist(), abs=0.006)


def test_a_good_recording_has_no_reasons(ring: Ring) -> None:
    """Nothing to complain of, and the numbers say so."""
    assert ring.reasons == ()
    assert ring.quality.flat_runs == 0
    assert ring.quality.ring_to_noise_db == pytest.approx(40, abs=8)


def test_modes_are_the_true_ones(clip: Clip, ring: Ring) -> None:
    """Lone modes to a fiftieth of a per cent in frequency and a tenth in decay; every mode found is near a true one."""
    modes = [m for f in ring.families for m in f.modes]
    for i in lone(clip):
        near = [m for m in modes if abs(m.hz / clip.drum.hz[i] - 1) < 2e-4]
        if near:
            assert near[0].decay_per_s == pytest.approx(clip.drum.decay_per_s[i], rel=0.1)
    assert sum(bool([m for m in modes if abs(m.hz / clip.drum.hz[i] - 1) < 2e-4]) for i in lone(clip)) >= 1
    assert all(np.abs(clip.drum.hz / m.hz - 1).min() < 0.004 for m in modes)


@pytest.mark.parametrize("gain", [0.01, -1.0, 0.5])
def test_loudness_and_sign_do_not_matter(clip: Clip, ring: Ring, gain: float) -> None:
    """The same recording softer or upside down has the same modes, with amplitudes in proportion."""
    other = listen(gain * clip.samples, clip.rate_hz)

    assert [m.hz for f in other.families for m in f.modes] == pytest.approx(
        [m.hz for f in ring.families for m in f.modes]
    )
    assert [f.decay_per_s for f in other.families] == pytest.approx([f.decay_per_s for f in ring.families])
    assert [f.amplitude for f in other.families] == pytest.approx(
        [abs(gain) * f.amplitude for f in ring.families]
    )


def test_time_does_not_matter(clip: Clip, ring: Ring) -> None:
    """A third of a second of the quiet cut off at the start changes what was heard by less than its doubt."""
    other = listen(clip.samples[RATE_HZ // 3 :], clip.rate_hz)

    assert [t.at_s + 1 / 3 for t in other.taps] == pytest.approx([t.at_s for t in ring.taps], abs=0.004)
    for f in ring.families[:5]:
        near = min(other.families, key=lambda g: abs(g.hz - f.hz))
        assert near.hz == pytest.approx(f.hz, abs=max(4 * f.strongest.hz_sd, 1e-5 * f.hz))


def test_a_phones_codec_does_not_matter(clip: Clip, ring: Ring) -> None:
    """After AAC the strong families under 2 kHz are where they were, to a fiftieth of a per cent, and die as fast to a twelfth."""
    coded = through_aac(clip)
    other = listen(coded.samples, coded.rate_hz)
    strong = [
        f
        for f, share in zip(ring.families, loudness(ring.families), strict=True)
        if share > 0.05 and f.hz < 2000
    ]

    assert len(strong) > 2
    for f in strong:
        near = min(other.families, key=lambda g: abs(g.hz - f.hz))
        assert near.hz == pytest.approx(f.hz, rel=2e-4)
        assert near.decay_per_s == pytest.approx(f.decay_per_s, rel=0.08)


def test_early_fall_of_a_single_mode() -> None:
    """Without any model, the fall of one decaying tone is its decay."""
    sound = np.zeros(4 * RATE_HZ)
    for at in (1.0, 2.4):
        first = int(at * RATE_HZ)
        tone = ringing(
            np.array([700.0, 5000.0]), np.array([6.0, 30.0]), np.array([-0.2j, -0.2j]), len(sound) - first
        )
        sound[first:] += tone
    sound += 1e-4 * np.random.default_rng(SEED).normal(size=len(sound))
    heard = min(listen(sound, RATE_HZ).families, key=lambda f: abs(f.hz - 700))

    assert heard.early is not None
    assert heard.early.decay_per_s == pytest.approx(6.0, rel=0.03)
    assert heard.strongest.decay_per_s == pytest.approx(6.0, rel=0.005)


def test_curve_falls_from_nothing(ring: Ring) -> None:
    """For the picture: level over time starts at 0 dB and has fallen far after a second."""
    assert ring.curve is not None
    assert ring.spectrum is not None
    assert ring.curve.level_db[0] == 0
    assert ring.curve.level_db[-5:].max() < -15
    assert len(ring.spectrum.hz) == len(ring.spectrum.power) == len(ring.spectrum.noise)


def family(*modes: tuple[float, float]) -> Family:
    """A family of modes given by frequency and decay."""
    made = tuple(Mode(hz, 0.01, decay, 0.1, 1.0) for hz, decay in modes)
    return Family(made, None, 1.0, 1.0, 40.0, 1.0, 4)


def test_a_split_counts_from_two_widths() -> None:
    """Half-power width is decay over pi: 3.2 Hz at 10 per second, so 6.4 Hz is the edge."""
    assert family((1000, 10)).split_share == 0
    assert not family((1000, 10)).split_counts
    assert not family((1000, 10), (1006.3, 10)).split_counts
    assert family((1000, 10), (1006.5, 10)).split_counts
    assert family((999, 10), (1001, 10)).split_share == pytest.approx(0.002)


def reasons(sound: Clip | np.ndarray, rate_hz: float = RATE_HZ) -> tuple[str, ...]:
    """Why to record again."""
    return listen(sound.samples if isinstance(sound, Clip) else sound, rate_hz).reasons


def test_each_reason() -> None:
    """Every way to spoil a recording is named."""
    of = drum(SEED)
    quiet = 0.01 * np.random.default_rng(SEED).normal(size=3 * RATE_HZ)
    one = recording(of, SEED, replace(PLAIN, taps=1, apart_s=2.0))
    cases = {
        "silent": reasons(np.zeros(3 * RATE_HZ)),
        "no taps": reasons(quiet),
        "too short": reasons(one.samples[: int(1.2 * RATE_HZ)]),
        "too few taps": reasons(one),
        "taps too close": reasons(hurried(one)),
        "clipped": reasons(recording(of, SEED, replace(PLAIN, peak=4.0))),
        "noisy": reasons(recording(of, SEED, replace(PLAIN, snr_db=8))),
        "room too live": reasons(
            recording(drum(SEED, "crack 50"), SEED, replace(PLAIN, room_share=1.0, room_s=1.5))
        ),
        "narrow band": reasons(one.samples[::6] + 0.0, RATE_HZ / 5.5),
        "too few modes": reasons(one.samples * 0 + tapped()),
    }

    assert {word: word in said for word, said in cases.items()} == dict.fromkeys(cases, True)
    assert {word for said in cases.values() for word in said} <= set(REASONS)


def hurried(one: Clip) -> np.ndarray:
    """The same tap again and again, 0.26 s apart, stopped just after the last."""
    first = int((one.taps_s[0] - 0.01) * RATE_HZ)
    piece = one.samples[first : first + int(0.26 * RATE_HZ)]
    return np.concatenate([one.samples[:first], *[piece] * 6])


def tapped() -> np.ndarray:
    """Bangs that do not ring."""
    dice = np.random.default_rng(SEED)
    count = len(recording(drum(SEED), SEED, replace(PLAIN, taps=1, apart_s=2.0)).samples)
    sound = 1e-4 * dice.normal(size=count)
    for at in (30_000, 60_000, 90_000):
        sound[at : at + 300] += dice.normal(size=300) * np.exp(-np.arange(300) / 50)
    return sound


def test_clipping_is_seen_through_a_codec() -> None:
    """A flat top that AAC has rippled is still near full scale."""
    assert "clipped" in reasons(through_aac(recording(drum(SEED), SEED, replace(PLAIN, peak=4.0))))
    assert "clipped" not in reasons(through_aac(recording(drum(SEED), SEED, replace(PLAIN, peak=0.9))))


@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(0),
        np.zeros(10),
        np.zeros((2, 44_100)),
        np.full(44_100, nan),
        np.full(44_100, inf),
        np.full(44_100, 1e200),
    ],
    ids=["none", "few", "two channels", "nan", "inf", "huge"],
)
def test_what_is_no_sound(samples: np.ndarray) -> None:
    """A sentence with what to do."""
    with pytest.raises(NoAnswerError, match=r"\.$"):
        listen(samples, 44_100)


@pytest.mark.parametrize("rate_hz", [0.0, -44_100.0, nan, inf, 100.0, 1e9])
def test_what_is_no_rate(rate_hz: float) -> None:
    """A sentence with what to do."""
    with pytest.raises(NoAnswerError, match="sampling rate"):
        listen(np.zeros(44_100), rate_hz)


@pytest.mark.parametrize("seed", range(8))
def test_any_noise_is_listened_to(seed: int) -> None:
    """Steps, clicks, tones and noise of any length never stop it."""
    dice = np.random.default_rng(seed)
    sound = dice.normal(size=int(dice.integers(64, 120_000))) * (dice.random() < 0.5)
    for _ in range(int(dice.integers(0, 40))):
        at = int(dice.integers(0, len(sound)))
        sound[at : at + int(dice.integers(1, 500))] += dice.normal() * 10 ** dice.uniform(-6, 3)
    heard = listen(sound, float(dice.choice([8000, 16_000, 22_050, 44_100, 48_000, 192_000])))

    assert set(heard.reasons) <= set(REASONS)


def test_the_simulator_keeps_its_word() -> None:
    """Same seed, same sound; seeds for tuning and for reporting do not meet; every case has its 24 modes."""
    again = [recording(drum(SEED, "crack 25"), SEED).samples for _ in range(2)]

    assert np.array_equal(*again)
    assert not set(TUNING) & set(REPORTING)
    assert {len(modes) for modes in table().values()} == {24}
    assert setting(1) != setting(2)
