"""Corners of BT.709, P3-D65 and BT.2020 inside one another, six hues of the same luminance each.

A set shows a seam only where it goes beyond the narrower primaries and keeps the two colours apart. One
that ends at P3-D65 and clips shows the inner seam of a nest, one that ends at BT.709 none. BT.709 and
P3-D65 have the same blue, so its nest has the outer seam only; P3-D65 red lies 0.16 % outside BT.2020 and
is drawn on its edge. Layout and use: common practice, no source.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple, Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, around
from knownlight.signal.primaries import BT709, BT2020, P3_D65
from patterns.cards import card_cells
from patterns.colours import HUES, check_light, colour_code, hue_xy, luminance_share
from patterns.labelled import centred, inset
from patterns.parameters import Level, LevelUnit, level_key, level_parameter, luma_code
from patterns.patches import Layout, Patch, PatchFamily

_HUES = tuple(hue for hue in HUES if hue != "white")
_NESTED = {primaries.name: primaries for primaries in (BT709, P3_D65, BT2020)}
_COLUMNS, _ROWS = 3, 2


@dataclass(frozen=True, kw_only=True)
class GamutNest(PatchFamily):
    """Six nests: BT.2020 outside, P3-D65 in it, BT.709 in the middle."""

    name: ClassVar[str] = "gamut-nest"
    title: ClassVar[str] = "Corners of BT.709, P3-D65 and BT.2020 inside one another, of the same luminance"
    source: ClassVar[str] = "primaries: H.273 Table 2; layout: common practice, no source"

    level: Level = level_parameter(
        58.0,
        "each nest; luminance is its own, signal_percent and code are those of R', G', B' at BT.2020's hue",
    )
    surround_level: Level = level_parameter(0.0, "the grey around the nests")
    label_level: Level = level_parameter(30.0, "the labels; the level of the surround hides them")

    def layout(self, signal: SignalFormat) -> Layout:
        """BT.709 as a patch to measure, the other two as rings to look at."""
        if signal.content_primaries != BT2020:
            raise self.refuse("needs the colours of BT.2020; use a pq or hlg signal and --primaries bt2020")
        nests = {hue: self._luminance(hue, signal) for hue in _HUES}
        asked = {
            f"{hue} of {name}": (hue_xy(primaries, hue), light)
            for hue, light in nests.items()
            for name, primaries in _NESTED.items()
        }
        check_light(f"{self.name}: {level_key('level', self.level.unit)}", asked, signal)
        label = self.code("label_level", signal)
        patches, labels = [], []
        for hue, cell in zip(_HUES, card_cells(signal, _COLUMNS, _ROWS), strict=True):
            outer, middle, inner = cell.patch, inset(cell.patch, 1), inset(cell.patch, 2)
            codes = {name: colour_code(self.name, *asked[f"{hue} of {name}"], signal) for name in _NESTED}
            patches += _ring(f"{hue}-bt2020", outer, middle, codes["bt2020"])
            patches += _ring(f"{hue}-p3-d65", middle, inner, codes["p3-d65"])
            patches.append(Patch(f"{hue}-bt709", inner, codes["bt709"]))
            labels.append(centred(signal, hue.upper(), cell.below, label))
        return Layout(
            background=signal.encoding.grey(self.code("surround_level", signal)),
            patches=tuple(patches),
            labels=tuple(labels),
        )

    def _luminance(self, hue: str, signal: SignalFormat) -> float:
        """Luminance (cd/m²) of a nest: that of its BT.2020 corner."""
        if self.level.unit is LevelUnit.LUMINANCE:
            return self.level.value
        peak = signal.encoding.grey_luminance(luma_code(self.name, "level", self.level, signal))
        return signal.encoding.part_luminance(peak, luminance_share(BT2020, hue))


def _ring(name: str, outer: Rect, inner: Rect, code: CodeTriple) -> list[Patch]:
    """What of a rectangle lies around another, as up to four patches."""
    hole = Rect(inner.x - outer.x, inner.y - outer.y, inner.width, inner.height)
    return [
        Patch(
            f"{name}-{side}",
            Rect(outer.x + part.x, outer.y + part.y, part.width, part.height),
            code,
            Purpose.LOOK,
        )
        for side, part in around(hole, outer.width, outer.height)
    ]
