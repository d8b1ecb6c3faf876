"""How large a file will be and how long it takes to make: a guess, from its picture drawn small.

The factors are fitted to 118 files of the packs `stress` and `first-look` at 1080p. Of those it tells nine in
ten within a factor of two, the worst, a clip of severe faults, 22 times too large, and the two packs 2 % too
small and 37 % too large; of others it may be further off. A level's rate is the ceiling of what keeps to it.
"""

import zlib
from dataclasses import dataclass
from itertools import islice

from knownlight.encode.deliveries import delivery_named
from knownlight.encode.delivery import PastLevel
from knownlight.errors import KnownlightError
from knownlight.frame.fields import shown_in
from knownlight.frame.format import SignalFormat
from knownlight.frame.sources import FrameSource, Levels, Sequence, unrepeated_frames
from knownlight.pack.job import Job
from knownlight.stress.labels import Severity
from knownlight.stress.poor import Poor

_DRAWN = (480, 720)  # picture heights to draw instead of larger ones; not every pattern fits the first
_PICTURES = 3  # of a sequence that are looked at
_STILL_GROUP = 12  # pictures coded of what stands
_OF_STANDING, _OF_MOVED, _OF_CHANGING = 0.2, 0.06, 0.6  # bytes a coded picture, a byte of the packed one
_OF_STILL = 1.0  # bytes of a picture file, a byte of its first plane, packed
_FLAT = 1 / 200  # of a byte of samples: what packing a flat picture leaves
_FRAME_BYTES = 200  # of a coded picture that has nothing new, its sound included, and a byte more for as many
_SAMPLES_A_BYTE = 6500  # luma samples
_EASY_RATE, _SEARCHED_RATE = 12e6, 1.5e6  # luma samples made and proven a second: once, or many times over
_START_SECONDS = 0.5
_SEVERE_MEGABITS = {Severity.MILD: 20.0, Severity.STRONG: 4.0, Severity.SEVERE: 3.0}  # of 1080p24


@dataclass(frozen=True)
class Estimate:
    """Bytes of the file and seconds to make and prove it."""

    bytes: int
    seconds: float


def estimate(job: Job) -> Estimate:
    """What a job will come to, roughly; it draws a small picture and encodes nothing."""
    signal = job.signal
    source, drawn = _small(job)
    different = _STILL_GROUP if source.unrepeated(job.frames) == 1 else source.unrepeated(job.frames)
    if isinstance(source, Sequence):
        different = _STILL_GROUP * len(source.plan(job.frames))
    scale = signal.width * signal.height / (drawn.width * drawn.height)
    news = _news(source, job.frames) * scale
    samples = float(signal.width * signal.height)
    if job.is_still:
        return Estimate(int(_OF_STILL * news) + 1000, _START_SECONDS + samples / _EASY_RATE)
    unchanged = _FRAME_BYTES + samples / _SAMPLES_A_BYTE
    natural = job.frames * (unchanged + _factor(source, job.frames) * news)
    ceiling = _ceiling(job)
    is_searched = job.poor is not None or natural > ceiling
    rate = _SEARCHED_RATE if is_searched else _EASY_RATE
    size = min(natural, ceiling)
    if job.poor is not None and job.poor.is_coded_poorly:
        coded = _poor_bytes(job, job.poor)
        size = (natural + coded) / 2 if job.poor.split else coded
    return Estimate(int(size) + 2000, _START_SECONDS + samples * different / rate)


def _small(job: Job) -> tuple[FrameSource, SignalFormat]:
    """The pattern's frames at a small size where it fits one, else at its own."""
    for height in _DRAWN:
        if height < job.signal.height:
            try:
                small = job.signal.resized(height)
                return shown_in(job.pattern, small).draw(small), small
            except KnownlightError:
                continue
    return job.shown.draw(job.signal), job.signal


def _news(source: FrameSource, frames: int) -> float:
    """Bytes that its luma packs to, above those of a flat picture; the mean of a few pictures."""
    if isinstance(source, Sequence):
        numbers = sorted({hold.picture for hold in source.plan(frames)})
        pictures = [source.picture(number) for number in numbers[:: -(-len(numbers) // _PICTURES)]]
    else:
        pictures = list(islice(unrepeated_frames(source, frames), 1))
    packed = [
        max(0.0, len(zlib.compress(picture.planes[0].tobytes(), 1)) - _FLAT * picture.planes[0].nbytes)
        for picture in pictures
    ]
    return sum(packed) / len(packed)


def _factor(source: FrameSource, frames: int) -> float:
    if isinstance(source, Sequence) or source.unrepeated(frames) == 1:
        return _OF_STANDING
    return _OF_MOVED if source.levels is Levels.MOVED else _OF_CHANGING


def _ceiling(job: Job) -> float:
    """Bytes at the level's rate; none for what may pass it."""
    if job.must_be_exact or job.past_level is PastLevel.MARKED:
        return float("inf")
    limits = delivery_named(job.delivery).coder.limits(job.signal)
    return limits.bits_per_second / 8 * float(job.frames / job.signal.rate)


def _poor_bytes(job: Job, poor: Poor) -> float:
    """Of what is coded poorly: the rate that is asked for, or one that such blocks often have."""
    seconds = float(job.frames / job.signal.rate)
    megabits = poor.megabits
    if megabits is None:
        area = job.signal.width * job.signal.height / (1920 * 1080)
        megabits = _SEVERE_MEGABITS.get(poor.severity or Severity.MILD, 4.0) * area
    return megabits * 1e6 / 8 * seconds
