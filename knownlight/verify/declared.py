"""What a file must say of itself."""

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
