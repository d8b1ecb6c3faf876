"""Plots of a measured file: blocking over time, a histogram of the dark codes, and where the blocks are."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import LogNorm
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from knownlight.signal.arrays import FloatArray, PlaneArray
from knownlight.stress.any_file import Measured, Part
from knownlight.stress.grid_map import grid_map
from knownlight.stress.labels import BLOCK, BLOCKING, Severity

if TYPE_CHECKING:
    from matplotlib.axes import Axes

OVER_TIME, DARK_CODES, GRID_MAP = "blocking-over-time", "dark-codes", "grid-map.png"
_DOTS = 120  # an inch
_SETTINGS: Any = {
    "svg.hashsalt": "knownlight",
    "svg.fonttype": "path",
    "font.size": 10.0,
}  # the same file twice
_BANDS = {
    Severity.CLEAN: "#e6f2e6",
    Severity.MILD: "#fdf3d0",
    Severity.STRONG: "#fbdcc0",
    Severity.SEVERE: "#f3c3c3",
}
_LINES = ("#1f4e8c", "#b0521a")
_DARK = 0.2  # signal up to which a code is called dark
_GREY = 0.55  # lightness of the lightest: colours must stand out of it
_CELLS = 60  # in the width of the map; single blocks of a large picture cannot be seen
_STRONGEST = 16.0  # ratio of the strongest colour; the same for every file, so that maps can be compared


def write_plots(measured: Measured, blockiest: PlaneArray, folder: Path) -> None:
    """Write them all; blockiest: luma of the picture `measured.blockiest`."""
    with mpl.rc_context(_SETTINGS):
        _save(_over_time(measured), folder / OVER_TIME)
        _save(_dark_codes(measured), folder / DARK_CODES)
        figure = _grid_map(measured, blockiest)
        figure.savefig(folder / GRID_MAP, dpi=_DOTS, metadata={"Software": None})


def _figure(height: float) -> tuple[Figure, "Axes"]:
    figure = Figure(figsize=(9.0, height), layout="constrained")
    FigureCanvasAgg(figure)
    return figure, figure.add_subplot()


def _save(figure: Figure, stem: Path) -> None:
    """As PNG and as SVG, without a date."""
    figure.savefig(stem.with_suffix(".png"), dpi=_DOTS, metadata={"Software": None})
    figure.savefig(stem.with_suffix(".svg"), metadata={"Date": None, "Creator": None})


def _over_time(measured: Measured) -> Figure:
    """The ratio of each measured picture, over our bands where they are of that grid."""
    figure, axes = _figure(4.0)
    rate = measured.video.rate
    pictures = measured.every * np.arange(len(measured.parts[0].ratios))
    times = pictures if rate is None else pictures / float(rate)
    several = len(measured.parts) > 1
    for part, colour in zip(measured.parts, _LINES, strict=False):
        axes.plot(times, part.ratios, color=colour, marker=".", label=part.figures.area)
    lowest = min(part.ratios.min() for part in measured.parts)
    highest = max(part.ratios.max() for part in measured.parts)
    axes.set_yscale("log", base=2)
    axes.set_ylim(min(0.9, lowest / 1.1), max(3.0, highest * 1.25))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _position: f"{value:g}"))
    if {part.grid.period for part in measured.parts} == {BLOCK}:
        _shade(axes)
    periods = sorted({part.grid.period for part in measured.parts})
    axes.set_ylabel(f"blocking ratio, {' and '.join(map(str, periods))} pixels")
    axes.set_xlabel("picture" if rate is None else "seconds")
    axes.set_title(f"Blocking over time: {measured.video.path.name}\n{_grid_note(measured)}", fontsize=10)
    axes.margins(x=0.01)
    axes.grid(visible=True, color="#00000022")
    if several:
        axes.legend(loc="best")
    return figure


def _grid_note(measured: Measured) -> str:
    """Which grid was measured, and that it was not found where it was not."""
    if measured.period is None and all(part.found is None for part in measured.parts):
        return f"no grid was found; measured on a {_grid_words(measured.parts[0])}"
    return "; ".join(dict.fromkeys(_grid_words(part) for part in measured.parts))


def _shade(axes: "Axes") -> None:
    """Our bands, named at the right edge where they are in view."""
    low, high = axes.get_ylim()
    for severity, band in BLOCKING.items():
        bottom, top = max(band.least, low), min(band.end, high)
        if bottom < top:
            axes.axhspan(bottom, top, color=_BANDS[severity], zorder=0)
            axes.text(
                1.01,
                float(np.sqrt(bottom * top)),
                severity.value,
                transform=axes.get_yaxis_transform(),
                verticalalignment="center",
            )


def _dark_codes(measured: Measured) -> Figure:
    """Share of the pixels that have each dark code."""
    figure, axes = _figure(4.0)
    quantisation = measured.video.encoding.quantisation
    counts = np.sum([part.tally.counts for part in measured.parts], axis=0)
    shares = 100.0 * counts / counts.sum()
    last = int(quantisation.luma_code(_DARK))
    used = np.flatnonzero(counts)
    first = min(quantisation.black, int(used[0])) - 1
    codes = np.arange(max(0, first), last + 1)
    axes.bar(codes, shares[codes], width=0.9, color=_LINES[0])
    axes.axvline(
        quantisation.black, color=_LINES[1], linestyle="--", label=f"black, code {quantisation.black}"
    )
    above = float(shares[last + 1 :].sum())
    axes.set_xlabel(
        f"luma code, {measured.video.depth} bits, {quantisation.code_range.value} range; "
        f"{above:.3g} % of the pixels are above {last}"
    )
    axes.set_ylabel("% of the pixels")
    axes.set_xlim(codes[0] - 0.5, last + 0.5)
    axes.set_title(f"Dark codes: {measured.video.path.name}")
    axes.legend(loc="upper right")
    axes.grid(visible=True, axis="y", color="#00000022")
    axes.set_axisbelow(True)
    return figure


def _grid_map(measured: Measured, picture: PlaneArray) -> Figure:
    """The blockiest picture with its codes spread evenly, and in colour where the grid stands out of it."""
    part = _blockiest_part(measured)
    view, rect = part.view.of(picture), part.view.rect
    height = 1 if part.view.field is None else 2  # rows of the picture in one that is drawn
    cells = grid_map(view, rect, part.grid, depth=measured.video.depth, across=_CELLS)
    figure, axes = _figure(1.0 + 7.0 * height * rect.height / rect.width)
    axes.imshow(
        _spread(view),
        cmap="gray",
        vmin=0.0,
        vmax=1.0 / _GREY,
        extent=(rect.x, rect.right, height * rect.bottom, height * rect.y),
        interpolation="nearest",
    )
    strength = np.clip(np.log(cells.ratios) / np.log(_STRONGEST), 0.0, 1.0)
    left, top = rect.x + cells.left, rect.y + cells.top
    down, across = cells.ratios.shape
    image = axes.imshow(
        np.clip(cells.ratios, 1.0, _STRONGEST),
        cmap="inferno",
        norm=LogNorm(1.0, _STRONGEST),
        alpha=0.85 * strength,
        # the last cells may be of fewer blocks; drawn whole, they end outside and are cut off
        extent=(left, left + across * cells.size, height * (top + down * cells.size), height * top),
        interpolation="nearest",
    )
    axes.set_xlim(rect.x, rect.right)
    axes.set_ylim(height * rect.bottom, height * rect.y)
    scale = figure.colorbar(image, ax=axes, shrink=0.85, ticks=[1, 2, 4, 8, 16], format="%g")
    scale.minorticks_off()
    scale.set_label(f"blocking ratio of {cells.size}x{cells.size} pixels")
    field = "" if part.view.field is None else f", {part.figures.area.rpartition(', ')[2]}"
    axes.set_title(
        f"Where the blocks are: {measured.video.path.name}, picture {measured.blockiest}{field}\n"
        f"codes {view.min()} to {view.max()} spread evenly from black to grey; {_grid_words(part)}",
        fontsize=10,
    )
    return figure


def _spread(view: PlaneArray) -> FloatArray:
    """Each code as the share of the picture that is no lighter: dark and light places are seen alike."""
    counts = np.bincount(view.ravel())
    shares = np.cumsum(counts) - counts / 2.0
    return np.asarray((shares / view.size)[view])


def _grid_words(part: Part) -> str:
    grid = part.grid
    return f"grid of {grid.period} pixels from x {grid.x}, y {grid.y}"


def _blockiest_part(measured: Measured) -> Part:
    index = measured.blockiest // measured.every
    return max(measured.parts, key=lambda part: float(part.ratios[index]))
