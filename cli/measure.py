"""knownlight measure: the coding faults of any video file."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.console import JsonOption, Output, answering, emit, note, output, say

if TYPE_CHECKING:
    from knownlight.stress.any_file import Measured, Part
    from knownlight.stress.labels import Severity


def measure(
    file: Annotated[Path, typer.Argument(help="Any video file that ffmpeg reads.")],
    *,
    crop: Annotated[
        str | None, typer.Option("--crop", help="Measure a part: x,y,width,height in pixels.")
    ] = None,
    grid: Annotated[
        str,
        typer.Option(
            "--grid", help="Size of blocks in pixels: 8, 16, 32 or 64; auto looks for size and place."
        ),
    ] = "auto",
    every: Annotated[
        int, typer.Option("--every", help="Measure one of so many pictures; jumps are sought in all.")
    ] = 5,
    to: Annotated[Path | None, typer.Option("--to", help="Folder to write the figures and plots to.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Measure blocks, flatness, jumps and banding of any video: a recording, a download, a capture.

    The words mild, strong and severe come from our own measurements; no viewers were involved. docs/stress.md
    says what each figure means.

    Example: knownlight measure recording.mkv --to recording-figures
    """
    form = output(as_json)
    with answering(form):
        from knownlight import ffmpeg  # noqa: PLC0415 - quick start
        from knownlight.errors import BadInput  # noqa: PLC0415
        from knownlight.pack.folders import check_writable  # noqa: PLC0415
        from knownlight.stress.any_file import grid_period  # noqa: PLC0415
        from knownlight.stress.any_file import measure as measure_file  # noqa: PLC0415
        from knownlight.stress.report import values, write_report  # noqa: PLC0415

        if every < 1:
            raise BadInput(f"--every {every} is no number of pictures; use 1 or more")
        period = grid_period(grid)
        part = None if crop is None else _rectangle(crop)
        if to is not None:
            check_writable(to if to.exists() else to.absolute().parent)
        stop = ffmpeg.Stop()
        with _watching(file) as on_pictures:
            measured = measure_file(
                file, stop, crop=part, period=period, every=every, on_pictures=on_pictures
            )
        names = () if to is None else write_report(measured, to, stop)
        if form is Output.JSON:
            emit(values(measured))
        else:
            say("\n".join(_described(measured)))
        if names:
            note(f"{to}: {', '.join(names)}")


def _rectangle(text: str) -> tuple[int, int, int, int]:
    """What `--crop` asks for.

    Raises:
        BadInput: where that is not four whole numbers.
    """
    from knownlight.errors import BadInput  # noqa: PLC0415 - quick start

    try:
        x, y, width, height = map(int, text.split(","))
    except ValueError:
        raise BadInput(
            f"--crop {text!r} is not x,y,width,height in whole pixels; write it as 0,0,960,540"
        ) from None
    return x, y, width, height


@contextmanager
def _watching(file: Path) -> Iterator[Callable[[int, int | None], None]]:
    """Progress on a terminal; nothing in a pipe."""
    from rich.console import Console  # noqa: PLC0415 - quick start
    from rich.progress import Progress  # noqa: PLC0415

    console = Console(file=sys.stderr)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(file.name, total=None)
        yield lambda done, total: progress.update(task, completed=done, total=total)


def _described(measured: "Measured") -> Iterator[str]:
    """The file in a line, then each part's figures."""
    video = measured.video
    rate = "" if video.rate is None else f"{float(video.rate):.6g} frames/s, "
    bits = "" if video.bit_rate is None else f", {video.bit_rate / 1e6:.3g} Mb/s"
    size = f"{video.width}x{video.height}{'i' if video.is_interlaced else 'p'}"
    fully = measured.parts[0].figures.pictures
    yield (
        f"{video.path}: {video.codec or 'video'}, {size}, {rate}{video.depth} bits{bits}; "
        f"{measured.pictures} pictures, {fully} measured"
    )
    yield f"  light     {video.light_said}"
    banding = measured.banding
    if banding.cambi is None:
        yield f"  banding   not measured: {banding.why_not}"
    else:
        yield f"  banding   CAMBI {banding.cambi:.2f}{_in_brackets(banding.label)}"
    for part in measured.parts:
        yield f"  {part.figures.area} [{', '.join(map(str, _place(measured)))}]"
        yield from _part(part, measured)


def _place(measured: "Measured") -> tuple[int, int, int, int]:
    area = measured.area
    return area.x, area.y, area.width, area.height


def _part(part: "Part", measured: "Measured") -> Iterator[str]:
    figures, blocks = part.figures, part.figures.grids[0]
    yield f"    grid      {_grid(part, measured)}"
    yield (
        f"    blocking  ratio {blocks.ratio:.2f}{_in_brackets(part.blocking)}; "
        f"step {blocks.step:.2f} codes of 8 bits, {blocks.light_step_percent:.1f} % of the light"
    )
    yield f"    flat      {100 * figures.flat8:.0f} % of blocks of 8x8, {100 * figures.flat16:.0f} % of 16x16"
    yield f"    codes     {figures.codes_in_use} in use"
    yield f"    jump      {figures.largest_jump:.2f} codes of 8 bits at most from one picture to the next"


def _grid(part: "Part", measured: "Measured") -> str:
    """Which grid was measured, and how clear it is."""
    grid, found = part.grid, part.found
    if found is not None:
        clear = f"{100 * found.across:.0f} % of the width, {100 * found.down:.0f} % of the height"
        return f"{grid.period} pixels from x {grid.x}, y {grid.y}; clear in {clear}"
    why = "no grid found; measured" if measured.period is None else "measured as asked for,"
    return f"{why} at {grid.period} pixels from the corner"


def _in_brackets(label: "Severity | None") -> str:
    return "" if label is None else f" ({label.value})"
