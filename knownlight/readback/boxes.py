"""ISO base media boxes: what an MP4 says of its video track, and where its samples lie.

ISO/IEC 14496-12 (box structure, sample tables, colr, mdcv, clli) and 14496-15 (hvcC, avcC); written from
memory of the standards and checked against MediaInfo and ffmpeg in the tests.
"""

import struct
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.configuration import CONFIGURATIONS, setup_of
from knownlight.readback.stated import BOTTOM_FIRST, PROGRESSIVE, TOP_FIRST, Stated
from knownlight.readback.track import Sample, VideoTrack

_CONTAINERS = {"moov", "trak", "mdia", "minf", "stbl", "edts", "udta"}
_UPRIGHT = (65536, 0, 0, 0, 65536, 0, 0, 0, 1 << 30)  # the unity matrix of clause 6.2.2
_FIRST_SHOWN = {1: TOP_FIRST, 14: TOP_FIRST, 6: BOTTOM_FIRST, 9: BOTTOM_FIRST}
_VISUAL_ENTRY_BYTES = 78  # fields of a VisualSampleEntry before its own boxes


Box = tuple[str, bytes]


def boxes_in(data: bytes, where: str) -> Iterator[Box]:
    """Boxes of a stretch of bytes, one after another."""
    position = 0
    while position + 8 <= len(data):
        size, kind = struct.unpack_from(">I4s", data, position)
        header = 8
        if size == 1:
            (size,) = struct.unpack_from(">Q", data, position + 8)
            header = 16
        elif size == 0:
            size = len(data) - position
        if size < header or position + size > len(data):
            raise UnreadableFile(f"{where}: box {kind!r} runs past its place; the file is damaged")
        yield kind.decode("latin-1"), data[position + header : position + size]
        position += size


class Tree:
    """Boxes of a track, or of the movie without its tracks, by path."""

    def __init__(self, data: bytes, where: str) -> None:
        self._where = where
        self._found: dict[str, bytes] = {}
        self._walk(data, "")

    def _walk(self, data: bytes, path: str) -> None:
        for kind, body in boxes_in(data, self._where):
            here = f"{path}/{kind}"
            self._found.setdefault(here, body)
            if kind in _CONTAINERS:
                self._walk(body, here)

    def get(self, path: str) -> bytes | None:
        """The content of a box; None where there is none."""
        return self._found.get(path)

    def need(self, path: str) -> bytes:
        """The content of a box that must be there."""
        if path not in self._found:
            raise UnreadableFile(f"{self._where}: box {path} is missing; the file is damaged or no clip")
        return self._found[path]


def movie_of(path: Path) -> tuple[bytes, bool]:
    """The moov box of a file, and whether it comes before the media data."""
    found: tuple[bytes, bool] | None = None
    seen_media = False
    with path.open("rb") as file:
        total = file.seek(0, 2)
        position = 0
        while position + 8 <= total:
            file.seek(position)
            size, kind = struct.unpack(">I4s", file.read(8))
            header = 8
            if size == 1:
                (size,) = struct.unpack(">Q", file.read(8))
                header = 16
            if size < header or position + size > total:
                raise UnreadableFile(
                    f"{path}: box {kind!r} runs past the end; the file is cut short or no MP4"
                )
            if kind == b"moov":
                found = file.read(size - header), not seen_media
            seen_media = seen_media or kind == b"mdat"
            position += size
    if found is None:
        raise UnreadableFile(f"{path}: no moov box; the file is cut short or no MP4")
    if position != total:
        raise UnreadableFile(f"{path}: part of a box at the end; the file is cut short")
    return found


def read_mp4(path: Path) -> VideoTrack:
    """Read the headers of an MP4.

    Raises:
        UnreadableFile: where it is no MP4 with one video track, or damaged.
    """
    where = str(path)
    try:
        moov, moov_first = movie_of(path)
        tracks = [Tree(body, where) for kind, body in boxes_in(moov, where) if kind == "trak"]
        handlers = [tree.need("/mdia/hdlr")[8:12] for tree in tracks]
        if handlers.count(b"vide") != 1:
            raise UnreadableFile(f"{where}: {handlers.count(b'vide')} video tracks instead of one")
        return _video(
            tracks[handlers.index(b"vide")], where, sound=b"soun" in handlers, index_first=moov_first
        )
    except OSError as error:
        raise UnreadableFile(f"{where}: {error.strerror or error}") from error
    except (struct.error, IndexError) as error:
        raise UnreadableFile(f"{where}: a box is too short ({error}); the file is damaged") from error


def _video(tree: Tree, where: str, *, sound: bool, index_first: bool) -> VideoTrack:
    table = "/mdia/minf/stbl"
    timescale = timescale_of(tree.need("/mdia/mdhd"))
    runs = pairs(tree.need(f"{table}/stts"))
    samples = samples_of(tree, table)
    lengths = {delta for count, delta in runs if count}
    stated, setup = _sample_entry(tree.need(f"{table}/stsd"), where)
    delta = runs[0][1] if runs else 0
    return VideoTrack(
        stated=replace(stated, rate=Fraction(timescale, delta) if delta else None, frames=len(samples)),
        samples=samples,
        steady=len(lengths) == 1 and sum(count for count, _ in runs) == len(samples),
        starts_at=_start(tree.get("/edts/elst")),
        sound=sound,
        index_first=index_first,
        setup=setup,
        **_placed(tree.need("/tkhd")),
    )


