"""What MediaInfo says: a reader that shares no code with ffmpeg or with this program."""

import re
from dataclasses import replace
from fractions import Fraction
from importlib import metadata
from pathlib import Path
from typing import Any

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import (
    LUMINANCE_UNITS,
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
    mastering_display,
)
from knownlight.readback.stated import Stated
from knownlight.signal.primaries import BT709, BT2020, P3_D65, Primaries

_CODECS = {"HEVC": "hevc", "AVC": "avc"}
_PRIMARIES = {"BT.709": 1, "BT.2020": 9, "Display P3": 12}
_TRANSFERS = {"BT.709": 1, "PQ": 16, "HLG": 18, "sRGB/sYCC": 13}
_MATRICES = {"Identity": 0, "BT.709": 1, "BT.2020 non-constant": 9}
_RANGES = {"Limited": 0, "Full": 1}
_MASTERING: dict[str, Primaries] = {"BT.709": BT709, "BT.2020": BT2020, "Display P3": P3_D65}
_LUMINANCES = re.compile(r"min: (?P<low>[\d.]+) cd/m2, max: (?P<high>[\d.]+) cd/m2")


def version() -> str:
    """Name and version, for a proof's list of readers."""
    return f"MediaInfo (pymediainfo {metadata.version('pymediainfo')})"


def read_mediainfo(path: Path) -> Stated:
    """Facts as MediaInfo words them, turned back into numbers.

    A word that is not known becomes None, so that a check of the field fails instead of passing unseen.

    Raises:
        UnreadableFile: where MediaInfo finds no video.
    """
    from pymediainfo import MediaInfo  # noqa: PLC0415 - loads a shared library

    tracks = [track.to_data() for track in MediaInfo.parse(str(path)).tracks]
    videos = [track for track in tracks if track["track_type"] in ("Video", "Image")]
    if not videos:
        raise UnreadableFile(f"{path}: MediaInfo finds no video or picture in it")
    return _stated(videos[0])


def _stated(video: dict[str, Any]) -> Stated:
    profile, _, rest = str(video.get("format_profile", "")).partition("@L")
    level, _, tier = rest.partition("@")
    position = str(video.get("chromasubsampling_position", "")).removeprefix("Type ")
    return Stated(
        codec=_CODECS.get(video.get("format", "")),
        tag=video.get("codec_id"),
        profile=profile or None,
        level=level or None,
        tier=tier or None,
        width=video.get("width"),
        height=video.get("height"),
        rate=_rate(video),
        depth=video.get("bit_depth"),
        frames=int(video["frame_count"]) if "frame_count" in video else None,
        colour=ColourDescription(
            primaries=_PRIMARIES.get(video.get("color_primaries", "")),
            transfer=_TRANSFERS.get(video.get("transfer_characteristics", "")),
            matrix=_MATRICES.get(video.get("matrix_coefficients", "")),
            full_range=_RANGES.get(video.get("color_range", "")),
            chroma_location=int(position) if position.isdigit() else None,
        ),
        hdr=HdrMetadata(mastering=_mastering(video), light=_light(video)),
    )


def _rate(video: dict[str, Any]) -> Fraction | None:
    if "framerate_num" in video:
        return Fraction(int(video["framerate_num"]), int(video["framerate_den"]))
    return Fraction(video["frame_rate"]) if "frame_rate" in video else None


def _mastering(video: dict[str, Any]) -> MasteringDisplay | None:
    primaries = _MASTERING.get(video.get("mastering_display_color_primaries", ""))
    match = _LUMINANCES.match(str(video.get("mastering_display_luminance", "")))
    if primaries is None or match is None:
        return None
    display = mastering_display(primaries, float(match["high"]))
    low = round(float(match["low"]) * LUMINANCE_UNITS)
    return replace(display, min_luminance=low)


def _light(video: dict[str, Any]) -> ContentLight | None:
    cll = str(video.get("maximum_content_light_level", "")).partition(" ")[0]
    fall = str(video.get("maximum_frameaverage_light_level", "")).partition(" ")[0]
    return ContentLight(max_cll=int(cll), max_fall=int(fall)) if cll and fall else None
