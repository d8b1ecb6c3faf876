"""What MediaInfo says: a reader that shares no code with ffmpeg or with this program."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from importlib import metadata
from pathlib import Path
from typing import Any

from knownlight.errors import UnreadableFile
from knownlight.frame.rates import RATES
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import (
    LUMINANCE_UNITS,
    ContentLight,
    HdrMetadata,
    MasteringDisplay,
    mastering_display,
)
from knownlight.readback.stated import BOTTOM_FIRST, PROGRESSIVE, TOP_FIRST, Stated
from knownlight.signal.primaries import BT709, BT2020, P3_D65, Primaries

_CODECS = {"HEVC": "hevc", "AVC": "avc", "AV1": "av1", "VP9": "vp9", "MPEG Video": "mpeg2"}
_SCANS = {"Progressive": PROGRESSIVE, "TFF": TOP_FIRST, "BFF": BOTTOM_FIRST}
_PRIMARIES = {"BT.709": 1, "BT.601 PAL": 5, "BT.601 NTSC": 6, "BT.2020": 9, "Display P3": 12}
_TRANSFERS = {"BT.709": 1, "BT.601": 6, "sRGB/sYCC": 13, "BT.2020 (10-bit)": 14, "PQ": 16, "HLG": 18}
_MATRICES = {"Identity": 0, "BT.709": 1, "BT.470 System B/G": 5, "BT.601": 6, "BT.2020 non-constant": 9}
_RANGES = {"Limited": 0, "Full": 1}
_MASTERING: dict[str, Primaries] = {"BT.709": BT709, "BT.2020": BT2020, "Display P3": P3_D65}
_RATE_ROUNDING = Fraction(1, 1000)
_ASPECTS = (Fraction(1), Fraction(64, 45), Fraction(32, 27))
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
    videos = video_tracks(tracks(path))
    if not videos:
        raise UnreadableFile(f"{path}: MediaInfo finds no video or picture in it")
    return stated(videos[0])


def tracks(path: Path) -> list[dict[str, Any]]:
    """What MediaInfo says of each track, by its own names; nothing where it knows nothing of the file."""
    from pymediainfo import MediaInfo  # noqa: PLC0415 - loads a shared library

    return [track.to_data() for track in MediaInfo.parse(str(path)).tracks]


def video_tracks(found: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Those with pictures."""
    return [track for track in found if track["track_type"] in ("Video", "Image")]


def stated(video: dict[str, Any]) -> Stated:
    """One track's facts as numbers."""
    profile, level, tier = [*str(video.get("format_profile", "")).split("@"), "", ""][:3]
    level = level[1:] if level[1:2].isdigit() else level  # `L4.1`, but `High` of MPEG-2
    *preferred, transfer = str(video.get("transfer_characteristics", "")).split(" / ")
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
        scan=_SCANS.get(video.get("scan_order") or video.get("scan_type", "")),
        pixel_aspect=_aspect(video),
        preferred_transfer=_TRANSFERS.get(preferred[0]) if preferred else None,
        colour=ColourDescription(
            primaries=_PRIMARIES.get(video.get("color_primaries", "")),
            transfer=_TRANSFERS.get(transfer),
            matrix=_MATRICES.get(video.get("matrix_coefficients", "")),
            full_range=_RANGES.get(video.get("color_range", "")),
            chroma_location=int(position) if position.isdigit() else None,
        ),
        hdr=HdrMetadata(mastering=_mastering(video), light=_light(video)),
    )


def _rate(video: dict[str, Any]) -> Fraction | None:
    if "framerate_num" in video:
        return Fraction(int(video["framerate_num"]), int(video["framerate_den"]))
    if "frame_rate" not in video:
        return None
    written = Fraction(video["frame_rate"])  # rounded to thousandths
    return next((rate for rate in RATES.values() if abs(rate - written) <= _RATE_ROUNDING), written)


def _aspect(video: dict[str, Any]) -> Fraction | None:
    """Rounded to thousandths, too; None where it is no ratio that there is."""
    written = Fraction(str(video.get("pixel_aspect_ratio", "0")))
    return next((ratio for ratio in _ASPECTS if abs(ratio - written) <= _RATE_ROUNDING), None)


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
