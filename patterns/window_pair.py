"""Two windows of stated areas and levels on a surround, beside each other or one above the other.

Each stands in the middle of its half of the picture and has the picture's aspect: how much a bright window
changes its neighbour, and how two levels look at once. Areas are rounded to even sides.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, ClassVar

from knownlight.frame.claims import Purpose
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, around, window_of_area
from patterns.parameters import Level, choice_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily

_LARGEST = 25.0  # % of the picture: a window of its aspect that fills a half from side to side


def _area_parameter(which: str) -> Any:  # noqa: ANN401
    return number_parameter(
        5.0, f"share of the screen's area of the {which} window", minimum=0.01, maximum=_LARGEST, unit="%"
    )


@dataclass(frozen=True, kw_only=True)
class WindowPair(PatchFamily):
    """A window in each half."""

    name: ClassVar[str] = "window-pair"
    title: ClassVar[str] = "Two windows of stated areas and levels: does one change the other?"
    source: ClassVar[str] = "area at the screen's aspect: common practice, no source"

    first_area_percent: float = _area_parameter("left or upper")
    first_level: Level = level_parameter(100.0, "the left or upper window")
    second_area_percent: float = _area_parameter("right or lower")
    second_level: Level = level_parameter(50.0, "the right or lower window")
    surround_level: Level = level_parameter(0.0, "what lies around them")
    arrangement: str = choice_parameter("beside", "how they stand", choices=("beside", "above"))

    def layout(self, signal: SignalFormat) -> Layout:
        """Both windows, and the surround of each half in up to four rectangles."""
        surround = signal.encoding.grey(self.code("surround_level", signal))
        patches: list[Patch] = []
        notes: dict[str, float] = {}
        for half, which, area in zip(
            self._halves(signal),
            ("first", "second"),
            (self.first_area_percent, self.second_area_percent),
            strict=True,
        ):
            size = window_of_area(signal.width, signal.height, area)
            x, y = 2 * ((half.width - size.width) // 4), 2 * ((half.height - size.height) // 4)
            code = signal.encoding.grey(self.code(f"{which}_level", signal))
            patches.append(Patch(which, Rect(half.x + x, half.y + y, size.width, size.height), code))
            patches += [
                Patch(f"surround-{which}-{side}", _moved(part, half), surround, Purpose.LOOK)
                for side, part in around(Rect(x, y, size.width, size.height), half.width, half.height)
            ]
            notes[f"{which}_area_percent"] = 100.0 * size.area / (signal.width * signal.height)
        return Layout(background=surround, patches=tuple(patches), notes=MappingProxyType(notes))

    def _halves(self, signal: SignalFormat) -> tuple[Rect, Rect]:
        if self.arrangement == "beside":
            middle = 2 * (signal.width // 4)
            return Rect(0, 0, middle, signal.height), Rect(middle, 0, signal.width - middle, signal.height)
        middle = 2 * (signal.height // 4)
        return Rect(0, 0, signal.width, middle), Rect(0, middle, signal.width, signal.height - middle)


def _moved(part: Rect, into: Rect) -> Rect:
    """A rectangle given from the corner of another one, in the picture."""
    return Rect(into.x + part.x, into.y + part.y, part.width, part.height)
