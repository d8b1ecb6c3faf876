"""Pan: content that moves a whole number of pixels a frame and comes round after a period.

Every pixel of every frame is a pixel of the tile, so the motion is exact: what blurs or judders is the set's.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

import numpy as np

from knownlight.frame.claims import Claims, Hazard
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import even_edges
from knownlight.frame.glyphs import ADVANCE, GLYPH_HEIGHT, lit_pixels
from knownlight.frame.planes import Frame, grey_frame, sample_type
from knownlight.frame.sources import Cycle, Levels
from knownlight.signal.arrays import PlaneArray
from patterns.canvas import Tally, draw_label
from patterns.family import Family
from patterns.motion import speed_notes, speed_parameter, whole_speed
from patterns.noise import shaped, soft_gain, white_noise
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter

_CONTENTS = ("bars", "lines", "text", "texture")
_MESSAGE = "EVERY PIXEL OF THIS LINE IS KNOWN 0123456789 - HOW FAST CAN IT BE READ "
_SHORTEST, _LONGEST = 12, 240  # frames of a period: long enough to read, short enough to encode
_TEXTURE_SEED = 1
_TEXTURE_LEVELS = 6  # few levels: a lossless first picture of finer texture would pass the level's limit


@dataclass(frozen=True, kw_only=True)
class Pan(Family):
    """Bars, line pairs, text or texture moving sideways."""

    name: ClassVar[str] = "pan"
    title: ClassVar[str] = "Pan by whole pixels a frame: bars, line pairs, text or texture"
    source: ClassVar[str] = "common practice, no source"

    content: str = choice_parameter("bars", "what moves", choices=_CONTENTS)
    pixels_per_frame: int = count_parameter(
        8, "speed, to the left", minimum=1, maximum=64, unit="pixels a frame"
    )
    widths_per_second: float = speed_parameter()
    level: Level = level_parameter(50.0, "the lit parts")
    background_level: Level = level_parameter(10.0, "what they move over")

    def draw(self, signal: SignalFormat) -> Cycle:
        """One period."""
        tile = self._tile(signal)
        period, speed = self._period(signal), self._speed(signal)
        repeats = -(-signal.width // tile.shape[1]) + 1
        wide = np.tile(tile, (1, repeats))

        def draw_frame(index: int) -> Frame:
            left = index * speed
            return grey_frame(signal, wide[:, left : left + signal.width])  # a view: nothing is copied

        moved = Levels.MOVED if signal.width % tile.shape[1] == 0 else Levels.CHANGING
        return Cycle(period, draw_frame, moved)

    def claims(self, signal: SignalFormat) -> Claims:
        """Pixels of each level, where the picture holds whole tiles; nothing stands still to be measured."""
        lit, dark = self.code("level", signal), self.code("background_level", signal)
        width = self._tile_width(signal)
        notes = speed_notes(self._speed(signal), signal)
        if self.content == "texture" or signal.width % width:
            uncounted = {**notes, "lowest_code": min(lit, dark), "highest_code": max(lit, dark)}
            return Claims(notes=MappingProxyType(uncounted), hazards=self._hazards())
        tally = Tally(signal, dark)
        repeats = signal.width // width
        if self.content == "text":
            dot, letters, lines = self._text_layout(signal)
            tally.put(repeats * lines * lit_pixels(_line(letters), dot), lit, on=dark)
        else:
            edges = even_edges(width, 2 * self._pairs(signal))
            lit_columns = sum(edges[i + 1] - edges[i] for i in range(0, len(edges) - 1, 2))
            tally.put(repeats * lit_columns * signal.height, lit, on=dark)
        return Claims(areas=tally.areas(), notes=notes, hazards=self._hazards())

    def _hazards(self) -> frozenset[Hazard]:
        """Moving stripes over the whole screen (BT.1702: more than five pairs over a quarter of it)."""
        return frozenset({Hazard.STRIPES}) if self.content in ("bars", "lines") else frozenset()

    def _speed(self, signal: SignalFormat) -> int:
        """Pixels a frame."""
        if self.widths_per_second:
            return whole_speed(self.widths_per_second, signal)
        return self.pixels_per_frame

    def _period(self, signal: SignalFormat) -> int:
        """Frames until the content has moved by one tile of about a quarter of the picture's width.

        A period whose tile divides the width is taken where there is one near: then every frame holds the
        same pixels in another place.
        """
        speed = self._speed(signal)
        wanted = min(max(signal.width // (4 * speed), _SHORTEST), _LONGEST)
        whole = [
            period
            for period in range(max(2, wanted * 3 // 4), wanted * 5 // 4)
            if signal.width % (period * speed) == 0
        ]
        return min(whole, key=lambda period: abs(period - wanted), default=wanted)

    def _tile_width(self, signal: SignalFormat) -> int:
        return self._period(signal) * self._speed(signal)

    def _pairs(self, signal: SignalFormat) -> int:
        """Pairs of a lit and a dark stripe in a tile.

        At most one for every four frames: stripes that move by half a pair or more a frame would be seen to
        stand still or to go back.
        """
        pitch = signal.height / (9 if self.content == "bars" else 135)
        return max(1, min(self._period(signal) // 4, round(self._tile_width(signal) / pitch)))

    def _text_layout(self, signal: SignalFormat) -> tuple[int, int, int]:
        """Pixels of a dot, letters of a line (at least one) and lines."""
        dot = max(2, signal.height // 360)
        letters = max(1, self._tile_width(signal) // (ADVANCE * dot))
        return dot, letters, signal.height // (2 * GLYPH_HEIGHT * dot)

    def _tile(self, signal: SignalFormat) -> PlaneArray:
        lit, dark = self.code("level", signal), self.code("background_level", signal)
        width = self._tile_width(signal)
        tile: PlaneArray = np.full((signal.height, width), dark, dtype=sample_type(signal.depth))
        if self.content == "texture":
            rows, columns = signal.height, width
            soft = soft_gain(rows, columns, signal.height / 270)
            plane = shaped(white_noise(rows, columns, _TEXTURE_SEED, 0), soft)
            share = np.clip((plane + 2.0) / 4.0, 0.0, 1.0)
            shade = np.floor(share * (_TEXTURE_LEVELS - 1) + 0.5).astype(np.int64)
            tile[:] = dark + ((lit - dark) * shade) // (_TEXTURE_LEVELS - 1)
        elif self.content == "text":
            dot, letters, lines = self._text_layout(signal)
            for line in range(lines):
                draw_label(tile, _line(letters), dot, (0, 2 * GLYPH_HEIGHT * dot * line), lit)
        else:
            edges = even_edges(width, 2 * self._pairs(signal))
            for index in range(0, len(edges) - 1, 2):
                tile[:, edges[index] : edges[index + 1]] = lit
        return tile


def _line(letters: int) -> str:
    """The message cut or repeated to so many letters."""
    return (_MESSAGE * (letters // len(_MESSAGE) + 1))[:letters]
