"""Reads the video track of a file by the reader of its container, which its first bytes tell."""

from enum import Enum
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.boxes import read_mp4
from knownlight.readback.matroska import MAGIC, read_matroska
from knownlight.readback.track import VideoTrack
from knownlight.readback.transport import PACKET, SYNC, read_transport


class Container(Enum):
    """Kinds of files, each by what reads it here; WebM is Matroska."""

    MP4 = "ISO base media boxes"
    MATROSKA = "Matroska elements"
    TRANSPORT_STREAM = "transport stream tables"


_READERS = {
    Container.MP4: read_mp4,
    Container.MATROSKA: read_matroska,
    Container.TRANSPORT_STREAM: read_transport,
}


def container_of(path: Path) -> Container:
    """The kind of a file by its first bytes; one that is of no kind is left to the reader of MP4 to refuse.

    Raises:
        UnreadableFile: where there is no such file.
    """
    try:
        with path.open("rb") as file:
            head = file.read(PACKET + 1)
    except OSError as error:
        raise UnreadableFile(f"{path}: {error.strerror or error}") from error
    if head.startswith(MAGIC):
        return Container.MATROSKA
    if len(head) > PACKET and head[0] == SYNC and head[PACKET] == SYNC:
        return Container.TRANSPORT_STREAM
    return Container.MP4


def read_video_track(path: Path) -> tuple[VideoTrack, Container]:
    """The video track of a file, and what contains it.

    Raises:
        UnreadableFile: where there is no such file, or it is none of the containers or damaged.
    """
    container = container_of(path)
    return _READERS[container](path), container
