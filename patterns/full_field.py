"""The whole picture at one level."""

from dataclasses import dataclass
from typing import ClassVar

from knownlight.frame.claims import Claims, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.sources import Still
from patterns.canvas import Tally, flat_frame
from patterns.family import Family
from patterns.parameters import Level, level_parameter


@dataclass(frozen=True, kw_only=True)
class FullField(Family):
    """One grey from edge to edge."""

    name: ClassVar[str] = "full-field"
    title: ClassVar[str] = "Full field of one level"
    source: ClassVar[str] = "common practice, no source"

    level: Level = level_parameter(100.0, "the field")

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        return Still(flat_frame(signal, self.code("level", signal), {}))

    def claims(self, signal: SignalFormat) -> Claims:
        """The field."""
        code = self.code("level", signal)
        whole = Rect(0, 0, signal.width, signal.height)
        return Claims(
            regions=(Region("field", whole, signal.encoding.grey(code)),), areas=Tally(signal, code).areas()
        )
