"""knownlight sheet: the run sheet of a pack anew, with targets for the display."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from cli.console import JsonOption, Output, answering, emit, note, output, say

if TYPE_CHECKING:
    from knownlight.readings.display import Display
    from knownlight.sheet.make import Made


def sheet(
    folder: Annotated[Path, typer.Argument(help="Folder of a rendered pack, a stick's for instance.")],
    *,
    display: Annotated[
        str | None, typer.Option("--display", help="Kind of signal that the figures are of: sdr, hlg or pq.")
    ] = None,
    peak: Annotated[
        float | None,
        typer.Option("--peak", help="The display's peak in cd/m2 as measured; of sdr its white."),
    ] = None,
    black: Annotated[float | None, typer.Option("--black", help="The display's black in cd/m2.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Make START-HERE.html, readings.csv and playlist.m3u8 anew, with targets for your display.

    Displays add up: give sdr, hlg and pq one after another, and the pack keeps them. Readings that stand in
    readings.csv stay.

    Example: knownlight sheet stick --display sdr --peak 212 --black 0.05
    """
    form = output(as_json)
    with answering(form):
        from knownlight.pack.cache import cache_folder  # noqa: PLC0415 - quick start

        made = make(folder, cache_folder(), _display(display, peak, black))
        _report(folder, made, form)
        note_sheet(made)


def make(folder: Path, cache: Path, measured: "Display | None" = None) -> "Made":
    """Make the sheet of a folder, with progress on a terminal."""
    from knownlight import ffmpeg  # noqa: PLC0415 - quick start
    from knownlight.sheet.make import make_sheet  # noqa: PLC0415

    with _watching() as on_done:
        return make_sheet(folder, cache=cache, stop=ffmpeg.Stop(), measured=measured, on_done=on_done)


def note_sheet(made: "Made") -> None:
    """What a reader should know of a new sheet."""
    kept = made.written.kept
    if kept is not None:
        note(f"{kept}: the old table, for the new one has no place for {made.written.why}")
    for identity in made.without_picture:
        note(f"{identity}: no picture of it could be made; knownlight verify tells what is wrong with it")


def _display(kind: str | None, peak: float | None, black: float | None) -> "Display | None":
    """The display that the options give.

    Raises:
        BadInput: where one is missing or cannot be.
    """
    from knownlight.errors import BadInput  # noqa: PLC0415 - quick start
    from knownlight.readings.display import Display, kind_named  # noqa: PLC0415

    if kind is None:
        if peak is not None or black is not None:
            option = "--peak" if peak is not None else "--black"
            raise BadInput(f"{option}: of which display? Give --display sdr, hlg or pq as well")
        return None
    named = kind_named(kind.lower())
    if peak is None:
        raise BadInput(f"--display {kind}: give its --peak in cd/m² as it was measured, and its --black")
    return Display(kind=named, peak=peak, black=black or 0.0)


@contextmanager
def _watching() -> Iterator[Callable[[int], None]]:
    """Progress on a terminal; nothing in a pipe."""
    from rich.console import Console  # noqa: PLC0415 - quick start
    from rich.progress import Progress  # noqa: PLC0415

    console = Console(file=sys.stderr)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task("small pictures", total=None)
        yield lambda count: progress.update(task, advance=1, total=count)


def as_words(made: "Made") -> dict[str, Any]:
    """A new sheet, for machines."""
    from knownlight.sheet.write import FILES  # noqa: PLC0415 - quick start

    return {
        "files": list(FILES),
        "displays": [
            {"kind": each.kind.value, "peak": each.peak, "black": each.black} for each in made.displays
        ],
        "readings_carried": made.written.carried,
        "old_table": made.written.kept,
    }


def _report(folder: Path, made: "Made", form: Output) -> None:
    from knownlight.sheet.write import FILES  # noqa: PLC0415 - quick start

    if form is Output.JSON:
        emit(
            {
                "folder": str(folder),
                **as_words(made),
            }
        )
    else:
        targets = ", ".join(f"{each.kind.value} {each.peak:g} and {each.black:g}" for each in made.displays)
        say(f"{folder}: {', '.join(FILES)}; targets for peak and black in cd/m²: {targets}")
        if made.written.carried:
            say(f"filled rows of the old readings.csv in the new one: {made.written.carried}")
