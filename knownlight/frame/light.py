"""Light levels of pixels: MaxCLL, MaxFALL, FALL and APL from planes of codes.

CTA-861.3 (now CTA-861 Annex P; wording as restated in H.264 clause D.2.31): content light is max(R, G, B) of
the 4:4:4 picture in linear light. No outlier is filtered out. Chroma at 4:2:0 is interpolated first.
"""

from collections.abc import Iterable

import numpy as np

from knownlight.frame.claims import LightLevels
from knownlight.frame.light_table import LightTable
from knownlight.frame.planes import Frame
from knownlight.frame.subsample import upsample_420
from knownlight.signal.arrays import CodeArray, FloatArray, PlaneArray
from knownlight.signal.encoding import Components, Transfer, grey_light, rgb_light

_STRIPE = 64  # rows at a time: the work fits in cache, memory stays flat at 8K
_FEW_ROWS = 4  # a picture of fewer different rows than one in so many is worked out exactly


class LightMeter:
    """Adds up frames one by one."""

    def __init__(self) -> None:
        self._max_cll = 0.0
        self._falls: list[float] = []
        self._apls: list[float] = []

    def add(self, frame: Frame) -> None:
        """Count one more frame."""
        cll, fall, apl = frame_light(frame)
        self._max_cll = max(self._max_cll, cll)
        self._falls.append(fall)
        self._apls.append(apl)

    def add_again(self) -> None:
        """Count a frame that is the same as the one before, without looking at it."""
        self._falls.append(self._falls[-1])
        self._apls.append(self._apls[-1])

    @property
    def levels(self) -> LightLevels:
        """The levels of all frames so far."""
        return LightLevels(
            max_cll=self._max_cll,
            max_fall=max(self._falls),
            fall=sum(self._falls) / len(self._falls),
            apl_percent=sum(self._apls) / len(self._apls),
        )


def light_levels(frames: Iterable[Frame]) -> LightLevels:
    """Light levels of some frames."""
    meter = LightMeter()
    for frame in frames:
        meter.add(frame)
    return meter.levels


def frame_light(frame: Frame) -> tuple[float, float, float]:
    """Largest and mean max(R, G, B) in cd/m², and mean luma in %, of one frame."""
    if frame.is_grey:
        return _grey_light(frame)
    return _colour_light(frame)


def _grey_light(frame: Frame) -> tuple[float, float, float]:
    """Greys need only a histogram of luma."""
    encoding = frame.signal.encoding
    quantisation = frame.signal.quantisation
    counts = frame.luma_counts.astype(np.float64)
    light = encoding.grey_luminance_table
    pixels = counts.sum()
    signal = quantisation.luma_signal(np.arange(quantisation.largest + 1))
    return (
        float(light[counts > 0].max()),
        float(counts @ light / pixels),
        float(100.0 * (counts @ signal) / pixels),
    )


def _colour_light(frame: Frame) -> tuple[float, float, float]:
    """Every pixel counts; rows that repeat the row above are counted with it, not worked out again.

    Pictures whose rows nearly all differ, as photographs, are taken from a table where one will do.
    """
    encoding = frame.signal.encoding
    luma, first, second = frame.planes
    if frame.signal.components is Components.YCBCR_420:
        first = upsample_420(first, frame.signal.siting)
        second = upsample_420(second, frame.signal.siting)
    starts, repeats = _different_rows(luma, first, second)
    many = starts.size * _FEW_ROWS > luma.shape[0]
    shared = frame.signal.components is Components.YCBCR_420  # no claims of light to be held against
    if many and shared and encoding.transfer is not Transfer.HLG:
        largest, mean = LightTable.of(encoding).largest_and_mean(luma, first, second)
        signal = encoding.quantisation.luma_signal(np.arange(encoding.quantisation.largest + 1))
        return largest, mean, float(100.0 * (frame.luma_counts @ signal) / luma.size)
    largest, total, apl = 0.0, 0.0, 0.0
    for at in range(0, starts.size, _STRIPE):
        rows, times = starts[at : at + _STRIPE], repeats[at : at + _STRIPE].astype(np.float64)
        signal = encoding.signal_rgb(np.stack([luma[rows], first[rows], second[rows]], axis=-1))
        light = _largest_light(encoding.transfer, signal)
        largest = max(largest, float(light.max()))
        total += float(times @ light.sum(axis=1))
        apl += float(times @ encoding.matrix.ycbcr_from_rgb(signal)[..., 0].sum(axis=1))
    return largest, total / luma.size, 100.0 * apl / luma.size


def _different_rows(*planes: PlaneArray) -> tuple[CodeArray, CodeArray]:
    """Numbers of the rows that differ from the one above, and how many are alike from there."""
    differs = np.zeros(planes[0].shape[0], dtype=np.bool_)
    differs[0] = True
    for plane in planes:
        differs[1:] |= (plane[1:] != plane[:-1]).any(axis=1)
    starts = np.flatnonzero(differs)
    return starts, np.diff(starts, append=differs.size)


def _largest_light(transfer: Transfer, signal: FloatArray) -> FloatArray:
    """max(R, G, B); the largest signal has the largest light, but for HLG, whose OOTF couples the three."""
    if transfer is Transfer.HLG:
        return np.asarray(rgb_light(transfer, signal).max(axis=-1))
    return grey_light(transfer, signal.max(axis=-1))
