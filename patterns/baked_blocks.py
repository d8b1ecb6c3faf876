"""Baked blocks: the picture itself has the blocks that a poor coder would leave, exactly as deep as asked.

Every sample is drawn to the mean of its block by so many per cent. The file is then coded as well as any
other, and its blocks are known to the code, on every delivery.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from knownlight.signal.arrays import PlaneArray
from patterns.parameters import choice_parameter, count_parameter

BLOCK_SIZES = ("8", "16", "32", "64")  # pixels; transforms and prediction blocks of common codecs


def block_depth_parameter() -> Any:  # noqa: ANN401
    """A field for the depth of baked blocks."""
    return count_parameter(
        0,
        "blocks in the picture itself: how far each sample is drawn to the mean of its block",
        minimum=0,
        maximum=100,
        unit="%",
    )


def block_size_parameter(meaning: str) -> Any:  # noqa: ANN401
    """A field for the side of a block."""
    return choice_parameter("8", meaning, choices=BLOCK_SIZES)


@dataclass(frozen=True)
class BakedBlocks:
    """percent: of the way to the block's mean. size: pixels each way, from the picture's top left corner."""

    percent: int
    size: int

    def baked(self, codes: PlaneArray) -> PlaneArray:
        """(1 - a) · code + a · mean of the block, exactly, rounded with halves up.

        A block that the edge cuts has the mean of what is left of it.
        """
        if self.percent == 0:
            return codes
        rows, columns = codes.shape
        kind = np.uint16 if codes.dtype == np.uint8 else np.uint32  # holds 100 times the largest code
        starts = np.arange(0, columns, self.size)
        widths = np.minimum(self.size, columns - starts)
        result = np.empty_like(codes)
        for top in range(0, rows, self.size):
            stripe = codes[top : top + self.size]
            sums = np.add.reduceat(stripe.sum(axis=0, dtype=np.int64), starts)
            # cutting off the mean's own fraction changes nothing: the rest of the sum is whole
            towards = 50 + self.percent * sums // (widths * stripe.shape[0])
            mixed = np.multiply(stripe, 100 - self.percent, dtype=kind)
            mixed += towards.astype(kind).repeat(widths)
            mixed //= kind(100)
            result[top : top + self.size] = mixed
        return result
