"""MPEG transport streams: what the tables say of the video, and its pictures by their time stamps.

ITU-T H.222.0: packets (clause 2.4.3.2), PES packets (2.4.3.6), PAT and PMT (2.4.4); from memory, checked
against MediaInfo and ffmpeg in the tests. Stream types of Table 2-34.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback.stated import Stated
from knownlight.readback.track import Sample, VideoTrack, are_steady, rate_of_times

PACKET = 188
SYNC = 0x47
CLOCK = 90_000  # ticks/s of PTS and DTS
_WRAP = 1 << 33
_PAT = 0
_CODECS = {0x24: "hevc", 0x1B: "avc", 0x02: "mpeg2"}
_SOUND = {0x03, 0x04, 0x0F, 0x11, 0x81}  # MPEG audio, AAC, AC-3 as ATSC numbers it
_PRIVATE, _AC3_DESCRIPTORS = 0x06, {0x6A, 0x7A}  # DVB's AC-3: private data with a descriptor
_POLYNOMIAL = 0x104C11DB7  # of the tables' CRC, Annex A
_PACKETS_AT_ONCE = 4096
_COUNTER_STEPS = 16


@dataclass(frozen=True)
class _Packet:
    """place, offset: of the packet and of its payload in the file.

    starts: whether a PES packet or a section begins in it.
    """

    place: int
    offset: int
    pid: int
    starts: bool
    counter: int
    random_access: bool
    discontinuity: bool
    payload: bytes


def read_transport(path: Path) -> VideoTrack:
    """Read the tables and the video pictures of a transport stream.

    Raises:
        UnreadableFile: where it has not one video stream of a known kind, or is damaged.
    """
    try:
        return _Reader(path).read()
    except OSError as error:
        raise UnreadableFile(f"{path}: {error.strerror or error}") from error
    except IndexError as error:
        raise UnreadableFile(f"{path}: a table or header is too short; the file is damaged") from error


class _Reader:
    """Goes through a file once; each picture's bytes are hashed as they pass."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._pmt: int | None = None
        self._video: int | None = None
        self._type = 0
        self._sound = False
        self._counters: dict[int, int] = {}
        self._times: list[int] = []
        self._samples: list[Sample] = []
        self._begun: tuple[int, bool, int] | None = None
        self._table_at = 0  # where the last programme table began
        self._size = 0
        self._hash = hashlib.blake2b(digest_size=16)

    def read(self) -> VideoTrack:
        for packet in self._packets():
            self._check_counter(packet)
            if packet.pid == _PAT and packet.starts:
                self._pmt = _programme(self._section(packet))
                self._table_at = packet.place
            elif packet.pid == self._pmt and packet.starts:
                self._read_streams(self._section(packet))
            elif packet.pid == self._video:
                self._take(packet)
        self._end_picture()
        if self._video is None:
            raise UnreadableFile(f"{self._path}: no table names a video stream; it is no clip, or damaged")
        rate = rate_of_times(self._times, CLOCK)
        return VideoTrack(
            stated=Stated(
                codec=_CODECS[self._type], tag=str(self._type), rate=rate, frames=len(self._samples)
            ),
            samples=tuple(self._samples),
            steady=rate is None or are_steady(self._times, CLOCK, rate),
            starts_at=0,  # a stream may begin at any time
            sound=self._sound,
            index_first=True,  # there is none
            shown=None,  # the stream itself says it
        )

    def _packets(self) -> Iterator[_Packet]:
        with self._path.open("rb") as file:
            position = 0
            while data := file.read(PACKET * _PACKETS_AT_ONCE):
                if len(data) % PACKET:
                    raise UnreadableFile(f"{self._path}: part of a packet at the end; the file is cut short")
                for at in range(0, len(data), PACKET):
                    if data[at] != SYNC:
                        raise UnreadableFile(
                            f"{self._path}: no packet begins at byte {position + at}; the file is damaged"
                        )
                    yield _packet(data[at : at + PACKET], position + at)
                position += len(data)

    def _check_counter(self, packet: _Packet) -> None:
        """Packets of a stream are counted modulo 16; a gap is a lost packet."""
        if not packet.payload:
            return
        before = self._counters.get(packet.pid)
        wanted = packet.counter if before is None else (before + 1) % _COUNTER_STEPS
        if packet.counter != wanted and not packet.discontinuity:
            raise UnreadableFile(
                f"{self._path}: a packet of stream {packet.pid} is missing before byte {packet.offset}"
            )
        self._counters[packet.pid] = packet.counter

    def _section(self, packet: _Packet) -> bytes:
        """A section that fits in one packet; a pointer says where it begins."""
        start = 1 + packet.payload[0]
        section = packet.payload[start : start + 3 + _twelve(packet.payload, start + 1)]
        if _checksum(section):
            raise UnreadableFile(
                f"{self._path}: the table at byte {packet.place} has a wrong checksum; the file is damaged"
            )
        return section

    def _read_streams(self, section: bytes) -> None:
        position = 12 + _twelve(section, 10)
        videos = []
        while position + 5 <= len(section) - 4:  # a CRC of four bytes closes the section
            kind, pid = section[position], _thirteen(section, position + 1)
            length = _twelve(section, position + 3)
            descriptors = section[position + 5 : position + 5 + length]
            if kind in _CODECS:
                videos.append((pid, kind))
            self._sound |= kind in _SOUND or (
                kind == _PRIVATE and bool(_AC3_DESCRIPTORS & _tags(descriptors))
            )
            position += 5 + length
        if len(videos) != 1:
            raise UnreadableFile(f"{self._path}: {len(videos)} video streams instead of one")
        self._video, self._type = videos[0]

    def _take(self, packet: _Packet) -> None:
        payload, offset = packet.payload, packet.offset
        if packet.starts:
            self._end_picture()
            header = 9 + payload[8]
            if payload[7] & 0x80:
                time = _time_stamp(payload, 9)
                self._times.append(time + (_WRAP if self._times and time < self._times[0] else 0))
            self._begun = (offset + header, packet.random_access, self._table_at)
            payload = payload[header:]
        self._hash.update(payload)
        self._size += len(payload)

    def _end_picture(self) -> None:
        if self._begun is not None:
            offset, is_sync, entry = self._begun
            self._samples.append(Sample(offset, self._size, is_sync, self._hash.digest(), entry))
        self._hash, self._size = hashlib.blake2b(digest_size=16), 0


