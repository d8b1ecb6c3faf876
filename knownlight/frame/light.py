"""Light levels of pixels: MaxCLL, MaxFALL, FALL and APL from planes of codes.

CTA-861.3 (now CTA-861 Annex P; wording as restated in H.264 clause D.2.31): content light is max(R, G, B) of
the 4:4:4 picture in linear light. No outlier is filtered out. Chroma at 4:2:0 is interpolated first.
"""

from collections.abc import Iterable

import numpy as np

from knownlight.frame.claims import LightLevels
from knownlight.frame.planes import Frame
from knownlight.frame.subsample import upsample_420
from knownlight.signal.encoding import Components, Transfer, grey_light, rgb_light

_STRIPE = 64  # rows at a time: the work fits in cache, memory stays flat at 8K


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
    """Every pixel counts; the largest of three signals is the largest of three lights but for HLG's OOTF."""
    encoding = frame.signal.encoding
    luma, first, second = frame.planes
    if frame.signal.components is Components.YCBCR_420:
        first = upsample_420(first, frame.signal.siting)
        second = upsample_420(second, frame.signal.siting)
    largest, total, apl = 0.0, 0.0, 0.0
    for row in range(0, luma.shape[0], _STRIPE):
        rows = slice(row, row + _STRIPE)
        signal = encoding.signal_rgb(np.stack([luma[rows], first[rows], second[rows]], axis=-1))
        if encoding.transfer is Transfer.HLG:
            light = rgb_light(encoding.transfer, signal).max(axis=-1)
        else:
            light = grey_light(encoding.transfer, signal.max(axis=-1))
        largest = max(largest, float(light.max()))
        total += float(light.sum())
        apl += float(encoding.matrix.ycbcr_from_rgb(signal)[..., 0].sum())
    return largest, total / luma.size, 100.0 * apl / luma.size
