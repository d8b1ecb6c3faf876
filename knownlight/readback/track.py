"""The video track of a file, whatever contains it: what its headers say, and its coded pictures."""

from dataclasses import dataclass
from fractions import Fraction

from knownlight.frame.rates import RATES
from knownlight.readback.stated import Stated


@dataclass(frozen=True)
class Sample:
    """One coded picture: where it begins, its bytes, and whether decoding may start there.

    digest: BLAKE2b of its bytes where they do not lie in one piece; else empty.
    entry: of a stream without an index, the byte from which a decoder finds its way to this picture.
    """

    offset: int
    size: int
    is_sync: bool
    digest: bytes = b""
    entry: int | None = None


@dataclass(frozen=True, kw_only=True)
class VideoTrack:
    """The video track of a file.

    stated: what its headers say. steady: every picture lasts as long as the next. starts_at: time of the
    first picture in the container's units, where it must be 0; -1 where an edit begins with a pause.
    sound: whether there is a sound track. index_first: whether a player need not seek to the end for the
    index. shown: width and height that it is to be shown at, where the container says so. upright: whether
    it is shown whole, unturned and unmirrored. setup: what a decoder is set up with (`setup_of`).
    """

    stated: Stated
    samples: tuple[Sample, ...]
    steady: bool
    starts_at: int
    sound: bool
    index_first: bool
    shown: tuple[float, float] | None
    upright: bool = True
    setup: bytes = b""


_RATE_TOLERANCE = 1e-6  # of a rate that is stored as a rounded duration


def known_rate(rate: Fraction) -> Fraction:
    """The exact rate that a rounded one stands for; itself where it stands for none."""
    for known in RATES.values():
        if abs(rate / known - 1) <= _RATE_TOLERANCE:
            return known
    return rate


def rate_of_times(times: list[int], clock: int) -> Fraction | None:
    """The rate of pictures shown at times of a clock (ticks/s) that every one keeps within a tick.

    The known rate that explains all times; their mean where none does; None for fewer than two.
    """
    if len(times) < 2 or times[-1] == times[0]:  # noqa: PLR2004
        return None
    mean = Fraction(clock * (len(times) - 1), times[-1] - times[0])
    # the nearest, not the first that explains them: a few pictures of 120 are as well those of 119.88
    nearest = min(RATES.values(), key=lambda rate: abs(1 / rate - 1 / mean))
    return nearest if are_steady(times, clock, nearest) else mean


def are_steady(times: list[int], clock: int, rate: Fraction) -> bool:
    """Whether every picture is shown at its time, within a tick of the clock (ticks/s)."""
    first = times[0]
    return all(abs(time - first - index * clock / rate) <= 1 for index, time in enumerate(times))
