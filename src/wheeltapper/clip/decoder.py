"""What decodes a stranger's recording, inside the closed booth: from an open file to the samples of one channel.

Lengths that a file claims are not believed: only decoded samples count, and no more than MOST_S of them. Imports
nothing of this product.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import av
    import numpy as np

MOST_S = 60
MOST_RATE_HZ = 48_000  # faster recordings are brought down to it
FILE_RATES_HZ = (7_900, 400_000)
MOST_CHANNELS = 8
MOST_BAD = 2_000  # packets
AGREE = 0.9  # correlation from which channels may be mixed without losing what they differ in
FORMATS = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,ogg,wav,w64,flac,mp3,aac,caf,amr"


class Unusable(Exception):  # noqa: N818 - it is no error of ours
    """Why the file cannot be used, in one of the words that the other side knows."""


def ready() -> None:
    """Load what decoding needs, while files can still be opened."""
    import av.subtitles.stream
    import av.video.stream  # noqa: F401 - it would be loaded on meeting such a track
    import numpy as np  # noqa: F401


def decoded(file: Any) -> tuple[dict[str, Any], bytes]:
    """Decode the first sound track of an open file.

    Args:
        file: a binary file that can be read and moved about in.

    Returns:
        What is to be told: rate_hz, cut, bad_share, promised_s; and the samples as 32-bit floats.

    Raises:
        Unusable: there is nothing to decode.
    """
    import av

    options = {"format_whitelist": FORMATS, "protocol_whitelist": ""}
    try:
        with av.open(file, options=options, metadata_errors="ignore") as box:
            if not box.streams.audio:
                raise Unusable("no sound")
            return _read(box, box.streams.audio[0])
    except (av.error.FFmpegError, ValueError, EOFError) as slip:
        raise Unusable("unreadable") from slip


def _read(box: av.container.InputContainer, stream: av.AudioStream) -> tuple[dict[str, Any], bytes]:
    """The sound of a track, and what is to be told of it."""
    import numpy as np

    rate, channels = stream.rate or 0, stream.channels or 0
    if not (FILE_RATES_HZ[0] <= rate <= FILE_RATES_HZ[1] and 1 <= channels <= MOST_CHANNELS):
        raise Unusable("strange")
    to_hz = min(rate, MOST_RATE_HZ)
    pieces, bad_share = _pieces(box, stream, to_hz)
    if not pieces:
        raise Unusable("unreadable")
    sound = np.concatenate(pieces, axis=1)
    told = {
        "rate_hz": to_hz,
        "cut": sound.shape[1] > MOST_S * to_hz,
        "bad_share": bad_share,
        "promised_s": _promised_s(box, stream),
    }
    return told, one_channel(sound[:, : MOST_S * to_hz]).astype(np.float32).tobytes()


def _pieces(
    box: av.container.InputContainer, stream: av.AudioStream, to_hz: int
) -> tuple[list[np.ndarray], float]:
    """All packets until there is enough, and which share of them was damaged."""
    import av

    stream.codec_context.thread_count = 1
    shaper = av.AudioResampler(format="fltp", layout=stream.layout.name, rate=to_hz)
    pieces: list[np.ndarray] = []
    count = packets = bad = 0
    for packet in box.demux(stream):
        packets += 1
        try:
            got = [p.to_ndarray() for frame in packet.decode() for p in shaper.resample(frame)]
        except (av.error.FFmpegError, ValueError):  # ValueError: the track changes its kind half way
            bad += 1
            got = []
        pieces += got
        count += sum(p.shape[1] for p in got)
        if count > MOST_S * to_hz or bad > MOST_BAD:
            break
    return pieces, bad / max(packets, 1)


def _promised_s(box: av.container.InputContainer, stream: av.AudioStream) -> float:
    """The length that the file claims; zero where it claims none."""
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return float(box.duration or 0) / 1e6


def one_channel(sound: np.ndarray) -> np.ndarray:
    """One channel of several: the mean of all that agree with the loudest, so that nothing cancels.

    Args:
        sound: (channels, samples).

    Returns:
        (samples,).
    """
    import numpy as np

    centred = sound.astype(float) - sound.mean(axis=1, keepdims=True, dtype=float)
    power = np.einsum("ij,ij->i", centred, centred)
    loudest = int(np.argmax(power))
    with np.errstate(invalid="ignore", divide="ignore"):
        alike = centred @ centred[loudest] / np.sqrt(power * power[loudest])
    agree = np.nan_to_num(alike) > AGREE
    agree[loudest] = True
    return np.asarray(sound[agree].mean(axis=0))
