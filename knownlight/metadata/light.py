"""HDR static metadata: mastering display (SMPTE ST 2086) and content light levels (CTA-861.3).

A rendered picture was mastered on no display. What is declared is the smallest usual mastering display that
could have shown it, so that a set has no reason to compress it further than its own panel asks.
"""

import math
from dataclasses import dataclass

from knownlight.errors import BadInput
from knownlight.frame.claims import LightLevels
from knownlight.frame.format import SignalFormat
from knownlight.signal.encoding import Transfer
from knownlight.signal.primaries import Primaries

MOST_DECLARED = 10000  # cd/m², the top of PQ
USUAL_PEAKS = (1000, 2000, 4000, 10000)  # cd/m²; common practice, no source
BLACK = 0.0001  # cd/m², the smallest unit ST 2086 can state
CHROMATICITY_UNITS = 50000  # ST 2086 counts chromaticity in 0.00002
LUMINANCE_UNITS = 10000  # and luminance in 0.0001 cd/m²


@dataclass(frozen=True, kw_only=True)
class MasteringDisplay:
    """ST 2086 in whole units: chromaticities in 0.00002, luminances in 0.0001 cd/m².

    Each of red, green, blue, white is (x, y). Containers differ in the order they store these in.
    """

    red: tuple[int, int]
    green: tuple[int, int]
    blue: tuple[int, int]
    white: tuple[int, int]
    max_luminance: int
    min_luminance: int


@dataclass(frozen=True, kw_only=True)
class ContentLight:
    """MaxCLL and MaxFALL in whole cd/m², rounded up: they are upper bounds."""

    max_cll: int
    max_fall: int


@dataclass(frozen=True, kw_only=True)
class HdrMetadata:
    """Both, as PQ files carry them; None where a file has none."""

    mastering: MasteringDisplay | None = None
    light: ContentLight | None = None


def mastering_display(primaries: Primaries, peak: float) -> MasteringDisplay:
    """A mastering display of these primaries and peak (cd/m²)."""

    def units(xy: tuple[float, float]) -> tuple[int, int]:
        return round(xy[0] * CHROMATICITY_UNITS), round(xy[1] * CHROMATICITY_UNITS)

    return MasteringDisplay(
        red=units(primaries.red),
        green=units(primaries.green),
        blue=units(primaries.blue),
        white=units(primaries.white),
        max_luminance=round(peak * LUMINANCE_UNITS),
        min_luminance=round(BLACK * LUMINANCE_UNITS),
    )


def content_light(levels: LightLevels) -> ContentLight:
    """Light levels as a file declares them; at least 1, for 0 would say that the level is not known."""
    return ContentLight(
        max_cll=max(1, math.ceil(levels.max_cll)), max_fall=max(1, math.ceil(levels.max_fall))
    )


def hdr_metadata(signal: SignalFormat, levels: LightLevels) -> HdrMetadata:
    """What a truthful file of this signal says; SDR and HLG files carry no static metadata.

    The peak is the smallest usual one whose own code is not below the brightest pixel's: a picture asked
    to reach 1000 cd/m² reaches 1004.2 by quantisation and still belongs to a 1000 cd/m² display.
    """
    if signal.transfer is not Transfer.PQ:
        return HdrMetadata()
    code = signal.encoding.grey_code_from_luminance
    brightest = code(levels.max_cll)
    peak = next(peak for peak in USUAL_PEAKS if code(peak) >= brightest)
    return HdrMetadata(
        mastering=mastering_display(signal.content_primaries, peak), light=content_light(levels)
    )


@dataclass(frozen=True, kw_only=True)
class Declaration:
    """Static metadata that a file declares on purpose, whatever it holds: to see what a set makes of it.

    mastering_peak: of the mastering display, cd/m². max_cll, max_fall: whole cd/m², both or neither; 0 says
    that the level is not known. None leaves that metadata out.
    """

    mastering_peak: int | None = None
    max_cll: int | None = None
    max_fall: int | None = None

    def metadata(self, signal: SignalFormat) -> HdrMetadata:
        """What the file says."""
        known = self.max_cll is not None and self.max_fall is not None
        return HdrMetadata(
            mastering=mastering_display(signal.content_primaries, self.mastering_peak)
            if self.mastering_peak is not None
            else None,
            light=ContentLight(max_cll=self.max_cll or 0, max_fall=self.max_fall or 0) if known else None,
        )

    def check(self, signal: SignalFormat) -> None:
        """Refuse what no file of the signal can declare.

        Raises:
            BadInput: for another signal than PQ, a figure out of range, or one light level without the other.
        """
        if signal.transfer is not Transfer.PQ:
            raise BadInput(
                f"declare: {signal.transfer.value} files carry no static metadata; use a pq signal"
            )
        if (self.max_cll is None) != (self.max_fall is None):
            raise BadInput("declare: max_cll and max_fall belong together; give both or neither")
        if (self.max_cll == 0) != (self.max_fall == 0):
            raise BadInput(
                "declare: one of max_cll and max_fall is 0 (not known); give 0 for both or neither"
            )
        # the encoder states levels of 0 beside a mastering display only, and then always states some
        if self.mastering_peak is not None and self.max_cll is None:
            raise BadInput("declare: mastering needs max_cll and max_fall too; give 0 where not known")
        if self.mastering_peak is None and self.max_cll == 0:
            raise BadInput("declare: levels of 0 need mastering too; leave them out to declare nothing")
        for key, value, lowest in (
            ("mastering", self.mastering_peak, 1),
            ("max_cll", self.max_cll, 0),
            ("max_fall", self.max_fall, 0),
        ):
            if value is not None and not lowest <= value <= MOST_DECLARED:
                raise BadInput(
                    f"declare: {key}={value} is out of range; use {lowest} to {MOST_DECLARED} cd/m²"
                )
