"""Does a stream stay inside its level: a buffer filled at the level's rate, and the largest picture."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path

from knownlight import ffmpeg
from knownlight.errors import ToolFailed
from knownlight.metadata.levels import Limits


def packet_sizes(path: Path, stop: ffmpeg.Stop) -> list[int]:
    """Bytes of every picture of a file's video track, in decoding order."""
    output, _ = ffmpeg.run(
        ["-v", "error", "-i", str(path), "-map", "0:v:0", "-c", "copy", "-f", "framecrc", "pipe:1"],
        what=f"{path.name}: its packets could not be listed",
        stop=stop,
    )
    lines = [line for line in output.decode().splitlines() if line and not line.startswith("#")]
    if not lines:
        raise ToolFailed(f"{path.name}: ffmpeg wrote no pictures")
    return [int(line.split(",")[4]) for line in lines]


def buffer_peak(sizes: Sequence[int], rate: Fraction, bits_per_second: int, rounds: int = 2) -> float:
    """Largest fill in bits of a leaky bucket that drains at the level's rate.

    A stream that repeats is played twice: the second round shows whether the first one's end still weighs.
    """
    drained = float(bits_per_second / rate)
    fill = peak = 0.0
    for size in [*sizes] * rounds:
        fill = max(0.0, fill - drained) + 8.0 * size
        peak = max(peak, fill)
    return peak


def fits(sizes: Sequence[int], rate: Fraction, limits: Limits, *, frames: int | None = None) -> bool:
    """Whether pictures of these sizes keep to the limits.

    Args:
        sizes: bytes of each picture.
        rate: frames/s.
        limits: of the level.
        frames: length of the clip; where it is longer, or None, the pictures repeat for ever.
    """
    once = frames is not None and frames <= len(sizes)
    sustained = 0.0 if once else 8.0 * sum(sizes) * float(rate) / len(sizes)
    small_enough = not limits.picture_bytes or max(sizes) <= limits.picture_bytes
    return (
        small_enough
        and sustained <= limits.bits_per_second
        and buffer_peak(sizes, rate, limits.bits_per_second, 1 if once else 2) <= limits.buffer_bits
    )


def peak_rate(sizes: Sequence[int], rate: Fraction) -> int:
    """Largest bit rate over any window of one second (or the stream, where shorter), in bit/s."""
    window = min(len(sizes), max(1, round(float(rate))))
    running = sum(sizes[:window])
    best = running
    for index in range(window, len(sizes)):
        running += sizes[index] - sizes[index - window]
        best = max(best, running)
    return round(8.0 * best * float(rate) / window)


def first_that_fits(ladder: Sequence[int], is_fit: Callable[[int], bool]) -> int:
    """The first value of a ladder that fits, by bisection; the last where none does.

    A later value must never fit worse than an earlier one.
    """
    low, high = 0, len(ladder) - 1
    while low < high:
        middle = (low + high) // 2
        if is_fit(ladder[middle]):
            high = middle
        else:
            low = middle + 1
    return ladder[low]


def finest_stream(
    ladder: Sequence[int], probe_fits: Callable[[int], bool], encode: Callable[[int], list[int] | None]
) -> tuple[int, list[int]] | None:
    """The finest quantiser whose whole stream fits, and the bytes of its pictures; None where none does.

    Args:
        ladder: quantisers from fine to coarse.
        probe_fits: whether a few pictures let the whole hope to fit.
        encode: the whole stream's bytes a picture, or None where it does not fit.
    """
    chosen = first_that_fits(ladder, probe_fits)
    for quantiser in ladder[ladder.index(chosen) :]:
        sizes = encode(quantiser)
        if sizes is not None:
            return quantiser, sizes
    return None


def key_interval(group: int, rate: Fraction) -> int:
    """Pictures from one key picture to the next: the group, or a second of groups longer than two."""
    return group if group <= 2 * rate else round(float(rate))
