"""What an integer code means in light, for one transfer function, depth, range and set of primaries.

PQ is absolute. The others need a display to mean anything in cd/m²; the reference ones here are BT.1886 at
100 cd/m² and black 0 (white of BT.2035 clause 3.2), HLG at a nominal peak of 1000 cd/m², black 0, in a
surround of 5 cd/m² (BT.2100). sRGB has the white of BT.1886, so that a picture has the same light in both
(the reference display of IEC 61966-2-1 itself has 80 cd/m²; from memory).
"""

from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np

from knownlight.errors import BadInput
from knownlight.signal.arrays import ArrayLike, CodeArray, FloatArray
from knownlight.signal.chromaticity import uv_prime_from_xyz, xy_from_xyz, xyz_from_xy
from knownlight.signal.code_range import Quantisation
from knownlight.signal.matrix import Matrix
from knownlight.signal.primaries import Chromaticity, Primaries
from knownlight.signal.transfer import bt1886, bt2100_hlg, srgb, st2084

SDR_WHITE = 100.0  # cd/m², BT.2035 clause 3.2; of sdr and srgb
HLG_PEAK = 1000.0  # cd/m², BT.2100 nominal peak
OUTSIDE = 0.005  # share of the largest component: P3 red lies 0.16 % outside BT.2020
_WEIGHTS = 1e-5  # of a luminance: BT.2100's OOTF has weights of four decimals, the matrix of primaries more


class Transfer(Enum):
    """Kind of signal, by the word a signal format is written with; srgb is for stills."""

    SDR = "sdr"
    SRGB = "srgb"
    PQ = "pq"
    HLG = "hlg"


class Components(Enum):
    """Which three components a picture stores; 4:2:0 shares each chroma sample among four pixels."""

    YCBCR_420 = "4:2:0"
    YCBCR_444 = "4:4:4"
    RGB = "rgb"


def grey_light(transfer: Transfer, signal: ArrayLike) -> FloatArray:
    """Luminance in cd/m² of a grey of the given signal on the reference display."""
    if transfer is Transfer.PQ:
        return st2084.luminance_from_signal(signal)
    if transfer is Transfer.SDR:
        return bt1886.luminance_from_signal(signal, white=SDR_WHITE)
    if transfer is Transfer.SRGB:
        return SDR_WHITE * srgb.linear_from_signal(signal)
    value = np.asarray(signal, dtype=np.float64)
    return bt2100_hlg.display_from_signal(np.stack([value] * 3, axis=-1), peak=HLG_PEAK)[..., 0]


def grey_signal(transfer: Transfer, luminance: ArrayLike) -> FloatArray:
    """Signal of a grey that shows `luminance` cd/m² on the reference display."""
    if transfer is Transfer.PQ:
        return st2084.signal_from_luminance(luminance)
    if transfer is Transfer.SDR:
        return bt1886.signal_from_luminance(luminance, white=SDR_WHITE)
    if transfer is Transfer.SRGB:
        return srgb.signal_from_linear(np.asarray(luminance, dtype=np.float64) / SDR_WHITE)
    return bt2100_hlg.grey_signal_from_luminance(luminance, peak=HLG_PEAK)


def rgb_light(transfer: Transfer, signal_rgb: ArrayLike) -> FloatArray:
    """Linear R, G, B in cd/m² of the primaries in use, each as the luminance of a grey of that level.

    Shape (..., 3). For HLG the OOTF couples the three.
    """
    if transfer is Transfer.HLG:
        return bt2100_hlg.display_from_signal(signal_rgb, peak=HLG_PEAK)
    return grey_light(transfer, signal_rgb)


def rgb_signal(transfer: Transfer, light: ArrayLike) -> FloatArray:
    """R', G', B' that show linear R, G, B in cd/m² of the primaries in use; shape (..., 3)."""
    if transfer is Transfer.HLG:
        return bt2100_hlg.signal_from_display(light, peak=HLG_PEAK)
    return grey_signal(transfer, light)


