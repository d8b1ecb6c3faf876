"""Levels: how large and how fast a stream may be, and the lowest one that holds a signal.

What the codecs' tables have in common; the tables are in `level_tables`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from knownlight.errors import CannotCarry
from knownlight.frame.format import SignalFormat


@dataclass(frozen=True)
class Limits:
    """bits_per_second and buffer_bits of the level; picture_bytes for any one picture (0: no limit)."""

    bits_per_second: int
    buffer_bits: int
    picture_bytes: int


@dataclass(frozen=True, kw_only=True)
class Level:
    """One row of a codec's table.

    picture: luma samples of a picture. rate: luma samples a second. width, height: longest sides.
    block: coded sizes are multiples of it. min_compression: of a whole picture, 0 where there is no limit.
    bits_per_second, buffer_bits: of the stream.
    """

    name: str
    picture: int
    rate: int
    width: int
    height: int
    bits_per_second: int
    buffer_bits: int
    block: int = 1
    min_compression: int = 0

    def holds(self, signal: SignalFormat) -> bool:
        """Whether pictures of this size and rate are inside."""
        width, height = self._coded(signal.width), self._coded(signal.height)
        return (
            width <= self.width
            and height <= self.height
            and width * height <= self.picture
            and width * height * signal.rate <= self.rate
        )

    def _coded(self, side: int) -> int:
        return -(-side // self.block) * self.block

    def limits(self, signal: SignalFormat) -> Limits:
        """What a stream of the signal must keep to."""
        return Limits(self.bits_per_second, self.buffer_bits, self._largest_picture(signal))

    def _largest_picture(self, signal: SignalFormat) -> int:
        """Bytes that a picture may have: those of its samples, over the least compression.

        H.265 clause A.4.2 (MinCR of the first picture; formula from memory): 1.5 bytes a luma sample at 8
        bits and 1.875 at 10, of max(PicSizeInSamplesY, MaxLumaSr / 300). AV1 Annex A.3 takes 1.875 at any
        depth and lets slow streams compress less; the stricter of both is used for both.
        """
        if not self.min_compression:
            return 0
        bytes_of_sample = Fraction(3, 2) if signal.depth == 8 else Fraction(15, 8)  # noqa: PLR2004
        samples = max(Fraction(signal.width * signal.height), Fraction(self.rate, 300))
        return int(bytes_of_sample * samples / self.min_compression)


def lowest_level(levels: Sequence[Level], signal: SignalFormat, codec: str) -> Level:
    """The lowest level whose picture size and sample rate hold this signal.

    Raises:
        CannotCarry: where none does.
    """
    for level in levels:
        if level.holds(signal):
            return level
    raise CannotCarry(f"no {codec} level holds {signal.name}; use a lower rate or a smaller size")
