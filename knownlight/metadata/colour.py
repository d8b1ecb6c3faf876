"""Colour description: the H.273 integers, range and chroma location that a file declares."""

from dataclasses import dataclass

from knownlight.frame.format import SignalFormat
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Components


@dataclass(frozen=True, kw_only=True)
class ColourDescription:
    """What a file says its codes mean; None where it says nothing.

    primaries, transfer, matrix: H.273 integers. full_range: VideoFullRangeFlag, 0 or 1.
    chroma_location: chroma_sample_loc_type, 0 left, 2 top left.
    """

    primaries: int | None = None
    transfer: int | None = None
    matrix: int | None = None
    full_range: int | None = None
    chroma_location: int | None = None


def colour_description(signal: SignalFormat) -> ColourDescription:
    """What a file of this signal format must say."""
    primaries, transfer, matrix = signal.code_points
    subsampled = signal.components is Components.YCBCR_420
    return ColourDescription(
        primaries=int(primaries),
        transfer=int(transfer),
        matrix=int(matrix),
        full_range=int(signal.code_range is CodeRange.FULL),
        chroma_location=int(signal.siting) if subsampled else None,
    )
