"""When a change of light counts as part of a flash (ITU-R BT.1702-3, known second-hand).

A change counts where it is 20 cd/m² or more with the darker state below 160 cd/m², or, with a brighter one, a
contrast of a seventeenth: an eighth of the darker state's light. SDR is reckoned at a peak of 200 cd/m².
"""

from knownlight.frame.format import SignalFormat
from knownlight.signal.encoding import SDR_WHITE

QUARTER = 0.25  # share of the screen that may flash
MOST_FLASHES = 3  # a second, each a change there and one back
_LEAST_CHANGE = 20.0  # cd/m²
_SDR_PEAK = 200.0  # cd/m²


def is_flash(signal: SignalFormat, first: int, second: int) -> bool:
    """Whether a change between two grey codes counts."""
    scale = 1.0 if signal.is_hdr else _SDR_PEAK / SDR_WHITE
    darker, lighter = (scale * signal.encoding.grey_luminance(code) for code in sorted((first, second)))
    return lighter - darker >= max(_LEAST_CHANGE, darker / 8.0)
