"""When a track beeps, how long and loud it is: of samples by formula, and of files made by ffmpeg alone."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.errors import ToolFailed, UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.readback.sound import first_picture, read_sound, rises

RATE = 48000  # samples/s
EXACT = 0.1  # samples, 0.002 ms: what samples that no codec has changed are measured to
Samples = NDArray[np.float64]
Make = Callable[..., Path]

# A sine of a tenth of full scale in a tenth of each second, 0.5 s into it, in both channels.
_BEEPS = "0.1*sin(2*PI*1000*t)*between(mod(t\\,1)\\,0.5\\,0.6)"
PICTURES = ("-f", "lavfi", "-i", "testsrc=s=64x64:r=25:d=3")
BEEPS = ("-f", "lavfi", "-i", f"aevalsrc={_BEEPS}|{_BEEPS}:s=48000:d=3")
EXACT_MS = 0.01  # of samples in a file with time stamps of 1 ms, which begins at 0


def tone(places: list[float], length: int) -> Samples:
    """Bursts of 100 ms of 1 kHz that begin at places, which need not be whole samples."""
    at = np.arange(length)
    samples = np.zeros(length)
    for place in places:
        inside = (at >= place) & (at < place + 4800)
        samples[inside] = 0.1 * np.sin(2 * np.pi * (at[inside] - place) / 48)
    return samples


@pytest.fixture
def make(tmp_path: Path, run_ffmpeg: Callable[..., bytes]) -> Make:
    """A small file by ffmpeg's own coders and sources."""

    def written(*options: str | Path, name: str = "made.mkv") -> Path:
        path = tmp_path / name
        run_ffmpeg(*options, "-c:v", "mpeg4", path)
        return path

    return written


@pytest.mark.parametrize("places", [[0.0], [1.0, 48000.0], [4801.25, 48000.5, 96000.75], [143000.0]])
@pytest.mark.parametrize("block", [1001, 48000, 144000])
def test_beeps_are_found_to_parts_of_a_sample(places: list[float], block: int) -> None:
    """From the very first sample on, between samples, and over the edges of blocks of any length."""
    samples = tone(places, 144000)
    found = list(rises(np.split(samples, range(block, len(samples), block))))
    assert places == pytest.approx(found, abs=EXACT)


@pytest.mark.parametrize("hertz", [0, 100, 500, 2000, 5000])
def test_other_sound_is_no_beep(hertz: int) -> None:
    """Tones of other frequencies, and a shift, are not taken for one, however loud."""
    samples = 0.5 * np.cos(2 * np.pi * hertz * np.arange(RATE) / RATE) * (np.arange(RATE) > RATE // 2)
    samples[: RATE // 2 + 1] = 0.5 if hertz == 0 else 0.0
    assert [] == [place for place in rises([samples]) if place > 500]


def test_noise_does_not_hide_a_beep() -> None:
    """White noise 20 dB below the beep moves it by less than 0.1 ms."""
    noise = np.random.default_rng(1).normal(0, 0.00707, 144000)
    found = list(rises([tone([24000.0, 72000.0], 144000) + noise]))
    assert [24000.0, 72000.0] == pytest.approx(found, abs=4.8)


def test_a_file_is_told(make: Make, stop: Stop) -> None:
    """Samples that ffmpeg computed and did not code come back: beeps, format, length and level."""
    sound = read_sound(make(*PICTURES, *BEEPS, "-c:a", "pcm_s16le"), stop)
    assert sound is not None
    assert ("PCM", 2, 48000, Fraction(3)) == (sound.codec, sound.channels, sound.rate, sound.seconds)
    assert [500, 1500, 2500] == pytest.approx([1000 * beep for beep in sound.beeps], abs=EXACT_MS)
    assert 0.1 == pytest.approx(sound.peak, abs=1 / 32768)


@pytest.mark.parametrize(("container", "delay"), [("mp4", 0.02), ("mkv", 0.02), ("ts", 0.02), ("ts", -0.02)])
def test_a_delay_is_heard(container: str, delay: float, make: Make, stop: Stop) -> None:
    """Sound that a container starts later or earlier than the pictures is measured as a player plays it."""
    path = make(
        *PICTURES, "-itsoffset", str(delay), *BEEPS, "-c:a", "ac3", "-b:a", "448k", name=f"made.{container}"
    )
    sound = read_sound(path, stop)
    assert sound is not None
    expected = [1000 * (second + 0.5 + delay) for second in range(3)]
    assert expected == pytest.approx(
        [1000 * beep for beep in sound.beeps], abs=0.6
    )  # ms: Matroska's clock is 1


def test_the_first_picture_has_a_time(make: Make, stop: Stop) -> None:
    """0 in Matroska; in a transport stream ffmpeg begins 1.4 s after 0 by default."""
    assert 0 == first_picture(make(*PICTURES), stop)
    assert Fraction(7, 5) == first_picture(make(*PICTURES, name="made.ts"), stop)


def test_silence_has_no_level(make: Make, stop: Stop) -> None:
    """Zeros that are not coded are zeros; one loud sample of one channel is the peak."""
    silent = read_sound(
        make(*PICTURES, "-f", "lavfi", "-i", "aevalsrc=0|0:s=48000:d=3", "-c:a", "pcm_s16le"), stop
    )
    spike = "aevalsrc=0|-0.5*eq(n\\,99):s=48000:d=3"
    loud = read_sound(make(*PICTURES, "-f", "lavfi", "-i", spike, "-c:a", "pcm_s16le"), stop)
    assert silent is not None
    assert loud is not None
    assert (0.0, ()) == (silent.peak, silent.beeps)
    assert 0.5 == loud.peak


def test_no_track_is_none(make: Make, stop: Stop) -> None:
    """A file of pictures only."""
    assert read_sound(make(*PICTURES), stop) is None


def test_two_tracks_are_refused(make: Make, stop: Stop) -> None:
    """It would be a player's choice which is heard."""
    path = make(*PICTURES, *BEEPS, "-map", "0", "-map", "1", "-map", "1", "-c:a", "pcm_s16le")
    with pytest.raises(UnreadableFile, match=r"made\.mkv: 2 sound tracks instead of one"):
        read_sound(path, stop)


def test_damaged_sound_is_told(make: Make, stop: Stop) -> None:
    """A file whose sound does not decode is named."""
    path = make(*PICTURES, *BEEPS, "-c:a", "flac")
    data = bytearray(path.read_bytes())
    data[len(data) // 2 : len(data) * 3 // 4] = bytes(len(data) * 3 // 4 - len(data) // 2)
    path.write_bytes(data)
    with pytest.raises(ToolFailed, match=r"made\.mkv: its sound could not be decoded"):
        read_sound(path, stop)
