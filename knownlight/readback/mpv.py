"""What the player mpv would show a clip as: its `video-dec-params`, once the first picture is decoded.

It is built on ffmpeg's libraries, of another version than ours; what it makes of them, a player shows.
"""

import json
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import LUMINANCE_UNITS, ContentLight, HdrMetadata
from knownlight.readback.stated import Stated
from knownlight.readback.tools import Tool, said
from knownlight.readback.usual_rate import usual_rate

TOOL = Tool(
    programs=("mpv",),
    package="mpv",
    asks_version=("--version",),
    understood=("0.35.", "0.36."),  # 0.37 tells HDR metadata anew (its interface-changes); that was not tried
)

_SAYS = "--term-playing-msg=[${=video-dec-params}, ${=container-fps}, ${=width}, ${=height}] ${video-format}"
_LINE = re.compile(r"^(?P<facts>\[\{.*\]) (?P<codec>\w+)$", re.MULTILINE)
_CODECS = {"hevc": "hevc", "h264": "avc", "av1": "av1", "vp9": "vp9", "mpeg2video": "mpeg2"}
_PRIMARIES = {"bt.709": 1, "bt.2020": 9}
_TRANSFERS = {"bt.1886": 1, "srgb": 13, "pq": 16, "hlg": 18}  # bt.1886 is also what it calls points 6, 14, 15
_MATRICES = {"rgb": 0, "bt.709": 1, "bt.2020-ncl": 9}
_RANGES = {"limited": 0, "full": 1}
_LOCATIONS = {"mpeg2/4/h264": 0, "mpeg1/jpeg": 1, "uhd": 2}
_FORMAT = re.compile(r"yuv420p(?P<depth>\d*)$")
_REFERENCE_WHITE = 203  # cd/m², BT.2408: mpv counts `sig-peak` in it


def read_mpv(path: Path, stop: Stop) -> Stated:
    """Facts as mpv words them, turned back into numbers.

    A word that is not known becomes None. The light level is the peak that it would tone-map from, as MaxCLL;
    it tells no MaxFALL, which reads as 0, not known.

    Raises:
        ToolFailed: where mpv is absent or does not answer.
        UnreadableFile: where it shows no picture of it.
    """
    words = said(
        [
            *(TOOL.needed, "--no-config", "--no-audio", "--vo=null", "--untimed", "--frames=1", "--hwdec=no"),
            *("--msg-level=all=no,term-msg=info", _SAYS, "--", str(path)),
        ],
        what=f"{path}: mpv did not play it",
        stop=stop,
    )
    match = _LINE.search(words)
    if match is None:
        raise UnreadableFile(f"{path}: mpv shows no picture of it")
    params, rate, width, height = json.loads(match["facts"])
    peak = round(params["sig-peak"] * _REFERENCE_WHITE)
    return Stated(
        codec=_CODECS.get(match["codec"]),
        width=width,
        height=height,
        rate=usual_rate(Fraction(rate)),
        depth=_depth(params),
        colour=ColourDescription(
            primaries=_PRIMARIES.get(params["primaries"]),
            transfer=_TRANSFERS.get(params["gamma"]),
            matrix=_MATRICES.get(params["colormatrix"]),
            full_range=_RANGES.get(params["colorlevels"]),
            chroma_location=_LOCATIONS.get(params["chroma-location"]),
        ),
        hdr=HdrMetadata(light=ContentLight(max_cll=peak, max_fall=0) if peak else None),
    )


def _depth(params: dict[str, Any]) -> int | None:
    match = _FORMAT.match(params["pixelformat"])
    return int(match["depth"] or 8) if match else None


def told_peak(hdr: HdrMetadata) -> HdrMetadata:
    """The same with what mpv must tell as MaxCLL: where that is not known, the mastering display's peak."""
    light = hdr.light or ContentLight(max_cll=0, max_fall=0)
    mastered = hdr.mastering.max_luminance // LUMINANCE_UNITS if hdr.mastering else 0
    peak = light.max_cll or mastered
    return replace(hdr, light=replace(light, max_cll=peak) if peak else None)
