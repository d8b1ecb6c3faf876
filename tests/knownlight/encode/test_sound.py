"""Sound as it is written: samples by hand and by FFT, and in files by decoders that are not the writer's.

A beep's place in a coded file is found here by a matched filter, another way than readback's.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from fractions import Fraction
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.encode.deliveries import DELIVERIES
from knownlight.encode.sound import beep, blocks, sample_at
from knownlight.ffmpeg import Stop
from knownlight.frame.sound import Beeps, Soundtrack
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import MakeClip

RATE = 48000  # samples/s
PLAYER = "gst-launch-1.0"
# Each delivery at a rate and a scan of its own.
SIGNALS = {
    "hevc-mp4": "720p59.94-sdr", "hevc-mkv": "720p23.976-sdr", "hevc-ts": "720p50-sdr",
    "avc-mp4": "576p50-sdr", "avc-ts": "480i29.97-sdr", "av1-mp4": "720p23.976-sdr", "av1-mkv": "720p25-sdr",
    "vp9-webm": "720p24-sdr", "mpeg2-ts": "576i25-sdr",
}  # fmt: skip
# Elements of GStreamer that share no code with ffmpeg: container, pictures, sound. Its AAC decoder drops the
# first frame by itself, beside what the file says to drop, so that those files are left out.
ELEMENTS = {
    "hevc-ts": ("tsdemux", "h265parse", "ac3parse ! a52dec"),
    "avc-ts": ("tsdemux", "h264parse", "ac3parse ! a52dec"),
    "mpeg2-ts": ("tsdemux", "mpegvideoparse", "mpegaudioparse ! mpg123audiodec"),
    "vp9-webm": ("matroskademux", "identity", "opusparse ! opusdec"),
}
SMEAR_MS = 0.1  # of a codec; measured: 0.07 at most
Samples = NDArray[np.float64]


def frames_of(signal: str) -> int:
    """Two and a quarter seconds: two beeps, and a third in none of them."""
    return int(2.25 * float(re.split("[pi-]", signal)[1]))


def written(track: Soundtrack, seconds: Fraction) -> NDArray[np.int16]:
    """All samples."""
    return np.concatenate(list(blocks(track, seconds)))


def test_a_beep_is_a_sine_of_its_level() -> None:
    """100 ms of 1 kHz; a full-scale sine is 0 dBFS (AES17, from memory), and its RMS is 20 dB below that's.

    Rounding to 16 bits leaves less than -60 dB of anything else, in each FFT bin.
    """
    samples = beep().astype(np.float64) / 32767
    assert 4800 == len(samples)
    assert -20.0 == pytest.approx(10 * np.log10(2 * np.mean(samples**2)), abs=0.01)
    spectrum = np.abs(np.fft.rfft(samples))
    assert 1000 == np.fft.rfftfreq(len(samples), 1 / RATE)[spectrum.argmax()]
    assert 60 < 20 * np.log10(np.sort(spectrum)[-1] / np.sort(spectrum)[-2])


def test_a_beep_begins_and_ends_where_the_wave_is_zero() -> None:
    """The first sample is 0, and so would be the one past the last; half the peak comes four later."""
    samples = beep()
    assert [0, 428, 848, 1254, 1638] == samples[:5].tolist()  # 3276.7 sin(7.5° n), by hand
    assert -428 == samples[-1]
    assert 0 == int(samples.sum())


@pytest.mark.parametrize(
    ("frame", "rate", "sample"),
    [
        (12, Fraction(24000, 1001), 24024),  # 2002 a frame
        (1, Fraction(30000, 1001), 1602),  # 1601.6
        (1, Fraction(60000, 1001), 801),  # 800.8
        (5, Fraction(120000, 1001), 2002),
        (25, Fraction(50), 24000),
        (10, Fraction(144), 3333),  # 3333.3
        (1, Fraction(96000), 1),  # a half goes away from zero
    ],
)
def test_a_frame_has_its_sample(frame: int, rate: Fraction, sample: int) -> None:
    """48000 times the frame's time, to the nearest."""
    assert sample == sample_at(frame / rate)


@pytest.mark.parametrize(
    ("rate", "first", "every"),
    [(Fraction(60000, 1001), 30, 78), (Fraction(144), 71, 187), (Fraction(50), 0, 50)],
)
def test_beeps_begin_at_the_samples_of_their_frames(rate: Fraction, first: int, every: int) -> None:
    """Over the whole length, also where a period is no whole number of samples; elsewhere it is silent."""
    frames = 1500
    track = Soundtrack(Beeps(first=first / rate, every=every / rate))
    samples = written(track, frames / rate)
    expected = np.zeros(int(frames / rate * RATE + Fraction(1, 2)), dtype=np.int16)
    for frame in range(first, frames, every):
        at = int(np.floor(frame * RATE / float(rate) + 0.5))
        expected[at : at + 4800] = beep()[: len(expected) - at]
    np.testing.assert_array_equal(expected, samples[:, 0])
    np.testing.assert_array_equal(samples[:, 0], samples[:, 1])


def test_the_last_beep_is_cut_with_the_clip() -> None:
    """No sample comes after the last picture."""
    samples = written(Soundtrack(Beeps(first=Fraction(1, 2), every=Fraction(1))), Fraction(11, 20))
    assert 26400 == len(samples)
    np.testing.assert_array_equal(beep()[:2400], samples[24000:, 0])


def test_memory_is_flat() -> None:
    """Ten hours come in blocks of a second."""
    track = Soundtrack(Beeps(first=Fraction(0), every=Fraction(1)))
    assert [(RATE, 2)] * 3 == [block.shape for block in islice(blocks(track, Fraction(36000)), 3)]


