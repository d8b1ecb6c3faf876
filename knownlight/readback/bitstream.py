"""What the coded video itself says: its headers and messages, as ffmpeg's `trace_headers` prints them."""

import re
from pathlib import Path

from knownlight import ffmpeg
from knownlight.errors import UnreadableFile
from knownlight.readback.headers import Sections, stated_by
from knownlight.readback.stated import Stated

_LINE = re.compile(r"\[trace_headers[^\]]*\] (?P<text>.*)")
_FIELD = re.compile(r"\d+ +(?P<name>[a-z]\w*(?:\[\d+\])*) .*= (?P<value>-?\d+)$")


def read_both_copies(path: Path, stop: ffmpeg.Stop) -> tuple[Stated, Stated]:
    """Headers as the container's copy has them, and as they stand with the first picture.

    A container may hold copies of parameter sets and SEI messages; those that come with the pictures are the
    ones that decoders obey, and the same where the pictures bring none.

    Raises:
        ToolFailed, UnreadableFile: where there is no video of a known kind.
    """
    _, words = ffmpeg.run(
        [
            *("-i", str(path), "-map", "0:v:0", "-c", "copy", "-frames:v", "1"),
            *("-bsf:v", "trace_headers", "-f", "null", "-"),
        ],
        what=f"{path}: the headers could not be read",
        stop=stop,
    )
    first, last = _sections(words)
    copy, obeyed = stated_by(first), stated_by(last)
    if copy is None or obeyed is None:
        raise UnreadableFile(f"{path}: no sequence header was found; the video is of no known kind")
    return copy, obeyed


def _sections(words: str) -> tuple[Sections, Sections]:
    """Fields by section, as printed first and as printed last."""
    first: Sections = {}
    last: Sections = {}
    section = ""
    for line in words.splitlines():
        match = _LINE.match(line)
        if match is None:
            continue
        text = match["text"]
        field = _FIELD.match(text)
        if field:
            first.setdefault(section, {}).setdefault(field["name"], int(field["value"]))
            last.setdefault(section, {})[field["name"]] = int(field["value"])
        elif not text[:1].isdigit():
            section = text.strip()
    return first, last
