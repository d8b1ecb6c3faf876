"""knownlight clip: one clip, made and proven."""

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
    declaration,
    key_values,
    pattern_and_signal,
)


def clip(
    pattern: PatternArgument,
    keys: KeysArgument = None,
    *,
    signal: SignalOption,
    to: Annotated[Path, typer.Option("--to", help="File to write.")],
    delivery: Annotated[
        str, typer.Option("--delivery", help="Kind of file; `knownlight deliveries` lists them.")
    ] = "hevc-mp4",
    seconds: Annotated[
        float | None, typer.Option("--seconds", help="Length; 20 where the pattern has none of its own.")
    ] = None,
    depth: DepthOption = None,
    code_range: RangeOption = None,
    primaries: PrimariesOption = None,
    declare: Annotated[
        str | None,
        typer.Option(
            "--declare",
            help="HDR metadata declared on purpose: mastering=1000,max_cll=400,max_fall=100, or none.",
        ),
    ] = None,
    keep_exact: Annotated[
        bool,
        typer.Option(
            "--keep-exact",
            help="Stay exact past the level that size and rate ask for; the level goes up, with a warning.",
        ),
    ] = False,
    sound: Annotated[
        str,
        typer.Option("--sound", help="silent: a silent track, or the pattern's beeps; none: no track."),
    ] = "silent",
    as_json: JsonOption = False,
) -> None:
    """Make one clip and prove it by decoding it again.

    Some keys make it a poor source of measured faults: severity=clean, mild, strong or severe blocks, or
    megabits=3 for a rate; loop_filter=on or off, generations=2 for coded twice, split=avc-mp4 for the clean
    picture beside what that delivery makes of it. docs/stress.md says what is measured.

    Example: knownlight clip window area_percent=10 luminance=1000 --signal 2160p60-pq --seconds 60 --to w.mp4

    Example: knownlight clip fog severity=strong --signal 1080p24-sdr --delivery avc-mp4 --to fog.mp4
    """
    form = output(as_json)
    with answering(form):
        from fractions import Fraction  # noqa: PLC0415 - quick start

        from cli.making import make_single  # noqa: PLC0415
        from knownlight.encode.deliveries import DELIVERIES, delivery_named  # noqa: PLC0415
        from knownlight.encode.delivery import PastLevel  # noqa: PLC0415
        from knownlight.errors import BadInput  # noqa: PLC0415
        from knownlight.frame.fields import drawn_in  # noqa: PLC0415
        from knownlight.frame.sound import sound_named  # noqa: PLC0415
        from knownlight.pack.job import Job  # noqa: PLC0415
        from knownlight.stress.poor import KEYS, poor_of  # noqa: PLC0415

        if seconds is not None and not 0 < seconds <= 36000:  # noqa: PLR2004
            raise BadInput(
                f"--seconds {seconds:g} is no length for a clip; use more than 0 and at most 36000"
            )
        suffix = delivery_named(delivery).suffix
        if to.suffix.lower() != suffix:
            others = [each.name for each in DELIVERIES.values() if each.suffix == to.suffix.lower()]
            hint = f", or use --delivery {' or '.join(others)}" if others else ""
            raise BadInput(f"--to {to}: {delivery} files end in {suffix}; name it so{hint}")
        values = key_values(keys)
        poor = poor_of({key: values.pop(key) for key in KEYS if key in values}, "clip")
        drawn, parsed = pattern_and_signal(
            pattern, values, signal, depth=depth, code_range=code_range, primaries=primaries, components=None
        )
        length = (
            Fraction(seconds).limit_denominator(1000)
            if seconds is not None
            else drawn.natural_seconds(drawn_in(drawn, parsed)) or Fraction(20)
        )
        job = Job(
            id=to.stem,
            file=to.name,
            pattern=drawn,
            signal=parsed,
            delivery=delivery,
            seconds=length,
            declaration=None if declare is None else declaration(declare),
            sound=sound_named(sound),
            past_level=PastLevel.MARKED if keep_exact else PastLevel.BOUNDED,
            poor=poor,
        )
        make_single(job, to, form)
