"""What a file must say of itself, and where it says otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from knownlight.frame.format import Scan, SignalFormat
from knownlight.metadata.colour import colour_description
from knownlight.metadata.level_tables import av1_level, avc_level, hevc_level, mpeg2_level
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.stated import PROGRESSIVE, TOP_FIRST, Stated
from knownlight.signal.encoding import Transfer
from knownlight.signal.h273 import TransferCharacteristics

# What a reader cannot see of a codec, or does not tell; everything else it must tell rightly. A name stands
# for all that is below it.
_SHAPE = {"scan", "pixel_aspect"}  # containers hold the size to show at, which is checked by itself
_STREAM = {"tag", "frames"}
BLIND_SPOTS: dict[tuple[str, str], frozenset[str]] = {
    ("hevc", "ISO base media boxes"): frozenset({*_SHAPE, "colour.chroma_location", "preferred_transfer"}),
    ("avc", "ISO base media boxes"): frozenset({*_SHAPE, "colour.chroma_location", "depth"}),
    ("av1", "ISO base media boxes"): frozenset({*_SHAPE, "colour.chroma_location"}),
    ("hevc", "Matroska elements"): frozenset({*_SHAPE, "preferred_transfer"}),
    ("av1", "Matroska elements"): frozenset(_SHAPE),
    # WebM keeps no record of the coder's parameters here
    ("vp9", "Matroska elements"): frozenset({*_SHAPE, "profile", "level", "depth"}),
    **{
        (codec, "transport stream tables"): frozenset(
            {*_SHAPE, "profile", "level", "tier", "width", "height", "depth", "preferred_transfer"}
            | {"colour", "hdr"}
        )
        for codec in ("hevc", "avc", "mpeg2")
    },
    ("hevc", "bitstream"): frozenset(_STREAM),
    ("avc", "bitstream"): frozenset(_STREAM),
    ("av1", "bitstream"): frozenset({*_STREAM, "rate", "pixel_aspect"}),
    # its one code of colour names primaries and matrix; there is no place for transfer, light or rate
    ("vp9", "bitstream"): frozenset(
        {*_STREAM, "level", "rate", "pixel_aspect", "colour.transfer", "colour.chroma_location", "hdr"}
    ),
    ("mpeg2", "bitstream"): frozenset({*_STREAM, "colour.full_range", "colour.chroma_location"}),
    ("hevc", "MediaInfo"): frozenset({"preferred_transfer"}),
    ("avc", "MediaInfo"): frozenset({"colour.chroma_location"}),  # it reports no location for type 0 in AVC
    ("av1", "MediaInfo"): frozenset({"profile", "level", "tier", "depth", "colour.chroma_location"}),
    ("hevc", "MediaInfo of Matroska"): frozenset({"scan", "preferred_transfer"}),
    ("av1", "MediaInfo of Matroska"): frozenset(
        {"scan", "profile", "level", "tier", "depth", "colour.chroma_location"}
    ),
    ("vp9", "MediaInfo of Matroska"): frozenset({"scan", "level", "colour.chroma_location"}),
    # it counts the pictures of a stream by their times
    ("hevc", "MediaInfo of a stream"): frozenset({"scan", "frames"}),
    ("avc", "MediaInfo of a stream"): frozenset({"frames", "colour.chroma_location"}),
    ("mpeg2", "MediaInfo of a stream"): frozenset({"frames", "colour.full_range", "colour.chroma_location"}),
}

# Values that a reader drops where a file has them: it reports no light level of 0.
DROPPED = {("MediaInfo", "hdr.light.max_cll"): 0, ("MediaInfo", "hdr.light.max_fall"): 0}


@dataclass(frozen=True)
class Codec:
    """How a delivery's codec declares itself."""

    name: str
    tag: str