def _placed(tkhd: bytes) -> dict[str, Any]:
    """Where the track header puts the picture: matrix and size in fixed point."""
    after = 36 if tkhd[0] == 1 else 24  # version 1 has 64-bit times; then layer, group, volume and two gaps
    *matrix, width, height = struct.unpack_from(">9i2I", tkhd, after + 16)
    return {"shown": (width / 65536, height / 65536), "upright": tuple(matrix) == _UPRIGHT}


def timescale_of(mdhd: bytes) -> int:
    """Ticks a second of a track's clock."""
    offset = 20 if mdhd[0] == 1 else 12
    return int(struct.unpack_from(">I", mdhd, offset)[0])


def pairs(body: bytes) -> list[tuple[int, int]]:
    """Entries of two integers after a count (stts)."""
    (count,) = struct.unpack_from(">I", body, 4)
    flat = struct.unpack_from(f">{2 * count}I", body, 8)
    return list(zip(flat[0::2], flat[1::2], strict=True))


def _numbers(body: bytes, letter: str = "I") -> tuple[int, ...]:
    """Entries of one integer after a count (stss, stco, co64)."""
    (count,) = struct.unpack_from(">I", body, 4)
    return struct.unpack_from(f">{count}{letter}", body, 8)


def _start(elst: bytes | None) -> int:
    """Media time of the first edit; -1 is a pause before anything is shown."""
    if elst is None:
        return 0
    if elst[0] == 1:
        return int(struct.unpack_from(">q", elst, 16)[0])
    return int(struct.unpack_from(">i", elst, 12)[0])


def samples_of(tree: Tree, table: str) -> tuple[Sample, ...]:
    """Place and size of a track's samples, from the boxes of its sample table."""
    stsz = tree.need(f"{table}/stsz")
    same, count = struct.unpack_from(">II", stsz, 4)
    sizes = (same,) * count if same else struct.unpack_from(f">{count}I", stsz, 12)
    wide = tree.get(f"{table}/co64")
    chunks = _numbers(wide, "Q") if wide is not None else _numbers(tree.need(f"{table}/stco"))
    syncs_box = tree.get(f"{table}/stss")
    syncs = set(_numbers(syncs_box)) if syncs_box is not None else set(range(1, count + 1))
    stsc = tree.need(f"{table}/stsc")
    (entries,) = struct.unpack_from(">I", stsc, 4)
    runs = [struct.unpack_from(">III", stsc, 8 + 12 * index) for index in range(entries)]
    result: list[Sample] = []
    for run, (first, in_chunk, _) in enumerate(runs):
        last = runs[run + 1][0] - 1 if run + 1 < len(runs) else len(chunks)
        for chunk in chunks[first - 1 : last]:
            offset = chunk
            for _ in range(in_chunk):
                index = len(result)
                if index == count:
                    break
                result.append(Sample(offset, sizes[index], index + 1 in syncs))
                offset += sizes[index]
    return tuple(result)


def _sample_entry(stsd: bytes, where: str) -> tuple[Stated, bytes]:
    """What it says, and what it sets a decoder up with."""
    kind, entry = next(boxes_in(stsd[8:], where), ("", b""))
    if not entry:
        raise UnreadableFile(f"{where}: the sample description is empty; the file is damaged")
    width, height = struct.unpack_from(">HH", entry, 24)
    inner = dict(boxes_in(entry[_VISUAL_ENTRY_BYTES:], where))
    facts: dict[str, Any] = {}
    setup = b""
    for box, read in CONFIGURATIONS.items():
        if box in inner:
            facts, setup = read(inner[box]), setup_of(box, inner[box])
    stated = Stated(
        tag=kind,
        width=width,
        height=height,
        scan=_scan(inner.get("fiel")),
        pixel_aspect=_aspect(inner.get("pasp")),
        colour=read_colr(inner.get("colr")),
        hdr=HdrMetadata(mastering=read_mdcv(inner.get("mdcv")), light=read_clli(inner.get("clli"))),
        **facts,
    )
    return stated, setup


def _scan(body: bytes | None) -> str | None:
    """Fields of a sample; of two, 1 and 14 say that the top one is shown first, 6 and 9 the bottom one."""
    if body is None:
        return None
    fields, order = body[0], body[1]
    return PROGRESSIVE if fields == 1 else _FIRST_SHOWN.get(order)


def _aspect(body: bytes | None) -> Fraction | None:
    """Width of a pixel over its height."""
    if body is None:
        return None
    across, down = struct.unpack_from(">II", body)
    return Fraction(across, down) if down else None


def read_colr(body: bytes | None) -> ColourDescription:
    """An nclx colour box; nothing where there is none, or another kind."""
    if body is None or body[:4] != b"nclx":
        return ColourDescription()
    primaries, transfer, matrix, flags = struct.unpack_from(">HHHB", body, 4)
    return ColourDescription(primaries=primaries, transfer=transfer, matrix=matrix, full_range=flags >> 7)


def read_mdcv(body: bytes | None) -> MasteringDisplay | None:
    """A mastering display box, whose primaries lie as green, blue, red."""
    if body is None:
        return None
    gx, gy, bx, by, rx, ry, wx, wy, high, low = struct.unpack_from(">8H2I", body)
    return MasteringDisplay(
        red=(rx, ry), green=(gx, gy), blue=(bx, by), white=(wx, wy), max_luminance=high, min_luminance=low
    )


def read_clli(body: bytes | None) -> ContentLight | None:
    """A content light level box."""
    if body is None:
        return None
    max_cll, max_fall = struct.unpack_from(">HH", body)
    return ContentLight(max_cll=max_cll, max_fall=max_fall)
