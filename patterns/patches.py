"""Pictures of flat rectangles and labels: one description, from which both the frame and the claims come.

Patches lie on one another in their order. The frame is painted by array code; what is seen of each patch is
found apart from it, by scalar arithmetic on the edges, and held against decoded pixels in verify.
"""

from abc import abstractmethod
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from knownlight.frame.claims import Claims, CodeTriple, Hazard, Purpose, Region
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.glyphs import lit_pixels, text_size
from knownlight.frame.planes import Frame, plane_shapes, sample_type
from knownlight.frame.sources import Still
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import Components
from patterns.canvas import draw_label
from patterns.family import Family


@dataclass(frozen=True)
class Patch:
    """A rectangle of one colour, on even positions. No purpose: a part of the drawing that is not claimed."""

    name: str
    rect: Rect
    code: CodeTriple
    purpose: Purpose | None = Purpose.MEASURE


@dataclass(frozen=True)
class Label:
    """A line of text with its top left corner at (x, y); it must lie wholly on one colour.

    dot: pixels of a glyph's dot. code: luma; the colour difference stays that of what it lies on.
    """

    text: str
    x: int
    y: int
    dot: int
    code: int

    @property
    def rect(self) -> Rect:
        """What the text covers."""
        return Rect(self.x, self.y, *text_size(self.text, self.dot))


@dataclass(frozen=True, kw_only=True)
class Layout:
    """A whole picture."""

    background: CodeTriple
    patches: tuple[Patch, ...]
    labels: tuple[Label, ...] = ()
    notes: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    hazards: frozenset[Hazard] = frozenset()


@dataclass(frozen=True, kw_only=True)
class PatchFamily(Family):
    """A family whose picture is a layout."""

    @abstractmethod
    def layout(self, signal: SignalFormat) -> Layout:
        """The picture in a signal.

        Raises:
            BadInput: where the signal cannot hold it.
        """

    def draw(self, signal: SignalFormat) -> Still:
        """One picture."""
        return Still(painted(signal, self.layout(signal)))

    def claims(self, signal: SignalFormat) -> Claims:
        """Every patch that no other lies on, and the pixels of every colour."""
        return layout_claims(signal, self.layout(signal))


def writable_planes(signal: SignalFormat, code: CodeTriple) -> list[PlaneArray]:
    """Three planes of one colour, to paint on."""
    kind = sample_type(signal.depth)
    return [
        np.full(shape, value, dtype=kind) for shape, value in zip(plane_shapes(signal), code, strict=True)
    ]


def fill(planes: list[PlaneArray], rect: Rect, code: CodeTriple) -> None:
    """Paint a rectangle on even positions; at 4:2:0 each chroma sample belongs to one side of an edge."""
    rows, columns = planes[0].shape
    for plane, value in zip(planes, code, strict=True):
        down, across = rows // plane.shape[0], columns // plane.shape[1]
        plane[rect.y // down : rect.bottom // down, rect.x // across : rect.right // across] = value


def frame_of(signal: SignalFormat, planes: list[PlaneArray]) -> Frame:
    """The frame of three painted planes."""
    first, second, third = planes
    return Frame(signal, (first, second, third))


def painted(signal: SignalFormat, layout: Layout) -> Frame:
    """The picture of a layout."""
    return frame_of(signal, painted_planes(signal, layout))


def painted_planes(signal: SignalFormat, layout: Layout) -> list[PlaneArray]:
    """The planes of a layout, for what a family paints over it."""
    planes = writable_planes(signal, layout.background)
    for patch in layout.patches:
        fill(planes, patch.rect, patch.code)
    for label in layout.labels:
        for plane in planes if signal.components is Components.RGB else planes[:1]:
            draw_label(plane, label.text, label.dot, (label.x, label.y), label.code)
    return planes


def layout_claims(signal: SignalFormat, layout: Layout) -> Claims:
    """Claims of a layout: its uncovered patches, and the pixels of every colour."""
    areas = Counter({code: pixels for code, pixels in visible_areas(signal, layout).items() if pixels})
    for label in layout.labels:
        under = colour_under(layout, label.rect)
        lit = lit_pixels(label.text, label.dot)
        areas[under] -= lit
        areas[_label_colour(signal, label.code, under)] += lit
    tops = [*(patch.rect for patch in layout.patches), *(label.rect for label in layout.labels)]
    regions = tuple(
        Region(patch.name, patch.rect, patch.code, patch.purpose)
        for index, patch in enumerate(layout.patches)
        if patch.purpose is not None and not any(overlap(patch.rect, rect) for rect in tops[index + 1 :])
    )
    return Claims(
        regions=regions,
        areas={code: pixels for code, pixels in areas.items() if pixels},
        notes=layout.notes,
        hazards=layout.hazards,
    )


def _label_colour(signal: SignalFormat, code: int, under: CodeTriple) -> CodeTriple:
    return (code, code, code) if signal.components is Components.RGB else (code, under[1], under[2])


def visible_areas(signal: SignalFormat, layout: Layout) -> dict[CodeTriple, int]:
    """Pixels of each colour before labels: between any two edges the last patch that is there is seen."""
    picture = Rect(0, 0, signal.width, signal.height)
    boxes = [(picture, layout.background), *((patch.rect, patch.code) for patch in layout.patches)]
    rows = sorted({edge for rect, _ in boxes for edge in (rect.y, rect.bottom)})
    counts: Counter[CodeTriple] = Counter()
    for top, bottom in pairwise(rows):
        here = [(rect, code) for rect, code in boxes if rect.y <= top and rect.bottom >= bottom]
        columns = sorted({edge for rect, _ in here for edge in (rect.x, rect.right)})
        for left, right in pairwise(columns):
            seen = next(code for rect, code in reversed(here) if rect.x <= left and rect.right >= right)
            counts[seen] += (right - left) * (bottom - top)
    return dict(counts)


def colour_under(layout: Layout, rect: Rect) -> CodeTriple:
    """The colour that a rectangle lies on.

    Raises:
        ValueError: where it lies across an edge: a label must not.
    """
    for patch in reversed(layout.patches):
        if overlap(patch.rect, rect):
            if not _inside(rect, patch.rect):
                raise ValueError(f"{rect} lies across an edge of {patch.name}")
            return patch.code
    return layout.background


def overlap(one: Rect, other: Rect) -> bool:
    """Whether two rectangles share a pixel."""
    return one.x < other.right and other.x < one.right and one.y < other.bottom and other.y < one.bottom


def _inside(inner: Rect, outer: Rect) -> bool:
    return (
        outer.x <= inner.x
        and outer.y <= inner.y
        and inner.right <= outer.right
        and inner.bottom <= outer.bottom
    )
