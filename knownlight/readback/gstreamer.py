"""What GStreamer's discoverer says: demultiplexers and parsers that share no code with ffmpeg.

It merges what the container says with what the parser finds in the sequence headers.
"""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.stated import Stated
from knownlight.readback.tools import Tool, said

PACKAGES = "gstreamer1.0-tools, gstreamer1.0-plugins-base-apps, gstreamer1.0-plugins-good and -bad"
TOOL = Tool(
    programs=("gst-discoverer-1.0",),
    package=PACKAGES,
    asks_version=("--gst-version",),
    version_mark="version",
    elements=(
        *("qtdemux", "matroskademux", "tsdemux"),
        *("h264parse", "h265parse", "av1parse", "vp9parse", "mpegvideoparse"),
    ),
)
_PATIENCE = "50"  # seconds; after ten, its own choice, it would leave off on a busy machine
_VIDEO = re.compile(r"^ *video #\d+: (?P<type>[\w/-]+), (?P<fields>.*)$", re.MULTILINE)
_FIELD = re.compile(r"(?P<name>[\w-]+)=\((?P<kind>\w+)\)(?P<value>[^,]*)")
_CODECS = {
    "video/x-h265": "hevc",
    "video/x-h264": "avc",
    "video/x-av1": "av1",
    "video/x-vp9": "vp9",
    "video/mpeg": "mpeg2",
}
_TAGS = {"hvc1": "hvc1", "hev1": "hev1", "avc": "avc1", "avc3": "avc3"}
# Range, matrix, transfer, primaries in GStreamer's own enumerations (its libraries' gstvideo colour page):
# it prints four numbers where it has no word for all of them together.
_COLOURS = {
    "bt709": (2, 3, 5, 1),
    "bt2020": (2, 6, 11, 7),
    "bt2020-10": (2, 6, 13, 7),
    "bt2100-pq": (2, 6, 14, 7),
    "bt2100-hlg": (2, 6, 15, 7),
    "bt601": (2, 4, 16, 4),
    "sRGB": (1, 1, 7, 1),
}
_RANGES = {1: 1, 2: 0}
_MATRICES = {1: 0, 3: 1, 4: 6, 6: 9}
_TRANSFERS = {5: 1, 7: 13, 11: 15, 13: 14, 14: 16, 15: 18, 16: 6}
_PRIMARIES = {1: 1, 3: 5, 4: 6, 7: 9}


def read_gstreamer(path: Path, stop: Stop) -> Stated:
    """Facts as `gst-discoverer-1.0 -v` prints them, turned back into numbers.

    A word that is not known becomes None.

    Raises:
        ToolFailed: where it, or one of its elements, is absent, or does not answer.
        UnreadableFile: where it finds no video.
    """
    words = said(
        [TOOL.needed, "-v", "-t", _PATIENCE, str(path.resolve())],
        what=f"{path}: GStreamer did not read it",
        stop=stop,
    )
    match = _VIDEO.search(words)
    if match is None:
        raise UnreadableFile(f"{path}: GStreamer finds no video in it")
    return _stated(match["type"], {each["name"]: each["value"] for each in _FIELD.finditer(match["fields"])})


def _stated(kind: str, caps: dict[str, str]) -> Stated:
    return Stated(
        codec=_CODECS.get(kind) if caps.get("mpegversion", "2") == "2" else None,
        tag=_TAGS.get(caps.get("stream-format", "")),
        profile=_words(caps.get("profile")),
        level=_words(caps.get("level")),
        tier=_words(caps.get("tier")),
        width=_number(caps.get("width")),
        height=_number(caps.get("height")),
        rate=Fraction(caps["framerate"]) if "framerate" in caps else None,
        depth=_number(caps.get("bit-depth-luma")),
        pixel_aspect=Fraction(caps["pixel-aspect-ratio"]) if "pixel-aspect-ratio" in caps else None,
        colour=_colour(caps.get("colorimetry", "")),
        hdr=HdrMetadata(
            mastering=_mastering(caps.get("mastering-display-info")),
            light=_light(caps.get("content-light-level")),
        ),
    )


def _number(text: str | None) -> int | None:
    return int(text) if text else None


def _words(text: str | None) -> str | None:
    """`main-10` as the standards write it: Main 10."""
    return text.replace("-", " ").capitalize() if text else None


def _colour(text: str) -> ColourDescription:
    numbers = tuple(map(int, text.split(":"))) if re.fullmatch(r"\d+(:\d+){3}", text) else _COLOURS.get(text)
    if numbers is None:
        return ColourDescription()
    full, matrix, transfer, primaries = numbers
    return ColourDescription(
        primaries=_PRIMARIES.get(primaries),
        transfer=_TRANSFERS.get(transfer),
        matrix=_MATRICES.get(matrix),
        full_range=_RANGES.get(full),
    )


def as_told(wanted: Stated) -> Stated:
    """The same facts as GStreamer must tell them: the matrices 5 and 6, which are equal, have one word."""
    matrix = 6 if wanted.colour.matrix == 5 else wanted.colour.matrix  # noqa: PLR2004
    return replace(wanted, colour=replace(wanted.colour, matrix=matrix))


def _mastering(text: str | None) -> MasteringDisplay | None:
    """Red, green, blue, white in 0.00002, then maximum and minimum in 0.0001 cd/m²."""
    if not text:
        return None
    numbers = list(map(int, text.split(":")))
    red, green, blue, white, (highest, lowest) = zip(numbers[::2], numbers[1::2], strict=True)
    return MasteringDisplay(
        red=red, green=green, blue=blue, white=white, max_luminance=highest, min_luminance=lowest
    )


def _light(text: str | None) -> ContentLight | None:
    if not text:
        return None
    cll, fall = map(int, text.split(":"))
    return ContentLight(max_cll=cll, max_fall=fall)
