"""Decoded pictures against drawn ones and against claims."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from knownlight.frame.claims import Claims, LightLevels, mean_levels
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.light import LightMeter
from knownlight.frame.planes import Frame, Planes
from knownlight.signal.arrays import PlaneArray
from knownlight.signal.encoding import Components

BLOCK = 16  # pixels of a coder's block
_PLANE_NAMES = {
    Components.YCBCR_420: ("Y", "Cb", "Cr"),
    Components.YCBCR_444: ("Y", "Cb", "Cr"),
    Components.RGB: ("R", "G", "B"),
}


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """What comparing a clip found.

    pictures: decoded and compared. largest_error: largest code difference from the drawn pixels anywhere.
    largest_region_error: largest code difference from a claimed region, of pictures that are not exact a
    block inside its edges. light: of the decoded pixels.
    first_difference: in words, where there is any.
    """

    pictures: int
    largest_error: int
    largest_region_error: int
    light: LightLevels
    first_difference: str
    area_problem: str


NOTHING = Comparison(
    pictures=0,
    largest_error=0,
    largest_region_error=0,
    light=LightLevels(0.0, 0.0, 0.0, 0.0),
    first_difference="",
    area_problem="",
)


def together(results: Sequence[Comparison], frames: Sequence[int]) -> Comparison:
    """Comparisons of parts of a clip as one; `frames` are shown of each."""
    return Comparison(
        pictures=sum(result.pictures for result in results),
        largest_error=max(result.largest_error for result in results),
        largest_region_error=max(result.largest_region_error for result in results),
        light=mean_levels([(result.light, count) for result, count in zip(results, frames, strict=True)]),
        first_difference=next((r.first_difference for r in results if r.first_difference), ""),
        area_problem=next((r.area_problem for r in results if r.area_problem), ""),
    )


def compare(
    decoded: Iterable[Planes], drawn: Iterator[Frame], signal: SignalFormat, claims: Claims
) -> Comparison:
    """Compare every decoded picture with the drawn one at its place and with the claims.

    A drawn frame that is the same object as the one before is a held picture: where the decoded one is equal
    to it too, its regions and its light are those already counted.
    """
    meter = LightMeter()
    before: Frame | None = None
    pictures = largest = in_regions = 0
    first, area_problem = "", ""
    for planes in decoded:
        frame = next(drawn)
        error = _error(planes, frame.planes)
        if error and not first:
            first = f"frame {pictures}: {describe_difference(planes, frame)}"
        largest = max(largest, error)
        if frame is before and error == 0 and largest == 0:
            meter.add_again()
        else:
            read = Frame(signal, planes)
            in_regions = max(in_regions, _region_error(read, claims, 0 if error == 0 else BLOCK))
            area_problem = area_problem or (_area_problem(read, claims) if error == 0 else "")
            meter.add(read)
        before = frame
        pictures += 1
    if not pictures:
        return NOTHING
    return Comparison(
        pictures=pictures,
        largest_error=largest,
        largest_region_error=in_regions,
        light=meter.levels,
        first_difference=first,
        area_problem=area_problem,
    )


def _error(read: Planes, drawn: Planes) -> int:
    """Largest difference of any sample; the common case, none at all, is found without arithmetic."""
    return max(_plane_error(a, b) for a, b in zip(read, drawn, strict=True))


def _plane_error(read: PlaneArray, drawn: PlaneArray) -> int:
    if np.array_equal(read, drawn):
        return 0
    return int((np.maximum(read, drawn) - np.minimum(read, drawn)).max())  # unsigned, without widening


def describe_difference(read: Planes, frame: Frame) -> str:
    """The first sample that differs, and how many do."""
    for name, got, wanted in zip(_PLANE_NAMES[frame.signal.components], read, frame.planes, strict=True):
        wrong = got != wanted
        if wrong.any():
            y, x = np.unravel_index(int(wrong.argmax()), wrong.shape)
            return (
                f"{name} plane differs at x={x} y={y}: expected {wanted[y, x]}, got {got[y, x]} "
                f"({int(wrong.sum()):,} of {wrong.size:,} samples)"
            )
    return "no difference"


def _region_error(frame: Frame, claims: Claims, inset: int) -> int:
    """Largest difference of a decoded sample from the code claimed for its region.

    Where pixels are not exact, `inset` pixels are left out along the edges of regions that have the room: a
    coder's block that lies across an edge errs there, and no meter reads there.
    """
    largest = 0
    for region in claims.regions:
        rect = region.rect
        if min(rect.width, rect.height) > 2 * inset:
            rect = Rect(rect.x + inset, rect.y + inset, rect.width - 2 * inset, rect.height - 2 * inset)
        rows, columns = rect.slices
        halved = (
            slice(rows.start // 2, -(-rows.stop // 2)),
            slice(columns.start // 2, -(-columns.stop // 2)),
        )
        shared = frame.signal.components is Components.YCBCR_420
        for index, (plane, code) in enumerate(zip(frame.planes, region.code, strict=True)):
            part = plane[halved if shared and index else (rows, columns)]
            largest = max(largest, int(part.max()) - code, code - int(part.min()))
    return largest


def _area_problem(frame: Frame, claims: Claims) -> str:
    """Where the claimed pixel counts differ from the picture's, the first such code in words.

    Each plane is counted by itself; a chroma sample of 4:2:0 stands for four pixels.
    """
    if claims.areas is None:
        return ""
    grey = frame.signal.encoding.grey
    plain = frame.is_grey and all(code == grey(code[0]) for code in claims.areas)
    for index, name in enumerate(_PLANE_NAMES[frame.signal.components][: 1 if plain else 3]):
        counted = frame.counts(index) * (frame.planes[0].size // frame.planes[index].size)
        claimed = np.zeros_like(counted)
        for code, pixels in claims.areas.items():
            claimed[code[index]] += pixels
        wrong = np.flatnonzero(claimed != counted)
        if wrong.size:
            first = int(wrong[0])
            return f"{name} code {first} has {counted[first]:,} pixels, {claimed[first]:,} are claimed"
    return ""
