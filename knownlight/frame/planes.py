"""Frame: three read-only planes of integer codes and the format that gives them meaning."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from knownlight.frame.format import SignalFormat
from knownlight.signal.arrays import CodeArray, PlaneArray
from knownlight.signal.encoding import Components

_STRIPE = 64  # rows at a time: the work fits in cache
_SPARSE = 30  # rows and columns between the samples that are looked at for codes
_FEW = 4  # codes that are counted one by one

Planes = tuple[PlaneArray, PlaneArray, PlaneArray]


def sample_type(depth: int) -> type[np.uint8] | type[np.uint16]:
    """The numpy type a sample of `depth` bits is kept in."""
    return np.uint8 if depth == 8 else np.uint16  # noqa: PLR2004


def plane_shapes(signal: SignalFormat) -> tuple[tuple[int, int], tuple[int, int], tuple[int, int]]:
    """(rows, columns) of the three planes."""
    whole = (signal.height, signal.width)
    if signal.components is Components.YCBCR_420:
        part = (signal.height // 2, signal.width // 2)
        return whole, part, part
    return whole, whole, whole


@dataclass(frozen=True)
class Frame:
    """One picture: planes Y', Cb, Cr (or R', G', B') of uint8 (8 bits) or uint16 (10, 12 bits).

    The planes are made read-only: several frames may share one.
    """

    signal: SignalFormat
    planes: Planes

    def __post_init__(self) -> None:
        wanted = plane_shapes(self.signal)
        kind = sample_type(self.signal.depth)
        for plane, shape in zip(self.planes, wanted, strict=True):
            if plane.shape != shape or plane.dtype != kind:
                raise ValueError(
                    f"plane is {plane.dtype}{plane.shape}, the format needs {kind.__name__}{shape}"
                )
            plane.setflags(write=False)

    @cached_property
    def luma_counts(self) -> CodeArray:
        """How many samples of the first plane have each code; index by code.

        Kept: it is most of the work of proving a frame.
        """
        return self._counts(self.planes[0])

    @cached_property
    def is_grey(self) -> bool:
        """Whether no sample has colour."""
        first, second, third = self.planes
        if self.signal.components is Components.RGB:
            return bool(np.array_equal(first, second) and np.array_equal(first, third))
        neutral = self.signal.quantisation.neutral
        return bool((second == neutral).all() and (third == neutral).all())

    def counts(self, index: int) -> CodeArray:
        """How many samples of a plane have each code; index by code."""
        return self.luma_counts if index == 0 else self._counts(self.planes[index])

    def _counts(self, plane: PlaneArray) -> CodeArray:
        """Few codes are counted one by one, five times faster; their sum says whether they were all."""
        counts = np.zeros(self.signal.quantisation.largest + 1, dtype=np.int64)
        likely = np.unique(plane[::_SPARSE, ::_SPARSE])
        if likely.size <= _FEW:
            counts[likely] = [np.count_nonzero(plane == code) for code in likely]
            if counts.sum() == plane.size:
                return counts
            counts[:] = 0
        for row in range(0, plane.shape[0], _STRIPE):
            counts += np.bincount(plane[row : row + _STRIPE].ravel(), minlength=counts.size)
        return counts


def neutral_chroma(signal: SignalFormat) -> tuple[PlaneArray, PlaneArray]:
    """The two chroma planes of a picture without colour (the same array twice)."""
    plane: PlaneArray = np.full(
        plane_shapes(signal)[1], signal.quantisation.neutral, dtype=sample_type(signal.depth)
    )
    return plane, plane


def grey_frame(signal: SignalFormat, luma: PlaneArray) -> Frame:
    """A frame of greys from its luma plane."""
    if signal.components is Components.RGB:
        return Frame(signal, (luma, luma, luma))
    return Frame(signal, (luma, *neutral_chroma(signal)))
