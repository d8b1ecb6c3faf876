"""What a picture file of each format must say of itself, and where it says otherwise."""

from dataclasses import dataclass

from knownlight.frame.format import SignalFormat
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.icc import icc_profile
from knownlight.metadata.light import HdrMetadata
from knownlight.metadata.still_colour import still_colour, still_hdr
from knownlight.metadata.words import code_words, light_words
from knownlight.readback.stated import Stated
from knownlight.readback.stills.stated import StillStated
from knownlight.signal.encoding import Transfer
from knownlight.verify.declared import flat

_PNG_ORDER = ("IHDR", "cICP", "sRGB", "mDCV", "cLLI", "sBIT", "IDAT", "IEND")  # third edition, clause 5.6
_TARGETS = {Transfer.PQ: 10000.0, Transfer.HLG: 1000.0}  # cd/m², what libjxl takes PQ and HLG for
_USUAL_TARGET = 255.0
_DECIMALS = 5
_FLOAT_BITS, _WIDE, _NARROW = 32, 16, 8


@dataclass(frozen=True, kw_only=True)
class Place:
    """What a format says, and how.

    coding: in the words of its reader. fields: what it has fields for beside size and bits of a sample; all
    others are its blind spots, and must not be said. colour: which H.273 integers are among them.
    widened: whether codes of more than 8 bits lie in 16.
    """

    coding: str
    fields: frozenset[str]
    colour: frozenset[str] = frozenset({"primaries", "transfer", "matrix", "full_range"})
    widened: bool = False


PLACES = {
    "png": Place(
        coding="truecolour",
        fields=frozenset({"significant_bits", "colour", "hdr.mastering", "order"}),
        widened=True,
    ),
    "avif": Place(coding="av01", fields=frozenset({"significant_bits", "chroma", "colour", "hdr"})),
    "heic": Place(coding="hvc1", fields=frozenset({"significant_bits", "chroma", "colour", "hdr"})),
    "jxl": Place(coding="RGB", fields=frozenset({"colour", "intensity_target"}), widened=True),
    "exr": Place(coding="B G R float", fields=frozenset({"chromaticities", "white_luminance", "words"})),
    "tif": Place(coding="RGB 3", fields=frozenset({"chromaticities", "words", "profile"}), widened=True),
    "jpg": Place(
        coding="baseline, JFIF",
        fields=frozenset({"chroma", "colour", "profile"}),
        colour=frozenset({"matrix", "full_range"}),  # primaries and curve are those of the profile
    ),
}
SEEN_BY_MEDIAINFO = ("avif", "heic")  # of the others it reads no colour


def expected_still(delivery: str, signal: SignalFormat, hdr: HdrMetadata) -> StillStated:
    """Everything that a file of this delivery must say; None of what it has no field for."""
    place = PLACES[delivery]
    stored = _stored_bits(delivery, signal)
    truth = {
        "significant_bits": (signal.depth,) * 3,
        "chroma": "4:4:4",
        "colour": _colour(delivery, signal),
        "chromaticities": _chromaticities(signal),
        "white_luminance": 1.0,
        "intensity_target": _TARGETS.get(signal.transfer, _USUAL_TARGET),
        "words": light_words(signal) if delivery == "exr" else code_words(signal, stored),
        "profile": None if signal.is_hdr else icc_profile(signal.transfer),
        "hdr": still_hdr(delivery, hdr),
        "hdr.mastering": HdrMetadata(mastering=hdr.mastering),
        "order": _png_order(signal, hdr),
    }
    said = {name.partition(".")[0]: value for name, value in truth.items() if name in place.fields}
    return StillStated(
        coding=place.coding,
        width=signal.width,
        height=signal.height,
        sample_bits=stored,
        **said,  # type: ignore[arg-type]
    )


def _stored_bits(delivery: str, signal: SignalFormat) -> int:
    if delivery == "exr":
        return _FLOAT_BITS
    return _WIDE if PLACES[delivery].widened and signal.depth > _NARROW else signal.depth


def _colour(delivery: str, signal: SignalFormat) -> ColourDescription:
    colour = still_colour(delivery, signal)
    return ColourDescription(**{name: getattr(colour, name) for name in PLACES[delivery].colour})


def _chromaticities(signal: SignalFormat) -> tuple[float, ...]:
    primaries = signal.container_primaries
    points = (primaries.red, primaries.green, primaries.blue, primaries.white)
    return tuple(float(f"{value:.{_DECIMALS}f}") for point in points for value in point)


def _png_order(signal: SignalFormat, hdr: HdrMetadata) -> tuple[str, ...]:
    left_out = set() if signal.transfer is Transfer.SRGB else {"sRGB"}
    left_out |= set() if hdr.mastering is not None else {"mDCV", "cLLI"}
    return tuple(kind for kind in _PNG_ORDER if kind not in left_out)


def still_differences(delivery: str, stated: StillStated, wanted: StillStated) -> list[str]:
    """Every field that a file states otherwise than wanted, in words."""
    read, asked = dict(flat(stated)), dict(flat(wanted))
    return [
        f"{delivery}: {name} is {_word(read.get(name))}, it must be {_word(asked.get(name))}"
        for name in dict.fromkeys([*asked, *read])
        if read.get(name) != asked.get(name) and name != "fine_light"  # held against the pixels
    ]


def mediainfo_differences(stated: Stated, wanted: StillStated) -> list[str]:
    """Where MediaInfo reads size, depth, colour or metadata otherwise than wanted."""
    asked = Stated(
        width=wanted.width,
        height=wanted.height,
        depth=wanted.sample_bits,
        colour=wanted.colour,
        hdr=wanted.hdr,
    )
    seen = Stated(
        width=stated.width, height=stated.height, depth=stated.depth, colour=stated.colour, hdr=stated.hdr
    )
    read, told = dict(flat(seen)), dict(flat(asked))
    return [
        f"MediaInfo: {name} is {_word(read.get(name))}, it must be {_word(told.get(name))}"
        for name in dict.fromkeys([*told, *read])
        if read.get(name) != told.get(name)
    ]


def _word(value: object) -> str:
    if isinstance(value, bytes):
        return f"a profile of {len(value)} bytes"
    return "not stated" if value is None or value == () else str(value)
