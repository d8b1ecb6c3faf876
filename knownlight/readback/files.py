"""Reads the video track of a file by the reader of its container, which its first bytes tell."""

from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.boxes import read_mp4
from knownlight.readback.matroska import MAGIC, read_matroska
from knownlight.readback.track import VideoTrack
from knownlight.readback.transport import PACKET, SYNC, read_transport


def read_video_track(path: Path) -> tuple[VideoTrack, str]:
    """The video track of a file, and the name of what read it.

    Raises:
        UnreadableFile: where there is no such file, or it is none of the containers or damaged.
    """
    try:
        with path.open("rb") as file:
            head = file.read(PACKET + 1)
    except OSError as error:
        raise UnreadableFile(f"{path}: {error.strerror or error}") from error
    if head.startswith(MAGIC):
        return read_matroska(path), "Matroska elements"
    if len(head) > PACKET and head[0] == SYNC and head[PACKET] == SYNC:
        return read_transport(path), "transport stream tables"
    return read_mp4(path), "ISO base media boxes"