def _packet(data: bytes, position: int) -> _Packet:
    control, skip = data[3] >> 4 & 3, 4
    flags = 0
    if control & 2:
        length = data[4]
        skip += 1 + length
        flags = data[5] if length else 0
    return _Packet(
        place=position,
        offset=position + skip,
        pid=_thirteen(data, 1),
        starts=bool(data[1] & 0x40),
        counter=data[3] & 15,
        random_access=bool(flags & 0x40),
        discontinuity=bool(flags & 0x80),
        payload=data[skip:] if control & 1 else b"",
    )


@lru_cache(maxsize=16)
def _checksum(section: bytes) -> int:
    """CRC of Annex A; 0 of a section with its own at the end."""
    remainder = 0xFFFFFFFF
    for byte in section:
        remainder ^= byte << 24
        for _ in range(8):
            remainder = remainder << 1 ^ (_POLYNOMIAL if remainder >> 31 else 0)
    return remainder


def _programme(section: bytes) -> int | None:
    """PID of the first programme's table; number 0 is the network's."""
    for position in range(8, len(section) - 4, 4):
        if section[position] or section[position + 1]:
            return _thirteen(section, position + 2)
    return None


def _tags(descriptors: bytes) -> set[int]:
    tags, position = set(), 0
    while position + 2 <= len(descriptors):
        tags.add(descriptors[position])
        position += 2 + descriptors[position + 1]
    return tags


def _twelve(data: bytes, at: int) -> int:
    return (data[at] & 15) << 8 | data[at + 1]


def _thirteen(data: bytes, at: int) -> int:
    return (data[at] & 31) << 8 | data[at + 1]


def _time_stamp(data: bytes, at: int) -> int:
    """33 bits with marker bits between them."""
    high, middle, low = (
        data[at] >> 1 & 7,
        (data[at + 1] << 8 | data[at + 2]) >> 1,
        data[at + 3] << 8 | data[at + 4],
    )
    return high << 30 | middle << 15 | low >> 1
