"""The 16-zone checkerboard for intra-frame contrast.

Four by four equal rectangles, as ANSI/INFOCOMM 3M-2011 describes it (16-zone black and white intra-frame).
Both phases are wanted: local dimming and stray light do not treat them alike.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even_edges
from knownlight.frame.sources import Still
from patterns.canvas import Tally, flat_frame
from patterns.family import Family
from patterns.parameters import Level, choice_parameter, level_parameter

_ZONES = 4


@dataclass(frozen=True, kw_only=True)
class Checkerboard(Family):
    """Eight light and eight dark zones."""

    name: ClassVar[str] = "checkerboard"
    title: ClassVar[str] = "16-zone checkerboard, in both phases"
    source: ClassVar[str] = "ANSI/INFOCOMM 3M-2011 (16-zone intra-frame contrast)"

    level: Level = level_parameter(100.0, "the light zones")
    dark_level: Level = level_parameter(0.0, "the dark zones")
    phase: str = choice_parameter(
        "first", "first: the top left zone is light; second: it is dark", choices=("first", "second")
    )

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        light, dark = self.code("level", signal), self.code("dark_level", signal)
        boxes = {rect: light for _, rect, is_light in self._zones(signal) if is_light}
        return Still(flat_frame(signal, dark, boxes))

    def claims(self, signal: SignalFormat) -> Claims:
        """Every zone, named by row and column."""
        light, dark = self.code("level", signal), self.code("dark_level", signal)
        tally = Tally(signal, dark)
        regions = []
        for place, rect, is_light in self._zones(signal):
            code = light if is_light else dark
            regions.append(
                Region(f"{'light' if is_light else 'dark'}-{place}", rect, signal.encoding.grey(code))
            )
            if is_light:
                tally.put(rect.area, light, on=dark)
        return Claims(regions=tuple(regions), areas=tally.areas())

    def _zones(self, signal: SignalFormat) -> list[tuple[str, Rect, bool]]:
        across, down = even_edges(signal.width, _ZONES), even_edges(signal.height, _ZONES)
        odd = 0 if self.phase == "first" else 1
        return [
            (
                f"row{row + 1}-column{column + 1}",
                Rect(
                    across[column], down[row], across[column + 1] - across[column], down[row + 1] - down[row]
                ),
                (row + column) % 2 == odd,
            )
            for row in range(_ZONES)
            for column in range(_ZONES)
        ]
