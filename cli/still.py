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
    pattern_and_signal,
)


def still(
    pattern: PatternArgument,
    keys: KeysArgument = None,
    *,
    signal: SignalOption,
    to: Annotated[Path, typer.Option("--to", help="File to write, ending in .png.")],
    depth: DepthOption = None,
    code_range: RangeOption = None,
    primaries: PrimariesOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make one 16-bit PNG and prove it by reading it again. Full range unless told.

    Example: knownlight still window area_percent=10 luminance=1000 --signal 2160p60-pq --to w.png
    """
    form = output(as_json)
    with answering(form):
        from fractions import Fraction  # noqa: PLC0415 - quick start

        from cli.making import make_single  # noqa: PLC0415
        from knownlight.encode.png import NAME, SUFFIX  # noqa: PLC0415
        from knownlight.errors import BadInput  # noqa: PLC0415
        from knownlight.pack.job import Job  # noqa: PLC0415

        if to.suffix.lower() != SUFFIX:
            raise BadInput(f"--to {to}: stills end in {SUFFIX}")
        drawn, parsed = pattern_and_signal(
            pattern,
            keys,
            signal,
            depth=depth,
            code_range=code_range or "full",
            primaries=primaries,
            components="rgb",
        )
        job = Job(id=to.stem, file=to.name, pattern=drawn, signal=parsed, delivery=NAME, seconds=Fraction(0))
        make_single(job, to, form)
