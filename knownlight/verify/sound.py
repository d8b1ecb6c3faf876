"""Whether a clip sounds as it should: a track or none, silence or beeps, each with its picture."""

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from knownlight.frame.sound import CHANNELS, SAMPLE_RATE, Soundtrack
from knownlight.readback.sound import HeardSound

# Format as MediaInfo calls it, and the samples of one frame. From memory: AAC 1024 (ISO/IEC 14496-3), AC-3
# 1536 (ETSI TS 102 366), MPEG audio layer II 1152 (ISO/IEC 11172-3), Opus 960 at 20 ms (RFC 6716).
_AAC, _AC3, _MP2, _OPUS = ("AAC", 1024), ("AC-3", 1536), ("MPEG Audio", 1152), ("Opus", 960)
CODECS = {
    "hevc-mp4": _AAC,
    "hevc-mkv": _AAC,
    "hevc-ts": _AC3,
    "avc-mp4": _AAC,
    "avc-ts": _AC3,
    "av1-mp4": _AAC,
    "av1-mkv": _AAC,
    "vp9-webm": _OPUS,
    "mpeg2-ts": _MP2,
}
# What may lie between a beep and its picture: a tick of Matroska's clock. Measured: 0.07 ms (see readback).
# From memory, ITU-R BT.1359 has viewers notice sound that is 45 ms early or 125 ms late.
TOLERANCE_MS = 1.0
SILENCE = 2.0**-14  # of full scale, -84 dBFS: two steps of 16 bits; measured: none in any delivery
_CUT = Fraction(1, 100)  # s: a beep that begins so near the end need not be found


@dataclass(frozen=True, kw_only=True)
class SoundFound:
    """What was found of a clip's sound.

    kind: none, silent or beeps. codec: as MediaInfo calls it, or empty. beeps: how many were heard.
    offset_ms, mean_offset_ms: how far beeps are from their pictures, late ones positive: the largest
    magnitude, and the mean; None where there are none to compare.
    """

    kind: str
    codec: str = ""
    beeps: int = 0
    offset_ms: float | None = None
    mean_offset_ms: float | None = None


def check_sound(
    heard: HeardSound | None, wanted: Soundtrack | None, delivery: str, seconds: Fraction
) -> tuple[SoundFound, list[str]]:
    """Hold what is heard against what was intended, and say where they differ.

    Args:
        heard: what the file has; None where it has no track.
        wanted: what it should have; None for no track.
        delivery: its name.
        seconds: length of the pictures.
    """
    if heard is None:
        return SoundFound(kind="none"), [] if wanted is None else ["sound: the track is missing"]
    found = SoundFound(kind="beeps" if heard.beeps else "silent", codec=heard.codec, beeps=len(heard.beeps))
    if wanted is None:
        return found, [f"sound: there is a track ({heard.codec}), none is intended"]
    problems = _form_problems(heard, delivery, seconds)
    if wanted.beeps is None:
        if heard.peak > SILENCE:
            problems.append(f"sound: it reaches {heard.peak:.2g} of full scale where it must be silent")
        return found, problems
    times = wanted.beeps.within(seconds)
    sure = sum(time <= seconds - _CUT for time in times)
    if not sure <= len(heard.beeps) <= len(times):
        return found, [*problems, f"sound: {len(heard.beeps)} beeps are heard, {len(times)} are intended"]
    if heard.beeps:
        offsets = [1000.0 * (beep - float(time)) for beep, time in zip(heard.beeps, times, strict=False)]
        worst = max(offsets, key=abs)
        found = replace(
            found,
            offset_ms=round(abs(worst), 2),
            mean_offset_ms=round(math.fsum(offsets) / len(offsets), 2) + 0.0,
        )
        if abs(worst) > TOLERANCE_MS:
            side = "late" if worst > 0 else "early"
            problems.append(f"sound: a beep is {abs(worst):.2f} ms {side}, {TOLERANCE_MS:g} ms are allowed")
    return found, problems


def _form_problems(heard: HeardSound, delivery: str, seconds: Fraction) -> list[str]:
    """Where codec, channels, rate or length are not the delivery's."""
    codec, frame = CODECS[delivery]
    problems = []
    if (heard.codec, heard.channels, heard.rate) != (codec, CHANNELS, SAMPLE_RATE):
        problems.append(
            f"sound: it is {heard.codec} of {heard.channels} channels at {heard.rate} Hz; "
            f"{codec} of {CHANNELS} at {SAMPLE_RATE} Hz is intended"
        )
    if abs(heard.seconds - seconds) > Fraction(frame, SAMPLE_RATE):
        problems.append(f"sound: it lasts {float(heard.seconds):.3f} s, the pictures {float(seconds):.3f} s")
    return problems