@dataclass(frozen=True, kw_only=True)
class Encoding:
    """Everything that turns codes into light and back.

    Codes come in threes: Y', Cb, Cr, or R', G', B' where `components` says so.
    """

    transfer: Transfer
    quantisation: Quantisation
    primaries: Primaries
    matrix: Matrix
    components: Components

    def grey(self, luma_code: int) -> tuple[int, int, int]:
        """The three codes of a grey."""
        neutral = luma_code if self.components is Components.RGB else self.quantisation.neutral
        return (luma_code, neutral, neutral)

    def grey_code_from_luminance(self, luminance: float) -> int:
        """The luma code nearest to `luminance` cd/m².

        Raises:
            BadInput: where no allowed code shows that much light.
        """
        lowest, highest = self.luminance_limits
        code = int(self.quantisation.luma_code(grey_signal(self.transfer, luminance)))
        if not lowest <= luminance <= highest:
            raise BadInput(
                f"luminance {luminance:g} cd/m² is outside what this {self.transfer.value} signal can say; "
                f"use {lowest:g} to {highest:.6g} cd/m²"
            )
        return code

    @cached_property
    def luminance_limits(self) -> tuple[float, float]:
        """Lowest and highest luminance (cd/m²) that an allowed code asks for."""
        if self.transfer is Transfer.PQ:
            return 0.0, st2084.PEAK_LUMINANCE
        highest = self.quantisation.luma_signal(self.quantisation.highest_allowed)
        return 0.0, float(grey_light(self.transfer, highest))

    @cached_property
    def grey_luminance_table(self) -> FloatArray:
        """Luminance (cd/m²) of every luma code as a grey; index by code. Read-only."""
        codes = np.arange(self.quantisation.largest + 1)
        table = grey_light(self.transfer, self.quantisation.luma_signal(codes))
        table.setflags(write=False)
        return table

    def grey_luminance(self, luma_code: int) -> float:
        """Luminance (cd/m²) of one luma code as a grey, by scalar arithmetic: no table."""
        return float(grey_light(self.transfer, float(self.quantisation.luma_signal(luma_code))))

    def signal_rgb(self, codes: ArrayLike) -> FloatArray:
        """R', G', B' signals of codes; shape (..., 3)."""
        values = np.asarray(codes)
        if self.components is Components.RGB:
            return self.quantisation.luma_signal(values)
        luma = self.quantisation.luma_signal(values[..., :1])
        return self.matrix.rgb_from_ycbcr(
            np.concatenate([luma, self.quantisation.chroma_signal(values[..., 1:])], axis=-1)
        )

    def codes_from_signal_rgb(self, signal_rgb: ArrayLike) -> CodeArray:
        """The three codes of R', G', B' signals; shape (..., 3)."""
        if self.components is Components.RGB:
            return self.quantisation.luma_code(signal_rgb)
        ycbcr = self.matrix.ycbcr_from_rgb(signal_rgb)
        return np.concatenate(
            [self.quantisation.luma_code(ycbcr[..., :1]), self.quantisation.chroma_code(ycbcr[..., 1:])],
            axis=-1,
        )

    @property
    def white_luminance(self) -> float:
        """Luminance (cd/m²) of signal 1 in all three: 100, 10000 or 1000."""
        return self.grey_luminance(self.quantisation.white)

    def part_luminance(self, luminance: float, share: float) -> float:
        """Luminance (cd/m²) of a colour of which linear light before the OOTF is a share of a grey's.

        In HLG the OOTF raises it to the system gamma: pure red is dimmer than its share of white.
        """
        if self.transfer is Transfer.HLG:
            return float(luminance * share ** bt2100_hlg.system_gamma(HLG_PEAK))
        return luminance * share

    def highest_luminance(self, xy: Chromaticity) -> float:
        """The luminance (cd/m²) at which the first of R', G', B' of a colour reaches 1."""
        linear = np.maximum(self.primaries.linear_rgb_from_xyz(xyz_from_xy(xy, 1.0)), 0.0)
        if self.transfer is Transfer.HLG:  # the OOTF couples the three: light is no multiple of the signal
            signal = bt2100_hlg.signal_from_scene(linear / linear.max())
            return float(self.primaries.xyz_from_linear_rgb(rgb_light(self.transfer, signal))[1])
        return self.white_luminance / float(linear.max())

    def codes_of_colour(self, xy: Chromaticity, luminance: float) -> tuple[int, int, int]:
        """The three codes nearest to a chromaticity at a luminance in cd/m².

        A component that lies below 0 by less than 0.5 % of the largest (P3 red in BT.2020) is taken as 0.

        Raises:
            BadInput: where the primaries or the signal's range do not hold the colour.
        """
        if luminance < 0.0:
            raise BadInput(f"luminance {luminance:g} cd/m² is below 0; use 0 or more")
        linear = self.primaries.linear_rgb_from_xyz(xyz_from_xy(xy, luminance))
        if linear.min() < -OUTSIDE * linear.max():
            raise BadInput(
                f"x {xy[0]:.4f}, y {xy[1]:.4f} lies outside {self.primaries.name}; "
                f"use a colour inside, or a signal of wider primaries"
            )
        highest = self.highest_luminance(xy)
        if luminance > highest * (1.0 + _WEIGHTS):
            raise BadInput(
                f"{luminance:g} cd/m² is more than a {self.transfer.value} signal holds at x {xy[0]:.4f}, "
                f"y {xy[1]:.4f}; use {highest:.6g} or less"
            )
        signal = np.minimum(rgb_signal(self.transfer, np.maximum(linear, 0.0)), 1.0)
        first, second, third = (int(code) for code in self.codes_from_signal_rgb(signal))
        return first, second, third

    def rgb_light(self, codes: ArrayLike) -> FloatArray:
        """Linear R, G, B in cd/m² of codes; shape (..., 3)."""
        return rgb_light(self.transfer, self.signal_rgb(codes))

    def xyz(self, codes: ArrayLike) -> FloatArray:
        """CIE X, Y, Z in cd/m² of integer codes; shape (..., 3)."""
        return self.primaries.xyz_from_linear_rgb(self.rgb_light(codes))

    def xy(self, codes: ArrayLike) -> FloatArray:
        """CIE 1931 x, y of integer codes; shape (..., 2); not a number for black."""
        return xy_from_xyz(self.xyz(codes))

    def uv_prime(self, codes: ArrayLike) -> FloatArray:
        """CIE 1976 u', v' of integer codes; shape (..., 2); not a number for black."""
        return uv_prime_from_xyz(self.xyz(codes))
