"""The base of every family: checks its parameters and gives them back by key."""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat
from knownlight.frame.sources import FrameSource
from patterns.parameters import Level, Value, check_field, luma_code, specs, written


@dataclass(frozen=True, kw_only=True)
class Family(ABC):
    """A pattern's parameters.

    name: on the command line. title: in words. source: document and clause, or "common practice, no source".
    """

    name: ClassVar[str] = ""
    title: ClassVar[str] = ""
    source: ClassVar[str] = ""

    def __post_init__(self) -> None:
        for field_name, spec in specs(type(self)).items():
            check_field(self.name, field_name, spec, getattr(self, field_name))

    @abstractmethod
    def draw(self, signal: SignalFormat) -> FrameSource:
        """The pattern's frames."""

    @abstractmethod
    def claims(self, signal: SignalFormat) -> Claims:
        """What the frames are claimed to hold.

        Raises:
            BadInput: where the signal cannot hold the pattern as its parameters have it.
        """

    def natural_seconds(self, signal: SignalFormat) -> Fraction | None:  # noqa: ARG002
        """The length that shows everything once; None where any length does."""
        return None

    def parameters(self) -> dict[str, Value]:
        """Every parameter by its command-line key."""
        return written(self)

    def code(self, field_name: str, signal: SignalFormat) -> int:
        """The luma code of a level field in a signal."""
        asked: Level = getattr(self, field_name)
        return luma_code(self.name, field_name, asked, signal)

    def refuse(self, problem: str) -> BadInput:
        """An error that names this family."""
        return BadInput(f"{self.name}: {problem}")
