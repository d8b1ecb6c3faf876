"""Words for the figures. The scales are ours, chosen from our own measurements: no viewers were involved.

What lies between two of a scale's bands has no label: the words are for clips that are plainly of one kind.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from knownlight.stress.figures import Figures


class Severity(Enum):
    """How much of a fault there is."""

    CLEAN = "clean"
    MILD = "mild"
    STRONG = "strong"
    SEVERE = "severe"


@dataclass(frozen=True)
class Band:
    """From `least`, and below `end`."""

    least: float
    end: float

    def holds(self, value: float) -> bool:
        """Whether a figure lies in it."""
        return self.least <= value < self.end


BLOCK = 8  # pixels, of AVC and MPEG-2: the grid whose ratio has words
# of that ratio
BLOCKING: Mapping[Severity, Band] = MappingProxyType(
    {
        Severity.CLEAN: Band(0.0, 1.05),
        Severity.MILD: Band(1.5, 2.8),
        Severity.STRONG: Band(4.0, 8.0),
        Severity.SEVERE: Band(14.0, math.inf),
    }
)
# of CAMBI, whose authors call about 5 slightly annoying and 24 the most there is (cited from memory)
BANDING: Mapping[Severity, Band] = MappingProxyType(
    {
        Severity.CLEAN: Band(0.0, 1.0),
        Severity.MILD: Band(2.0, 5.0),
        Severity.STRONG: Band(5.0, 12.0),
        Severity.SEVERE: Band(12.0, math.inf),
    }
)
# of the largest jump less the drawn one, in codes of 8 bits
JUMPING: Mapping[Severity, Band] = MappingProxyType(
    {
        Severity.CLEAN: Band(-math.inf, 0.5),
        Severity.MILD: Band(0.5, 1.5),
        Severity.STRONG: Band(1.5, 4.0),
        Severity.SEVERE: Band(4.0, math.inf),
    }
)
_MOSTLY = 0.5  # share of flat blocks from which a picture has little left that could show a grid
_AS_FLAT = 0.1  # share by which a coded picture may be flatter than the drawn one and still be like it


def blocking_of(figures: Figures) -> Severity | None:
    """The word for blocks of 8 pixels; None where there is none, or where the figures cannot say.

    It goes by what coding added, where what was drawn is known.
    The ratio falls back to 1 where coding made the picture flat all over: that is neither clean nor mild.
    """
    grid = figures.grid(BLOCK)
    if grid is None:
        return None
    severity = _of(BLOCKING, grid.added)
    return None if severity in (Severity.CLEAN, Severity.MILD) and _has_collapsed(figures) else severity


def _has_collapsed(figures: Figures) -> bool:
    """Whether most is flat that was not drawn so; where the drawn is not known, it may be so."""
    if figures.flat8 <= _MOSTLY:
        return False
    return figures.drawn_flat8 is None or figures.flat8 > figures.drawn_flat8 + _AS_FLAT


def banding_of(cambi: float) -> Severity | None:
    """The word for a mean CAMBI."""
    return _of(BANDING, cambi)


def jumping_of(figures: Figures) -> Severity | None:
    """The word for stalling and jumping; None where what was drawn is not known."""
    if figures.drawn_jump is None:
        return None
    return _of(JUMPING, figures.largest_jump - figures.drawn_jump)


def word(severity: Severity | None) -> str | None:
    """As it is written; None where there is no label."""
    return None if severity is None else severity.value


def _of(scale: Mapping[Severity, Band], value: float) -> Severity | None:
    return next((severity for severity, band in scale.items() if band.holds(value)), None)
