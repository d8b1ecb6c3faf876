"""What one place of a file says: its container, its bitstream, or a reader that looks at both."""

from dataclasses import dataclass, field
from fractions import Fraction

from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata


@dataclass(frozen=True, kw_only=True)
class Stated:
    """Facts as read; None where the place says nothing.

    codec: hevc or avc. tag: sample entry. profile: in words. level: as `5.1`. tier: Main or High.
    rate: frames/s. depth: bits of a luma sample. frames: number of pictures.
    """

    codec: str | None = None
    tag: str | None = None
    profile: str | None = None
    level: str | None = None
    tier: str | None = None
    width: int | None = None
    height: int | None = None
    rate: Fraction | None = None
    depth: int | None = None
    frames: int | None = None
    colour: ColourDescription = field(default_factory=ColourDescription)
    hdr: HdrMetadata = field(default_factory=HdrMetadata)


def level_text(number: int, units_of_one: int) -> str:
    """A level from its integer: 153 in thirtieths is 5.1, 120 is 4."""
    whole, rest = divmod(number, units_of_one)
    tenth = rest * 10 // units_of_one
    return f"{whole}.{tenth}" if tenth else str(whole)
