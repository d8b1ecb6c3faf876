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
from knownlight.readback.stated import BOTTOM_FIRST, PROGRESSIVE, TOP_FIRST, Stated
from knownlight.readback.tools import Tool, said
from knownlight.readback.track import known_rate

TOOL = Tool(
    programs=("mpv",),
    package="mpv",
    asks_version=("--version",),
    understood=("0.35.", "0.36."),  # 0.37 tells HDR metadata anew (its interface-changes); that was not tried
)

_SAYS = (
    "--term-playing-msg=[${=video-dec-params}, ${=video-frame-info}, ${=video-params/par}, "
    "${=container-fps:null}, ${=width}, ${=height}] ${video-format}"
)
_LINE = re.compile(r"^(?P<facts>\[\{.*\]) (?P<codec>\w+)$", re.MULTILINE)
_CODECS = {"hevc": "hevc", "h264": "avc", "av1": "av1", "vp9": "vp9", "mpeg2video": "mpeg2"}
_PRIMARIES = {"bt.709": 1, "bt.601-625": 5, "bt.601-525": 6, "bt.2020": 9}
_TRANSFERS = {"bt.1886": 1, "srgb": 13, "pq": 16, "hlg": 18}
_MATRICES = {"rgb": 0, "bt.709": 1, "bt.601": 6, "bt.2020-ncl": 9}
_CALLED_ALIKE = {"transfer": {6: 1, 14: 1, 15: 1}, "matrix": {5: 6}}  # points that it has one word for
_RANGES = {"limited": 0, "full": 1}
_LOCATIONS = {"mpeg2/4/h264": 0, "mpeg1/jpeg": 1, "uhd": 2}
_FORMAT = re.compile(r"yuv420p(?P<depth>\d*)$")
_LARGEST_ASPECT = 100  # pixel aspects are told with six digits after the point: 64/45 as 1.422222
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
            *("--msg-level=all=no,term-msg=info", _SAYS, "--", str(path.resolve())),
        ],
        what=f"{path}: mpv did not play it",
        stop=stop,
    )
    match = _LINE.search(words)
    if match is None:
        raise UnreadableFile(f"{path}: mpv shows no picture of it")
    params, picture, aspect, rate, width, height = json.loads(match["facts"])
    peak = round(params["sig-peak"] * _REFERENCE_WHITE)
    return Stated(
        codec=_CODECS.get(match["codec"]),
        width=width,
        height=height,
        rate=None if rate is None else known_rate(Fraction(rate)),
        depth=_depth(params),
        scan=_scan(picture),
        pixel_aspect=Fraction(aspect).limit_denominator(_LARGEST_ASPECT),
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


def _scan(picture: dict[str, bool]) -> str:
    if not picture["interlaced"]:
        return PROGRESSIVE
    return TOP_FIRST if picture["tff"] else BOTTOM_FIRST


def as_told(wanted: Stated) -> Stated:
    """The same facts as mpv must tell them, which merges some.

    Some points of a table have one word. The transfer that is preferred stands for that of the sequence
    header. MaxCLL, where it is not known, is the mastering display's peak.
    """
    transfer = wanted.preferred_transfer or wanted.colour.transfer
    matrix = wanted.colour.matrix
    colour = replace(
        wanted.colour,
        transfer=_CALLED_ALIKE["transfer"].get(transfer or 0, transfer),
        matrix=_CALLED_ALIKE["matrix"].get(matrix or 0, matrix),
    )
    return replace(wanted, colour=colour, preferred_transfer=None, hdr=_told_peak(wanted.hdr))


def _told_peak(hdr: HdrMetadata) -> HdrMetadata:
    light = hdr.light or ContentLight(max_cll=0, max_fall=0)
    mastered = hdr.mastering.max_luminance // LUMINANCE_UNITS if hdr.mastering else 0
    peak = light.max_cll or mastered
    return replace(hdr, light=replace(light, max_cll=peak) if peak else None)
