"""What is counted of one area over the pictures of a clip, and the figures that follow."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from knownlight.errors import BadInput
from knownlight.frame.geometry import Rect
from knownlight.signal.arrays import CodeArray, FloatArray, PlaneArray
from knownlight.stress.figures import Figures, GridFigures
from knownlight.stress.grid import Folder, Grid, Profile, folded, ratio
from knownlight.stress.picture import FLAT_SIZES, Content, Steps, code_steps, content, difference, flat_counts


@dataclass(frozen=True, kw_only=True)
class _Picture:
    """What is kept of a picture: steps of codes and of light by place, and mean light."""

    codes: Profile
    light: Profile
    mean_light: float


class _Jumps:
    """Follows a mean from picture to picture."""

    def __init__(self) -> None:
        self.means: list[float] = []

    def add(self, part: PlaneArray) -> None:
        self.means.append(float(part.sum(dtype=np.uint64)) / part.size)

    @property
    def largest(self) -> float:
        """Largest change; 0 of a single picture."""
        return float(np.abs(np.diff(self.means)).max(initial=0.0))


class Tally:
    """Counts of one area; rect: where it lies in the picture, or in the field."""

    def __init__(self, name: str, rect: Rect, *, depth: int, light: FloatArray) -> None:
        """Begin; light: of each code of `depth` bits, index by code."""
        self.name = name
        self.rect = rect
        self._depth = depth
        self._light = light.astype(np.float32)
        self._folder = Folder(rect)
        self._jumps, self._drawn_jumps = _Jumps(), _Jumps()
        self._pictures: list[_Picture] = []
        self._drawn: list[Profile] = []
        self._squares = 0.0
        self._largest_error = 0
        self._flat = {size: np.zeros((size, size), dtype=np.int64) for size in FLAT_SIZES}
        self._drawn_flat8 = np.zeros((8, 8), dtype=np.int64)
        self.counts = np.zeros(light.size, dtype=np.int64)  # pixels of each code in the measured pictures
        self.steps = Steps(across=np.zeros(rect.width - 1), down=np.zeros(rect.height - 1))  # summed

    @property
    def _of_8_bits(self) -> float:
        """What turns codes into codes of 8 bits."""
        return 1.0 / (1 << (self._depth - 8))

    def add_mean(self, part: PlaneArray, drawn: PlaneArray | None) -> None:
        """Count a picture's mean."""
        self._jumps.add(part)
        if drawn is not None:
            self._drawn_jumps.add(drawn)

    def add_picture(self, part: PlaneArray, drawn: PlaneArray | None) -> None:
        """Count everything else of a picture."""
        found = content(part, self._light)
        self._pictures.append(self._kept(found, part.size))
        self.counts += found.counts
        self.steps.across[:] += found.codes.across
        self.steps.down[:] += found.codes.down
        for size, counts in flat_counts(part).items():
            self._flat[size] += counts
        if drawn is not None:
            squares, largest = difference(part, drawn)
            self._squares += squares
            self._largest_error = max(self._largest_error, largest)
            self._drawn_flat8 += flat_counts(drawn)[8]
            self._drawn.append(self._by_place(code_steps(drawn)))

    def _kept(self, found: Content, pixels: int) -> _Picture:
        return _Picture(
            codes=self._by_place(found.codes),
            light=self._by_place(found.light),
            mean_light=float(found.counts @ self._light) / pixels,
        )

    def _by_place(self, steps: Steps) -> Profile:
        return Profile(across=folded(steps.across, self.rect.x), down=folded(steps.down, self.rect.y))

    def ratios(self, grid: Grid) -> FloatArray:
        """The blocking ratio of each measured picture."""
        return self._ratios([picture.codes for picture in self._pictures], grid)

    def _ratios(self, profiles: Sequence[Profile], grid: Grid) -> FloatArray:
        return np.array([ratio(*self._line_and_rest(profile, grid)) for profile in profiles])

    @property
    def means(self) -> FloatArray:
        """The mean of every picture, codes of 8 bits."""
        return np.array(self._jumps.means) * self._of_8_bits

    def _line_and_rest(self, profile: Profile, grid: Grid) -> tuple[float, float]:
        line, rest = self._folder.line_and_rest(profile, grid)
        return line * self._of_8_bits, rest * self._of_8_bits

    def grid_figures(self, grid: Grid) -> GridFigures:
        """How far the lines of a grid stand out."""
        steps = [self._line_and_rest(picture.codes, grid) for picture in self._pictures]
        light = [
            np.subtract(*self._folder.line_and_rest(picture.light, grid)) / (picture.mean_light or 1.0)
            for picture in self._pictures
        ]
        return GridFigures(
            period=grid.period,
            ratio=float(np.mean([ratio(*pair) for pair in steps])),
            step=float(np.mean([line - rest for line, rest in steps])),
            light_step_percent=100.0 * float(np.mean(light)),
            drawn_ratio=float(self._ratios(self._drawn, grid).mean()) if self._drawn else None,
        )

    def has_room(self, period: int) -> bool:
        """Whether the area holds a grid of a period."""
        return self._folder.has_room(period)

    def figures(self, periods: Sequence[int], x: int = 0, y: int = 0) -> Figures:
        """All figures; x, y: where the grids begin, each modulo its period.

        Raises:
            BadInput: where no picture was added.
        """
        if not self._pictures:
            raise BadInput(f"{self.name}: there is no picture to measure")
        grids = [
            Grid(period=period, x=x % period, y=y % period) for period in periods if self.has_room(period)
        ]
        known = bool(self._drawn_jumps.means)
        return Figures(
            area=self.name,
            pictures=len(self._pictures),
            grids=tuple(self.grid_figures(grid) for grid in grids),
            flat8=self._flat_share(self._flat[8], x, y),
            flat16=self._flat_share(self._flat[16], x, y),
            codes_in_use=int(np.count_nonzero(self.counts)),
            largest_jump=self._jumps.largest * self._of_8_bits,
            psnr=self._psnr if known else None,
            largest_error=self._largest_error if known else None,
            drawn_jump=self._drawn_jumps.largest * self._of_8_bits if known else None,
            drawn_flat8=self._flat_share(self._drawn_flat8, x, y) if known else None,
        )

    def _flat_share(self, counts: CodeArray, x: int, y: int) -> float:
        """Share of the whole blocks inside the area that are of one code."""
        size = len(counts)
        column, row = (x - self.rect.x) % size, (y - self.rect.y) % size
        blocks = ((self.rect.width - column) // size) * ((self.rect.height - row) // size)
        return int(counts[row, column]) / (blocks * len(self._pictures))

    @property
    def _psnr(self) -> float | None:
        """From the mean squared error of all measured pictures; peak: the largest code of the depth."""
        if self._squares == 0.0:
            return None
        samples = self.rect.area * len(self._pictures)
        peak = (1 << self._depth) - 1
        return 10.0 * math.log10(peak * peak * samples / self._squares)
