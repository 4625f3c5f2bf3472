"""From a sound or video file to one channel of samples: whatever is wrong with the file becomes a Problem.

Files come from strangers' phones, so they are decoded in the closed booth (`booth.py`), by `decoder.py`: it sees one
open file and can open no other.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheeltapper import booth
from wheeltapper.clip.decoder import MOST_RATE_HZ, MOST_S
from wheeltapper.problems import Problem

MEMORY_BYTES = 1_500_000_000
COMPUTING_S, PATIENCE_S = 20, 45.0
SILENT = 1e-4  # of full scale: under any microphone's own noise
LEAST_S = 0.1
BAD_SHARE = 0.05  # damaged packets from which the sound is not to be trusted (assumed)
SHORT_SHARE = 0.95  # less than so much of the promised length: the file was cut off
AGAIN = "record again with the phone's own recorder or camera, and send that file."
SEND = "send the file again, and wait until the upload is complete."
SLIPS = {
    "unreadable": ("it is no sound or video file that can be read, or its end is missing", SEND),
    "no sound": ("there is no sound track in it", "record with the microphone on, or send the sound file."),
    "strange": ("its sampling rate or number of channels is not that of a phone's recording", AGAIN),
    "too much": ("it takes too long or too much memory to read", AGAIN),
}


@dataclass(frozen=True)
class Clip:
    """A recording, decoded."""

    samples: NDArray[np.float64]  # one channel, full scale one
    rate_hz: int
    seconds_s: float
    cut: bool  # longer than was read


def clip_from_file(path: Path) -> tuple[Clip | None, tuple[Problem, ...]]:
    """Decode a recording: wav, flac, m4a, aac, mp3, ogg, opus, caf, or the sound of an mp4, mov, 3gp, mkv or webm video.

    No more than MOST_S are read. Of several channels that agree the mean is taken, else the loudest.

    Args:
        path: the file.

    Returns:
        The recording, None where there is nothing to listen to, and the Problems; a Problem may come with a recording.
    """
    try:
        with booth.opened(path) as file:
            if not booth.is_file(file):
                return _no(path, "it is not a file", "name a sound or video file.")
            if not os.fstat(file.fileno()).st_size:
                return _no(path, "the file is empty", SEND)
            head, sound = _decoded(file)
    except OSError as slip:
        return _no(path, f"the file cannot be opened ({slip.strerror})", "check its name and place.")
    if "slip" in head:
        return _no(path, *SLIPS[str(head["slip"])])
    return _judged(path, head, sound)


def _no(path: Path, what: str, do: str) -> tuple[None, tuple[Problem, ...]]:
    return None, (Problem(path.name, what, do),)


def _decoded(file: BufferedReader) -> tuple[dict[str, Any], NDArray[np.float64]]:
    """What the decoder says and sends."""
    most = 4 * MOST_S * MOST_RATE_HZ
    decoder = Path(__file__).with_name("decoder.py")
    head, data = booth.work(decoder, file, most, MEMORY_BYTES, COMPUTING_S, PATIENCE_S)
    return head, np.frombuffer(data, np.float32).astype(float)


def _judged(
    path: Path, head: dict[str, Any], sound: NDArray[np.float64]
) -> tuple[Clip | None, tuple[Problem, ...]]:
    """The recording with what is to be said of it."""
    rate, seconds, bad = int(head["rate_hz"]), len(sound) / int(head["rate_hz"]), float(head["bad_share"])
    if bad > BAD_SHARE:
        return _no(path, f"{bad:.0%} of the sound is damaged", SEND)
    if seconds < LEAST_S:
        return _no(path, "there is hardly any sound in it", AGAIN)
    if not np.isfinite(sound).all() or float(np.abs(sound).max()) < SILENT:
        return _no(path, "it is silent", "check the microphone, and record again.")
    clip = Clip(sound, rate, seconds, bool(head["cut"]))
    return clip, tuple(Problem(path.name, what, do) for what, do in _said(head, clip))


def _said(head: dict[str, Any], clip: Clip) -> list[tuple[str, str]]:
    """What to know of a recording that can be used."""
    said = []
    if clip.cut:
        said.append(
            (
                f"only the first {MOST_S} s were listened to",
                "record the taps at the start, in under a minute.",
            )
        )
    elif clip.seconds_s < SHORT_SHARE * float(head["promised_s"]) - 0.2:
        said.append((f"the file ends after {clip.seconds_s:.1f} s, earlier than it says", SEND))
    if head["bad_share"]:
        said.append(("a little of the sound is damaged", SEND))
    return said
