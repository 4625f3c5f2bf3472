"""Files as they come: every kind that phones send, and every way to send rubbish."""

from __future__ import annotations

import io
import os
import struct
from pathlib import Path

import av
import numpy as np
import pytest
from drum_sound import RATE_HZ, encoded, ringing

from peak import told_and_peak
from wheeltapper.clip import clip_from_file
from wheeltapper.clip.decoder import MOST_S, one_channel

pytestmark = pytest.mark.reasoned
KINDS = [
    ("wav", "wav", "pcm_s16le"),
    ("flac", "flac", "flac"),
    ("m4a", "ipod", "aac"),
    ("aac", "adts", "aac"),
    ("mp3", "mp3", "libmp3lame"),
    ("opus", "ogg", "libopus"),
    ("mp4", "mp4", "aac"),
    ("mov", "mov", "aac"),
    ("webm", "webm", "libopus"),
]


def tone(seconds_s: float = 2.0, rate_hz: int = 48_000) -> np.ndarray:
    """A decaying tone of 1 kHz."""
    return ringing(
        np.array([1000.0]), np.array([1.0]), np.array([0.5 + 0j]), int(seconds_s * rate_hz), rate_hz
    )


def pitch_hz(samples: np.ndarray, rate_hz: int) -> float:
    """The loudest frequency."""
    return float(np.argmax(np.abs(np.fft.rfft(samples))) * rate_hz / len(samples))


def refused(path: Path) -> str:
    """What is said of a file that cannot be used; every Problem says what to do."""
    clip, problems = clip_from_file(path)
    assert clip is None
    assert [p.where for p in problems] == [path.name]
    assert problems[0].do.endswith(".")
    return problems[0].what


@pytest.mark.parametrize(("ending", "container", "codec"), KINDS, ids=[k[0] for k in KINDS])
def test_every_kind_is_read(tmp_path: Path, ending: str, container: str, codec: str) -> None:
    """Two seconds of 1 kHz come back as that, whatever the file is called."""
    path = tmp_path / f"tone.{ending}"
    path.write_bytes(encoded(tone(), 48_000, container, codec))
    clip, problems = clip_from_file(path)

    assert problems == ()
    assert clip is not None
    assert clip.rate_hz == 48_000
    assert clip.seconds_s == pytest.approx(2.0, abs=0.15)
    assert pitch_hz(clip.samples, clip.rate_hz) == pytest.approx(1000, abs=1)


def test_the_rate_is_kept_up_to_48_khz(tmp_path: Path) -> None:
    """44.1 kHz stays; 96 kHz comes down to 48."""
    for rate, kept in ((44_100, 44_100), (96_000, 48_000)):
        path = tmp_path / f"{rate}.wav"
        path.write_bytes(encoded(tone(1.0, rate), rate, "wav", "pcm_s16le"))
        clip, _ = clip_from_file(path)
        assert clip is not None
        assert clip.rate_hz == kept
        assert pitch_hz(clip.samples, kept) == pytest.approx(1000, abs=2)


@pytest.mark.parametrize(("ending", "container", "codec"), KINDS, ids=[k[0] for k in KINDS])
@pytest.mark.parametrize("kept", [0.02, 0.5, 0.97])
def test_a_file_cut_short(tmp_path: Path, ending: str, container: str, codec: str, kept: float) -> None:
    """What is there, or a Problem; never an error."""
    path = tmp_path / f"cut.{ending}"
    data = encoded(tone(), 48_000, container, codec)
    path.write_bytes(data[: int(kept * len(data))])
    clip, problems = clip_from_file(path)

    assert clip is not None or problems
    assert clip is None or clip.seconds_s < 2.2


