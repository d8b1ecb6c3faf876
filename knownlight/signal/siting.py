"""Where 4:2:0 chroma samples sit, and the filter weights that follow from it.

Positions: ITU-T H.273 / H.265 Annex E chroma_sample_loc_type. The standards fix positions, not filters; the
filter here is the triangle two luma samples wide on each side, the shortest one that is even about either
position and keeps a flat field flat: [1 2 1] / 4 where chroma sits on a luma sample, [1 3 3 1] / 8 midway.
"""

from dataclasses import dataclass

from knownlight.errors import BadInput
from knownlight.signal.h273 import ChromaSampleLocation


@dataclass(frozen=True)
class Taps:
    """Integer weights of neighbouring luma samples; the first sits `first` samples from the even one."""

    first: int
    weights: tuple[int, ...]


ON_SAMPLE = Taps(first=-1, weights=(1, 2, 1))
MIDWAY = Taps(first=-1, weights=(1, 3, 3, 1))


def taps(location: ChromaSampleLocation) -> tuple[Taps, Taps]:
    """Horizontal and vertical weights for a chroma sample location.

    Raises:
        BadInput: for a location that no signal format of this program uses.
    """
    if location is ChromaSampleLocation.LEFT:
        return ON_SAMPLE, MIDWAY
    if location is ChromaSampleLocation.TOP_LEFT:
        return ON_SAMPLE, ON_SAMPLE
    raise BadInput(f"chroma sample location {location.value} is not used here; 0 (left) and 2 (top left) are")
