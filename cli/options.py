"""Options that several commands share."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from knownlight.frame.format import SignalFormat
    from knownlight.metadata.light import Declaration
    from patterns.family import Family

PatternArgument = Annotated[str, typer.Argument(help="Pattern family; `knownlight patterns` lists them.")]
KeysArgument = Annotated[
    list[str] | None,
    typer.Argument(metavar="[KEY=VALUE]...", help="Parameters; `knownlight patterns NAME` lists them."),
]
SignalOption = Annotated[
    str,
    typer.Option(
        "--signal", help="Signal format, as 2160p60-pq, 1080p23.976-sdr, or 1080p60-srgb for stills."
    ),
]
DepthOption = Annotated[int | None, typer.Option("--depth", help="Bits of a sample: 8, 10 or 12.")]
RangeOption = Annotated[str | None, typer.Option("--range", help="narrow or full.")]
PrimariesOption = Annotated[
    str | None, typer.Option("--primaries", help="bt709, or bt2020 or p3-d65 for pq and hlg.")
]
ComponentsOption = Annotated[str | None, typer.Option("--components", help="4:2:0, 4:4:4 or rgb.")]


def key_values(words: list[str] | None) -> dict[str, str]:
    """KEY=VALUE words as a mapping.

    Raises:
        BadInput: for a word without `=`, or a key given twice.
    """
    from knownlight.errors import BadInput  # noqa: PLC0415 - quick start

    values: dict[str, str] = {}
    for word in words or []:
        key, equals, value = word.partition("=")
        if not equals or not key or not value:
            raise BadInput(f"{word!r} is not KEY=VALUE; write it as area_percent=10")
        if key in values:
            raise BadInput(f"{key} is given twice; give it once")
        values[key] = value
    return values


def pattern_and_signal(
    pattern: str,
    values: Mapping[str, str],
    signal: str,
    *,
    depth: int | None,
    code_range: str | None,
    primaries: str | None,
    components: str | None,
) -> "tuple[Family, SignalFormat]":
    """The pattern and the signal format that a command line asks for."""
    from knownlight.frame.format import parse_signal_format  # noqa: PLC0415 - quick start
    from presets.opening import build_in  # noqa: PLC0415 - quick start

    return build_in(Path(), name=pattern, values=values), parse_signal_format(
        signal, depth=depth, code_range=code_range, content_primaries=primaries, components=components
    )


def declaration(text: str) -> "Declaration":
    """The metadata that `--declare` asks for.

    Raises:
        BadInput: for a word that is none of its keys, or no whole number.
    """
    from knownlight.errors import BadInput  # noqa: PLC0415 - quick start
    from knownlight.metadata.light import Declaration  # noqa: PLC0415

    fields = {"mastering": "mastering_peak", "max_cll": "max_cll", "max_fall": "max_fall"}
    values: dict[str, int] = {}
    for key, value in key_values([] if text == "none" else text.split(",")).items():
        if key not in fields or not value.isdecimal():
            raise BadInput(
                f"--declare {key}={value}: use mastering, max_cll and max_fall in whole cd/m², or none"
            )
        values[fields[key]] = int(value)
    return Declaration(**values)
