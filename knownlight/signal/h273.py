"""Code points of ITU-T H.273 (identical to H.264 Tables E-3, E-4, E-5 and H.265 Annex E).

Only the points that this program writes are here; a value read from a file that is not here stays the
integer it is.
"""

from enum import IntEnum


class ColourPrimaries(IntEnum):
    """H.273 Table 2."""

    BT709 = 1
    UNSPECIFIED = 2
    BT601_625 = 5  # BT.470 System B, G; EBU Tech 3213
    BT601_525 = 6  # SMPTE ST 170
    BT2020 = 9
    P3_D65 = 12


class TransferCharacteristics(IntEnum):
    """H.273 Table 3."""

    BT709 = 1
    UNSPECIFIED = 2
    BT601 = 6  # the curve of BT.709 by another number
    LINEAR = 8
    SRGB = 13  # IEC 61966-2-1
    BT2020_10 = 14
    PQ = 16  # SMPTE ST 2084, BT.2100 PQ
    HLG = 18  # ARIB STD-B67, BT.2100 HLG


class MatrixCoefficients(IntEnum):
    """H.273 Table 4."""

    IDENTITY = 0  # R'G'B'
    BT709 = 1
    UNSPECIFIED = 2
    BT601_625 = 5  # the weights that JFIF has, too
    BT601_525 = 6  # the weights of 5 by another number
    BT2020_NCL = 9


class ChromaSampleLocation(IntEnum):
    """Where a 4:2:0 chroma sample sits among four luma samples (H.273 Figure 10, H.265 Annex E)."""

    LEFT = 0  # on the left column, midway between the rows: BT.709, BT.601
    CENTRE = 1
    TOP_LEFT = 2  # on the top left luma sample: BT.2020, BT.2100
