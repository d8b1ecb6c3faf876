"""Measures pictures as they come: every one for jumps, every n-th for blocks, flatness and codes.

Fields of interlaced pictures are measured each by itself, in its own rows: their blocks are its own.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from knownlight.errors import BadInput
from knownlight.frame.claims import Area, DrawnBlocks
from knownlight.frame.format import Scan
from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import FloatArray, PlaneArray
from knownlight.signal.encoding import Encoding
from knownlight.stress.figures import Figures
from knownlight.stress.tally import Tally

_LEAST = 32  # pixels a side of an area, or of a field of it
EVERY = 5  # a step that divides the usual groups of pictures would see one type of picture


@dataclass(frozen=True)
class View:
    """What is measured by itself: an area, of all rows or of every second one from `field` on."""

    name: str
    rect: Rect
    blocks: DrawnBlocks
    field: int | None = None

    def of(self, plane: PlaneArray) -> PlaneArray:
        """Its pixels of a picture; a view, not a copy."""
        rows = plane if self.field is None else plane[self.field :: 2]
        return rows[self.rect.slices]


class Meter:
    """Measures the luma of pictures that are added in order."""

    def __init__(
        self,
        areas: Sequence[Area],
        *,
        depth: int,
        light: FloatArray,
        scan: Scan,
        every: int = EVERY,
        periods: Sequence[int] = (8, 16, 32),
    ) -> None:
        """Begin.

        Args:
            areas: parts of the picture that are measured by themselves.
            depth: bits of a code.
            light: relative light of each code, index by code.
            scan: interlaced pictures are measured field by field.
            every: picture 0 and every so many-th are measured fully.
            periods: pixels of the grids whose figures are told.

        Raises:
            BadInput: for an area that is too small.
        """
        self.views = tuple(view for area in areas for view in _views(area, scan))
        self._every = every
        self._periods = tuple(periods)
        self._tallies = tuple(Tally(view.name, view.rect, depth=depth, light=light) for view in self.views)
        self._pictures = 0

    def add(self, luma: PlaneArray, drawn: PlaneArray | None = None) -> None:
        """Measure the next picture; drawn: what it should be. Neither is kept."""
        fully = self._pictures % self._every == 0
        for view, tally in zip(self.views, self._tallies, strict=True):
            part, meant = view.of(luma), None if drawn is None else view.of(drawn)
            tally.add_mean(part, meant)
            if fully:
                tally.add_picture(part, meant)
        self._pictures += 1

    @property
    def tallies(self) -> tuple[Tally, ...]:
        """What was counted in each view: areas in order, of interlaced pictures the top field first."""
        return self._tallies

    @property
    def figures(self) -> tuple[Figures, ...]:
        """Of each area, or of each field of it, with grids that begin at the picture's corner.

        Raises:
            BadInput: where no picture was added.
        """
        return tuple(
            _told(view, tally.figures(self._periods))
            for view, tally in zip(self.views, self._tallies, strict=True)
        )


def least_size(scan: Scan) -> tuple[int, int]:
    """Width and height in pixels that an area needs: a whole block of 16 in it wherever the grid begins."""
    return _LEAST, _LEAST if scan is Scan.PROGRESSIVE else 2 * _LEAST


def _told(view: View, figures: Figures) -> Figures:
    """Blocks that are drawn on purpose count in full: nothing is known of the picture without them."""
    if view.blocks is DrawnBlocks.NONE:
        return figures
    grids = tuple(replace(grid, drawn_ratio=None) for grid in figures.grids)
    return replace(figures, grids=grids, drawn_flat8=None)


def _views(area: Area, scan: Scan) -> list[View]:
    """The area, or its fields; a field's first row is row 0 or 1 of the picture."""
    width, height = least_size(scan)
    if area.rect.width < width or area.rect.height < height:
        raise BadInput(
            f"{area.name} is {area.rect.width}x{area.rect.height}, too small to measure; "
            f"use {width}x{height} pixels or more"
        )
    if scan is Scan.PROGRESSIVE:
        return [View(area.name, area.rect, area.blocks)]
    return [
        View(f"{area.name}, {name} field", _field_rect(area.rect, field), area.blocks, field)
        for field, name in enumerate(("top", "bottom"))
    ]


def _field_rect(rect: Rect, field: int) -> Rect:
    """Rows of one field, counted in the field."""
    first, end = (math.ceil((row - field) / 2) for row in (rect.y, rect.bottom))
    return Rect(rect.x, first, rect.width, end - first)


def relative_light(encoding: Encoding) -> FloatArray:
    """Light of each luma code as a grey, relative to white's; index by code.

    BT.1886 with black 0 for SDR; the signal's own curve otherwise.
    """
    return np.asarray(encoding.grey_luminance_table / encoding.white_luminance)
