"""Lip sync: a flash and a bar that passes a mark, both at the frame at which a beep begins.

The bar runs along a scale at one speed and stands on the mark in the frame of the flash. Where it is when the
beep is heard tells how far the sound is early or late, in ms: the scale comes from the signal's rate and the
bar's whole pixels a frame. An instrument takes the light of the patch instead.
The picture is grey, and the patch, a twelfth of it, flashes once a second at most: clear of what ITU-R
BT.1702-3 (known second-hand) counts as harmful, three flashes a second over a quarter of the screen. Layout:
our own.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even
from knownlight.frame.glyphs import GLYPH_HEIGHT, text_size
from knownlight.frame.planes import Frame, grey_frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sound import Beeps
from knownlight.frame.sources import Cycle, Levels
from patterns.canvas import centred_label, fitting_dot, label_dot
from patterns.colours import light_parameter
from patterns.family import Family
from patterns.parameters import Level, count_parameter, number_parameter
from patterns.patches import Label, Layout, Patch, painted_planes

_WORDS = "AT THE BEEP THE BAR SHOWS HOW MANY MS THE SOUND IS EARLY OR LATE"
_WORDS_WIDTH = 0.9  # of the picture's width, at most
_EARLY, _LATE = "SOUND EARLY", "SOUND LATE"
_TRAVEL = 0.8  # of the picture's width that the bar passes, at most
_SPACINGS = (100, 200, 500)  # ms from number to number: the first that leaves the numbers room
_PARTS = 5  # of such a spacing, a tick each


@dataclass(frozen=True, kw_only=True)
class LipSync(Family):
    """A patch that flashes above a scale along which a bar runs."""

    name: ClassVar[str] = "lip-sync"
    title: ClassVar[str] = (
        "Lip sync: a flash, and a bar that passes a mark, at the frame at which a beep begins"
    )
    source: ClassVar[str] = "common practice, no source; layout: our own"

    seconds: float = number_parameter(
        1.0, "from beep to beep, to the nearest whole frame", minimum=1.0, maximum=2.0, unit="s"
    )
    flash_frames: int = count_parameter(2, "how long the patch is lit", minimum=1, maximum=6, unit="frames")
    level: Level = light_parameter(100.0, "the lit patch and the bar")
    background_level: Level = light_parameter(10.0, "the picture, and the patch when it is not lit")
    label_level: Level = light_parameter(40.0, "words, numbers and ticks; the background's level hides them")

    def draw(self, signal: SignalFormat) -> Cycle:
        """From beep to beep, with the beep in the middle."""
        scale, lit = self._scale(signal), self._codes(signal)[0]
        unlit_plane = painted_planes(signal, self.still(signal))[0]
        lit_plane = unlit_plane.copy()
        lit_plane[_patch(signal).slices] = lit

        def draw_frame(index: int) -> Frame:
            plane = (lit_plane if 0 <= index - scale.beep < self.flash_frames else unlit_plane).copy()
            plane[scale.bar(index).slices] = lit
            return grey_frame(signal, plane)

        return Cycle(scale.period, draw_frame, Levels.CHANGING)

    def claims(self, signal: SignalFormat) -> Claims:
        """The beep, and the background at both sides of the patch; the bar hides and shows what it passes."""
        scale, patch, codes = self._scale(signal), _patch(signal), self._codes(signal)
        background = signal.encoding.grey(codes[1])
        right = signal.width - patch.right
        return Claims(
            regions=(
                Region("left-of-patch", replace(patch, x=0, width=patch.x), background, Purpose.LOOK),
                Region(
                    "right-of-patch", replace(patch, x=patch.right, width=right), background, Purpose.LOOK
                ),
            ),
            notes=MappingProxyType(
                {
                    "period_frames": scale.period,
                    "period_seconds": float(scale.period / signal.rate),
                    "beep_seconds": float(scale.beep / signal.rate),
                    "flash_area_percent": 100.0 * patch.area / (signal.width * signal.height),
                    "bar_pixels_per_frame": scale.speed,
                    "frame_milliseconds": float(1000 / signal.rate),
                    "lowest_code": min(*codes, signal.quantisation.black),
                    "highest_code": max(*codes, signal.quantisation.black),
                }
            ),
            beeps=Beeps(first=scale.beep / signal.rate, every=scale.period / signal.rate),
        )

    def _codes(self, signal: SignalFormat) -> tuple[int, int, int]:
        """The lit patch, the background and the words."""
        lit, background = self.code("level", signal), self.code("background_level", signal)
        if lit in (background, signal.quantisation.black):
            raise self.refuse(
                f"patch and bar of code {lit} are not seen on a background of {background} and a track of "
                f"{signal.quantisation.black}; use another level"
            )
        return lit, background, self.code("label_level", signal)

    def _scale(self, signal: SignalFormat) -> "_Scale":
        period = frames_in(Fraction(self.seconds).limit_denominator(1000), signal.rate)
        return _Scale(signal, period, 2 * int(_TRAVEL * signal.width / (2 * period)))

    def still(self, signal: SignalFormat) -> Layout:
        """What stands still."""
        scale, (_, background, label) = self._scale(signal), self._codes(signal)
        dot = label_dot(signal)
        ends = {_EARLY: scale.track.x, _LATE: scale.track.right - text_size(_LATE, dot)[0]}
        below = scale.numbers.bottom
        top = Rect(0, 0, signal.width, even(signal.height / 6))
        words_dot = fitting_dot(signal, [_WORDS], int(_WORDS_WIDTH * signal.width))
        return Layout(
            background=signal.encoding.grey(background),
            patches=(
                Patch("track", scale.track, signal.encoding.grey(signal.quantisation.black), None),
                *(Patch("tick", rect, signal.encoding.grey(label), None) for rect in scale.ticks()),
            ),
            labels=(
                Label(_WORDS, *centred_label(_WORDS, words_dot, top), words_dot, label),
                *(Label(text, x, below, dot, label) for text, x in ends.items()),
                *scale.labels(label),
            ),
        )


def _patch(signal: SignalFormat) -> Rect:
    """What flashes: a third of the width and a quarter of the height, in the middle above the scale."""
    wide, tall = even(signal.width / 3), even(signal.height / 4)
    return Rect(even((signal.width - wide) / 2), even(signal.height / 5), wide, tall)


@dataclass(frozen=True)
class _Scale:
    """Where the bar is in each frame of a period, and the ticks that say how many ms that is.

    speed: pixels a frame, an even number.
    """

    signal: SignalFormat
    period: int
    speed: int

    @property
    def beep(self) -> int:
        """The frame at which the bar stands on the mark."""
        return self.period // 2

    @property
    def mark(self) -> Rect:
        """Where the bar stands at the beep."""
        width, height = self.signal.width, self.signal.height
        wide = even(width / 160)
        return Rect(even((width - wide) / 2), even(height * 0.6), wide, even(height / 12))

    @property
    def track(self) -> Rect:
        """Everything that the bar passes."""
        first, last = self.bar(0), self.bar(self.period - 1)
        return replace(first, width=last.right - first.x)

    @property
    def numbers(self) -> Rect:
        """The strip of the numbers; ticks are between it and the track."""
        top = self.mark.bottom + even(self.signal.height / 20)
        return replace(self.track, y=top, height=even(2 * GLYPH_HEIGHT * self.dot))

    @property
    def dot(self) -> int:
        """Pixels of a dot of the numbers."""
        return label_dot(self.signal) * 3 // 2

    def bar(self, frame: int) -> Rect:
        """The bar in a frame of the period."""
        return replace(self.mark, x=self.mark.x + self.speed * (frame - self.beep))

    def ticks(self) -> Iterator[Rect]:
        """A tick for each part of a spacing, longer where a number is; one above the track, at the mark."""
        mark, room = self.mark, even(self.signal.height / 60)
        yield replace(mark, y=mark.y - 2 * room, height=2 * room)
        for part in self._parts():
            wide, tall = (mark.width, 2 * room) if part % _PARTS == 0 else (even(mark.width / 2), room)
            centre = mark.x + self._offset(part) + (mark.width - wide) // 2
            yield Rect(2 * (centre // 2), mark.bottom, wide, tall)

    def labels(self, code: int) -> Iterator[Label]:
        """The numbers of ms, below their ticks."""
        for part in self._parts():
            if part % _PARTS == 0:
                text = f"{part // _PARTS * self._spacing:+d}" if part else "0"
                cell = replace(self.mark, x=self.mark.x + self._offset(part), y=self.numbers.y)
                x = centred_label(text, self.dot, cell)[0]
                yield Label(text, x, self.numbers.y, self.dot, code)

    def _parts(self) -> range:
        """Parts of a spacing from the mark, as far as the bar comes either way."""
        before = self.beep * self._step_frames()
        after = (self.period - 1 - self.beep) * self._step_frames()
        return range(-int(before), int(after) + 1)

    def _step_frames(self) -> Fraction:
        """Parts of a spacing that the bar passes in a frame."""
        return Fraction(1000 * _PARTS, self._spacing) / self.signal.rate

    @property
    def _spacing(self) -> int:
        """From number to number, in ms."""
        longest = str(-int(1000 * self.beep / self.signal.rate))
        widest = text_size(longest, self.dot)[0] + 2 * self.dot
        pixels_per_ms = self.speed * self.signal.rate / 1000
        return next((spacing for spacing in _SPACINGS if spacing * pixels_per_ms >= widest), _SPACINGS[-1])

    def _offset(self, part: int) -> int:
        """Pixels from the mark to a part of a spacing."""
        return even(float(self.speed * self.signal.rate * part * self._spacing / (1000 * _PARTS)))
