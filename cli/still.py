"""knownlight still: one picture, made and proven."""

from pathlib import Path
from typing import Annotated

import typer

from cli.console import JsonOption, answering, output
from cli.options import (
    DepthOption,
    KeysArgument,
    PatternArgument,
    PrimariesOption,
    RangeOption,
    SignalOption,
    key_values,
    pattern_and_signal,
)


def still(
    pattern: PatternArgument,
    keys: KeysArgument = None,
    *,
    signal: SignalOption,
    to: Annotated[
        Path,
        typer.Option("--to", help="File to write, ending in .png, .avif, .heic, .jxl, .exr, .tif or .jpg."),
    ],
    depth: DepthOption = None,
    code_range: RangeOption = None,
    primaries: PrimariesOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make one picture file and prove it by reading it with another library. Full range unless told.

    Example: knownlight still window area_percent=10 luminance=1000 --signal 2160p60-pq --to w.avif
    """
    form = output(as_json)
    with answering(form):
        from fractions import Fraction  # noqa: PLC0415 - quick start

        from cli.making import make_single  # noqa: PLC0415
        from knownlight.encode.stills.formats import still_of_suffix  # noqa: PLC0415
        from knownlight.pack.job import Job  # noqa: PLC0415

        delivery = still_of_suffix(to)
        drawn, parsed = pattern_and_signal(
            pattern,
            key_values(keys),
            signal,
            depth=depth,
            code_range=code_range or "full",
            primaries=primaries,
            components="rgb",
        )
        job = Job(
            id=to.stem,
            file=to.name,
            pattern=drawn,
            signal=parsed,
            delivery=delivery.name,
            seconds=Fraction(0),
        )
        make_single(job, to, form)
