"""What one place of a file says: its container, its bitstream, or a reader that looks at both."""

from dataclasses import dataclass, field
from fractions import Fraction

from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata


@dataclass(frozen=True, kw_only=True)
class Stated:
    """Facts as read; None where the place says nothing.

    codec: hevc, avc, av1, vp9 or mpeg2. tag: sample entry, codec identity or stream type. profile: in words.
    level: as `5.1`. tier: Main or High. rate: frames/s. depth: bits of a luma sample. frames: number of
    pictures. scan: how frames are made. pixel_aspect: width of a pixel over its height.
    preferred_transfer: transfer characteristics to use instead of those described, where the stream says so.
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
    scan: str | None = None
    pixel_aspect: Fraction | None = None
    preferred_transfer: int | None = None
    colour: ColourDescription = field(default_factory=ColourDescription)
    hdr: HdrMetadata = field(default_factory=HdrMetadata)


PROGRESSIVE = "progressive"
TOP_FIRST = "top field first"
BOTTOM_FIRST = "bottom field first"

_HEVC_PROFILES = {1: "Main", 2: "Main 10", 3: "Main Still Picture", 4: "Format Range"}
_AVC_PROFILES = {66: "Baseline", 77: "Main", 100: "High", 110: "High 10", 244: "High 4:4:4 Predictive"}


def hevc_profile(profile_idc: int) -> str:
    """A profile in words from general_profile_idc (H.265 Annex A)."""
    return _HEVC_PROFILES.get(profile_idc, f"profile {profile_idc}")


def avc_profile(profile_idc: int) -> str:
    """A profile in words from profile_idc (H.264 Annex A)."""
    return _AVC_PROFILES.get(profile_idc, f"profile {profile_idc}")


def level_text(number: int, units_of_one: int) -> str:
    """A level from its integer: 153 in thirtieths is 5.1, 120 is 4."""
    whole, rest = divmod(number, units_of_one)
    tenth = rest * 10 // units_of_one
    return f"{whole}.{tenth}" if tenth else str(whole)


def av1_level_text(index: int) -> str:
    """A level from seq_level_idx (AV1 Annex A.3): 0 is 2.0, and four indices make one."""
    return f"{2 + index // 4}.{index % 4}"
