"""R'G'B' codes from the samples of a picture file, and whether each sample is exactly a code's."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes, sample_type
from knownlight.readback.stills.samples import Samples
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import rgb_signal
from knownlight.signal.rounding import round_half_away

_STRIPE = 64  # rows at a time: the work fits in cache, memory stays flat at 8K
_WIDE = 16
# T.871 clause 7: R', G', B' from Y', Cb, Cr of full range
_FROM_YCBCR = np.array(
    [[1.0, 0.0, 1.402], [1.0, -0.114 * 1.772 / 0.587, -0.299 * 1.402 / 0.587], [1.0, 1.772, 0.0]]
)
_NEUTRAL = np.array([0.0, 128.0, 128.0])


@dataclass(frozen=True)
class Codes:
    """The three planes of codes. problem: where some samples are no code's, in words; else empty."""

    planes: Planes
    problem: str = ""


def _stripes(samples: Samples, signal: SignalFormat, convert: Callable[[Samples], PlaneArray]) -> Planes:
    """Planes of codes; `convert` turns rows of samples into rows of codes, (rows, columns, 3)."""
    planes = np.empty((3, *samples.shape[:2]), dtype=sample_type(signal.depth))
    for row in range(0, samples.shape[0], _STRIPE):
        planes[:, row : row + _STRIPE] = np.moveaxis(convert(samples[row : row + _STRIPE]), -1, 0)
    return planes[0], planes[1], planes[2]


def stored(samples: Samples, signal: SignalFormat) -> Codes:
    """Samples that are the codes themselves."""
    largest = int(samples.max())
    problem = "" if largest <= signal.quantisation.largest else f"a sample of {largest} is no code"
    kind = sample_type(signal.depth)
    return Codes(_stripes(samples, signal, lambda rows: rows.astype(kind)), problem)


def widened(samples: Samples, signal: SignalFormat) -> Codes:
    """Samples of 16 bits that hold codes of fewer; those of 8 are the codes themselves."""
    if samples.dtype.itemsize == 1:
        return stored(samples, signal)
    table, again = _widening(signal)
    planes = _stripes(samples, signal, lambda rows: table[rows])
    exact = all(np.array_equal(again[plane], samples[..., index]) for index, plane in enumerate(planes))
    return Codes(planes, "" if exact else "some samples are no widened codes of the signal's depth")


def _widening(signal: SignalFormat) -> tuple[PlaneArray, PlaneArray]:
    """Code of every sample, and sample of every code."""
    samples = np.arange(1 << _WIDE, dtype=np.int64)
    codes = np.arange(signal.quantisation.largest + 1, dtype=np.int64)
    if signal.code_range is CodeRange.NARROW:
        shift = _WIDE - signal.depth
        return (samples >> shift).astype(np.uint16), (codes << shift).astype(np.uint16)
    largest, most = signal.quantisation.largest, (1 << _WIDE) - 1
    table = (2 * samples * largest + most) // (2 * most)
    return table.astype(np.uint16), ((2 * codes * most + largest) // (2 * largest)).astype(np.uint16)


def light(samples: Samples, signal: SignalFormat) -> Codes:
    """Samples in cd/m²: each must be the float nearest to the light of its code, to the last bit."""
    encoding = signal.encoding
    wrong = 0

    def convert(rows: Samples) -> PlaneArray:
        nonlocal wrong
        values = np.nan_to_num(rows.astype(np.float64), posinf=0.0, neginf=0.0)
        coded = encoding.codes_from_signal_rgb(rgb_signal(encoding.transfer, values))
        codes: PlaneArray = np.clip(coded, 0, signal.quantisation.largest).astype(sample_type(signal.depth))
        wrong += int((encoding.rgb_light(codes).astype(np.float32) != rows).sum())
        return codes

    planes = _stripes(samples, signal, convert)
    return Codes(planes, f"{wrong:,} samples are not the light of a code" if wrong else "")


def of_jfif(samples: Samples, signal: SignalFormat) -> Codes:
    """Samples of Y', Cb, Cr as JFIF has them."""

    def convert(rows: Samples) -> PlaneArray:
        rgb = (rows.astype(np.float64) - _NEUTRAL) @ _FROM_YCBCR.T
        codes: PlaneArray = np.clip(round_half_away(rgb), 0, signal.quantisation.largest).astype(np.uint8)
        return codes

    return Codes(_stripes(samples, signal, convert))
