"""Colours by name in a stated set of primaries, as codes of a signal.

A hue is a corner of the R'G'B' cube of its primaries; its saturation runs in a straight line in CIE 1931 x, y
from the white point (common practice, no source).
"""

from typing import Any

import numpy as np

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.signal.chromaticity import xy_from_xyz
from knownlight.signal.primaries import PRIMARIES, Chromaticity, Primaries
from patterns.parameters import Level, LevelUnit, choice_parameter, level_key, luma_code

HUES: dict[str, tuple[float, float, float]] = {
    "red": (1.0, 0.0, 0.0),
    "yellow": (1.0, 1.0, 0.0),
    "green": (0.0, 1.0, 0.0),
    "cyan": (0.0, 1.0, 1.0),
    "blue": (0.0, 0.0, 1.0),
    "magenta": (1.0, 0.0, 1.0),
    "white": (1.0, 1.0, 1.0),
}
_FULL = 100.0


def gamut_parameter() -> Any:  # noqa: ANN401
    """A field for the primaries that hues are corners of."""
    return choice_parameter("bt709", "primaries whose colours these are", choices=tuple(PRIMARIES))


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
