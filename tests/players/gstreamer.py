"""GStreamer: decodes to the end and prints what it negotiates and every picture's time."""

import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import ClassVar

from tests.players.told import NOT_OPENED, Asked, Colour, Told, is_even

_TIMEOUT = 60.0  # s; it takes less than one
_CAPS = re.compile(r" caps = (?P<caps>video/x-raw, format=.*)")  # of whichever element
_FIELD = re.compile(r"(?P<key>[\w-]+)=\((?:string|int|uint|fraction)\)(?P<value>\"[^\"]*\"|[^,;]+)")
_BUFFER = re.compile(
    r'Got message #\d+ from element "(?P<sink>pictures|sound)" \(element\): GstMultiFileSink, '
    r".*? timestamp=\(guint64\)(?P<ns>\d+)"
)
_NONE = (1 << 64) - 1  # what it writes for no time
_NANOSECONDS = 1_000_000_000
_COMPLAINT = re.compile(r"^(ERROR|WARNING)")
_NO_STREAM = "An error was encountered while discovering the file"
_LENGTH = re.compile(r"^ +Duration: (?P<length>[\d:.]+)", re.MULTILINE)
_SCANS = {
    ("progressive", None): "progressive",
    ("interleaved", "top-field-first"): "top field first",
    ("interleaved", "bottom-field-first"): "bottom field first",
}


class GStreamer:
    """The player."""

    name = "GStreamer"
    silent = frozenset({"middle"})  # its command line cannot jump
    silent_of_stills = frozenset({"scan"})
    # its names; a colour that has none is range:matrix:transfer:primaries in numbers of its own
    colours: ClassVar[Mapping[Colour, str]] = {
        Colour.BT709: "bt709",
        Colour.BT601_625: "2:4:16:3",
        Colour.BT601_525: "bt601",
        Colour.PQ: "bt2100-pq",
        Colour.HLG: "bt2100-hlg",
        Colour.RGB_BT709: "1:1:5:1",
        Colour.RGB_SRGB: "sRGB",
        Colour.RGB_PQ: "1:1:14:7",
        Colour.RGB_HLG: "1:1:15:7",
        Colour.LINEAR_BT709: "1:1:1:1",
        Colour.LINEAR_BT2020: "1:1:1:7",
        Colour.JPEG_BT709: "1:4:5:1",
        Colour.JPEG_SRGB: "1:4:7:1",
    }
    chroma: ClassVar[Mapping[bool, str]] = {False: "mpeg2", True: "dv"}

    @staticmethod
    def missing() -> str:
        """Why it cannot be had here; empty where it can."""
        if shutil.which("gst-launch-1.0") and shutil.which("gst-discoverer-1.0"):
            return ""
        return "GStreamer is absent; Debian's gstreamer1.0-tools and -plugins-base-apps have it"

    def version(self) -> str:
        """Its version."""
        return _output("gst-launch-1.0", "--version").split()[2]

    def play(self, asked: Asked) -> Told:
        """Decode a file to its end."""
        discovered = _output("gst-discoverer-1.0", str(asked.path))
        if _NO_STREAM in discovered:
            # not tried further: there the program that plays may wait forever
            return replace(NOT_OPENED, complaints=(discovered.partition(_NO_STREAM)[2].strip(),))
        with tempfile.TemporaryDirectory(prefix="gstreamer-") as folder:
            sound = () if asked.still else _sink("audio", "sound", folder)
            output = _output(
                *("gst-launch-1.0", "-v", "-m", "filesrc", f"location={asked.path}"),
                *("!", "decodebin", "name=file", *_sink("video", "pictures", folder), *sound),
            )
        return _told(output, discovered, asked)


def _sink(kind: str, name: str, folder: str) -> tuple[str, ...]:
    """Elements that take one kind of decoded stream and post a message of every buffer.

    Each buffer replaces the file before it, which therefore must be one of our own: a device would be lost.
    """
    sink = ("multifilesink", f"name={name}", f"location={folder}/{name}", "post-messages=true")
    return ("file.", "!", f"{kind}/x-raw", "!", "queue", "!", *sink)


def _output(*command: str) -> str:
    ran = subprocess.run(command, capture_output=True, text=True, timeout=_TIMEOUT, check=False)
    return ran.stdout + ran.stderr


def _told(output: str, discovered: str, asked: Asked) -> Told:
    """What it negotiated for the pictures, and the messages of their buffers."""
    lines = output.splitlines()
    complaints = tuple(line for line in lines if _COMPLAINT.match(line))
    caps = [match["caps"] for line in lines if (match := _CAPS.search(line))]
    times = list(_times("pictures", lines))
    if not caps or not times:
        return replace(NOT_OPENED, complaints=complaints)
    stated = {match["key"]: match["value"].strip('"') for match in _FIELD.finditer(caps[-1])}
    width, height = int(stated["width"]), int(stated["height"])
    shape = Fraction(stated.get("pixel-aspect-ratio", "1/1"))
    light = stated.get("content-light-level")
    length = _LENGTH.search(discovered)
    return Told(
        opened=True,
        ended="Got EOS from element" in output,
        pictures=len(times),
        even=is_even([time for time in times if time is not None], asked.rate),
        seconds=_seconds(length["length"]) if length else None,
        size=f"{width}x{height}",
        shown=f"{int(width * shape)}x{height}",
        rate=float(Fraction(stated["framerate"])),
        scan=_SCANS.get(
            (stated.get("interlace-mode", ""), stated.get("field-order")), stated.get("interlace-mode")
        ),
        colour=stated.get("colorimetry"),
        chroma=stated.get("chroma-site"),
        max_cll=int(light.split(":")[0]) if light else None,
        sound=any(True for _ in _times("sound", lines)),
        complaints=complaints,
    )


def _times(sink: str, lines: list[str]) -> Iterator[float | None]:
    """Times of a sink's buffers in seconds; None of one that has none."""
    for line in lines:
        match = _BUFFER.match(line)
        if match and match["sink"] == sink:
            yield None if int(match["ns"]) == _NONE else int(match["ns"]) / _NANOSECONDS


def _seconds(clock: str) -> float:
    """Seconds of `h:mm:ss.fraction`."""
    hours, minutes, seconds = clock.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(seconds)
