"""Sound against what was intended: of stated facts, and of real files that were tampered with."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.encode.deliveries import DELIVERIES
from knownlight.ffmpeg import Stop
from knownlight.frame.sound import Beeps, Soundtrack
from knownlight.readback.sound import HeardSound
from knownlight.verify.proof import prove
from knownlight.verify.sound import CODECS, SoundFound, check_sound

if TYPE_CHECKING:
    from tests.conftest import MakeClip

SECONDS = Fraction(3)
BEEPS = Soundtrack(Beeps(first=Fraction(1, 2), every=Fraction(1)))
SILENT = Soundtrack()
HEARD = HeardSound(
    codec="AAC", channels=2, rate=48000, seconds=SECONDS, peak=0.1, beeps=(0.5, 1.5001, 2.4996)
)
QUIET = replace(HEARD, peak=0.0, beeps=())


def problems(heard: HeardSound | None, wanted: Soundtrack | None, seconds: Fraction = SECONDS) -> list[str]:
    """Those of an MP4."""
    return check_sound(heard, wanted, "hevc-mp4", seconds)[1]


def test_every_delivery_has_a_codec() -> None:
    """None is registered without one."""
    assert set(DELIVERIES) == set(CODECS)


def test_what_is_intended_passes() -> None:
    """Beeps with their largest and mean distance, silence, and no track."""
    beeps = SoundFound(kind="beeps", codec="AAC", beeps=3, offset_ms=0.4, mean_offset_ms=-0.1)
    assert (beeps, []) == check_sound(HEARD, BEEPS, "hevc-mp4", SECONDS)
    assert (SoundFound(kind="silent", codec="AAC"), []) == check_sound(QUIET, SILENT, "hevc-mp4", SECONDS)
    assert (SoundFound(kind="none"), []) == check_sound(None, None, "hevc-mp4", SECONDS)


@pytest.mark.parametrize(
    ("heard", "wanted", "problem"),
    [
        (None, SILENT, "sound: the track is missing"),
        (QUIET, None, "sound: there is a track (AAC), none is intended"),
        (HEARD, SILENT, "sound: it reaches 0.1 of full scale where it must be silent"),
        (
            replace(QUIET, peak=0.0002),
            SILENT,
            "sound: it reaches 0.0002 of full scale where it must be silent",
        ),
        (QUIET, BEEPS, "sound: 0 beeps are heard, 3 are intended"),
        (replace(HEARD, beeps=(0.5, 1.5)), BEEPS, "sound: 2 beeps are heard, 3 are intended"),
        (replace(HEARD, beeps=(0.1, 0.5, 1.5, 2.5)), BEEPS, "sound: 4 beeps are heard, 3 are intended"),
        (replace(HEARD, beeps=(0.52, 1.5, 2.5)), BEEPS, "sound: a beep is 20.00 ms late, 1 ms are allowed"),
        (replace(HEARD, beeps=(0.5, 1.4989, 2.5)), BEEPS, "sound: a beep is 1.10 ms early, 1 ms are allowed"),
        (
            replace(QUIET, codec="AC-3", channels=1),
            SILENT,
            "sound: it is AC-3 of 1 channels at 48000 Hz; AAC of 2 at 48000 Hz is intended",
        ),
        (
            replace(QUIET, rate=44100),
            SILENT,
            "sound: it is AAC of 2 channels at 44100 Hz; AAC of 2 at 48000 Hz is intended",
        ),
        (
            replace(QUIET, seconds=SECONDS - Fraction(1025, 48000)),  # a frame of AAC has 1024 samples
            SILENT,
            "sound: it lasts 2.979 s, the pictures 3.000 s",
        ),
        (
            replace(QUIET, seconds=SECONDS + Fraction(1025, 48000)),
            SILENT,
            "sound: it lasts 3.021 s, the pictures 3.000 s",
        ),
    ],
)
def test_what_is_not_intended_is_told(
    heard: HeardSound | None, wanted: Soundtrack | None, problem: str
) -> None:
    """One problem each, in words."""
    assert [problem] == problems(heard, wanted)


@pytest.mark.parametrize("beeps", [(0.5, 1.5), (0.5, 1.5, 2.5)])
def test_a_beep_at_the_very_end_need_not_be_heard(beeps: tuple[float, ...]) -> None:
    """One that begins in the last 10 ms is too short to be found for sure."""
    seconds = Fraction(2507, 1000)
    assert [] == problems(replace(HEARD, beeps=beeps, seconds=seconds), BEEPS, seconds)


@pytest.mark.parametrize("name", ["hevc-mp4", "mpeg2-ts"])
@pytest.mark.parametrize(("delay", "told"), [(0.02, "late"), (-0.02, "early")])
def test_shifted_sound_is_found(
    *,
    name: str,
    delay: float,
    told: str,
    shared_clip: "MakeClip",
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """The same packets with the sound 20 ms later or earlier fail, by what they are shifted."""
    clip = shared_clip("lip-sync", "576p25-sdr" if name == "mpeg2-ts" else "720p24-sdr", 48, name)
    assert () == prove(clip.path, clip.intent, stop).problems
    path = tmp_path / f"shifted{clip.path.suffix}"
    options = ("-f", "mpegts") if name == "mpeg2-ts" else ("-tag:v", "hvc1", "-movflags", "+faststart")
    run_ffmpeg(
        *(
            "-copyts",
            "-i",
            clip.path,
            "-itsoffset",
            str(delay),
            "-i",
            clip.path,
            "-map",
            "0:v",
            "-map",
            "1:a",
        ),
        *("-c", "copy", *options, path),
    )
    found = [
        problem
        for problem in prove(path, clip.intent, stop).problems
        if problem.startswith("sound: a beep is ")
    ]
    assert 1 == len(found)
    assert found[0].endswith(f" ms {told}, 1 ms are allowed")
    assert 20.0 == pytest.approx(float(found[0].split()[4]), abs=0.1)  # ms: the codecs' smear


def test_a_track_that_is_not_intended_is_found(shared_clip: "MakeClip", stop: Stop) -> None:
    """Where none is declared, the container and the decoded sound both tell of it."""
    clip = shared_clip("window", "720p24-pq", 126, luminance=1000.0)
    found = prove(clip.path, replace(clip.intent, sound=None), stop).problems
    assert (
        "ISO base media boxes: there is a sound track, none is intended",
        "sound: there is a track (AAC), none is intended",
    ) == found


@pytest.mark.parametrize("name", DELIVERIES)
def test_silence_is_proven(name: str, shared_clip: "MakeClip", stop: Stop) -> None:
    """The silent track of each delivery is silent after decoding, and a marker's is not taken for it."""
    clip = shared_clip("ramp", "720p24-sdr", 30, name)
    assert SoundFound(kind="silent", codec=CODECS[name][0]) == prove(clip.path, clip.intent, stop).sound
