"""The 16-zone checkerboard for intra-frame contrast.

Four by four equal rectangles, as ANSI/INFOCOMM 3M-2011 describes it (16-zone black and white intra-frame).
Both phases are wanted: local dimming and stray light do not treat them alike.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even_edges
from patterns.parameters import Level, choice_parameter, level_parameter
from patterns.patches import Layout, Patch, PatchFamily

_ZONES = 4


@dataclass(frozen=True, kw_only=True)
class Checkerboard(PatchFamily):
    """Eight light and eight dark zones."""

    name: ClassVar[str] = "checkerboard"
    title: ClassVar[str] = "16-zone checkerboard, in both phases"
    source: ClassVar[str] = "ANSI/INFOCOMM 3M-2011 (16-zone intra-frame contrast)"

    level: Level = level_parameter(100.0, "the light zones")
    dark_level: Level = level_parameter(0.0, "the dark zones")
    phase: str = choice_parameter(
        "first", "first: the top left zone is light; second: it is dark", choices=("first", "second")
    )

    def layout(self, signal: SignalFormat) -> Layout:
        """Every zone, named by row and column."""
        grey = signal.encoding.grey
        light, dark = grey(self.code("level", signal)), grey(self.code("dark_level", signal))
        patches = [
            Patch(f"light-{place}", rect, light) if is_light else Patch(f"dark-{place}", rect, dark)
            for place, rect, is_light in self._zones(signal)
        ]
        return Layout(background=dark, patches=tuple(patches))

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
