"""The table of readings: a row for each region to measure, clip to judge and question of the set-up."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import Enum

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.readings.targets import Target

GRADES = range(1, 6)  # of BT.500's impairment scale (from memory): 5 imperceptible to 1 very annoying


class Kind(Enum):
    """What a row is for."""

    READING = "reading"
    OBSERVATION = "observation"
    SETUP = "setup"


@dataclass(frozen=True, kw_only=True)
class Result:
    """What was read and seen. luminance: cd/m². xy: CIE 1931. at: when. grade: of `GRADES`.

    Figures are decimal, with the digits that were typed: 0.000 is the same number as 0 and says more.

    Raises:
        BadInput: for what no meter reads, naming the column of the table.
    """

    luminance: Decimal | None = None
    xy: tuple[Decimal, Decimal] | None = None
    at: datetime | None = None
    grade: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.luminance is not None and not (self.luminance.is_finite() and self.luminance >= 0):
            raise BadInput(f"measured_luminance: {self.luminance:g} is no luminance; use 0 cd/m² or more")
        if self.xy is not None:
            x, y = self.xy
            if not (x >= 0 and y >= 0 and x + y <= 1):
                raise BadInput(
                    f"measured_x: x {x:g} and y {y:g} are no colour; both are from 0 up, together 1 at most"
                )
        if self.grade is not None and self.grade not in GRADES:
            raise BadInput(f"grade: {self.grade} is none; use 1 (very annoying) to 5 (imperceptible)")


NOTHING = Result()
Key = tuple[Kind, str, str, int]


@dataclass(frozen=True, kw_only=True)
class Row:
    """A row of the table.

    clip: its id. file: path inside the pack. region: name of a region; of the set-up, the question's key.
    reading: from 1 on. signal: the clip's format. code: as stored. seconds: when the region is first shown,
    from and to; None where it is there all the time.
    """

    kind: Kind
    clip: str = ""
    file: str = ""
    region: str = ""
    reading: int = 1
    signal: str = ""
    code: CodeTriple | None = None
    seconds: tuple[float, float] | None = None
    target: Target | None = None
    result: Result = NOTHING

    @property
    def key(self) -> Key:
        """What a table has once."""
        return self.kind, self.clip, self.region, self.reading
