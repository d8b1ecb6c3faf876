"""Levels of HEVC and AVC: the smallest that fits a picture size and rate, and its limits.

HEVC: ITU-T H.265 Tables A.8 and A.9 (read in the level table of an open encoder; MinCR column included).
AVC: ITU-T H.264 Table A-1. Only the levels that this program's sizes can need are here.
"""

from dataclasses import dataclass
from fractions import Fraction

from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat


@dataclass(frozen=True)
class HevcLevel:
    """One row: samples of a picture and a second, Main-tier kbit/s (and kbit of buffer), MinCR."""

    name: str
    max_luma_picture: int
    max_luma_rate: int
    max_kbits: int
    min_compression: int

    @property
    def level_idc(self) -> int:
        """general_level_idc: thirty times the level."""
        return int(30 * Fraction(self.name))

    @property
    def max_bits_per_second(self) -> int:
        """Main-tier bit rate limit of the NAL unit stream (factor 1100, clause A.4.2; from memory)."""
        return 1100 * self.max_kbits

    @property
    def buffer_bits(self) -> int:
        """Main-tier coded picture buffer, which has the same number as the rate."""
        return 1100 * self.max_kbits

    def largest_first_picture(self, signal: SignalFormat) -> int:
        """Bytes that the first picture may have (clause A.4.2, MinCR; formula from memory).

        FormatCapabilityFactor 1.5 at 8 bits and 1.875 at 10 times max(PicSizeInSamplesY, MaxLumaSr / 300),
        over MinCR.
        """
        factor = Fraction(3, 2) if signal.depth == 8 else Fraction(15, 8)  # noqa: PLR2004
        samples = max(Fraction(signal.width * signal.height), Fraction(self.max_luma_rate, 300))
        return int(factor * samples / self.min_compression)


HEVC_LEVELS = (
    HevcLevel("3.1", 983_040, 33_177_600, 10_000, 2),
    HevcLevel("4", 2_228_224, 66_846_720, 12_000, 4),
    HevcLevel("4.1", 2_228_224, 133_693_440, 20_000, 4),
    HevcLevel("5", 8_912_896, 267_386_880, 25_000, 6),
    HevcLevel("5.1", 8_912_896, 534_773_760, 40_000, 8),
    HevcLevel("5.2", 8_912_896, 1_069_547_520, 60_000, 8),
    HevcLevel("6", 35_651_584, 1_069_547_520, 60_000, 8),
    HevcLevel("6.1", 35_651_584, 2_139_095_040, 120_000, 8),
    HevcLevel("6.2", 35_651_584, 4_278_190_080, 240_000, 6),
)


@dataclass(frozen=True)
class AvcLevel:
    """One row: macroblocks a second and a frame, and MaxBR in kbit/s of the Main profile."""

    name: str
    max_macroblock_rate: int
    max_frame_macroblocks: int
    max_kbits: int

    @property
    def level_idc(self) -> int:
        """level_idc: ten times the level."""
        return int(10 * Fraction(self.name))

    @property
    def max_bits_per_second(self) -> int:
        """Main-profile bit rate limit of the NAL unit stream (cpbBrNalFactor 1200, A.3.3; from memory)."""
        return 1200 * self.max_kbits


AVC_LEVELS = (
    AvcLevel("3.1", 108_000, 3_600, 14_000),
    AvcLevel("3.2", 216_000, 5_120, 20_000),
    AvcLevel("4", 245_760, 8_192, 20_000),
    AvcLevel("4.1", 245_760, 8_192, 50_000),
    AvcLevel("4.2", 522_240, 8_704, 50_000),
    AvcLevel("5.1", 983_040, 36_864, 240_000),
    AvcLevel("5.2", 2_073_600, 36_864, 240_000),
    AvcLevel("6", 4_177_920, 139_264, 240_000),
    AvcLevel("6.1", 8_355_840, 139_264, 480_000),
    AvcLevel("6.2", 16_711_680, 139_264, 800_000),
)


def hevc_level(signal: SignalFormat) -> HevcLevel:
    """The lowest HEVC level whose picture size and sample rate hold this signal.

    Raises:
        CannotCarry: where no level does.
    """
    picture = signal.width * signal.height
    for level in HEVC_LEVELS:
        longest_side_fits = max(signal.width, signal.height) ** 2 <= 8 * level.max_luma_picture
        if (
            picture <= level.max_luma_picture
            and picture * signal.rate <= level.max_luma_rate
            and longest_side_fits
        ):
            return level
    raise CannotCarry(f"no HEVC level holds {signal.name}; use a lower rate or a smaller size")


def avc_level(signal: SignalFormat) -> AvcLevel:
    """The lowest AVC level whose frame size and macroblock rate hold this signal.

    Raises:
        CannotCarry: where no level does.
    """
    blocks = -(-signal.width // 16) * -(-signal.height // 16)
    for level in AVC_LEVELS:
        if blocks <= level.max_frame_macroblocks and blocks * signal.rate <= level.max_macroblock_rate:
            return level
    raise CannotCarry(f"no AVC level holds {signal.name}; use a lower rate or a smaller size")
