"""Pictures of flat rectangles and of fields: rectangles filled with one small tile over and over.

A tile is written out code by code. The frame is painted from it by array code; how often each of its codes
is in a field is counted apart from that, by scalar arithmetic.
"""

from abc import abstractmethod
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from knownlight.frame.claims import Claims, CodeTriple, Hazard
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.sources import Still
from knownlight.signal.arrays import PlaneArray
from patterns.patches import Layout, Patch, PatchFamily, frame_of, layout_claims, overlap, painted_planes

Tile = tuple[tuple[CodeTriple, ...], ...]
_STRIPED_SHARE = 0.4  # of the screen, still: ITU-R BT.1702 on regular patterns, known second-hand


@dataclass(frozen=True)
class Field:
    """A rectangle on even positions, filled from its top left corner with a tile: rows of code triples.

    At 4:2:0 the four pixels of a chroma sample must have one colour difference.
    """

    rect: Rect
    tile: Tile


@dataclass(frozen=True, kw_only=True)
class TiledLayout(Layout):
    """A whole picture; its fields lie on top of its patches, apart from each other and from labels."""

    fields: tuple[Field, ...]


@dataclass(frozen=True, kw_only=True)
class TiledFamily(PatchFamily):
    """A family whose picture is a layout with fields."""

    @abstractmethod
    def layout(self, signal: SignalFormat) -> TiledLayout:
        """The picture in a signal.

        Raises:
            BadInput: where the signal cannot hold it.
        """

    def draw(self, signal: SignalFormat) -> Still:
        """The flat picture with its fields painted on."""
        layout = self.layout(signal)
        planes = painted_planes(signal, layout)
        for field in layout.fields:
            _paint(planes, field)
        return Still(frame_of(signal, planes))

    def claims(self, signal: SignalFormat) -> Claims:
        """The flat parts, and the pixels of every colour with those of the fields among them.

        Raises:
            ValueError: where a field meets another or a label: its pixels could not be counted by themselves.
        """
        layout = self.layout(signal)
        fields = [field.rect for field in layout.fields]
        for one, other in [*combinations(fields, 2), *product(fields, (each.rect for each in layout.labels))]:
            if overlap(one, other):
                raise ValueError(f"{one} meets {other}")
        places = (Patch("", field.rect, field.tile[0][0], None) for field in layout.fields)
        flat = layout_claims(signal, replace(layout, patches=(*layout.patches, *places)))
        areas = Counter(flat.areas)
        for field in layout.fields:
            areas[field.tile[0][0]] -= field.rect.area
            areas.update(tile_counts(field))
        return replace(flat, areas={code: pixels for code, pixels in areas.items() if pixels})


def tile_counts(field: Field) -> Counter[CodeTriple]:
    """Pixels of each colour in a field."""
    counts: Counter[CodeTriple] = Counter()
    for row, codes in enumerate(field.tile):
        times_down = _times(row, len(field.tile), field.rect.height)
        for column, code in enumerate(codes):
            counts[code] += times_down * _times(column, len(codes), field.rect.width)
    return counts


def stripe_hazards(signal: SignalFormat, striped: Iterable[Rect]) -> frozenset[Hazard]:
    """STRIPES where rectangles of fine stripes cover more of a still picture than BT.1702 has them."""
    share = sum(rect.area for rect in striped) / (signal.width * signal.height)
    return frozenset({Hazard.STRIPES}) if share > _STRIPED_SHARE else frozenset()


def _times(place: int, period: int, length: int) -> int:
    """How often a place of a period comes in a length."""
    return length // period + (place < length % period)


def _paint(planes: list[PlaneArray], field: Field) -> None:
    rows, columns = planes[0].shape
    rect, tile = field.rect, np.array(field.tile, dtype=planes[0].dtype)
    for index, plane in enumerate(planes):
        down, across = rows // plane.shape[0], columns // plane.shape[1]
        each_row = np.arange(0, rect.height, down) % tile.shape[0]
        each_column = np.arange(0, rect.width, across) % tile.shape[1]
        place = slice(rect.y // down, rect.bottom // down), slice(rect.x // across, rect.right // across)
        plane[place] = tile[:, each_column, index][each_row]
