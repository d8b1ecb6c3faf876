"""The whole picture at one level."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from patterns.parameters import Level, level_parameter
from patterns.patches import Layout, Patch, PatchFamily


@dataclass(frozen=True, kw_only=True)
class FullField(PatchFamily):
    """One grey from edge to edge."""

    name: ClassVar[str] = "full-field"
    title: ClassVar[str] = "Full field of one level"
    source: ClassVar[str] = "common practice, no source"

    level: Level = level_parameter(100.0, "the field")

    def layout(self, signal: SignalFormat) -> Layout:
        """The field."""
        code = signal.encoding.grey(self.code("level", signal))
        whole = Rect(0, 0, signal.width, signal.height)
        return Layout(
            background=code,
            patches=(Patch("field", whole, code),),
            notes=MappingProxyType({"area_percent": 100.0}),
        )
