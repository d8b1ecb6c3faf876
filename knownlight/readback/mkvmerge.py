"""What mkvmerge says of a container: a reader that shares no code with ffmpeg or with this program.

Of Matroska it tells every colour element, in the integers of H.273; of MP4 the first three of `colr`; of a
transport stream the size alone. It does not look into the coded pictures for anything else.
"""

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import (
    CHROMATICITY_UNITS,
    LUMINANCE_UNITS,
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
)
from knownlight.readback.stated import Stated
from knownlight.readback.tools import Tool, said
from knownlight.readback.track import known_rate

TOOL = Tool(programs=("mkvmerge",), package="mkvtoolnix", asks_version=("--version",))
_CODECS = {
    "HEVC/H.265/MPEG-H": "hevc",
    "AVC/H.264/MPEG-4p10": "avc",
    "AV1": "av1",
    "VP9": "vp9",
    "MPEG-1/2": "mpeg2",
}
_RANGES = {1: 0, 2: 1}  # Matroska's Range element: 1 broadcast, 2 full (RFC 9559)
# Matroska's ChromaSitingHorz and ChromaSitingVert: 1 on the sample, 2 midway (RFC 9559)
_SITINGS = {"1,2": 0, "2,2": 1, "1,1": 2}
_NANOSECONDS = 10**9


def read_mkvmerge(path: Path, stop: Stop) -> Stated:
    """Facts as `mkvmerge -J` prints them.

    Raises:
        ToolFailed: where mkvmerge is absent or does not answer.
        UnreadableFile: where it finds no video.
    """
    words = said(
        [TOOL.needed, "-J", str(path.resolve())], what=f"{path}: mkvmerge did not read it", stop=stop
    )
    try:
        tracks = json.loads(words).get("tracks", [])
    except ValueError:
        tracks = []
    videos = [track for track in tracks if track["type"] == "video"]
    if not videos:
        raise UnreadableFile(f"{path}: mkvmerge finds no video in it")
    return _stated(videos[0])


def _stated(video: dict[str, Any]) -> Stated:
    found = video["properties"]
    width, height = _sides(found.get("pixel_dimensions"))
    duration = found.get("default_duration")
    return Stated(
        codec=_CODECS.get(video["codec"]),
        tag=found.get("codec_id"),
        width=width,
        height=height,
        rate=known_rate(Fraction(_NANOSECONDS, duration)) if duration else None,
        pixel_aspect=_pixel_aspect(found),
        colour=ColourDescription(
            primaries=found.get("color_primaries"),
            transfer=found.get("color_transfer_characteristics"),
            matrix=found.get("color_matrix_coefficients"),
            full_range=_RANGES.get(found.get("color_range", 0)),
            chroma_location=_SITINGS.get(found.get("chroma_siting", "")),
        ),
        hdr=HdrMetadata(mastering=_mastering(found), light=_light(found)),
    )


def _sides(text: str | None) -> tuple[int, int] | tuple[None, None]:
    if not text:
        return None, None
    width, _, height = text.partition("x")
    return int(width), int(height)


def _pixel_aspect(found: dict[str, Any]) -> Fraction | None:
    """From the size or the ratio to show the picture at."""
    shown, stored = _sides(found.get("display_dimensions")), _sides(found.get("pixel_dimensions"))
    if shown[0] is None or stored[0] is None:
        return None
    return Fraction(*shown) / Fraction(*stored)


def _mastering(found: dict[str, Any]) -> MasteringDisplay | None:
    colours, white = found.get("chromaticity_coordinates"), found.get("white_color_coordinates")
    if not (colours and white and "max_luminance" in found and "min_luminance" in found):
        return None
    numbers = [round(float(each) * CHROMATICITY_UNITS) for each in f"{colours},{white}".split(",")]
    red, green, blue, middle = zip(numbers[::2], numbers[1::2], strict=True)
    return MasteringDisplay(
        red=red,
        green=green,
        blue=blue,
        white=middle,
        max_luminance=round(found["max_luminance"] * LUMINANCE_UNITS),
        min_luminance=round(found["min_luminance"] * LUMINANCE_UNITS),
    )


def _light(found: dict[str, Any]) -> ContentLight | None:
    if "max_content_light" not in found or "max_frame_light" not in found:
        return None
    return ContentLight(max_cll=found["max_content_light"], max_fall=found["max_frame_light"])
