"""Measures any video file: one decode for blocks, flatness, jumps and banding."""

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from itertools import repeat
from pathlib import Path
from statistics import fmean

import numpy as np

from knownlight import ffmpeg
from knownlight.errors import BadInput
from knownlight.frame.claims import Area
from knownlight.frame.geometry import Rect
from knownlight.readback.any_video import AnyVideo, luma_planes, open_video
from knownlight.signal.arrays import FloatArray
from knownlight.stress.cambi import LEAST_SIDE, cambi_filter, read_log
from knownlight.stress.figures import Figures
from knownlight.stress.grid import PERIODS, Grid
from knownlight.stress.grid_search import FoundGrid, find_grid
from knownlight.stress.labels import BLOCK, Severity, banding_of, blocking_of
from knownlight.stress.meter import EVERY, Meter, View, least_size, relative_light
from knownlight.stress.tally import Tally


@dataclass(frozen=True, kw_only=True)
class Part:
    """What was found in the area, or in one field of it.

    view: its place. grid: the one that was measured, the usual one where none was found.
    found: how clear it is, where it was looked for and found.
    blocking: the word for it; None where there is none, or where the grid is not of 8 pixels.
    """

    view: View
    figures: Figures
    grid: Grid
    found: FoundGrid | None
    blocking: Severity | None
    tally: Tally

    @property
    def ratios(self) -> FloatArray:
        """The blocking ratio of each measured picture."""
        return self.tally.ratios(self.grid)


@dataclass(frozen=True, kw_only=True)
class Banding:
    """CAMBI of the measured pictures: their mean and the word for it; None where it cannot be measured."""

    cambi: float | None
    label: Severity | None
    why_not: str = ""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A video's figures.

    area: what was measured. period: of the grid that was asked for; None where it was looked for.
    pictures: decoded, of which the first and every `every`-th was measured fully.
    """

    video: AnyVideo
    area: Rect
    period: int | None
    every: int
    pictures: int
    parts: tuple[Part, ...]
    banding: Banding

    @property
    def blockiest(self) -> int:
        """The number of the picture with the highest ratio in any part."""
        return self.every * int(np.max([part.ratios for part in self.parts], axis=0).argmax())


def measure(
    path: Path,
    stop: ffmpeg.Stop,
    *,
    crop: tuple[int, int, int, int] | None = None,
    period: int | None = None,
    every: int = EVERY,
    on_pictures: Callable[[int, int | None], None] = lambda _done, _of: None,
) -> Measured:
    """Measure a file that ffmpeg reads.

    Args:
        path: the file.
        stop: ends it.
        crop: x, y, width and height of the part to measure; None for the whole picture.
        period: pixels of a grid that begins at the picture's corner; None to look for the clearest one.
        every: picture 0 and every so many-th are measured fully; jumps are looked for between all.
        on_pictures: told how many are done, and of how many where that is known.

    Raises:
        BadInput: for a file that is not there, or a part that is outside the picture or too small.
        UnreadableFile: for one without pictures that can be decoded.
        ToolFailed: where decoding ends with an error.
    """
    video = open_video(path, stop)
    area = _area(video, crop, period)
    meter = Meter(
        [Area("picture" if crop is None else "part", area)],
        depth=video.depth,
        light=relative_light(video.encoding),
        scan=video.scan,
        every=every,
    )
    why_not = _why_no_cambi(area)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "cambi.json"
        beside = (
            ""
            if why_not
            else cambi_filter(log, every=every, crop=None if crop is None else area, scan=video.scan)
        )
        pictures = 0
        for pictures, luma in enumerate(luma_planes(video, stop, beside=beside), 1):
            meter.add(luma)
            on_pictures(pictures, video.frames)
        series = () if why_not else read_log(log, f"{path}: banding could not be measured")
    cambi = fmean(series) if series else None
    return Measured(
        video=video,
        area=area,
        period=period,
        every=every,
        pictures=pictures,
        parts=tuple(map(_part, meter.views, meter.tallies, repeat(period))),
        banding=Banding(cambi=cambi, label=None if cambi is None else banding_of(cambi), why_not=why_not),
    )


def _part(view: View, tally: Tally, period: int | None) -> Part:
    found = find_grid(tally.steps, tally.rect) if period is None else None
    grid = found.grid if found else Grid(period=period or BLOCK)
    figures = tally.figures([grid.period], grid.x, grid.y)
    blocking = blocking_of(figures)
    if period is None and found is None and blocking is not Severity.CLEAN:
        blocking = None  # steps that lie on the usual grid and make none are of the content
    return Part(view=view, figures=figures, grid=grid, found=found, blocking=blocking, tally=tally)


def _area(video: AnyVideo, crop: tuple[int, int, int, int] | None, period: int | None) -> Rect:
    """The part to measure.

    Raises:
        BadInput: where it is outside the picture, or has no room for what is measured.
    """
    x, y, width, height = crop or (0, 0, video.width, video.height)
    asked = f"--crop {x},{y},{width},{height}" if crop else f"the picture of {width}x{height}"
    least_wide, least_high = least_size(video.scan)
    if min(x, y) < 0 or x + width > video.width or y + height > video.height:
        raise BadInput(
            f"{video.path}: {asked} is outside the picture of {video.width}x{video.height}; "
            "use x,y,width,height inside it"
        )
    if period is not None:  # a whole grid, and a line more
        rows = 2 if video.is_interlaced else 1
        least_wide, least_high = max(least_wide, period + 1), max(least_high, rows * (period + 1))
    if width < least_wide or height < least_high:
        raise BadInput(
            f"{video.path}: {asked} is too small to measure; use {least_wide}x{least_high} pixels or more"
        )
    return Rect(x, y, width, height)


def _why_no_cambi(area: Rect) -> str:
    if max(area.width, area.height) < LEAST_SIDE:
        return f"CAMBI needs {LEAST_SIDE} pixels or more on the longer side"
    if not ffmpeg.has_filter("libvmaf"):
        return "the ffmpeg in use has no libvmaf"
    return ""


def grid_period(text: str) -> int | None:
    """The period that `auto`, `8`, `16`, `32` or `64` asks for; None to look for it.

    Raises:
        BadInput: for anything else.
    """
    if text == "auto":
        return None
    if text not in map(str, PERIODS):
        raise BadInput(f"--grid {text} is none of auto, {', '.join(map(str, PERIODS))}")
    return int(text)
