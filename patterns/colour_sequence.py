"""A window that steps through hues, at several levels or several saturations, at fixed times."""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import code_at, window_of_area
from patterns.colours import HUES, gamut_parameter, gamut_primaries, hue_code
from patterns.parameters import (
    Level,
    LevelUnit,
    choice_parameter,
    count_parameter,
    level_parameter,
    number_parameter,
)
from patterns.patches import Layout, Patch
from patterns.sequences import SequenceFamily, Step


@dataclass(frozen=True, kw_only=True)
class ColourSequence(SequenceFamily):
    """Each hue at each step, then the next hue; white last."""

    name: ClassVar[str] = "colour-sequence"
    title: ClassVar[str] = "A window that steps through hues at several levels or saturations, at fixed times"
    source: ClassVar[str] = "primaries: H.273 Table 2; saturation straight in x, y: common practice"

    vary: str = choice_parameter(
        "level",
        "level: even steps of signal up from black; saturation: even steps from white",
        choices=("level", "saturation"),
    )
    steps_a_hue: int = count_parameter(4, "steps of each hue", minimum=1, maximum=10, unit="steps")
    gamut: str = gamut_parameter()
    level: Level = level_parameter(75.0, "of R', G' and B' at the hue's corner, the highest")
    area_percent: float = number_parameter(
        10.0, "share of the screen's area", minimum=0.01, maximum=100.0, unit="%"
    )
    surround_level: Level = level_parameter(0.0, "what lies around the window")
    step_seconds: float = number_parameter(4.0, "each step", minimum=1.0, maximum=600.0, unit="s")

    def steps(self, signal: SignalFormat) -> list[Step]:
        """White has no saturation: it is shown once where that is what varies."""
        steps = []
        for hue in HUES:
            count = 1 if hue == "white" and self.vary == "saturation" else self.steps_a_hue
            for part in range(1, count + 1):
                name = f"{hue}-{100.0 * part / count:03.0f}pct"
                code = self._code(hue, part, count, signal)
                steps.append(Step(name, self._window(name, code, signal), self.step_seconds))
        return steps

    def _window(self, name: str, code: CodeTriple, signal: SignalFormat) -> Layout:
        rect = window_of_area(signal.width, signal.height, self.area_percent)
        surround = signal.encoding.grey(self.code("surround_level", signal))
        return Layout(background=surround, patches=(Patch(name, rect, code),))

    def _code(self, hue: str, part: int, count: int, signal: SignalFormat) -> CodeTriple:
        """Codes of a hue at `part` of `count` steps."""
        black, highest = signal.quantisation.black, self.code("level", signal)
        if highest <= black:
            raise self.refuse(f"the level is code {highest}, not above black ({black}); use a higher one")
        by_level = self.vary == "level"
        level = code_at(black, highest, part, count + 1) if by_level else highest
        return hue_code(
            self.name,
            "level",
            Level(LevelUnit.CODE, level),
            primaries=gamut_primaries(self.gamut, signal),
            hue=hue,
            saturation_percent=100.0 if by_level else 100.0 * part / count,
            signal=signal,
        )
