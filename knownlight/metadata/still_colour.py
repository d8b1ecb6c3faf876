"""What a picture file of each format can say of its signal."""

from dataclasses import replace

from knownlight.frame.format import SignalFormat
from knownlight.metadata.colour import ColourDescription, colour_description
from knownlight.metadata.light import HdrMetadata
from knownlight.signal.h273 import MatrixCoefficients, TransferCharacteristics

_WITH_HDR = ("png", "avif", "heic")


def still_hdr(delivery: str, hdr: HdrMetadata) -> HdrMetadata:
    """The static metadata that a format has room for: all or none."""
    return hdr if delivery in _WITH_HDR else HdrMetadata()


def still_colour(delivery: str, signal: SignalFormat) -> ColourDescription:
    """H.273 integers of what a file means, as far as it says so in any form: fields, profile or attributes.

    TIFF says PQ and HLG in words alone, so its transfer is unspecified there.
    """
    colour = colour_description(signal)
    if delivery == "exr":
        return replace(colour, transfer=int(TransferCharacteristics.LINEAR))
    if delivery == "jpg":
        return replace(colour, matrix=int(MatrixCoefficients.BT601_625))
    if delivery == "tif" and signal.is_hdr:
        return replace(colour, transfer=int(TransferCharacteristics.UNSPECIFIED))
    return colour
