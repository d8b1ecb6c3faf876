"""Codes of a wave: the same on every machine."""

import math

_ONE = 1 << 30  # fine against 4095 codes, coarse against the last bits of a cosine


def wave_code(low: int, high: int, place: int, cycle: int) -> int:
    """Code of a cosine between two codes, `place` of `cycle` equal steps after its highest point.

    The cosine is first rounded to a whole number of 2^-30. That makes it exact where it is 0 or a half, so
    that no machine's last bit decides which way the middle between two codes goes (it goes up).
    """
    share = math.floor(_ONE * math.cos(2.0 * math.pi * place / cycle) + 0.5)
    return low + ((high - low) * (_ONE + share) + _ONE) // (2 * _ONE)
