"""Clips that show one picture after another at fixed times, so that a meter can be left to read alone.

Times are whole frames. A window lies in the middle of the picture; what lies around it is one level.
"""

from abc import abstractmethod
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.claims import Claims, Hazard
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import code_at, window_of_area
from knownlight.frame.planes import Frame
from knownlight.frame.rates import frames_in
from knownlight.frame.sources import Hold, Sequence
from patterns.family import Family
from patterns.parameters import Level, choice_parameter, count_parameter, level_parameter, number_parameter
from patterns.patches import Layout, Patch, layout_claims, painted

_AREAS: dict[str, tuple[int, ...]] = {
    "full": (1, 2, 3, 4, 5, 8, 10, 18, 25, 35, 50, 75, 100),
    "short": (2, 5, 10, 25, 50, 100),
}


@dataclass(frozen=True)
class Step:
    """A picture, by name, and how long it stays."""

    name: str
    layout: Layout
    seconds: float


@dataclass(frozen=True, kw_only=True)
class SequenceFamily(Family):
    """A family whose clip is a round of pictures."""

    @abstractmethod
    def steps(self, signal: SignalFormat) -> list[Step]:
        """The pictures in order. Equal layouts are one picture."""

    def hazards(self, signal: SignalFormat) -> frozenset[Hazard]:  # noqa: ARG002
        """What the round may do to people."""
        return frozenset()

    def draw(self, signal: SignalFormat) -> Sequence:
        """One round."""
        steps = self.steps(signal)
        layouts = self._layouts(signal)

        def draw_picture(number: int) -> Frame:
            return painted(signal, layouts[number])

        return Sequence(
            draw_picture,
            tuple(Hold(layouts.index(step.layout), held_frames(step.seconds, signal)) for step in steps),
        )

    def claims(self, signal: SignalFormat) -> Claims:
        """What each picture holds, and the length of a round."""
        holds = [held_frames(step.seconds, signal) for step in self.steps(signal)]
        return Claims(
            pictures=tuple(layout_claims(signal, layout) for layout in self._layouts(signal)),
            notes=MappingProxyType({"round_seconds": float(sum(holds) / signal.rate)}),
            hazards=self.hazards(signal),
        )

    def natural_seconds(self, signal: SignalFormat) -> Fraction:
        """One round."""
        return Fraction(sum(held_frames(step.seconds, signal) for step in self.steps(signal))) / signal.rate

    def _layouts(self, signal: SignalFormat) -> list[Layout]:
        different: list[Layout] = []
        for step in self.steps(signal):
            if step.layout not in different:
                different.append(step.layout)
        return different


def held_frames(seconds: float, signal: SignalFormat) -> int:
    """Frames nearest to a time, at least one."""
    return frames_in(Fraction(seconds).limit_denominator(1000), signal.rate)


def window_layout(name: str, area_percent: float, code: int, surround: int, signal: SignalFormat) -> Layout:
    """A window in the middle."""
    rect = window_of_area(signal.width, signal.height, area_percent)
    grey = signal.encoding.grey
    return Layout(background=grey(surround), patches=(Patch(name, rect, grey(code)),))


@dataclass(frozen=True, kw_only=True)
class LoadingSequence(SequenceFamily):
    """Windows of rising area, with rests."""

    name: ClassVar[str] = "loading-sequence"
    title: ClassVar[str] = "Windows of rising area in one clip, with rests of black, at fixed times"
    source: ClassVar[str] = "luminance loading by area: common practice, no source"

    areas: str = choice_parameter(
        "full",
        "full: 1, 2, 3, 4, 5, 8, 10, 18, 25, 35, 50, 75, 100 %; short: 2, 5, 10, 25, 50, 100 %",
        choices=tuple(_AREAS),
    )
    level: Level = level_parameter(100.0, "the windows")
    rest_level: Level = level_parameter(0.0, "the rests, and what lies around the windows")
    step_seconds: float = number_parameter(10.0, "each window", minimum=1.0, maximum=600.0, unit="s")
    rest_seconds: float = number_parameter(5.0, "each rest", minimum=1.0, maximum=600.0, unit="s")

    def steps(self, signal: SignalFormat) -> list[Step]:
        """A rest before each window."""
        code, rest = self.code("level", signal), self.code("rest_level", signal)
        dark = Step("rest", Layout(background=signal.encoding.grey(rest), patches=()), self.rest_seconds)
        steps = []
        for area in _AREAS[self.areas]:
            name = f"window-{area:03d}pct"
            steps += [dark, Step(name, window_layout(name, area, code, rest, signal), self.step_seconds)]
        return steps


@dataclass(frozen=True, kw_only=True)
class GreySequence(SequenceFamily):
    """A window that steps through greys."""

    name: ClassVar[str] = "grey-sequence"
    title: ClassVar[str] = "A window that steps through greys, even in signal, at fixed times"
    source: ClassVar[str] = "codes: BT.709-6, BT.2100-2 Table 9; times: common practice, no source"

    count: int = count_parameter(11, "how many", minimum=2, maximum=64, unit="greys")
    first_level: Level = level_parameter(0.0, "the first grey")
    last_level: Level = level_parameter(100.0, "the last grey")
    area_percent: float = number_parameter(
        10.0, "share of the screen's area", minimum=0.01, maximum=100.0, unit="%"
    )
    surround_level: Level = level_parameter(0.0, "what lies around the window")
    step_seconds: float = number_parameter(5.0, "each grey", minimum=1.0, maximum=600.0, unit="s")

    def steps(self, signal: SignalFormat) -> list[Step]:
        """The greys in order."""
        first, last = self.code("first_level", signal), self.code("last_level", signal)
        surround = self.code("surround_level", signal)
        steps = []
        for index in range(self.count):
            name = f"grey-{index + 1:02d}"
            code = code_at(first, last, index, self.count)
            layout = window_layout(name, self.area_percent, code, surround, signal)
            steps.append(Step(name, layout, self.step_seconds))
        return steps


@dataclass(frozen=True, kw_only=True)
class Flash(SequenceFamily):
    """Black, then the whole field."""

    name: ClassVar[str] = "flash"
    title: ClassVar[str] = "The whole field for a moment after a while of black"
    source: ClassVar[str] = "two seconds after ten of black: common practice, no source"

    level: Level = level_parameter(100.0, "the flash")
    rest_level: Level = level_parameter(0.0, "what is shown before it")
    flash_seconds: float = number_parameter(2.0, "the flash", minimum=0.5, maximum=60.0, unit="s")
    rest_seconds: float = number_parameter(10.0, "before it", minimum=1.0, maximum=600.0, unit="s")

    def steps(self, signal: SignalFormat) -> list[Step]:
        """Rest, then flash."""
        return [
            Step(name, window_layout(name, 100.0, self.code(level, signal), 0, signal), seconds)
            for name, level, seconds in (
                ("rest", "rest_level", self.rest_seconds),
                ("flash", "level", self.flash_seconds),
            )
        ]

    def hazards(self, signal: SignalFormat) -> frozenset[Hazard]:  # noqa: ARG002
        """The whole field changes at once: far less than three times a second, but told all the same."""
        return frozenset({Hazard.FLASHING})
