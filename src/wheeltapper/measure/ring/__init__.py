"""The ring test's ear: a recording of taps in, modes with decay and split out. It measures and never judges.

    from wheeltapper.measure.ring import listen
    ring = listen(samples, rate_hz)            # one channel, floats, full scale one

    ring.taps        Tap: at_s, start_s, end_s, length_s, level_db, bounced
    ring.families    Family, in order of frequency: hz, decay_per_s, amplitude (all modes together), modes, early,
                     split_share, split_sd, split_counts (farther apart than twice the half-power width), snr_db,
                     explained_share, window_s, room_ratio, taps
      .modes         Mode: hz, hz_sd, decay_per_s, decay_sd_per_s, amplitude, zeta, width_hz
      .early         Early or None: decay_per_s, decay_sd_per_s, fall_db, at_s, level_db; the fall without any model
    ring.quality     Quality: plain numbers
    ring.reasons     words of REASONS; none: good enough to judge by
    ring.spectrum    Spectrum: hz, power, noise; mean of the taps
    ring.curve       Curve: at_s, level_db; how the whole sound dies away

`listen` raises NoAnswerError only for what is no recording; a poor recording comes back with its reasons. Standard
deviations hold for noise; a room's echo and an automatic gain add errors that they do not know of.
"""

from wheeltapper.measure.ring.early import Early
from wheeltapper.measure.ring.family import Family, Mode, loudness
from wheeltapper.measure.ring.formula import damping_of, decay_per_s, free_ring_hz, log_decrement
from wheeltapper.measure.ring.listen import Curve, Ring, listen
from wheeltapper.measure.ring.peaks import Spectrum
from wheeltapper.measure.ring.quality import GATES, REASONS, Gates, Quality, reasons_of
from wheeltapper.measure.ring.taps import Tap

__all__ = [
    "GATES",
    "REASONS",
    "Curve",
    "Early",
    "Family",
    "Gates",
    "Mode",
    "Quality",
    "Ring",
    "Spectrum",
    "Tap",
    "damping_of",
    "decay_per_s",
    "free_ring_hz",
    "listen",
    "log_decrement",
    "loudness",
    "reasons_of",
]