# The tags of transport streams are the stream types of H.222.0 Table 2-34.
CODECS = {
    "hevc-mp4": Codec("hevc", "hvc1"),
    "hevc-mkv": Codec("hevc", "V_MPEGH/ISO/HEVC"),
    "hevc-ts": Codec("hevc", "36"),
    "avc-mp4": Codec("avc", "avc1"),
    "avc-ts": Codec("avc", "27"),
    "av1-mp4": Codec("av1", "av01"),
    "av1-mkv": Codec("av1", "V_AV1"),
    "vp9-webm": Codec("vp9", "V_VP9"),
    "mpeg2-ts": Codec("mpeg2", "2"),
}
_COMPATIBLE_HLG = {"hevc-ts"}  # HLG as broadcasts have it: the VUI says 14 instead of 18


def expected(
    signal: SignalFormat, delivery: str, frames: int, hdr: HdrMetadata, *, level: str = ""
) -> Stated:
    """Everything that a file of this delivery must say; `level` where it is not the signal's own."""
    codec = CODECS[delivery]
    profile, usual, tier = _profile_and_level(codec.name, signal)
    stated = Stated(
        codec=codec.name,
        tag=codec.tag,
        profile=profile,
        level=level or usual,
        tier=tier,
        width=signal.width,
        height=signal.height,
        rate=signal.rate,
        depth=signal.depth,
        frames=frames,
        scan=TOP_FIRST if signal.scan is Scan.INTERLACED else PROGRESSIVE,
        pixel_aspect=signal.pixel_aspect,
        colour=colour_description(signal),
        hdr=hdr,
    )
    if signal.transfer is not Transfer.HLG or codec.name != "hevc":
        return stated
    # the coder adds the message that prefers HLG whatever the VUI says
    stated = replace(stated, preferred_transfer=int(TransferCharacteristics.HLG))
    if delivery not in _COMPATIBLE_HLG:
        return stated
    return replace(stated, colour=replace(stated.colour, transfer=int(TransferCharacteristics.BT2020_10)))


def _profile_and_level(codec: str, signal: SignalFormat) -> tuple[str, str | None, str | None]:
    """Profile, level and tier in the words of `Stated`."""
    few = signal.depth == 8  # noqa: PLR2004
    match codec:
        case "hevc":
            return "Main" if few else "Main 10", hevc_level(signal).name, "Main"
        case "avc":
            return "Main", avc_level(signal).name, None
        case "av1":
            return "Main", av1_level(signal).name, "Main"
        case "vp9":
            return "0" if few else "2", None, None
        case _:
            return "Main", mpeg2_level(signal).name, None


def flat(value: Any, prefix: str = "") -> Iterator[tuple[str, Any]]:  # noqa: ANN401
    """Fields of nested dataclasses by dotted name."""
    for entry in fields(value):
        inner = getattr(value, entry.name)
        name = f"{prefix}{entry.name}"
        if is_dataclass(inner):
            yield from flat(inner, f"{name}.")
        else:
            yield name, inner


def is_blind(blind: frozenset[str], name: str) -> bool:
    """Whether a field, or what it belongs to, is among those that a reader does not tell."""
    parts = name.split(".")
    return any(".".join(parts[:length]) in blind for length in range(1, len(parts) + 1))


def differences(reader: str, stated: Stated, wanted: Stated) -> list[str]:
    """Every field that a reader states otherwise than wanted, in words."""
    blind = BLIND_SPOTS[(str(wanted.codec), reader)]
    read, asked = dict(flat(stated)), dict(flat(wanted))
    problems = []
    for name, value in asked.items():
        if is_blind(blind, name):
            continue
        got = read.get(name)
        if got is None and value == DROPPED.get((reader, name), ...):
            continue
        if got is None and name == "rate" and wanted.frames == 1:
            continue  # a single picture's time tells no rate
        if got != value:
            problems.append(f"{reader}: {name} is {_word(got)}, it must be {_word(value)}")
    extra = [
        name
        for name, value in read.items()
        if name.startswith("hdr.") and value is not None and name not in asked and not is_blind(blind, name)
    ]
    problems += [f"{reader}: {name} is {_word(read[name])}, nothing must be said" for name in extra]
    return problems


def _word(value: object) -> str:
    return "not stated" if value is None else str(value)
