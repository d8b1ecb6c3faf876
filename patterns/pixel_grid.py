"""Single-pixel detail: lines, checks or dots of one lit pixel in each pitch.

At a pitch of two pixels it is the finest that a signal holds. A picture that is shown pixel for pixel is
even; one that is scaled shows beats, and one that is filtered goes grey. It is grey in every format: finer
colour than a 4:2:0 signal has is for `chroma-detail`. Common practice, no source.
"""

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from patterns.canvas import centred_label, label_dot
from patterns.cards import card_cells
from patterns.colours import light_parameter
from patterns.parameters import Level, choice_parameter, count_parameter
from patterns.patches import Label
from patterns.tiled import Field, Tile, TiledFamily, TiledLayout, stripe_hazards, tile_counts

# Whether a pixel of a tile, so many columns and rows wide and high, is lit.
_LIT: dict[str, Callable[[int, int, int], bool]] = {
    "lines-across": lambda _x, y, _pitch: y == 0,
    "lines-down": lambda x, _y, _pitch: x == 0,
    "checks": lambda x, y, pitch: x == y and x in (0, pitch // 2),
    "dots": lambda x, y, _pitch: x == y == 0,
}
_STRIPED = ("lines-across", "lines-down")
_FIELDS = "fields"


@dataclass(frozen=True, kw_only=True)
class PixelGrid(TiledFamily):
    """One kind of detail over the whole picture, or each in a field of its own."""

    name: ClassVar[str] = "pixel-grid"
    title: ClassVar[str] = "Single-pixel lines, checks or dots, over the whole picture or in fields"
    source: ClassVar[str] = "common practice, no source"

    content: str = choice_parameter(
        "checks",
        "what fills the picture; checks: dots, and one amid every four; fields: each kind in a field",
        choices=(*_LIT, _FIELDS),
    )
    pitch: int = count_parameter(
        2, "from one lit pixel to the next in its row or column", minimum=2, maximum=32, unit="pixels"
    )
    level: Level = light_parameter(100.0, "the lit pixels, and labels")
    dark_level: Level = light_parameter(0.0, "the other pixels, and what lies around fields")

    def layout(self, signal: SignalFormat) -> TiledLayout:
        """One field that is the picture, or four labelled ones."""
        light, dark = self.code("level", signal), self.code("dark_level", signal)
        labels: list[Label] = []
        if self.content == _FIELDS:
            dot, fields = label_dot(signal), {}
            for kind, cell in zip(_LIT, card_cells(signal, 2, 2), strict=True):
                fields[kind] = Field(cell.patch, self._tile(kind, signal))
                text = f"{kind} {self.pitch}".replace("-", " ").upper()
                labels.append(Label(text, *centred_label(text, dot, cell.below), dot, light))
        else:
            whole = Rect(0, 0, signal.width, signal.height)
            fields = {self.content: Field(whole, self._tile(self.content, signal))}
        lit = sum(tile_counts(field)[signal.encoding.grey(light)] for field in fields.values())
        return TiledLayout(
            background=signal.encoding.grey(dark),
            patches=(),
            labels=tuple(labels),
            fields=tuple(fields.values()),
            notes=MappingProxyType(
                {"lit_percent": 100.0 * lit / sum(field.rect.area for field in fields.values())}
            ),
            hazards=stripe_hazards(signal, (fields[kind].rect for kind in _STRIPED if kind in fields)),
        )

    def _tile(self, kind: str, signal: SignalFormat) -> Tile:
        light, dark = (signal.encoding.grey(self.code(name, signal)) for name in ("level", "dark_level"))
        each = range(self.pitch)
        return tuple(tuple(light if _LIT[kind](x, y, self.pitch) else dark for x in each) for y in each)
