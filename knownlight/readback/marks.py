"""Chapter marks: when each begins, and its title.

MP4 holds them twice, as a track of text that the other tracks refer to (ISO/IEC 14496-12, `chap`; QuickTime's
file format) and as a list among the user data (`chpl`, of no standard); both are read, since players differ.
Matroska and WebM have elements for them (RFC 9559 clause 5.1.7). From memory of these, checked against
MediaInfo, mpv and ffmpeg in the tests.
"""

import re
import struct
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from pathlib import Path

from knownlight.errors import UnreadableFile
from knownlight.readback import mediainfo
from knownlight.readback.boxes import Tree, boxes_in, movie_of, pairs, samples_of, timescale_of
from knownlight.readback.files import Container, container_of
from knownlight.readback.matroska import SEGMENT, bytes_at, elements_of, inner_elements, number_of

_CHPL_CLOCK = 10_000_000  # ticks/s
_CHAPTERS, _EDITION, _ATOM, _START, _DISPLAY, _TITLE = 0x1043A770, 0x45B9, 0xB6, 0x91, 0x80, 0x85
_NANOSECONDS = 1_000_000_000
_MENU_TIME = re.compile(r"(?P<hours>\d+)_(?P<minutes>\d\d)_(?P<seconds>\d\d)(?P<thousandths>\d{3})$")
_LANGUAGE = re.compile(r"^([a-z]{2,3})?:")


@dataclass(frozen=True)
class Mark:
    """A chapter mark: when it begins after the first picture, and its title."""

    seconds: Fraction
    title: str


def read_marks(path: Path) -> dict[str, tuple[Mark, ...]]:
    """The marks of a file, by each place in it that holds them.

    Raises:
        UnreadableFile: where there is no such file, or it is damaged.
    """
    container = container_of(path)
    try:
        match container:
            case Container.MP4:
                return _of_mp4(path)
            case Container.MATROSKA:
                return {"chapters": tuple(_of_matroska(path))}
            case Container.TRANSPORT_STREAM:
                return {}
    except (struct.error, IndexError, ArithmeticError, ValueError, OSError) as error:
        raise UnreadableFile(f"{path}: its chapter marks make no sense ({error}); it is damaged") from error


def read_mediainfo_marks(path: Path) -> list[tuple[Mark, ...]]:
    """The marks of each menu that MediaInfo finds, in milliseconds."""
    menus = [track for track in mediainfo.tracks(path) if track["track_type"] == "Menu"]
    return [tuple(_of_menu(menu)) for menu in menus]


def _of_menu(menu: dict[str, object]) -> list[Mark]:
    marks = []
    for key, title in menu.items():
        match = _MENU_TIME.match(key)
        if match:
            minutes = 60 * int(match["hours"]) + int(match["minutes"])
            thousandths = 1000 * (60 * minutes + int(match["seconds"])) + int(match["thousandths"])
            marks.append(Mark(Fraction(thousandths, 1000), _LANGUAGE.sub("", str(title))))
    return marks


def _of_mp4(path: Path) -> dict[str, tuple[Mark, ...]]:
    movie, _ = movie_of(path)
    tracks = [Tree(body, str(path)) for kind, body in boxes_in(movie, str(path)) if kind == "trak"]
    texts = [tree for tree in tracks if tree.need("/mdia/hdlr")[8:12] == b"text"]
    listed = Tree(movie, str(path)).get("/udta/chpl")
    found = {}
    if texts:
        found["text track"] = tuple(mark for tree in texts for mark in _of_text_track(path, tree))
    if listed is not None:
        found["list"] = tuple(_of_list(listed))
    return found


def _of_text_track(path: Path, tree: Tree) -> list[Mark]:
    """A sample is a title, after its length in two bytes."""
    table = "/mdia/minf/stbl"
    lengths = [delta for count, delta in pairs(tree.need(f"{table}/stts")) for _ in range(count)]
    clock = timescale_of(tree.need("/mdia/mdhd"))
    marks = []
    with path.open("rb") as file:
        starts = accumulate(lengths, initial=0)
        for start, sample in zip(starts, samples_of(tree, table), strict=False):
            file.seek(sample.offset)
            (length,) = struct.unpack(">H", file.read(2))
            marks.append(Mark(Fraction(start, clock), file.read(length).decode()))
    return marks


def _of_list(chpl: bytes) -> list[Mark]:
    """After eight bytes how many; of each a time of 64 bits, and a title after its length."""
    marks, place = [], 9
    for _ in range(chpl[8]):
        start, length = struct.unpack_from(">QB", chpl, place)
        place += 9 + length
        marks.append(Mark(Fraction(start, _CHPL_CLOCK), chpl[place - length : place].decode()))
    return marks


def _of_matroska(path: Path) -> list[Mark]:
    marks = []
    with path.open("rb") as file:
        total = file.seek(0, 2)
        for segment, start, size in elements_of(file, 0, total, str(path)):
            if segment != SEGMENT:
                continue
            for kind, at, length in elements_of(file, start, start + size, str(path)):
                if kind == _CHAPTERS:
                    marks += [
                        _of_atom(atom)
                        for edition, body in inner_elements(bytes_at(file, at, length))
                        if edition == _EDITION
                        for inner, atom in inner_elements(body)
                        if inner == _ATOM
                    ]
    return marks


def _of_atom(atom: bytes) -> Mark:
    parts = dict(inner_elements(atom))
    title = dict(inner_elements(parts.get(_DISPLAY, b""))).get(_TITLE, b"")
    return Mark(Fraction(number_of(parts.get(_START)), _NANOSECONDS), title.decode())
