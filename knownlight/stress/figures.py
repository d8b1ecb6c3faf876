"""Figures of coding faults; docs/stress.md has their definitions and sources."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class GridFigures:
    """How far the lines of a grid stand out: means over the measured pictures.

    period: pixels. ratio: (b + 0.05) / (a + 0.05), where b is the mean step of luma over the lines of the
    grid and a the mean step elsewhere, both in codes of 8 bits and averaged over the two directions.
    step: b - a in codes of 8 bits. light_step_percent: b - a of light, in % of the area's mean light.
    drawn_ratio: the ratio of what was drawn; None where nothing was given.
    """

    period: int
    ratio: float
    step: float
    light_step_percent: float
    drawn_ratio: float | None

    @property
    def added(self) -> float:
        """The ratio that coding added: what was drawn may have lines on the grid itself, as letters have."""
        return self.ratio / max(1.0, self.drawn_ratio or 1.0)


@dataclass(frozen=True, kw_only=True)
class Figures:
    """Of one area, or of one field of it, over all measured pictures.

    area: its name; of interlaced pictures with ", top field" or ", bottom field".
    pictures: measured fully. grids: of each period that the area has room for.
    flat8, flat16: share 0..1 of blocks of 8x8 and 16x16 pixels that are of one code.
    codes_in_use: different luma codes in the measured pictures.
    largest_jump: largest change of the mean from one picture (field) to the next, over all pictures; codes of
    8 bits.
    psnr: dB against what was drawn; None where nothing was given or nothing differs.
    largest_error: from what was drawn, in codes of the signal's own depth; None where nothing was given.
    drawn_jump, drawn_flat8: the same figures of what was drawn; None where nothing was given.
    """

    area: str
    pictures: int
    grids: tuple[GridFigures, ...]
    flat8: float
    flat16: float
    codes_in_use: int
    largest_jump: float
    psnr: float | None
    largest_error: int | None
    drawn_jump: float | None
    drawn_flat8: float | None

    def grid(self, period: int) -> GridFigures | None:
        """The figures of a period; None where it was not measured."""
        return next((grid for grid in self.grids if grid.period == period), None)
