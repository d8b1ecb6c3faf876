"""mpv: plays without showing or sounding; a script in its own language tells what it knows."""

import json
import re
import shutil
import subprocess
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any, ClassVar

from tests.players.told import NOT_OPENED, Asked, Colour, Told, is_even, is_middle

_SCRIPT = Path(__file__).with_name("report.lua")
_TIMEOUT = 60.0  # s; it takes less than one
# Warnings of all parts; errors alone of the one that keeps time, as it warns where the machine is slow; and
# the ordinary words of the filter that tells of every picture.
_WORDS = "all=warn,cplayer=error,report=info,ffmpeg=v,ffmpeg/demuxer=warn,ffmpeg/video=warn,ffmpeg/audio=warn"
_LINE = re.compile(r"\[(?P<who>[^\]]+)\] (?P<words>.*)")
_PICTURE = re.compile(r"Parsed_showinfo_0: n: *\d+ .*?pts_time:(?P<time>\S+) .*? i:(?P<scan>[PTB]) ")
_RATE = re.compile(r"config in time_base: \S+, frame_rate: (?P<rate>\d+/\d+)")
_SCANS = {"P": "progressive", "T": "top field first", "B": "bottom field first"}
_SDR_WHITE = 203  # cd/m² that it holds to be 1 (BT.2408)


class Mpv:
    """The player."""

    name = "mpv"
    silent: frozenset[str] = frozenset()
    silent_of_stills = frozenset({"scan"})
    # it has one name for the curves of BT.709 and BT.601, and one for both matrices of BT.601
    colours: ClassVar[Mapping[Colour, str]] = {
        Colour.BT709: "bt.709 bt.1886 bt.709 limited",
        Colour.BT601_625: "bt.601-625 bt.1886 bt.601 limited",
        Colour.BT601_525: "bt.601-525 bt.1886 bt.601 limited",
        Colour.PQ: "bt.2020 pq bt.2020-ncl limited",
        Colour.HLG: "bt.2020 hlg bt.2020-ncl limited",
        Colour.RGB_BT709: "bt.709 bt.1886 rgb full",
        Colour.RGB_SRGB: "bt.709 srgb rgb full",
        Colour.RGB_PQ: "bt.2020 pq rgb full",
        Colour.RGB_HLG: "bt.2020 hlg rgb full",
        Colour.LINEAR_BT709: "bt.709 linear rgb full",
        Colour.LINEAR_BT2020: "bt.2020 linear rgb full",
        Colour.JPEG_BT709: "bt.709 bt.1886 bt.601 full",
        Colour.JPEG_SRGB: "bt.709 srgb bt.601 full",
    }
    chroma: ClassVar[Mapping[bool, str]] = {False: "mpeg2/4/h264", True: "uhd"}

    @staticmethod
    def missing() -> str:
        """Why it cannot be had here; empty where it can."""
        return "" if shutil.which("mpv") else "mpv is absent; Debian's mpv has it"

    def version(self) -> str:
        """Its version."""
        shown = subprocess.run(["mpv", "--version"], capture_output=True, text=True, check=True).stdout
        return shown.split()[1]

    def play(self, asked: Asked) -> Told:
        """Play a file to its end, then jump to its middle."""
        ran = subprocess.run(
            [
                *("mpv", "--no-config", "--vo=null", "--ao=null", "--ao-null-untimed=yes"),
                *("--hwdec=no", "--untimed", "--keep-open=yes"),
                *("--image-display-duration=0.1", f"--script={_SCRIPT}", "--vf=lavfi=[showinfo]"),
                f"--msg-level={_WORDS}",
                str(asked.path),
            ],
            capture_output=True,
            text=True,
            timeout=_TIMEOUT,
            check=False,
        )
        return _told(ran.stdout + ran.stderr, asked)


def _told(output: str, asked: Asked) -> Told:
    """What its lines tell: one for each picture, and the script's."""
    told: dict[str, dict[str, Any]] = {}
    times: list[float] = []
    scans: set[str] = set()
    rates: list[float] = []
    complaints: list[str] = []
    of_jump: list[str] = []
    for line in output.splitlines():
        match = _LINE.match(line)
        if match and match["who"] == "report":
            facts = json.loads(match["words"])
            told[facts.pop("kind")] = facts
        elif match is None or match["who"] != "ffmpeg":
            (of_jump if "ended" in told else complaints).append(line)
        elif "ended" not in told:
            picture, rate = _PICTURE.match(match["words"]), _RATE.search(match["words"])
            if picture:
                times.append(float(picture["time"]))
                scans.add(_SCANS[picture["scan"]])
            elif rate:
                rates.append(float(Fraction(rate["rate"])))
    if not times or "ended" not in told:
        return replace(NOT_OPENED, complaints=tuple(complaints))
    ended = told["ended"]
    video = ended["video"]
    if ended["dropped"]:
        complaints.append(f"{ended['dropped']} pictures dropped")
    return Told(
        opened=True,
        ended=True,
        pictures=len(times),
        even=is_even(times, asked.rate),
        seconds=ended.get("seconds"),
        size=f"{video['w']}x{video['h']}",
        shown=f"{video['dw']}x{video['dh']}",
        rate=rates[0],
        scan=" and ".join(sorted(scans)),
        colour=" ".join(video[key] for key in ("primaries", "gamma", "colormatrix", "colorlevels")),
        chroma=video.get("chroma-location"),
        max_cll=int(video["sig-peak"] * _SDR_WHITE + 0.5),
        sound="sound" in ended,
        middle="middle" in told and is_middle(told["middle"]["at"], asked) and not of_jump,
        complaints=tuple(complaints),
    )
