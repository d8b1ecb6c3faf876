"""What a picture file says of itself, whatever its format."""

from dataclasses import dataclass, field

from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata


@dataclass(frozen=True, kw_only=True)
class StillStated:
    """Facts as read; None where the file says nothing, or its format has no such field.

    coding: how samples are stored, in words. width, height: in pixels. sample_bits: of a stored sample.
    significant_bits: of each component, of PNG's sBIT or HEIF's pixi. chroma: 4:4:4 or what else.
    colour: H.273 integers. chromaticities: x and y of red, green, blue and white, to five decimals.
    white_luminance: cd/m² of R = G = B = 1. intensity_target: of JPEG XL, cd/m².
    words: a free description. profile: an ICC profile.
    hdr: static metadata, in whole cd/m² as HEIF has it. fine_light: of PNG, MaxCLL and MaxFALL in
    0.0001 cd/m².
    order: parts of the file that have a place. turned: names of properties that would change what is shown.
    """

    coding: str | None = None
    width: int | None = None
    height: int | None = None
    sample_bits: int | None = None
    significant_bits: tuple[int, ...] | None = None
    chroma: str | None = None
    colour: ColourDescription = field(default_factory=ColourDescription)
    chromaticities: tuple[float, ...] | None = None
    white_luminance: float | None = None
    intensity_target: float | None = None
    words: str | None = None
    profile: bytes | None = None
    hdr: HdrMetadata = field(default_factory=HdrMetadata)
    fine_light: tuple[int, int] | None = None
    order: tuple[str, ...] | None = None
    turned: tuple[str, ...] = ()
