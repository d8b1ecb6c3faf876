"""What a file must say of itself, and where it says otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from knownlight.frame.format import SignalFormat
from knownlight.metadata.colour import colour_description
from knownlight.metadata.levels import avc_level, hevc_level
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.stated import Stated

# What a place of a file cannot say; everything else it must say rightly.
BLIND_SPOTS: dict[tuple[str, str], frozenset[str]] = {
    ("hevc", "container"): frozenset({"colour.chroma_location"}),
    ("avc", "container"): frozenset({"colour.chroma_location", "depth"}),
    ("hevc", "bitstream"): frozenset({"tag", "frames"}),
    ("avc", "bitstream"): frozenset({"tag", "frames"}),
    ("hevc", "MediaInfo"): frozenset(),
    ("avc", "MediaInfo"): frozenset({"colour.chroma_location"}),  # it reports no location for type 0 in AVC
}


# Values that a reader drops where a file has them: it reports no light level of 0.
DROPPED = {("MediaInfo", "hdr.light.max_cll"): 0, ("MediaInfo", "hdr.light.max_fall"): 0}


@dataclass(frozen=True)
class Codec:
    """How a delivery's codec declares itself."""

    name: str
    tag: str


CODECS = {"hevc-mp4": Codec("hevc", "hvc1"), "avc-mp4": Codec("avc", "avc1")}


def expected(signal: SignalFormat, delivery: str, frames: int, hdr: HdrMetadata) -> Stated:
    """Everything that a file of this delivery must say."""
    codec = CODECS[delivery]
    is_hevc = codec.name == "hevc"
    hevc_profile = "Main" if signal.depth == 8 else "Main 10"  # noqa: PLR2004
    return Stated(
        codec=codec.name,
        tag=codec.tag,
        profile=hevc_profile if is_hevc else "Main",
        level=hevc_level(signal).name if is_hevc else avc_level(signal).name,
        tier="Main" if is_hevc else None,
        width=signal.width,
        height=signal.height,
        rate=signal.rate,
        depth=signal.depth,
        frames=frames,
        colour=colour_description(signal),
        hdr=hdr,
    )


def flat(value: Any, prefix: str = "") -> Iterator[tuple[str, Any]]:  # noqa: ANN401
    """Fields of nested dataclasses by dotted name."""
    for entry in fields(value):
        inner = getattr(value, entry.name)
        name = f"{prefix}{entry.name}"
        if is_dataclass(inner):
            yield from flat(inner, f"{name}.")
        else:
            yield name, inner


def differences(place: str, stated: Stated, wanted: Stated) -> list[str]:
    """Every field that a place states otherwise than wanted, in words."""
    blind = BLIND_SPOTS[(str(wanted.codec), place)]
    read, asked = dict(flat(stated)), dict(flat(wanted))
    problems = []
    for name, value in asked.items():
        if name in blind:
            continue
        got = read.get(name)
        if got is None and value == DROPPED.get((place, name), ...):
            continue
        if got != value:
            problems.append(f"{place}: {name} is {_word(got)}, it must be {_word(value)}")
    extra = [
        name
        for name, value in read.items()
        if name.startswith("hdr.") and value is not None and name not in asked
    ]
    problems += [f"{place}: {name} is {_word(read[name])}, nothing must be said" for name in extra]
    return problems


def _word(value: object) -> str:
    return "not stated" if value is None else str(value)