def test_silence_is_zero() -> None:
    """Without beeps every sample is 0."""
    assert not written(Soundtrack(), Fraction(3, 2)).any()


def onsets(samples: Samples) -> list[float]:
    """Where beeps begin, in ms: where a beep laid over the samples meets most of one (a matched filter)."""
    tone = np.exp(2j * np.pi * np.arange(4800) / 48)
    length = len(samples) + len(tone)
    met = np.abs(np.fft.ifft(np.fft.fft(samples, length) * np.conj(np.fft.fft(tone, length))))
    edges = np.flatnonzero(np.diff(np.concatenate([[0], met > met.max() / 2, [0]])))
    return [
        float(start + met[start:end].argmax()) / 48
        for start, end in zip(edges[::2], edges[1::2], strict=True)
    ]


def first_times(path: Path, run_ffmpeg: Callable[..., bytes]) -> tuple[Fraction, Fraction]:
    """Time stamps of the first picture and of the first sample that is heard, in seconds."""
    times = []
    for track in (("-map", "0:v", "-c", "copy"), ("-map", "0:a", "-c", "pcm_s16le")):
        lines = (
            run_ffmpeg("-copyts", "-i", path, *track, "-frames", "1", "-f", "framecrc", "-")
            .decode()
            .split("\n")
        )
        clock = next(Fraction(line.split(": ")[1]) for line in lines if line.startswith("#tb"))
        times.append(int(lines[-2].split(",")[2]) * clock)
    return times[0], times[1]


@pytest.mark.parametrize("name", DELIVERIES)
def test_every_delivery_beeps_with_its_picture(
    name: str, shared_clip: "MakeClip", run_ffmpeg: Callable[..., bytes], stop: Stop
) -> None:
    """The beeps of a marker begin with the frames, or fields, of its flashes, and readback says the same."""
    signal = SIGNALS[name]
    clip = shared_clip("lip-sync", signal, frames_of(signal), name)
    picture, sound = first_times(clip.path, run_ffmpeg)
    data = run_ffmpeg("-i", clip.path, "-map", "0:a", "-f", "s16le", "-")
    samples = np.frombuffer(data, dtype="<i2").reshape(-1, 2)[:, 0] / 32768
    beeps = clip.intent.pattern.claims(clip.intent.signal).beeps
    assert beeps is not None
    expected = [1000 * float(beeps.first + number * beeps.every) for number in range(2)]
    assert expected == pytest.approx(
        [o + 1000 * float(sound - picture) for o in onsets(samples)], abs=SMEAR_MS
    )
    end = Fraction(len(samples), RATE) + sound - picture
    # the last packet is there; the coder of AC-3 keeps 256 samples back
    assert end >= clip.intent.frames / clip.intent.signal.rate - Fraction(257, RATE)
    proof = prove(clip.path, clip.intent, stop)
    assert () == proof.problems
    assert proof.sound is not None
    assert ("beeps", 2) == (proof.sound.kind, proof.sound.beeps)
    assert proof.sound.offset_ms is not None
    assert proof.sound.offset_ms < SMEAR_MS


def sink_ms(log: str, sink: str, label: str) -> float:
    """The first time, ms, that a sink of GStreamer logs after a label.

    The log is written by the thread that meets the buffer. What ``-v`` prints of two elements at once is not:
    GStreamer 1.22 drops some of it on a busy machine.
    """
    found = re.search(rf"<{sink}> .*{re.escape(label)}(\d+):(\d+):(\d+\.\d+)", log)
    assert found is not None, f"{sink} logs no '{label}'"
    return 1000 * (3600 * int(found[1]) + 60 * int(found[2]) + float(found[3]))


@pytest.mark.parametrize("name", ELEMENTS)
def test_another_player_hears_the_beeps_with_their_pictures(
    name: str, shared_clip: "MakeClip", tmp_path: Path
) -> None:
    """GStreamer, whose readers of containers and decoders of sound are not ffmpeg's."""
    container, pictures, sound = ELEMENTS[name]
    if shutil.which(PLAYER) is None:
        pytest.skip(
            f"{PLAYER} is absent; Debian's gstreamer1.0-tools, -good, -bad and -ugly have what is needed"
        )
    signal = SIGNALS[name]
    clip = shared_clip("lip-sync", signal, frames_of(signal), name)
    raw, log = tmp_path / "raw", tmp_path / "log"
    subprocess.run(
        [PLAYER, "filesrc", f"location={clip.path}", *f"! {container} name=d".split(),
         *f"d. ! queue ! {pictures} ! fakesink name=shown sync=false".split(),
         *f"d. ! queue ! {sound} ! audioconvert ! audio/x-raw,format=S16LE,channels=2".split(),
         *f"! filesink name=heard location={raw}".split()],
        capture_output=True, check=True,
        env={**os.environ, "GST_DEBUG": "basesink:6", "GST_DEBUG_FILE": str(log), "GST_DEBUG_NO_COLOR": "1"},
    )  # fmt: skip
    said = log.read_text()
    # running time = time of the first buffer - start of its segment (GStreamer, "Clocks and synchronization")
    start = {
        track: sink_ms(said, track, "got times start: ") - sink_ms(said, track, "time segment start=")
        for track in ("shown", "heard")
    }
    samples = np.fromfile(raw, dtype="<i2").reshape(-1, 2)[:, 0] / 32768
    beeps = clip.intent.pattern.claims(clip.intent.signal).beeps
    assert beeps is not None
    expected = [1000 * float(beeps.first + number * beeps.every) for number in range(2)]
    heard = [onset + start["heard"] - start["shown"] for onset in onsets(samples)]
    assert expected == pytest.approx(heard, abs=SMEAR_MS)
