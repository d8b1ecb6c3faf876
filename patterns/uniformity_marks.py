"""Uniformity marks: a grey field with small corner marks around the places where a meter is to stand.

Places lie at odd tenths of the width and height, as sampled uniformity is commonly read at 5, 9 or 25 of them
(from memory, no source); 13 are the nine and four half-way to the corners. No mark touches the field inside.
"""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from patterns.parameters import Level, choice_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, PatchFamily

_TENTHS = (1, 3, 5, 7, 9)  # of the width and of the height
_PLACES = {
    "5": [(1, 1), (9, 1), (5, 5), (1, 9), (9, 9)],
    "9": [(x, y) for y in (1, 5, 9) for x in (1, 5, 9)],
    "13": [(x, y) for y in _TENTHS for x in _TENTHS if (x in (3, 7)) == (y in (3, 7))],
    "25": [(x, y) for y in _TENTHS for x in _TENTHS],
}


@dataclass(frozen=True, kw_only=True)
class UniformityMarks(PatchFamily):
    """Places on a field."""

    name: ClassVar[str] = "uniformity-marks"
    title: ClassVar[str] = "Uniformity marks: a grey field with 5, 9, 13 or 25 places for a meter"
    source: ClassVar[str] = (
        "sampled uniformity at 5, 9 and 25 places: common practice, from memory, no source"
    )

    places: str = choice_parameter("9", "how many", choices=tuple(_PLACES))
    level: Level = level_parameter(50.0, "the field")
    mark_level: Level = level_parameter(30.0, "the marks; the level of the field hides them")
    place_percent: float = number_parameter(
        9.0, "side of a place, of the picture's height", minimum=2.0, maximum=14.0, unit="%"
    )

    def layout(self, signal: SignalFormat) -> Layout:
        """Each place with four marks just outside its corners, named by row and column."""
        grey = signal.encoding.grey
        field, mark = grey(self.code("level", signal)), grey(self.code("mark_level", signal))
        side = even(signal.height * self.place_percent / 100.0)
        patches = []
        for x, y in _PLACES[self.places]:
            left = even(signal.width * x / 10 - side / 2)
            top = even(signal.height * y / 10 - side / 2)
            place = Rect(left, top, side, side)
            name = f"row{(y + 1) // 2}-column{(x + 1) // 2}"
            patches.append(Patch(name, place, field))
            patches += [Patch(f"{name}-mark", rect, mark, None) for rect in _marks(place, signal)]
        return Layout(background=field, patches=tuple(patches))


def _marks(place: Rect, signal: SignalFormat) -> list[Rect]:
    """Two strokes at each corner, outside the place by their own thickness."""
    thick = max(2, even(signal.height / 540))
    long = max(2 * thick, even(place.height / 5))
    left, top, right, bottom = (
        place.x - 2 * thick, place.y - 2 * thick, place.right + 2 * thick, place.bottom + 2 * thick
    )  # fmt: skip
    return [
        Rect(x, y, wide, tall)
        for wide, tall in ((long, thick), (thick, long))
        for x in (left, right - wide)
        for y in (top, bottom - tall)
    ]
