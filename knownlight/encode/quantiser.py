"""Largest code error that a clip of a constant quantiser may show: four quantiser steps.

Transforms spread errors, so no exact bound follows from the step; the factor is ours, with room over what was
measured, and every clip is measured against it.
"""

import math

_STEPS = 4.0
_DRIFT, _MPEG2_STEPS = 8, 6  # codes, steps


def error_limit(quantiser: int, depth: int) -> int:
    """Of AVC and HEVC, in codes of `depth` bits.

    The step is 2^((QP - 4) / 6) codes of 8 bits, and the same share of the range at more (H.264 clause 8.5,
    H.265 clause 8.6).
    """
    return math.ceil(_STEPS * math.exp2((quantiser - 4) / 6)) << (depth - 8)


def index_error_limit(index: int, depth: int) -> int:
    """Of AV1 and VP9, in codes of `depth` bits.

    Their tables' steps of 8 bits are (index + 7) / 8 codes up to index 101 (the AC table in the open
    encoders), and no more than the same share of the range at 10 bits.

    Raises:
        ValueError: for an index further up.
    """
    if index > 101:  # noqa: PLR2004
        raise ValueError(f"quantiser index {index} is past the even part of the table")
    return math.ceil(_STEPS * (index + 7) / 8) << (depth - 8)


def scale_error_limit(scale: int) -> int:
    """Of MPEG-2 with flat matrices of 8, in codes: the step is the quantiser scale (H.262 clause 7.4).

    Encoder and decoder do not transform alike to the bit, so that errors add up along a group of predicted
    pictures. Measured in 1080i with moving text and texture: 7 codes at scales 1 and 2, 8 at 4, 42 at 8;
    still content stays within two steps.
    """
    return _DRIFT + _MPEG2_STEPS * scale
