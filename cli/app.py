"""The program `knownlight`: one command a file."""

import signal
import sys
from types import FrameType

import typer

from cli import clip, deliveries, measure, packs, patterns, render, sheet, still, verify

app = typer.Typer(
    name="knownlight",
    help="Test pictures whose every pixel is known: rendered, decoded again and proven.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("packs")(packs.packs)
app.command("patterns")(patterns.patterns)
app.command("deliveries")(deliveries.deliveries)
app.command("clip")(clip.clip)
app.command("still")(still.still)
app.command("render")(render.render)
app.command("sheet")(sheet.sheet)
app.command("verify")(verify.verify)
app.command("measure")(measure.measure)


def _version(wanted: bool) -> None:
    if wanted:
        from knownlight import __version__  # noqa: PLC0415 - only here

        sys.stdout.write(f"knownlight {__version__}\n")
        raise typer.Exit


@app.callback()
def _options(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Show the version and end."
    ),
) -> None:
    pass


def _terminated(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - the shape signal asks for
    raise KeyboardInterrupt


def main() -> None:
    """Run the program. A polite kill ends it as Ctrl-C does."""
    signal.signal(signal.SIGTERM, _terminated)
    app()
