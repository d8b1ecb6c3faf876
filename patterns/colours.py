"""Colours by name in a stated set of primaries, as codes of a signal.

A hue is a corner of the R'G'B' cube of its primaries; its saturation runs in a straight line in CIE 1931 x, y
from the white point (common practice, no source).
"""

from collections.abc import Mapping
from dataclasses import field
from typing import Any

import numpy as np

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.signal.chromaticity import xy_from_xyz, xyz_from_xy
from knownlight.signal.encoding import OUTSIDE
from knownlight.signal.primaries import BT709, BT2020, P3_D65, Chromaticity, Primaries
from patterns.parameters import (
    PLAIN_UNITS,
    Kind,
    Level,
    LevelUnit,
    Spec,
    choice_parameter,
    level_key,
    luma_code,
)

HUES: dict[str, tuple[float, float, float]] = {
    "red": (1.0, 0.0, 0.0),
    "yellow": (1.0, 1.0, 0.0),
    "green": (0.0, 1.0, 0.0),
    "cyan": (0.0, 1.0, 1.0),
    "blue": (0.0, 0.0, 1.0),
    "magenta": (1.0, 0.0, 1.0),
    "white": (1.0, 1.0, 1.0),
}
SDR_GAMUT = "sdr"
_GAMUTS = {primaries.name: primaries for primaries in (BT709, P3_D65, BT2020)}
_FULL = 100.0
_LIMIT = 1e-5  # of a luminance: BT.2100 has the weights of its OOTF to four decimals


def gamut_parameter() -> Any:  # noqa: ANN401
    """A field for the primaries that hues are corners of."""
    return choice_parameter(
        SDR_GAMUT,
        "primaries whose colours these are; sdr: those of an sdr picture of the size, bt709 or BT.601's",
        choices=(SDR_GAMUT, *_GAMUTS),
    )


def gamut_primaries(gamut: str, signal: SignalFormat) -> Primaries:
    """The primaries that a choice of gamut means in a signal."""
    return signal.sdr.primaries if gamut == SDR_GAMUT else _GAMUTS[gamut]


def light_parameter(luminance: float, meaning: str) -> Any:  # noqa: ANN401
    """A field for a level whose default is the same light, in cd/m², in every kind of signal."""
    spec = Spec(kind=Kind.LEVEL, meaning=meaning, level_units=PLAIN_UNITS)
    return field(default=Level(LevelUnit.LUMINANCE, luminance), metadata={"spec": spec})


def holds(primaries: Primaries, xy: Chromaticity) -> bool:
    """Whether a colour lies inside some primaries, or outside by no more than `Encoding` lets pass."""
    linear = primaries.linear_rgb_from_xyz(xyz_from_xy(xy, 1.0))
    return bool(linear.min() >= -OUTSIDE * linear.max())


def level_light(where: str, field_name: str, level: Level, signal: SignalFormat) -> float:
    """The luminance (cd/m²) that a level asks for as a grey.

    Raises:
        BadInput: naming the key, where the signal does not hold it.
    """
    code = luma_code(where, field_name, level, signal)
    return level.value if level.unit is LevelUnit.LUMINANCE else signal.encoding.grey_luminance(code)


def hue_xy(primaries: Primaries, hue: str, saturation_percent: float = _FULL) -> Chromaticity:
    """Chromaticity of a hue at a saturation: so much of the way from white to the corner."""
    x, y = (float(v) for v in xy_from_xyz(primaries.xyz_from_linear_rgb(HUES[hue])))
    share = saturation_percent / _FULL
    white_x, white_y = primaries.white
    return white_x + share * (x - white_x), white_y + share * (y - white_y)


def luminance_share(primaries: Primaries, hue: str) -> float:
    """Luminance of the hue's corner, where white has 1."""
    return float(primaries.xyz_from_linear_rgb(np.array(HUES[hue]))[1])


def colour_code(where: str, xy: Chromaticity, luminance: float, signal: SignalFormat) -> CodeTriple:
    """The codes of a colour, with the family's name in front of what is wrong with it."""
    try:
        return signal.encoding.codes_of_colour(xy, luminance)
    except BadInput as error:
        raise BadInput(f"{where}: {error}") from None


def check_light(where: str, asked: Mapping[str, tuple[Chromaticity, float]], signal: SignalFormat) -> None:
    """Raise where a colour is asked to have more luminance (cd/m²) than the signal holds of it.

    Args:
        where: the family and the key.
        asked: chromaticity and luminance by the colour's name; one outside the primaries is passed over.
        signal: what must hold them.

    Raises:
        BadInput: naming the colour that is farthest past its limit, so that its remedy serves all.
    """
    held = {name: (xy, light) for name, (xy, light) in asked.items() if holds(signal.container_primaries, xy)}
    excess = {name: light / signal.encoding.highest_luminance(xy) for name, (xy, light) in held.items()}
    worst = max(excess, key=lambda name: excess[name], default=None)
    if worst is not None and excess[worst] > 1.0 + _LIMIT:
        xy, light = held[worst]
        raise BadInput(
            f"{where}: {light:g} cd/m² of {worst} is more than a {signal.transfer.value} signal holds; "
            f"use {signal.encoding.highest_luminance(xy):.6g} or less"
        )


def hue_code(
    where: str,
    field_name: str,
    level: Level,
    *,
    primaries: Primaries,
    hue: str,
    saturation_percent: float,
    signal: SignalFormat,
) -> CodeTriple:
    """The codes of a hue at a level.

    A luminance is that of the colour itself. Any other unit is the level of R', G' and B' at the hue's
    corner: red of 75 % has the luminance of (75 %, 0, 0) at every saturation, so that sweeps keep theirs.

    Raises:
        BadInput: naming the key, where the signal does not hold it.
    """
    xy = hue_xy(primaries, hue, saturation_percent)
    if level.unit is LevelUnit.LUMINANCE:
        return colour_code(f"{where}: {level_key(field_name, level.unit)}", xy, level.value, signal)
    peak = signal.encoding.grey_luminance(luma_code(where, field_name, level, signal))
    luminance = signal.encoding.part_luminance(peak, luminance_share(primaries, hue))
    return colour_code(where, xy, luminance, signal)