@pytest.mark.parametrize("seed", range(4))
def test_damaged_bytes(tmp_path: Path, seed: int) -> None:
    """A tenth of the bytes by chance: a clip with a warning, or a Problem."""
    dice = np.random.default_rng(seed)
    _, container, codec = KINDS[2 * seed]
    data = np.frombuffer(encoded(tone(), 48_000, container, codec), np.uint8).copy()
    at = dice.integers(100, len(data), len(data) // 10)
    data[at] = dice.integers(0, 256, len(at))
    path = tmp_path / "damaged"
    path.write_bytes(data.tobytes())
    clip, problems = clip_from_file(path)

    assert clip is not None or problems


def test_what_is_no_recording(tmp_path: Path) -> None:
    """Nothing there, nothing in it, text by another name, a list of other files, a folder, a pipe."""
    for name, data, says in (
        ("empty.wav", b"", "empty"),
        ("text.wav", b"one two three " * 50, "no sound or video"),
        ("list.wav", b"ffconcat version 1.0\nfile other.wav\n", "no sound or video"),
        ("list.m4a", b"#EXTM3U\n#EXTINF:1,\nhttp://example.com/a.ts\n", "no sound or video"),
        ("tiny.wav", encoded(tone(0.02), 48_000, "wav", "pcm_s16le"), "hardly any"),
        ("silent.flac", encoded(np.zeros(48_000), 48_000, "flac", "flac"), "silent"),
    ):
        (tmp_path / name).write_bytes(data)
        assert says in refused(tmp_path / name), name
    assert "cannot be opened" in refused(tmp_path / "missing.wav")
    assert "not a file" in refused(tmp_path) or "cannot be opened" in refused(tmp_path)
    os.mkfifo(tmp_path / "pipe.wav")
    assert "not a file" in refused(tmp_path / "pipe.wav")


def test_a_video_without_sound(tmp_path: Path) -> None:
    """Frames and no microphone."""
    buffer = io.BytesIO()
    with av.open(buffer, "w", format="mp4") as out:
        stream = out.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 64
        stream.pix_fmt = "yuv420p"
        for _ in range(5):
            out.mux(stream.encode(av.VideoFrame(64, 64, "yuv420p")))
        out.mux(stream.encode(None))
    (tmp_path / "mute.mp4").write_bytes(buffer.getvalue())

    assert "no sound track" in refused(tmp_path / "mute.mp4")


def two_hours(path: Path, first: np.ndarray) -> None:
    """A WAV file of two hours, all of it zero but its start; it takes no room on the disk."""
    size = 2 * 3600 * RATE_HZ * 2
    head = b"RIFF" + struct.pack("<I", size + 36) + b"WAVEfmt "
    head += struct.pack("<IHHIIHH", 16, 1, 1, RATE_HZ, 2 * RATE_HZ, 2, 16) + b"data" + struct.pack("<I", size)
    with path.open("wb") as file:
        file.write(head + (first * 32767).astype("<i2").tobytes())
        file.truncate(size + len(head))


def test_two_hours(tmp_path: Path) -> None:
    """Silence is refused; a sound at the start is read to a minute, said so; memory stays small."""
    two_hours(tmp_path / "silent.wav", np.zeros(0))
    two_hours(tmp_path / "long.wav", tone(5.0, RATE_HZ))

    assert "silent" in refused(tmp_path / "silent.wav")
    clip, problems = clip_from_file(tmp_path / "long.wav")
    assert clip is not None
    assert clip.cut
    assert clip.seconds_s == MOST_S
    assert "first 60 s" in problems[0].what
    told, peak = told_and_peak(
        "from wheeltapper.clip import clip_from_file\ntold = clip_from_file(Path(sys.argv[1]))[0].cut",
        tmp_path / "long.wav",
    )
    assert told is True
    assert peak < 700_000


def test_channels_never_cancel(tmp_path: Path) -> None:
    """Two microphones of opposite sign, one dead, one louder: the tone stays as loud as in the louder one."""
    one = tone()
    for other in (-one, 0 * one, 0.1 * np.random.default_rng(0).normal(size=len(one)), one):
        mixed = one_channel(np.stack([other, one]))
        assert np.abs(mixed).max() == pytest.approx(np.abs(one).max(), rel=1e-6)
    path = tmp_path / "stereo.wav"
    path.write_bytes(encoded(np.stack([one, -one]), 48_000, "wav", "pcm_s16le"))
    clip, _ = clip_from_file(path)
    assert clip is not None
    assert np.abs(clip.samples).max() == pytest.approx(0.5, abs=0.01)
